package spend_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"ampwright/calc/forecast/spend"
	"ampwright/calc/forecast/synth"
	"ampwright/calc/money"
)

// Builds made up with prices off their ranges, purchases nobody planned and
// sales that fail. No open record of garage money is known: this says that the
// intervals are honest where the world is as varied as [synth.SpendTraits], no
// more.
func TestCalibration(t *testing.T) {
	const builds = 2000
	for _, stage := range []struct {
		name        string
		first, last float64 // share of the hours worked
	}{{"early", 0, 0.3}, {"middle", 0.3, 0.7}, {"late", 0.7, 0.95}} {
		var in80, in50, promised, kept float64
		for number := range uint64(builds) {
			c := synth.NewChance(number, 0, "checkpoint")
			p, end := synth.PlaySpend(number/3, number).At(c.Float(stage.first, stage.last))
			o, err := spend.Forecast(p)
			require.NoError(t, err)
			net := float64(end)
			if o.Net.P10 <= net && net <= o.Net.P90 {
				in80++
			}
			if o.Net.P25 <= net && net <= o.Net.P75 {
				in50++
			}
			p.Ceiling = max(money.Amount(o.Net.Mean*c.Float(0.8, 1.25)), 1)
			o, err = spend.Forecast(p)
			require.NoError(t, err)
			promised += o.UnderCeiling
			if end <= p.Ceiling {
				kept++
			}
		}
		t.Logf("%s: %.3f in the 80 %% interval, %.3f in the 50 %%; under the ceiling %.3f, promised %.3f", stage.name, in80/builds, in50/builds, kept/builds, promised/builds)
		require.InDelta(t, 0.80, in80/builds, 0.05, stage.name)
		require.InDelta(t, 0.50, in50/builds, 0.08, stage.name)
		require.InDelta(t, promised/builds, kept/builds, 0.10, stage.name)
	}
}
