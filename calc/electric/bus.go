package electric

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
)

// DischargeTime returns the seconds in which a bus of ohms and microfarads
// falls from one voltage to another: R·C·ln(from / to). It is 0 when the bus is
// there already.
func DischargeTime(ohms, microfarads, fromV, toV float64) float64 {
	return max(0, TimeConstant(ohms, microfarads)*math.Log(fromV/toV))
}

// BusVoltage returns the volts of a bus of ohms and microfarads after seconds.
func BusVoltage(fromV, ohms, microfarads, seconds float64) float64 {
	return fromV * math.Exp(-seconds/TimeConstant(ohms, microfarads))
}

// BleedAtMost returns the largest resistor, in ohms, that brings a bus of
// microfarads from one voltage down to another in seconds; +Inf when it is
// there already.
func BleedAtMost(microfarads, fromV, toV, seconds float64) float64 {
	if fromV <= toV {
		return math.Inf(1)
	}
	return 1e6 * seconds / (microfarads * math.Log(fromV/toV))
}

func bondResistance() *desk.Calc {
	return &desk.Calc{
		Name: "bond-resistance", Title: "Potential equalisation: metal case to chassis", Group: groupHV,
		Inputs: []desk.Input{
			desk.Num("test_A", "Test current", "A", "", 0.001, 1000),
			desk.Num("drop_V", "Voltage drop read", "V", "", 0, 100),
		},
		Outputs:  []desk.Output{desk.Out("bond_ohm", "Resistance to the chassis", "ohm"), desk.Out("verdict", "Bond", "")},
		Formula:  []string{"bond_ohm = drop_V / test_A", "bond_ohm < 0.1, with test_A >= 0.2"},
		Source:   "UN R100.02 (read in reproduction)",
		Valid:    "a welded joint is taken as met",
		Cautions: []string{"measure with four wires: the leads of two add their own milliohms", cautionReading},
		Do: func(s *desk.Sheet) {
			i := s.Num("test_A")
			r := s.Out("bond_ohm", s.Num("drop_V")/i, "drop_V / test_A")
			switch {
			case below(i, 0.2):
				s.Say("verdict", fmt.Sprintf("not a valid test: made with %.4g A, want 0.2 A or more", i))
			case below(r, 0.1):
				s.Say("verdict", fmt.Sprintf("holds: %.4g mohm, want less than 100 mohm", 1000*r))
			default:
				s.Say("verdict", fmt.Sprintf("fails: %.4g mohm, want less than 100 mohm", 1000*r))
			}
		},
	}
}

func bleedInput(title, def string) desk.Input {
	return desk.Num("bleed_ohm", title, "ohm", def, 0.01, 1e9)
}

func busDischarge() *desk.Calc {
	return &desk.Calc{
		Name: "bus-discharge", Title: "Discharge of the bus through a bleed resistor", Group: groupHV,
		Inputs: []desk.Input{
			packMax(""), busCapacitance(""), bleedInput("Bleed resistor", "-"),
			desk.Num("end_V", "Voltage to fall to", "V", "60", 0.001, 1500),
			desk.Num("limit_s", "Time allowed", "s", "5", 0.001, 1e6),
			desk.Num("limit_J", "Stored energy allowed", "J", "0.2", 1e-6, 1e6),
		},
		Outputs: []desk.Output{
			desk.Out("bleed_max_ohm", "Largest bleed resistor for the time", "ohm"),
			desk.Out("tau_s", "Time constant of the discharge", "s"), desk.Out("discharge_s", "Time to the voltage", "s"),
			desk.Out("bleed_W", "Heat in the bleed resistor at the highest voltage", "W"),
			desk.Out("full_J", "Energy at the highest voltage", "J"), desk.Out("left_J", "Energy left at the voltage", "J"),
			desk.Out("cap_max_uF", "Largest capacitance with the energy allowed at the voltage", "uF"),
			desk.Out("verdict", "Discharge", ""),
		},
		Formula: []string{
			"discharge_s = bleed_ohm * controller_cap_uF / 1000000 * ln(pack_max_V / end_V)",
			"bleed_max_ohm = 1000000 * limit_s / (controller_cap_uF * ln(pack_max_V / end_V))",
			"left_J = 0.5 * controller_cap_uF * end_V^2 / 1000000", "cap_max_uF = 2000000 * limit_J / end_V^2",
		},
		Source: "circuit theory; limits from memory: IEC 60204-1 60 V in 5 s, 1 s for pins that can be touched; UN R100 connector 60 V DC in 1 s; UN R94 and R95 60 s after impact or less than 0.2 J",
		Valid:  "nothing else feeds or loads the bus",
		Cautions: []string{
			"60 V is not empty: 10 mF at 60 V still hold 18 J",
			cautionCaps, "a bleed that stays connected heats for as long as the bus is live: rate it for that",
		},
		Do: func(s *desk.Sheet) {
			v, c, end := s.Num("pack_max_V"), s.Num("controller_cap_uF"), s.Num("end_V")
			if v > end {
				s.Out("bleed_max_ohm", BleedAtMost(c, v, end, s.Num("limit_s")), "1000000 * limit_s / (controller_cap_uF * ln(pack_max_V / end_V))")
			} else {
				s.Note("the bus is never above end_V: no time to wait, its energy is there all the same")
			}
			if s.Has("bleed_ohm") {
				r := s.Num("bleed_ohm")
				s.Out("tau_s", TimeConstant(r, c), "bleed_ohm * controller_cap_uF / 1000000")
				t := s.Out("discharge_s", DischargeTime(r, c, v, end), "tau_s * ln(pack_max_V / end_V), not below 0")
				s.Out("bleed_W", v*v/r, "pack_max_V^2 / bleed_ohm")
				word := "holds"
				if above(t, s.Num("limit_s")) {
					word = "fails"
				}
				s.Say("verdict", fmt.Sprintf("%s: %.4g s to %.4g V, want %.4g s at most", word, t, end, s.Num("limit_s")))
			}
			s.Out("full_J", CapacitorEnergy(c, v), "0.5 * controller_cap_uF * pack_max_V^2 / 1000000")
			s.Out("left_J", CapacitorEnergy(c, end), "0.5 * controller_cap_uF * end_V^2 / 1000000")
			s.Out("cap_max_uF", 2e6*s.Num("limit_J")/(end*end), "2000000 * limit_J / end_V^2")
		},
	}
}

