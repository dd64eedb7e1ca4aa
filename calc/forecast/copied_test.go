package forecast

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// copying is that of the beta-binomial distribution: B(hits + open + 1/2,
// misses + 1/2) / B(hits + 1/2, misses + 1/2), by package math's Lgamma; and where
// nothing is finished, C(2m, m) / 4^m (from memory, and by hand for m = 1, 2, 3).
func TestCopying(t *testing.T) {
	lnBeta := func(a, b float64) float64 {
		x, _ := math.Lgamma(a)
		y, _ := math.Lgamma(b)
		z, _ := math.Lgamma(a + b)
		return x + y - z
	}
	for finished := range 40 {
		for hits := range finished + 1 {
			h, misses := float64(hits), float64(finished-hits)
			for open := range 20 {
				want := math.Exp(lnBeta(h+float64(open)+0.5, misses+0.5) - lnBeta(h+0.5, misses+0.5))
				require.InEpsilon(t, want, copying(h, float64(finished), open), 1e-11)
			}
		}
	}
	for m, want := range []float64{1, 1.0 / 2, 3.0 / 8, 5.0 / 16} {
		require.InDelta(t, want, copying(0, 0, m), 1e-15)
	}
}

// rounded are tasks of the estimates given; the first finished of them took what
// was estimated.
func rounded(finished int, estimates ...float64) []Work {
	var tasks []Work
	for i, e := range estimates {
		w := Work{Name: "t", Low: e, Likely: e, High: e}
		if i < finished {
			w.Logged, w.Done = e, true
		}
		tasks = append(tasks, w)
	}
	return tasks
}

// Ten of ten hit: by hand, the next four hit as well with probability
// 10.5/11 · 11.5/12 · 12.5/13 · 13.5/14 = 0.8482, so that P25 to P75 are the ten
// hours of the estimates, to a percent.
func TestCopiedHours(t *testing.T) {
	tasks := rounded(10, 1, 2, 3, 1, 2, 3, 1, 2, 3, 4, 1, 2, 3, 4)
	e, err := Read(tasks)
	require.NoError(t, err)
	require.InDelta(t, 0.8482, e.Copied, 1e-4)
	require.InDelta(t, 10, e.Planned, 1e-12)
	d, err := Hours(tasks)
	require.NoError(t, err)
	for _, h := range []float64{d.P25, d.P50, d.P75} {
		require.InEpsilon(t, 10, h, copiedWithin*1.001)
	}
	require.Less(t, d.Quantile(0.02), 9.5, "nor is it certain")
	require.Greater(t, d.Quantile(0.98), 10.5)

	miss := append([]Work{}, tasks...)
	miss[3].Logged *= 1.5
	missed, err := Hours(miss)
	require.NoError(t, err)
	require.Greater(t, missed.P75-missed.P25, d.P75-d.P25, "one miss is a sign that hours are worked")

	for name, w := range map[string]Work{"no estimate": {Name: "t"}, "range": {Name: "t", Low: 1, Likely: 2, High: 3}, "used up": {Name: "t", Low: 2, Likely: 2, High: 2, Logged: 2}} {
		e, err := Read(append(rounded(3, 1, 2, 3, 4), w))
		require.NoError(t, err)
		require.Zero(t, e.Copied, name)
	}
}

// Of the mixture, quantile and probability agree with its two parts: less than
// the planned hours come only where they are not copied, and as often as there.
func TestMixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := logNormal(rapid.Float64Range(0.1, 1000).Draw(t, "mean"), rapid.Float64Range(0.001, 2).Draw(t, "variance"), Fitted().Z)
		planned := d.Mean * rapid.Float64Range(0.1, 10).Draw(t, "planned")
		copied := rapid.Float64Range(0.001, 0.999).Draw(t, "copied")
		m := d.mixed(planned, copied)
		for p := 0.01; p < 1; p += 0.01 {
			h := m.Quantile(p)
			got := (1 - copied) * d.below(h)
			switch {
			case h > planned*(1+copiedWithin*1.0001):
				require.InDelta(t, p, got+copied, 1e-9)
			case h < planned*(1-copiedWithin*1.0001):
				require.InDelta(t, p, got, 1e-9)
			}
			if b := d.below(h); b > 1e-5 && b < 1-1e-5 {
				require.InEpsilon(t, h, d.body(b), 1e-9)
			}
		}
		require.InEpsilon(t, copied*planned+(1-copied)*d.Mean, m.Mean, 1e-12)
	})
}
