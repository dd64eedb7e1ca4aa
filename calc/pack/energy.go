package pack

import "ampwright/calc/desk"

// KWh returns the energy of a pack in kWh: voltage in V, capacity in Ah.
func KWh(nomV, capacityAh float64) float64 { return nomV * capacityAh / 1000 }

// CRate returns a current as a multiple of the capacity: 1 C empties the
// rated capacity in an hour.
func CRate(currentA, capacityAh float64) float64 { return currentA / capacityAh }

func energyCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "pack-energy",
		Title: "Pack capacity and energy",
		Group: groupPack,
		Inputs: []desk.Input{
			cellsSeries(), cellsParallel(),
			desk.Num("cell_V_nom", "Nominal cell voltage", "V", "3.7", 0.5, 5),
			desk.Num("cell_Ah_rated", "Capacity of one cell", "Ah", "26", 0.01, 2000),
			desk.Num("pack_Ah_design", "Capacity of the weakest group, if it is known", "Ah", "-", 0.01, 10000),
			desk.Num("cells_spare", "Spare cells bought besides", "count", "-", 0, 10000),
		},
		Outputs: []desk.Output{
			desk.Out("cell_count", "Cells in the pack", "count").On("cells_series", "cells_parallel"),
			desk.Out("cells_bought", "Cells bought, spares included", "count").On("cells_series", "cells_parallel", "cells_spare"),
			desk.Out("pack_nom_V", "Nominal pack voltage", "V").On("cells_series", "cell_V_nom"),
			desk.Out("pack_Ah", "Pack capacity", "Ah").On("cells_parallel", "cell_Ah_rated", "pack_Ah_design"),
			desk.Out("pack_kWh", "Pack energy", "kWh").On("cells_series", "cells_parallel", "cell_V_nom", "cell_Ah_rated", "pack_Ah_design"),
		},
		Formula: []string{"pack_kWh = cells_series * cell_V_nom * cells_parallel * cell_Ah_rated / 1000", "or pack_nom_V * pack_Ah_design / 1000"},
		Source:  "definition of energy, V x Ah",
		Valid:   "the weakest group sets the capacity; new, alike cells unless pack_Ah_design is given",
		Do: func(s *desk.Sheet) {
			ns, np := s.Whole("cells_series"), s.Whole("cells_parallel")
			s.Out("cell_count", ns*np, "cells_series * cells_parallel")
			if s.Has("cells_spare") {
				s.Out("cells_bought", ns*np+s.Whole("cells_spare"), "cell_count + cells_spare")
			}
			v := s.Out("pack_nom_V", ns*s.Num("cell_V_nom"), "cells_series * cell_V_nom")
			c, formula := np*s.Num("cell_Ah_rated"), "cells_parallel * cell_Ah_rated"
			if weakest := s.Num("pack_Ah_design"); s.Has("pack_Ah_design") {
				if weakest > c {
					s.Note("the weakest group is given more than its cells have when new")
				}
				c, formula = weakest, "pack_Ah_design"
			}
			s.Out("pack_Ah", c, formula)
			s.Out("pack_kWh", KWh(v, c), "pack_nom_V * pack_Ah / 1000")
		},
	}
}

func designEnergyCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "design-energy",
		Title: "Pack energy on the capacity of its weakest group",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("pack_nom_V", "Nominal pack voltage", "V", "74", 0.5, 1500),
			desk.Num("pack_Ah_design", "Design capacity of the weakest group", "Ah", "42", 0.01, 10000),
		},
		Outputs: []desk.Output{desk.Out("pack_kWh", "Pack energy", "kWh").On("pack_nom_V", "pack_Ah_design")},
		Formula: []string{"pack_kWh = pack_nom_V * pack_Ah_design / 1000"},
		Source:  "definition of energy, V x Ah",
		Valid:   "the weakest group empties first and sets the capacity",
		Do: func(s *desk.Sheet) {
			s.Out("pack_kWh", KWh(s.Num("pack_nom_V"), s.Num("pack_Ah_design")), "pack_nom_V * pack_Ah_design / 1000")
		},
	}
}

func cRateCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "c-rate",
		Title: "C-rate of a current, and the current per cell",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("batt_A", "Battery current", "A", "", 0, 5000),
			desk.Num("pack_Ah", "Pack capacity", "Ah", "42", 0.01, 10000),
			cellsParallel(),
		},
		Outputs: []desk.Output{
			desk.Out("c_rate", "C-rate, multiples of the capacity per hour", "ratio"),
			desk.Out("cell_A", "Current per cell, shared equally", "A"),
		},
		Formula:  []string{"c_rate = batt_A / pack_Ah", "cell_A = batt_A / cells_parallel"},
		Source:   "definition of the C-rate",
		Cautions: []string{"unequal cells share unequally: group-current-share"},
		Do: func(s *desk.Sheet) {
			np := s.Whole("cells_parallel")
			s.Out("c_rate", CRate(s.Num("batt_A"), s.Num("pack_Ah")), "batt_A / pack_Ah")
			s.Out("cell_A", s.Num("batt_A")/np, "batt_A / cells_parallel")
		},
	}
}

func cRateCurrentCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "c-rate-current",
		Title: "Current of a C-rate",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("c_rate", "C-rate, multiples of the capacity per hour", "count", "", 0, 100),
			desk.Num("pack_Ah", "Pack capacity", "Ah", "42", 0.01, 10000),
		},
		Outputs: []desk.Output{desk.Out("batt_A", "Battery current", "A")},
		Formula: []string{"batt_A = c_rate * pack_Ah"},
		Source:  "definition of the C-rate",
		Do: func(s *desk.Sheet) {
			s.Out("batt_A", s.Num("c_rate")*s.Num("pack_Ah"), "c_rate * pack_Ah")
		},
	}
}
