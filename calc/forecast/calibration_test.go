package forecast_test

import (
	"testing"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/synth"

	"github.com/stretchr/testify/require"
)

// Forecasts of 2,000 made-up builds, each at a moment drawn evenly from its
// first hour to where 5 % of the hours are left. Assumed is what package synth
// states beside its ranges: no build is drawn from the forecast's own constants,
// and the ranges reach well beyond what it expects (growth 0 to 0.5, rework 0 to
// 0.24, a garage of 0.74 to 1.65 times its estimates, errors of stages in common).
// The limits are wide beside chance: 0.80 of 2,000 has a standard error of 0.009.
func TestCoverage(t *testing.T) {
	for _, past := range []int{0, 2} {
		in80, in50, n := 0.0, 0.0, 0.0
		for garage := range uint64(2000) {
			var b forecast.Build
			for number := range past {
				s, _ := synth.Play(garage, uint64(number)).At(1)
				b.Past = append(b.Past, s.Tasks)
			}
			play := synth.Play(garage, 100)
			s, truth := play.At(play.Chance("moment").Float(0, 0.95))
			b.Tasks = s.Tasks
			l, err := forecast.Rest(b, nil)
			require.NoError(t, err)
			n++
			if d := l.Total; d.P10 <= truth.Hours && truth.Hours <= d.P90 {
				in80++
			}
			if d := l.Total; d.P25 <= truth.Hours && truth.Hours <= d.P75 {
				in50++
			}
		}
		t.Logf("%d past builds: 80%% interval covers %.3f, 50%% interval %.3f", past, in80/n, in50/n)
		require.InDelta(t, 0.80, in80/n, 0.05, "%d past builds", past)
		require.InDelta(t, 0.50, in50/n, 0.08, "%d past builds", past)
	}
}
