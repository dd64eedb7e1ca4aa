// Package mechanics calculates bolts, tyres, the axle's torque reaction,
// fillet welds, the centre of gravity and the brakes. Its functions are plain
// arithmetic with the unit in the name of each value; [Calcs] wraps them for
// the engineering desk.
package mechanics

import (
	"slices"

	"ampwright/calc/desk"
)

// Calcs returns the calculations of this package, group by group.
func Calcs() []*desk.Calc {
	return slices.Concat(boltCalcs(), tyreCalcs(), axleCalcs(), weldCalcs(), balanceCalcs(), brakeCalcs())
}

// gravity is the standard acceleration of free fall in m/s², exact by
// definition: 3rd General Conference on Weights and Measures, 1901.
const gravity = 9.80665
