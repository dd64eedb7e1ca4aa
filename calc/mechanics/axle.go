package mechanics

import (
	"math"

	"ampwright/calc/desk"
)

// ArmForce returns the force in N at the anchor of each of n equal torque
// arms of length armM that together hold torqueNm: F = T / (n r).
func ArmForce(torqueNm, armM, n float64) float64 { return torqueNm / (n * armM) }

// ArmTorque returns the torque in N·m that n arms hold at forceN each: the
// inverse of [ArmForce].
func ArmTorque(forceN, armM, n float64) float64 { return forceN * n * armM }

// FlatForce returns the crude force in N on axle flats flatMM apart: F = T / w.
// It gives the order of size only; see [FlatPressure].
func FlatForce(torqueNm, flatMM float64) float64 { return 1000 * torqueNm / flatMM }

// FlatChord returns the width in mm of a flat: flats flatMM apart cut on a
// round axle of axleMM leave sqrt(d² - w²). flatMM must be less than axleMM.
func FlatChord(axleMM, flatMM float64) float64 { return math.Sqrt(axleMM*axleMM - flatMM*flatMM) }

// FlatPressure returns the peak pressure in MPa at the corners of a pair of
// flats that hold torqueNm in a dropout plateMM thick, with contact growing in
// a straight line from the middle of the chord to its corner:
// p = 6 T / (t c²). Derived from that assumption; no standard.
func FlatPressure(torqueNm, plateMM, chordMM float64) float64 {
	return 6 * 1000 * torqueNm / (plateMM * chordMM * chordMM)
}

const (
	axle     = "axle and welds"
	bothWays = "a hub motor's whole drive torque, and regeneration the other way, passes through the axle flats: loss of grip there spins the axle, tears the phase wires and can throw the wheel. Two torque arms, both directions"
	castAlu  = "cast alloy dropouts: a torque arm always (common practice, no published source)"
)

var peakInput = desk.Num("motor_peak_Nm", "Motor peak torque at the axle", "Nm", "", 0, 5000)

