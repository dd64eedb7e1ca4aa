// Package pack has the desk's calculations about the battery: voltage window,
// energy, charge time, resistance, state of charge, wear, the 12 V supply taken
// from it, and what a charge and a kilometre cost.
package pack

import (
	"math"

	"ampwright/calc/desk"
)

// Calcs returns the calculations of this package.
func Calcs() []*desk.Calc {
	return []*desk.Calc{
		voltageCalc(), energyCalc(), cRateCalc(), cRateCurrentCalc(),
		chargeTimeCalc(), chargeTimeCurrentCalc(),
		loadStepCalc(), loadResistorCalc(), resistanceCalc(), shareCalc(),
		peukertTimeCalc(), peukertExponentCalc(),
		ocvCalc(), socCalc(),
		selfDischargeCalc(), restDropCalc(), fadeCalc(), imbalanceCalc(),
		dcdcCalc(), budgetCalc(), accessoryCalc(),
		wallCalc(), distanceCostCalc(),
	}
}

// Headings of the list.
const (
	groupPack   = "battery pack"
	groupSupply = "DC-DC and 12 V"
	groupCost   = "charging and cost"
)

const datasheetFirst = "the cell maker's data sheet overrides every figure here"

func num(name, title, unit, def string, lo, hi float64) desk.Input {
	return desk.Input{Name: name, Title: title, Unit: unit, Default: def, Min: lo, Max: hi}
}

func out(name, title, unit string) desk.Output {
	return desk.Output{Name: name, Title: title, Unit: unit}
}

// whole returns a count that was typed, and refuses half a piece.
func whole(s *desk.Sheet, name string) float64 {
	n := s.Num(name)
	if n != math.Trunc(n) {
		s.Fail(name, "want a whole number")
	}
	return n
}

func cellsSeries() desk.Input {
	return num("cells_series", "Cells in series", "count", "20", 1, 400)
}

func cellsParallel() desk.Input {
	return num("cells_parallel", "Cells in parallel per group", "count", "2", 1, 500)
}

func chargeEff() desk.Input {
	return num("charge_eff", "Wall-to-pack efficiency", "ratio", "0.88", 0.3, 1)
}
