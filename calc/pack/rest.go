package pack

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
)

// Kept returns the fraction of the charge left after months of self-discharge
// at a fraction per month.
func Kept(perMonth, months float64) float64 { return math.Pow(1-perMonth, months) }

func selfDischargeCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "self-discharge",
		Title: "Charge kept in storage",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("selfdis_month", "Self-discharge per month", "%", "2.5", 0, 100),
			desk.Num("months", "Months in storage", "count", "", 0, 600),
		},
		Outputs: []desk.Output{desk.Out("kept", "Share of the charge kept", "%")},
		Formula: []string{"kept = 100 * (1 - selfdis_month / 100)^months"},
		Source:  "compound rate; the rates in print disagree tenfold (0.35 to 2.5 % a month in one copy of an encyclopaedia article, 8 % at 21 °C in an older one; read)",
		Valid:   "a rate measured on these cells at this temperature; the BMS draws current of its own besides",
		Cautions: []string{
			"measure: a cell that falls faster than its neighbours is to be found before the pack is charged again",
		},
		Do: func(s *desk.Sheet) {
			s.Out("kept", 100*Kept(s.Num("selfdis_month")/100, s.Num("months")), "100 * (1 - selfdis_month / 100)^months")
		},
	}
}

// MVPerWeek returns the fall of a resting cell in mV per week.
func MVPerWeek(firstV, lastV, days float64) float64 { return 7000 * (firstV - lastV) / days }

func restDropCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "rest-drop",
		Title: "Self-discharge of a cell from two readings at rest",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("first_V", "First reading", "V", "", 0.5, 5),
			desk.Num("last_V", "Last reading", "V", "", 0.5, 5),
			desk.Num("rest_d", "Days between them", "d", "", 0.5, 1000),
			desk.Num("selfdis_max_mV_week", "Highest self-discharge drop per week at rest", "mV/week", "6", 0.01, 1000),
		},
		Outputs: []desk.Output{
			desk.Out("selfdis_mV_week", "Drop per week", "mV/week"),
			desk.Out("answer", "Against the limit", ""),
		},
		Formula: []string{"selfdis_mV_week = 1000 * 7 * (first_V - last_V) / rest_d"},
		Source:  "common practice, no published source",
		Valid:   "both readings at one temperature, the first after two days of rest, by one meter; on an LFP plateau the voltage says little",
		Do: func(s *desk.Sheet) {
			got := s.Out("selfdis_mV_week", MVPerWeek(s.Num("first_V"), s.Num("last_V"), s.Num("rest_d")), "1000 * 7 * (first_V - last_V) / rest_d")
			if got < 0 {
				s.Note("the voltage rose: the cell had not rested, or was warmer")
			}
			if got > s.Num("selfdis_max_mV_week") {
				s.Say("answer", "over the limit: set the cell aside")
			} else {
				s.Say("answer", "within the limit")
			}
		},
	}
}

// CapacityLeft returns the capacity in % of the rated one after cycles, on the
// straight line through endPercent at lifeCycles; not below 0.
func CapacityLeft(lifeCycles, endPercent, cycles float64) float64 {
	return max(0, 100-(100-endPercent)*cycles/lifeCycles)
}

func fadeCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "capacity-fade",
		Title: "Capacity left after charge cycles",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("life_cycles", "Cycles to the end of life", "count", "1000", 1, 100000),
			desk.Num("end_capacity", "Capacity at the end of life", "%", "80", 0, 100),
			desk.Num("cycles", "Full cycles done", "count", "", 0, 100000),
		},
		Outputs: []desk.Output{desk.Out("capacity", "Capacity left", "%")},
		Formula: []string{"capacity = max(0, 100 - (100 - end_capacity) * cycles / life_cycles)"},
		Source:  "straight line; end of life at 80 % of the rated capacity: common practice, no published source (also the usual threshold of test standards, from memory)",
		Valid:   "up to the end of life; age at high charge and heat come on top",
		Do: func(s *desk.Sheet) {
			life, cycles := s.Num("life_cycles"), s.Num("cycles")
			s.Out("capacity", CapacityLeft(life, s.Num("end_capacity"), cycles), "max(0, 100 - (100 - end_capacity) * cycles / life_cycles)")
			if cycles > life {
				s.Note("past the end of life: from there cells often fall faster than a straight line")
			}
		},
	}
}

// Spread returns highest less lowest, and the mean, in V.
func Spread(cells []float64) (spread, mean float64) {
	lo, hi, sum := math.Inf(1), math.Inf(-1), 0.0
	for _, v := range cells {
		lo, hi, sum = min(lo, v), max(hi, v), sum+v
	}
	return hi - lo, sum / float64(len(cells))
}

func imbalanceCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "cell-imbalance",
		Title: "Spread of the groups at rest",
		Group: groupPack,
		Inputs: []desk.Input{
			{Name: "cells_V", Title: "Voltage of each group, in order", Unit: "V", Min: 0, Max: 5, List: true},
		},
		Outputs: []desk.Output{
			desk.Out("spread_mV", "Highest less lowest", "mV"),
			desk.Out("mean_V", "Mean", "V"),
			desk.Out("ends", "Which ones", ""),
			desk.Out("answer", "What to do", ""),
		},
		Formula:  []string{"spread_mV = 1000 * (highest - lowest)", "mean_V = sum / number"},
		Source:   "under 20 mV fine, over 50 mV look into it, over 100 mV stop: common practice, no published source (weak)",
		Valid:    "at rest; on an LFP plateau the spread says nothing, look at the top of charge",
		Cautions: []string{"never charge a swollen or over-discharged cell: a low group may hold one"},
		Do:       doImbalance,
	}
}

func doImbalance(s *desk.Sheet) {
	cells := s.List("cells_V")
	if len(cells) < 2 {
		s.Fail("cells_V", "want at least two")
		return
	}
	low, high := 0, 0
	for i, v := range cells {
		if v < cells[low] {
			low = i
		}
		if v > cells[high] {
			high = i
		}
	}
	spread, mean := Spread(cells)
	s.Step("highest", cells[high], "V", "highest of cells_V")
	s.Step("lowest", cells[low], "V", "lowest of cells_V")
	s.Out("spread_mV", 1000*spread, "1000 * (highest - lowest)")
	s.Out("mean_V", mean, fmt.Sprintf("sum of cells_V / %d", len(cells)))
	if spread == 0 {
		s.Say("ends", "all alike")
	} else {
		s.Say("ends", fmt.Sprintf("number %d is highest, number %d is lowest", high+1, low+1))
	}
	const last = 1e-9 // V, below any meter: 20 mV is 20 mV whatever its last digit
	switch {
	case spread > 0.1+last:
		s.Say("answer", "over 100 mV: stop and find the cell")
	case spread > 0.05+last:
		s.Say("answer", "over 50 mV: look into it")
	case spread >= 0.02-last:
		s.Say("answer", "20 to 50 mV: balance, and watch it")
	default:
		s.Say("answer", "under 20 mV: fine")
	}
}
