package electric

import "ampwright/calc/desk"

func busbarSection() *desk.Calc {
	return &desk.Calc{
		Name: "busbar-section", Title: "Least cross-section of a copper busbar", Group: groupWire,
		Inputs: []desk.Input{
			contCurrent(),
			desk.Num("busbar_A_mm2", "Current density allowed", "A/mm2", "3", 0.5, 10),
		},
		Outputs:  []desk.Output{desk.Out("busbar_min_mm2", "Least busbar cross-section", "mm2").On("batt_cont_A", "busbar_A_mm2")},
		Formula:  []string{"busbar_min_mm2 = batt_cont_A / busbar_A_mm2"},
		Source:   "about 3 A/mm² for enclosed copper bar: common practice, no published source",
		Valid:    "smallest section, holes taken off; short bars inside a case, the heat of the cells beside them left out",
		Cautions: []string{"a joint is hotter than the bar: torque it, measure its drop, feel for heat with the pack off"},
		Do: func(s *desk.Sheet) {
			s.Out("busbar_min_mm2", s.Num("batt_cont_A")/s.Num("busbar_A_mm2"), "batt_cont_A / busbar_A_mm2")
		},
	}
}
