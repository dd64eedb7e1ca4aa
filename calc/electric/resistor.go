package electric

import (
	"fmt"

	"ampwright/calc/desk"
)

func isolationResistor() *desk.Calc {
	return &desk.Calc{
		Name: "isolation-resistor", Title: "Known resistor R0 for the live isolation reading", Group: groupHV,
		Inputs: []desk.Input{
			desk.Num("pack_nom_V", "Nominal pack voltage", "V", "", 1, 1500),
			desk.Choice("bus", "What is tested", BusJoined, BusJoined, BusProtected, BusDC, BusAC),
		},
		Outputs: []desk.Output{
			desk.Out("r0_ohm", "Known resistor R0 for the live insulation reading", "ohm").On("pack_nom_V"),
			desk.Out("r0_least_ohm", "Least that serves", "ohm").On("pack_nom_V"),
			desk.Out("r0_most_ohm", "Most that serves", "ohm").On("pack_nom_V"),
			desk.Out("r0_W", "Heat in it with the whole pack voltage across it", "W").On("pack_nom_V"),
		},
		Formula: []string{
			"r0_ohm = 500 * pack_nom_V, DC and AC joined as in the usual motor drive, or AC alone",
			"r0_ohm = 100 * pack_nom_V, DC alone, or joined with every AC part doubly insulated or in a housing",
			"r0_W = pack_nom_V^2 / r0_ohm",
		},
		Source:   "UN R100.02 annex 4B (read in reproduction): about the least allowed ohm/V times the working voltage, within 20 %",
		Valid:    "the value is not critical: isolation-live wants what the resistor really measures",
		Cautions: []string{cautionHV, "rate the resistor and its clips for the whole pack voltage, at full charge"},
		Do: func(s *desk.Sheet) {
			v, k := s.Num("pack_nom_V"), LeastPerVolt(s.Text("bus"))
			r := s.Out("r0_ohm", k*v, fmt.Sprintf("%g * pack_nom_V", k))
			s.Out("r0_least_ohm", 0.8*r, "0.8 * r0_ohm")
			s.Out("r0_most_ohm", 1.2*r, "1.2 * r0_ohm")
			s.Out("r0_W", v*v/r, "pack_nom_V^2 / r0_ohm")
		},
	}
}
