package pack

import "ampwright/calc/desk"

func windowCalc() *desk.Calc {
	cell := func(name, title string) desk.Input { return desk.Num(name, title, "V", "-", 0.5, 5) }
	return &desk.Calc{
		Name:  "pack-window",
		Title: "Pack voltage window from the figures of its own cells",
		Group: groupPack,
		Inputs: []desk.Input{
			cellsSeries(),
			cell("cell_V_max", "Highest cell voltage allowed"),
			cell("cell_V_charge", "Charge stop per cell"),
			cell("cell_V_nom", "Nominal cell voltage"),
			cell("cell_V_min", "Discharge stop per cell"),
		},
		Outputs: []desk.Output{
			desk.Out("pack_max_V", "Highest pack voltage", "V").On("cells_series", "cell_V_max"),
			desk.Out("pack_charge_V", "Charge stop of the pack", "V").On("cells_series", "cell_V_charge"),
			desk.Out("pack_nom_V", "Nominal pack voltage", "V").On("cells_series", "cell_V_nom"),
			desk.Out("pack_min_V", "Discharge stop of the pack", "V").On("cells_series", "cell_V_min"),
			desk.Out("voltage_class", "Against 60 V DC", ""),
		},
		Formula: []string{
			"pack_max_V = cells_series * cell_V_max", "pack_charge_V = cells_series * cell_V_charge",
			"pack_nom_V = cells_series * cell_V_nom", "pack_min_V = cells_series * cell_V_min",
		},
		Source: "cells in series add up; 60 V DC: voltage class A of ISO 6469-3 (from memory)",
		Valid:  "the cell voltages come from the maker's data sheet; pack-voltage has them by chemistry",
		Cautions: []string{
			"above 60 V DC, judged on the highest voltage the pack can reach, treat it as deadly; below 60 V a short circuit still burns and blinds",
		},
		Do: doWindow,
	}
}

func doWindow(s *desk.Sheet) {
	n := s.Whole("cells_series")
	falling := []string{"cell_V_max", "cell_V_charge", "cell_V_nom", "cell_V_min"}
	packs := []string{"pack_max_V", "pack_charge_V", "pack_nom_V", "pack_min_V"}
	given := 0
	for i, cell := range falling {
		if !s.Has(cell) {
			continue
		}
		given++
		for _, higher := range falling[:i] {
			// A charge stop may be the highest voltage, and may be below the nominal one.
			chosen := cell == "cell_V_charge" || higher == "cell_V_charge" && cell == "cell_V_nom"
			if s.Has(higher) && !chosen && s.Num(cell) >= s.Num(higher) {
				s.Fail(cell, "want less than "+higher)
			}
		}
		if cell == "cell_V_charge" && s.Has("cell_V_max") && s.Num(cell) > s.Num("cell_V_max") {
			s.Fail(cell, "want at most cell_V_max")
		}
		s.Out(packs[i], n*s.Num(cell), "cells_series * "+cell)
	}
	if given == 0 {
		s.Fail("cell_V_max", "want at least one voltage of the cell")
	}
	if s.Has("cell_V_max") {
		s.Say("voltage_class", VoltageClass(n*s.Num("cell_V_nom"), n*s.Num("cell_V_max")))
	}
}
