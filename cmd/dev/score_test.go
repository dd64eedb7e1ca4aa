package main

import (
	"math"
	"testing"

	"ampwright/calc/forecast"

	"github.com/stretchr/testify/require"
)

// By hand. Five equal quantiles lose the distance to what came, for
// 2 (0.175·0.1 + 0.2·0.25 + 0.25·0.5 + 0.2·0.75 + 0.175·0.9) = 1.
func TestCRPSOfOnePoint(t *testing.T) {
	require.InDelta(t, 3, crps([5]float64{2, 2, 2, 2, 2}, 5), 1e-12)
	require.InDelta(t, 1, crps([5]float64{2, 2, 2, 2, 2}, 1), 1e-12)
	require.InDelta(t, 2*(0.175*0.1*2+0.2*0.25*1+0.2*0.25*1+0.175*0.1*2), crps([5]float64{1, 2, 3, 4, 5}, 3), 1e-12)
}

// By hand: two data sets weigh the same in the macro figure, whatever their size.
func TestMacro(t *testing.T) {
	point := func(dataset string, forecasted, came float64) scored {
		h := forecasted
		return scored{dataset, 50, came, forecast.Distribution{P10: h, P25: h, P50: h, P75: h, P90: h, Mean: h}}
	}
	rows := []scored{point("a", 1, 2), point("a", 2, 2), point("a", 3, 2), point("b", 6, 4)}
	require.InDelta(t, 2.0/6, measure(rows[:3])[1], 1e-12, "rCRPS")
	m := macro(rows)
	require.InDelta(t, (0+0.5)/2, m[bias], 1e-12)
	require.InDelta(t, (1.0/3+0)/2, m[cov80], 1e-12)
	a := (math.Log(2.05/1.05) + math.Log(3.05/2.05)) / 3
	require.InDelta(t, (a+math.Log(6.05/4.05))/2, m[lCRPS], 1e-12)
}
