package day_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"ampwright/calc/forecast/day"
	"ampwright/calc/forecast/synth"
)

// The order that the scheduler finds ends no later than the plain rule, by the
// mean of the medians of invented builds, halfway through: as they are, where the
// plain rule is hard to beat, and where every eighth task needs a second person
// who is there at weekends.
func TestOrderIsWorthIt(t *testing.T) {
	const builds = 36
	for _, helper := range []bool{false, true} {
		n, plain, found, better, worse := 0.0, 0.0, 0.0, 0, 0
		for number := range uint64(builds) {
			b := synth.PlayDays(9000+number/3, number)
			today := 1 + b.Stints[len(b.Stints)/2].Day
			p := project(t, b, today)
			if helper {
				p.Resources = []day.Resource{{ID: "second person", Weekdays: [7]bool{0: true, 6: true}}}
				for i := 3; i < len(p.Tasks); i += 8 {
					p.Tasks[i].Needs = []string{"second person"}
				}
			}
			a, err := day.ByUrgency(p, 100)
			require.NoError(t, err)
			o, err := day.Simulate(p, 100)
			require.NoError(t, err)
			n, plain, found = n+1, plain+float64(a.P50-today), found+float64(o.P50-today)
			switch {
			case o.P50 < a.P50:
				better++
			case o.P50 > a.P50:
				worse++
			}
		}
		t.Logf("helper %v: %.2f days to the median end by the plain rule, %.2f in the order found; sooner in %d of %.0f builds, later in %d", helper, plain/n, found/n, better, n, worse)
		require.LessOrEqual(t, found, plain)
		require.True(t, !helper || found < plain, "sooner where a helper comes at weekends")
	}
}
