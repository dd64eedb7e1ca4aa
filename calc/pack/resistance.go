package pack

import "ampwright/calc/desk"

// StepOhm returns the DC resistance in ohm from a step of the load, from i1 to
// i2 (A), with the voltages v1 and v2 (V).
func StepOhm(v1, i1, v2, i2 float64) float64 { return (v1 - v2) / (i2 - i1) }

// LoadOhm returns the internal resistance in ohm from the open voltage and the
// voltage across a known load.
func LoadOhm(openV, loadV, loadOhm float64) float64 { return (openV - loadV) * loadOhm / loadV }

const compareLike = "it depends on pulse length, temperature and state of charge: compare like with like"

func loadStepCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "dc-resistance",
		Title: "DC resistance from a step of the load",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("v1_V", "Voltage at the lower current", "V", "", 0.01, 1000),
			desk.Num("i1_A", "Lower discharge current", "A", "", 0, 5000),
			desk.Num("v2_V", "Voltage at the higher current", "V", "", 0.01, 1000),
			desk.Num("i2_A", "Higher discharge current", "A", "", 0, 5000),
		},
		Outputs: []desk.Output{desk.Out("dcr_mohm", "DC resistance", "mohm")},
		Formula: []string{"dcr_mohm = 1000 * (v1_V - v2_V) / (i2_A - i1_A)"},
		Source:  "IEC 61960: 0.2 C for 10 s, then 1 C for 1 s (read in an instrument maker's description)",
		Valid:   compareLike + "; IEC 62660-1 uses other pulses",
		Do: func(s *desk.Sheet) {
			v1, i1, v2, i2 := s.Num("v1_V"), s.Num("i1_A"), s.Num("v2_V"), s.Num("i2_A")
			if i2 <= i1 {
				s.Fail("i2_A", "want more than i1_A, both as discharge currents")
				return
			}
			if v2 > v1 {
				s.Fail("v2_V", "want at most v1_V: the voltage falls under the higher current")
				return
			}
			s.Out("dcr_mohm", 1000*StepOhm(v1, i1, v2, i2), "1000 * (v1_V - v2_V) / (i2_A - i1_A)")
		},
	}
}

func loadResistorCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "dc-resistance-load",
		Title: "Internal resistance with a known load resistor",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("open_V", "Voltage without load", "V", "", 0.01, 1000),
			desk.Num("load_V", "Voltage across the load", "V", "", 0.01, 1000),
			desk.Num("load_ohm", "Load resistor", "ohm", "", 0.001, 1e6),
		},
		Outputs: []desk.Output{
			desk.Out("load_A", "Current through the load", "A"),
			desk.Out("load_W", "Power in the load", "W"),
			desk.Out("dcr_mohm", "DC resistance", "mohm"),
		},
		Formula:  []string{"dcr_mohm = 1000 * (open_V - load_V) * load_ohm / load_V"},
		Source:   "voltage divider (read on a laboratory page on cells)",
		Valid:    compareLike,
		Cautions: []string{"the load resistor takes load_W: see its rating, it burns"},
		Do: func(s *desk.Sheet) {
			open, load, r := s.Num("open_V"), s.Num("load_V"), s.Num("load_ohm")
			if load > open {
				s.Fail("load_V", "want at most open_V")
				return
			}
			i := s.Out("load_A", load/r, "load_V / load_ohm")
			s.Out("load_W", load*i, "load_V * load_A")
			s.Out("dcr_mohm", 1000*LoadOhm(open, load, r), "1000 * (open_V - load_V) * load_ohm / load_V")
		},
	}
}

// Mohm returns the resistance of a pack in milliohm: series groups of parallel
// cells of cellMohm each, and all joints.
func Mohm(series, parallel, cellMohm, jointsMohm float64) float64 {
	return series*cellMohm/parallel + jointsMohm
}

func resistanceCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "pack-resistance",
		Title: "Pack resistance, sag under load, short-circuit current",
		Group: groupPack,
		Inputs: []desk.Input{
			cellsSeries(), cellsParallel(),
			desk.Num("cell_ir_ref_mohm", "Internal resistance of one cell", "mohm", "1.2", 0.001, 10000),
			desk.Num("joints_mohm", "All joints, busbars, fuse and contactor", "mohm", "3", 0, 10000),
			desk.Num("batt_peak_A", "Peak battery current", "A", "140", 0, 5000),
			desk.Num("pack_nom_V", "Pack voltage before the load", "V", "74", 0.5, 1500),
			desk.Num("pack_max_V", "Highest pack voltage", "V", "84", 0.5, 1500),
		},
		Outputs: []desk.Output{
			desk.Out("pack_mohm", "Pack resistance, joints included", "mohm").On("cells_series", "cells_parallel", "cell_ir_ref_mohm", "joints_mohm"),
			desk.Out("sag_V", "Pack sag at peak current", "V").On("batt_peak_A", "cells_series", "cells_parallel", "cell_ir_ref_mohm", "joints_mohm"),
			desk.Out("loaded_V", "Pack voltage under the peak current", "V"),
			desk.Out("heat_W", "Heat in the pack at peak current", "W"),
			desk.Out("short_A", "Prospective short-circuit current", "A").On("pack_max_V", "cells_series", "cells_parallel", "cell_ir_ref_mohm", "joints_mohm"),
		},
		Formula: []string{
			"pack_mohm = cells_series * cell_ir_ref_mohm / cells_parallel + joints_mohm",
			"sag_V = batt_peak_A * pack_mohm / 1000",
			"short_A = 1000 * pack_max_V / pack_mohm",
		},
		Source: "Ohm's law",
		Valid:  "DC resistance at the temperature and state of charge of the ride; an AC reading at 1 kHz is lower, a cold or empty cell is higher",
		Cautions: []string{
			"the fuse must break short_A at pack_max_V DC; a short circuit throws molten metal and blinds",
		},
		Do: func(s *desk.Sheet) {
			ns, np := s.Whole("cells_series"), s.Whole("cells_parallel")
			r := s.Out("pack_mohm", Mohm(ns, np, s.Num("cell_ir_ref_mohm"), s.Num("joints_mohm")), "cells_series * cell_ir_ref_mohm / cells_parallel + joints_mohm")
			i, v := s.Num("batt_peak_A"), s.Num("pack_nom_V")
			sag := s.Out("sag_V", i*r/1000, "batt_peak_A * pack_mohm / 1000")
			if sag > v {
				s.Note("the sag is more than the whole voltage: the pack cannot give this current")
			} else {
				s.Out("loaded_V", v-sag, "pack_nom_V - sag_V")
			}
			s.Out("heat_W", i*sag, "batt_peak_A * sag_V")
			s.Out("short_A", 1000*s.Num("pack_max_V")/r, "1000 * pack_max_V / pack_mohm")
		},
	}
}

// Shares returns how cells of the given resistances, all in one unit, share a
// current: in inverse proportion.
func Shares(totalA float64, resistance []float64) []float64 {
	var sum float64
	for _, r := range resistance {
		sum += 1 / r
	}
	shares := make([]float64, len(resistance))
	for i, r := range resistance {
		shares[i] = totalA / r / sum
	}
	return shares
}

func shareCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "group-current-share",
		Title: "How unequal parallel cells share the current",
		Group: groupPack,
		Inputs: []desk.Input{
			{Name: "cells_mohm", Title: "Resistance of each cell of the group", Unit: "mohm", Min: 0.001, Max: 10000, List: true},
			desk.Num("batt_peak_A", "Peak battery current", "A", "140", 0, 5000),
			desk.Num("cell_max_A", "Highest current allowed per cell", "A", "90", 0.001, 5000),
		},
		Outputs: []desk.Output{
			desk.Out("cell_peak_A", "Current in the cell of least resistance", "A"),
			desk.Out("cell_least_A", "Current in the cell of most resistance", "A"),
			desk.Out("group_mohm", "Resistance of the group", "mohm"),
			desk.Out("answer", "Against the highest current of a cell", ""),
		},
		Formula:  []string{"cell current = batt_peak_A / its resistance / (sum of 1 / resistance)"},
		Source:   "Kirchhoff's current law",
		Valid:    "at the first moment of a load: later the states of charge drift and even out the shares",
		Cautions: []string{"a hot cell takes more current: its resistance falls"},
		Do: func(s *desk.Sheet) {
			cells, i := s.List("cells_mohm"), s.Num("batt_peak_A")
			lo, hi, sum := cells[0], cells[0], 0.0
			for _, r := range cells {
				lo, hi, sum = min(lo, r), max(hi, r), sum+1/r
			}
			low := s.Step("least_mohm", lo, "mohm", "least of cells_mohm")
			high := s.Step("most_mohm", hi, "mohm", "most of cells_mohm")
			g := s.Out("group_mohm", 1/sum, "1 / (sum of 1 / each of cells_mohm)")
			peak := s.Out("cell_peak_A", i*g/low, "batt_peak_A * group_mohm / least_mohm")
			s.Out("cell_least_A", i*g/high, "batt_peak_A * group_mohm / most_mohm")
			if peak > s.Num("cell_max_A") {
				s.Say("answer", "over the highest current of a cell")
			} else {
				s.Say("answer", "within the highest current of a cell")
			}
		},
	}
}
