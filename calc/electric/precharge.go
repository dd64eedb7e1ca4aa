package electric

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
)

// TimeConstants returns after how many time constants R·C a capacitor has
// reached a level of 0 to 1 of its final voltage: -ln(1 - level).
func TimeConstants(level float64) float64 { return -math.Log1p(-level) }

// ChargeLevel returns the level of 0 to 1 that a capacitor has reached after so
// many time constants: 1 - e^-n.
func ChargeLevel(constants float64) float64 { return -math.Expm1(-constants) }

// TimeConstant returns R·C in seconds, of ohms and microfarads.
func TimeConstant(ohms, microfarads float64) float64 { return ohms * microfarads / 1e6 }

// CapacitorEnergy returns C·V²/2 in joules, of microfarads and volts. It is
// also what a pre-charge resistor takes each time, whatever its ohms.
func CapacitorEnergy(microfarads, volts float64) float64 {
	return 0.5 * microfarads / 1e6 * volts * volts
}

func precharge() *desk.Calc {
	return &desk.Calc{
		Name: "precharge", Title: "Pre-charge of a bus through a resistor", Group: groupPrecharge,
		Inputs: []desk.Input{
			packMax(""),
			desk.Num("precharge_ohm", "Pre-charge resistor", "ohm", "", 0.001, 1e7),
			busCapacitance(""),
			desk.Num("level", "Share of the pack voltage to be reached", "ratio", "0.95", 0.01, 0.999999),
			desk.Num("precharge_pulse_W", "Pre-charge resistor pulse rating", "W", "-", 0.01, 1e9),
			desk.Num("precharge_pulse_J", "Pre-charge resistor pulse energy rating", "J", "-", 0.0001, 1e9),
		},
		Outputs: []desk.Output{
			desk.Out("tau_s", "Pre-charge time constant", "s").On("precharge_ohm", "controller_cap_uF"), desk.Out("time_constants", "Time constants to the level", "ratio"),
			desk.Out("time_s", "Time to the level", "s"), desk.Out("time_95_s", "Time to 95 %", "s"), desk.Out("time_99_s", "Time to 99 %", "s"),
			desk.Out("gap_V", "Voltage left across the contactor at the level", "V"),
			desk.Out("precharge_peak_A", "Peak current", "A"), desk.Out("precharge_peak_W", "Peak power in the pre-charge resistor", "W").On("pack_max_V", "precharge_ohm"),
			desk.Out("precharge_J", "Energy into the pre-charge resistor each time", "J").On("pack_max_V", "controller_cap_uF"),
			desk.Out("pulse_verdict", "Resistor", ""),
		},
		Formula: []string{
			"tau_s = precharge_ohm * controller_cap_uF / 1000000", "time_s = tau_s * -ln(1 - level)",
			"precharge_peak_A = pack_max_V / precharge_ohm", "precharge_peak_W = pack_max_V^2 / precharge_ohm",
			"precharge_J = 0.5 * controller_cap_uF * pack_max_V^2 / 1000000",
		},
		Source: "circuit theory; TI TIDUF73, 2.2.1 (read); a resistor maker's published example (read)",
		Valid:  "the bus starts empty and has no load; print often rounds to 3 and 4.6 time constants",
		Cautions: []string{
			"choose the resistor by its pulse energy, not by average power",
			"if the bus does not rise the resistor takes the peak power for as long as it is connected: a time-out is needed",
			cautionHV, cautionCaps,
		},
		Do: func(s *desk.Sheet) {
			v, r, c, level := s.Num("pack_max_V"), s.Num("precharge_ohm"), s.Num("controller_cap_uF"), s.Num("level")
			tau := s.Out("tau_s", TimeConstant(r, c), "precharge_ohm * controller_cap_uF / 1000000")
			n := s.Out("time_constants", TimeConstants(level), "-ln(1 - level)")
			s.Draw(desk.Curve{
				Title: "Bus voltage while pre-charging", X: desk.Axis{Title: "time", Unit: "s"}, Y: desk.Axis{Title: "bus voltage", Unit: "V"},
				Sentence: fmt.Sprintf("%.3g V of %.3g V after %.2g s; slower than that, something draws current.", v*level, v, tau*n),
			}, 0, 6*tau, 60, func(t float64) float64 { return v * ChargeLevel(t/tau) })
			s.Out("time_s", tau*n, "tau_s * time_constants")
			s.Out("time_95_s", tau*TimeConstants(0.95), "tau_s * -ln(1 - 0.95)")
			s.Out("time_99_s", tau*TimeConstants(0.99), "tau_s * -ln(1 - 0.99)")
			s.Out("gap_V", v*(1-level), "pack_max_V * (1 - level)")
			s.Out("precharge_peak_A", v/r, "pack_max_V / precharge_ohm")
			peak := s.Out("precharge_peak_W", v*v/r, "pack_max_V^2 / precharge_ohm")
			e := s.Out("precharge_J", CapacitorEnergy(c, v), "0.5 * controller_cap_uF * pack_max_V^2 / 1000000")
			if s.Has("precharge_pulse_W") || s.Has("precharge_pulse_J") {
				s.Say("pulse_verdict", pulseVerdict(s, peak, e))
			}
			if level < 0.9 {
				s.Note("closing a contactor below 90 %% leaves much of the surge: 95 %% is usual")
			}
		},
	}
}

