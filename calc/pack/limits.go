package pack

import "ampwright/calc/desk"

func limitsCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "current-limits",
		Title: "Current limits to set in controller and BMS",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("batt_peak_A", "Peak battery current wanted", "A", "140", 0.001, 5000),
			desk.Num("cell_max_A", "Highest current allowed per cell", "A", "-", 0.001, 5000),
			cellsParallel(),
			desk.Num("cell_A_share", "Share of the cells' limit to use", "ratio", "0.9", 0.1, 1),
			desk.Num("bms_charge_max_A", "BMS charge current limit", "A", "-", 0, 5000),
			desk.Num("regen_max_A", "Regeneration current wanted", "A", "-", 0, 5000),
		},
		Outputs: []desk.Output{
			desk.Out("cell_peak_calc_A", "Peak current per cell", "A").On("batt_peak_A", "cells_parallel"),
			desk.Out("batt_allow_A", "Highest battery current limit to set", "A").On("batt_peak_A", "cell_max_A", "cells_parallel", "cell_A_share"),
			desk.Out("regen_allow_A", "Highest regeneration current to set", "A").On("bms_charge_max_A", "regen_max_A"),
		},
		Formula: []string{
			"cell_peak_calc_A = batt_peak_A / cells_parallel",
			"batt_allow_A = min(batt_peak_A, cell_A_share * cell_max_A * cells_parallel)",
			"regen_allow_A = min(bms_charge_max_A, regen_max_A)",
		},
		Source: "least of the limits; nine tenths of the cells' limit: common practice, no published source",
		Valid:  "alike cells that share equally; unequal ones: group-current-share",
		Cautions: []string{
			"never charge below 0 °C, and regeneration is charging; into a full pack it is zero",
			"read the limits back from the controller after setting them",
		},
		Do: func(s *desk.Sheet) {
			peak, np := s.Num("batt_peak_A"), s.Whole("cells_parallel")
			cell := s.Out("cell_peak_calc_A", peak/np, "batt_peak_A / cells_parallel")
			if s.Has("cell_max_A") {
				s.Out("batt_allow_A", min(peak, s.Num("cell_A_share")*s.Num("cell_max_A")*np), "min(batt_peak_A, cell_A_share * cell_max_A * cells_parallel)")
				if cell > s.Num("cell_max_A") {
					s.Note("the peak wanted is more than the cells allow")
				}
			}
			if s.Has("bms_charge_max_A") && s.Has("regen_max_A") {
				s.Out("regen_allow_A", min(s.Num("bms_charge_max_A"), s.Num("regen_max_A")), "min(bms_charge_max_A, regen_max_A)")
			}
		},
	}
}
