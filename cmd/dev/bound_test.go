package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Where the estimates do tell how hours come out, the models that learn freely
// find it, in cases they have not seen: half of the cases come out at e to the
// power of 0.5 times the forecast, half at the inverse, and one feature of two
// says which. By hand: a forecast of one point is off by 0.5.
func TestBoundsFindWhatIsThere(t *testing.T) {
	var list []cold
	for i := range 240 {
		side := float64(i/2%2)*2 - 1
		list = append(list, cold{source: "s", fold: i % fitFolds, weight: 1. / 240, features: []float64{float64(i * 7 % 31), side}, left: 0.5 * side})
	}
	learnt, seen := boost(list)
	require.InDelta(t, 0.5, learnt[0], 1e-9)
	require.Less(t, learnt[boostRounds], 0.05)
	require.Less(t, seen, 0.05)
	require.Less(t, neighbours(list, 10)[0], 0.01)
	require.InDelta(t, 0.5, bestBy(list, func(c cold) string { return c.source }, true), 1e-9, "one shift for all is no use")
}