func axleCalcs() []*desk.Calc {
	return []*desk.Calc{{
		Name: "arm-force", Title: "Force at a torque arm, both directions", Group: axle,
		Inputs: []desk.Input{peakInput,
			desk.Num("regen_peak_Nm", "Regeneration peak torque; left out, as the drive", "Nm", "-", 0, 5000),
			desk.Num("torque_arm_m", "Torque-arm length, axle to anchor", "m", "", 0.01, 1),
			desk.Num("arms", "Arms that share the torque", "count", "1", 1, 4),
			desk.Num("torque_arm_allow_N", "Allowable force at the arm anchor", "N", "-", 1, 999000)},
		Outputs: []desk.Output{
			desk.Out("arm_force_N", "Force at each anchor, drive", "N").On("motor_peak_Nm", "torque_arm_m", "arms"),
			desk.Out("arm_force_back_N", "Force at each anchor the other way, regeneration", "N"),
			desk.Out("arm_margin_calc", "Margin, allowable over the larger force", "ratio").On("motor_peak_Nm", "regen_peak_Nm", "torque_arm_m", "arms", "torque_arm_allow_N"),
			desk.Out("arm_torque_Nm", "Torque the arms hold at the allowable force", "Nm")},
		Formula: []string{"arm_force_N = motor_peak_Nm / (arms * torque_arm_m)", "arm_force_back_N = regen_peak_Nm / (arms * torque_arm_m)",
			"arm_margin_calc = torque_arm_allow_N / larger_N", "arm_torque_Nm = torque_arm_allow_N * arms * torque_arm_m"},
		Source: "equilibrium of moments; margin of 3 or more: common practice, no published source",
		Valid:  "static; arm at right angles to the force; arms that truly share the load",
		Cautions: []string{bothWays, castAlu, witness,
			"two arms share the load only if both fit without play: check one arm with the whole torque"},
		Do: func(s *desk.Sheet) {
			n := s.Whole("arms")
			drive, r := s.Num("motor_peak_Nm"), s.Num("torque_arm_m")
			larger := s.Out("arm_force_N", ArmForce(drive, r, n), "motor_peak_Nm / (arms * torque_arm_m)")
			if s.Has("regen_peak_Nm") {
				back := s.Out("arm_force_back_N", ArmForce(s.Num("regen_peak_Nm"), r, n), "regen_peak_Nm / (arms * torque_arm_m)")
				larger = max(larger, back)
			} else {
				s.Out("arm_force_back_N", larger, "motor_peak_Nm / (arms * torque_arm_m)")
			}
			if !s.Has("torque_arm_allow_N") {
				return
			}
			allow := s.Num("torque_arm_allow_N")
			s.Out("arm_torque_Nm", ArmTorque(allow, r, n), "torque_arm_allow_N * arms * torque_arm_m")
			if larger == 0 {
				return
			}
			s.Step("larger_N", larger, "N", "max(arm_force_N, arm_force_back_N)")
			if m := s.Out("arm_margin_calc", allow/larger, "torque_arm_allow_N / larger_N"); m < 3 {
				s.Note("margin %.2f is under 3", m)
			}
		},
	}, {
		Name: "flat-force", Title: "Force at the axle flats, without an arm", Group: axle,
		Inputs: []desk.Input{peakInput,
			desk.Num("axle_flat_mm", "Width across the axle flats", "mm", "", 1, 100)},
		Outputs:  []desk.Output{desk.Out("flat_force_N", "Force at the axle flats", "N").On("motor_peak_Nm", "axle_flat_mm")},
		Formula:  []string{"flat_force_N = 1000 * motor_peak_Nm / axle_flat_mm"},
		Source:   "equilibrium of a couple; a note on hub-motor axles agrees in order of size (read)",
		Valid:    "order of size only; flat-pressure has the peak at the corners",
		Cautions: []string{bothWays, castAlu},
		Do: func(s *desk.Sheet) {
			s.Out("flat_force_N", FlatForce(s.Num("motor_peak_Nm"), s.Num("axle_flat_mm")), "1000 * motor_peak_Nm / axle_flat_mm")
		},
	}, {
		Name: "flat-pressure", Title: "Peak pressure on the axle flats", Group: axle,
		Inputs: []desk.Input{peakInput,
			desk.Num("sides", "Dropouts that share the torque", "count", "2", 1, 2),
			desk.Num("axle_mm", "Axle diameter", "mm", "", 2, 100),
			desk.Num("axle_flat_mm", "Width across the axle flats", "mm", "", 1, 100),
			desk.Num("plate_mm", "Thickness of the dropout", "mm", "", 0.5, 100),
			desk.Num("yield_MPa", "Yield of the softer part: mild steel 250, 6061-T6 275, class 8.8 640", "MPa", "-", 10, 2500)},
		Outputs: []desk.Output{
			desk.Out("chord_mm", "Width of a flat", "mm"),
			desk.Out("pressure_MPa", "Peak pressure at the corners", "MPa"),
			desk.Out("yield_factor", "Yield over peak pressure", "ratio")},
		Formula: []string{"side_Nm = motor_peak_Nm / sides", "chord_mm = sqrt(axle_mm^2 - axle_flat_mm^2)",
			"pressure_MPa = 6000 * side_Nm / (plate_mm * chord_mm^2)", "yield_factor = yield_MPa / pressure_MPa"},
		Source: "derived: contact pressure growing in a straight line from the middle of the flat to its corner; no published source. Yields from memory",
		Valid:  "close-fitting flats in a straight slot, elastic; play moves the contact to the corner and raises the peak",
		Cautions: []string{bothWays, castAlu,
			"want a factor of 2 or more on yield: the torque reverses", "two dropouts share the torque only if both fit alike: look at one side with the whole torque too"},
		Do: func(s *desk.Sheet) {
			n := s.Whole("sides")
			d, w := s.Num("axle_mm"), s.Num("axle_flat_mm")
			if w >= d {
				s.Fail("axle_flat_mm", "want less than axle_mm: flats are cut into the round axle")
				return
			}
			side := s.Step("side_Nm", s.Num("motor_peak_Nm")/n, "Nm", "motor_peak_Nm / sides")
			c := s.Out("chord_mm", FlatChord(d, w), "sqrt(axle_mm^2 - axle_flat_mm^2)")
			p := s.Out("pressure_MPa", FlatPressure(side, s.Num("plate_mm"), c), "6000 * side_Nm / (plate_mm * chord_mm^2)")
			if !s.Has("yield_MPa") || p == 0 {
				return
			}
			if f := s.Out("yield_factor", s.Num("yield_MPa")/p, "yield_MPa / pressure_MPa"); f < 2 {
				s.Note("factor %.2f is under 2: the flats alone do not hold this torque, a torque arm is wanted", f)
			}
		},
	}}
}
