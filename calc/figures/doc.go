// Package figures holds the calculations about figures themselves: forecasts
// from three points, networks and earned value, learning curves, quantiles,
// summary statistics, measurement uncertainty and the conversion of units.
//
// The functions take and give plain numbers; a result that does not exist is
// NaN, which a [desk.Sheet] turns into an error.
package figures

import "ampwright/calc/desk"

// Calcs returns the calculations, in the order of the list.
func Calcs() []*desk.Calc {
	return []*desk.Calc{
		threePoint(), threePointQuantile(), criticalPath(), earnedValue(), learningCurve(),
		normalQuantile(), normalProbability(), studentQuantile(), betaQuantile(), summaryStatistics(),
		instrumentUncertainty(), combinedUncertainty(), guardBand(), toleranceFactor(),
		convert(),
	}
}

// Headings of the list.
const (
	forecasting = "forecasting"
	statistics  = "statistics and measurement"
	units       = "units"
)