func pulseVerdict(s *desk.Sheet, peakW, energyJ float64) string {
	ratedW, ratedJ := s.Num("precharge_pulse_W"), s.Num("precharge_pulse_J")
	switch {
	case s.Has("precharge_pulse_W") && below(ratedW, peakW):
		return fmt.Sprintf("rejected: rated %.5g W for the pulse, it takes %.5g W", ratedW, peakW)
	case s.Has("precharge_pulse_J") && below(ratedJ, energyJ):
		return fmt.Sprintf("rejected: rated %.5g J for the pulse, it takes %.5g J", ratedJ, energyJ)
	case !s.Has("precharge_pulse_J"):
		return fmt.Sprintf("peak power holds; the energy of %.5g J is not shown", energyJ)
	case !s.Has("precharge_pulse_W"):
		return fmt.Sprintf("energy holds; the peak power of %.5g W is not shown", peakW)
	}
	return "peak power and energy hold"
}

func prechargeSize() *desk.Calc {
	return &desk.Calc{
		Name: "precharge-size", Title: "Pre-charge resistor or capacitance for a time", Group: groupPrecharge,
		Inputs: []desk.Input{
			desk.Num("time_s", "Time allowed", "s", "", 0.0001, 10000),
			desk.Num("time_constants", "Time constants within it", "ratio", "5", 0.1, 15),
			busCapacitance("-"),
			desk.Num("precharge_ohm", "Pre-charge resistor, instead of the capacitance", "ohm", "-", 0.001, 1e7),
			packMax("-"),
		},
		Outputs: []desk.Output{
			desk.Out("tau_s", "Pre-charge time constant", "s"), desk.Out("level", "Share of the pack voltage reached", "ratio"),
			desk.Out("precharge_ohm", "Largest pre-charge resistor", "ohm"), desk.Out("controller_cap_uF", "Largest capacitance", "uF"),
			desk.Out("precharge_peak_A", "Peak current", "A"), desk.Out("precharge_peak_W", "Peak power in the pre-charge resistor", "W"),
			desk.Out("precharge_J", "Energy into the pre-charge resistor each time", "J"),
		},
		Formula: []string{
			"tau_s = time_s / time_constants", "level = 1 - e^(-time_constants)",
			"precharge_ohm = 1000000 * tau_s / controller_cap_uF", "controller_cap_uF = 1000000 * tau_s / precharge_ohm",
		},
		Source:   "circuit theory; TI TIDUF73, 2.2.1 (read)",
		Valid:    "the bus starts empty and has no load",
		Cautions: []string{"choose the resistor by its pulse energy, not by average power", cautionHV, cautionCaps},
		Do: func(s *desk.Sheet) {
			if s.Has("controller_cap_uF") == s.Has("precharge_ohm") {
				s.Fail("controller_cap_uF", "want controller_cap_uF or precharge_ohm, one of the two")
				return
			}
			r, c := s.Num("precharge_ohm"), s.Num("controller_cap_uF")
			tau := s.Out("tau_s", s.Num("time_s")/s.Num("time_constants"), "time_s / time_constants")
			s.Out("level", ChargeLevel(s.Num("time_constants")), "1 - e^(-time_constants)")
			if s.Has("precharge_ohm") {
				c = s.Out("controller_cap_uF", 1e6*tau/r, "1000000 * tau_s / precharge_ohm")
			} else {
				r = s.Out("precharge_ohm", 1e6*tau/c, "1000000 * tau_s / controller_cap_uF")
			}
			if s.Has("pack_max_V") {
				v := s.Num("pack_max_V")
				s.Out("precharge_peak_A", v/r, "pack_max_V / precharge_ohm")
				s.Out("precharge_peak_W", v*v/r, "pack_max_V^2 / precharge_ohm")
				s.Out("precharge_J", CapacitorEnergy(c, v), "0.5 * controller_cap_uF * pack_max_V^2 / 1000000")
			}
		},
	}
}