func weldedContactor() *desk.Calc {
	return &desk.Calc{
		Name: "welded-contactor", Title: "Welded-contactor test: does the bus fall after opening", Group: groupCommission,
		Inputs: []desk.Input{
			desk.Num("bus_V", "Bus voltage before opening", "V", "", 1, 1500),
			bleedInput("Bleed resistor", ""), busCapacitance(""),
			desk.Num("after_s", "Time after opening", "s", "", 0.001, 1e6),
			desk.Num("reading_V", "Bus voltage read then", "V", "-", 0, 1500),
			desk.Num("rc_tolerance", "Tolerance of resistor and capacitor together", "ratio", "0.25", 0, 0.9),
		},
		Outputs: []desk.Output{
			desk.Out("tau_s", "Time constant of the discharge", "s"), desk.Out("expected_V", "Bus voltage expected", "V"),
			desk.Out("high_V", "Highest to be expected", "V"), desk.Out("low_V", "Lowest to be expected", "V"), desk.Out("verdict", "Contactor", ""),
		},
		Formula: []string{
			"expected_V = bus_V * e^(-after_s / tau_s)", "tau_s = bleed_ohm * controller_cap_uF / 1000000",
			"high_V and low_V with tau_s * (1 + rc_tolerance) and tau_s * (1 - rc_tolerance)",
		},
		Source:   "circuit theory; the tolerance of 25 % is common practice, no published source",
		Valid:    "nothing feeds the bus after opening, the pre-charge path open as well",
		Cautions: []string{"a bus that stays up has a welded contact or no bleed: disconnect out, wait, prove dead", cautionHV, cautionCaps},
		Do: func(s *desk.Sheet) {
			v0, t, tol := s.Num("bus_V"), s.Num("after_s"), s.Num("rc_tolerance")
			r, c := s.Num("bleed_ohm"), s.Num("controller_cap_uF")
			s.Out("tau_s", TimeConstant(r, c), "bleed_ohm * controller_cap_uF / 1000000")
			want := s.Out("expected_V", BusVoltage(v0, r, c, t), "bus_V * e^(-after_s / tau_s)")
			high := s.Out("high_V", BusVoltage(v0, r*(1+tol), c, t), "bus_V * e^(-after_s / (tau_s * (1 + rc_tolerance)))")
			low := s.Out("low_V", BusVoltage(v0, r*(1-tol), c, t), "bus_V * e^(-after_s / (tau_s * (1 - rc_tolerance)))")
			if want > 0.9*v0 {
				s.Note("the bus is expected to fall by less than a tenth: wait longer, this time proves nothing")
			}
			if !s.Has("reading_V") {
				return
			}
			got := s.Num("reading_V")
			read := fmt.Sprintf("%.4g V read, %.4g V expected", got, want)
			switch {
			case want > 0.9*v0:
				s.Say("verdict", "not shown: "+read+", too soon to tell")
			case got >= 0.95*v0 && above(got, high):
				s.Say("verdict", "fails: "+read+": welded contact or no bleed")
			case above(got, high):
				s.Say("verdict", "fails: "+read+": falls too slowly, something feeds the bus or the bleed is weak")
			case below(got, low):
				s.Say("verdict", "falls: "+read+": faster than the bleed says, another load is on the bus")
			default:
				s.Say("verdict", "falls: "+read)
			}
		},
	}
}
