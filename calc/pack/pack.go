// Package pack has the desk's calculations about the battery: voltage window,
// energy, charge time, resistance, state of charge, wear, the 12 V supply taken
// from it, and what a charge and a kilometre cost.
package pack

import (
	"ampwright/calc/desk"
)

// Calcs returns the calculations of this package.
func Calcs() []*desk.Calc {
	return []*desk.Calc{
		voltageCalc(), windowCalc(), energyCalc(), designEnergyCalc(), cRateCalc(), cRateCurrentCalc(),
		loadStepCalc(), loadResistorCalc(), resistanceCalc(), shareCalc(), limitsCalc(), sortingCalc(),
		peukertTimeCalc(), peukertExponentCalc(),
		ocvCalc(), socCalc(),
		selfDischargeCalc(), restDropCalc(), fadeCalc(), imbalanceCalc(),
		dcdcCalc(), budgetCalc(), accessoryCalc(),
		chargeTimeCalc(), chargeTimeCurrentCalc(), wallCalc(), distanceCostCalc(),
	}
}

// Headings of the list.
const (
	groupPack   = "battery pack"
	groupSupply = "DC-DC and 12 V"
	groupCost   = "charging and cost"
)

const datasheetFirst = "the cell maker's data sheet overrides every figure here"

func cellsSeries() desk.Input {
	return desk.Num("cells_series", "Cells in series", "count", "20", 1, 400)
}

func cellsParallel() desk.Input {
	return desk.Num("cells_parallel", "Cells in parallel per group", "count", "2", 1, 500)
}

func chargeEff() desk.Input {
	return desk.Num("charge_eff", "Wall-to-pack efficiency", "ratio", "0.88", 0.3, 1)
}
