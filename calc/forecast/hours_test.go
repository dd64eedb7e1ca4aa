package forecast

import (
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"ampwright/calc/exact"
)

// anyWork draws tasks of every sort: three points, one figure or none; open,
// begun or finished.
func anyWork(t *rapid.T) []Work {
	hours := rapid.OneOf(rapid.Float64Range(0, MaxHours), rapid.Float64Range(0, 40), rapid.SampledFrom([]float64{0, 5e-324, 1e-7, 1e-6, 1, 2, MaxHours}))
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Work {
		e := []float64{hours.Draw(t, "a"), hours.Draw(t, "b"), hours.Draw(t, "c")}
		slices.Sort(e)
		if rapid.Bool().Draw(t, "single") {
			e[0], e[2] = e[1], e[1]
		}
		w := Work{Name: "t", Low: e[0], Likely: e[1], High: e[2], Done: rapid.Bool().Draw(t, "done")}
		if w.Done || rapid.Bool().Draw(t, "begun") {
			w.Logged = hours.Draw(t, "logged")
		}
		return w
	}), 0, 30).Draw(t, "work")
}

func (d Distribution) list() []float64 {
	return []float64{d.Quantile(0), d.P10, d.P25, d.P50, d.P75, d.P90, d.Quantile(1)}
}

func TestQuantilesAreHours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := anyWork(t)
		d, err := Hours(tasks)
		open, scale := 0, 0
		for _, w := range tasks {
			if !w.Done {
				open++
			}
			if w.estimate() > 0 || w.Done && w.logged() > 0 {
				scale++
			}
		}
		if err != nil {
			require.Zero(t, scale, "%v", err) // the only figures that cannot be used here
			return
		}
		for _, h := range append(d.list(), d.Mean) {
			require.False(t, math.IsNaN(h) || math.IsInf(h, 0) || h < 0, "%+v", d)
			require.Equal(t, open == 0, h == 0, "%+v", d)
		}
		require.True(t, slices.IsSorted(d.list()), "%+v", d)
		require.True(t, d.copied > 0 || d.P50 <= d.Mean, "%+v", d)
		for p := 0.01; p < 0.99; p += 0.03 {
			require.LessOrEqual(t, d.Quantile(p), d.Quantile(p+0.01))
		}
	})
}

func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := anyWork(t)
		before, errBefore := Hours(tasks)
		after, errAfter := Hours(rapid.Permutation(tasks).Draw(t, "shuffled"))
		require.Equal(t, errBefore, errAfter)
		require.Equal(t, before, after)
	})
}

func TestHoursScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := anyWork(t)
		k := rapid.Float64Range(0.1, 1).Draw(t, "k")
		scaled := slices.Clone(tasks)
		for i, w := range tasks {
			for _, h := range []float64{w.Low, w.Likely, w.High, w.Logged} {
				if h > 0 && h < leastHours/0.1 {
					return // taken as nothing, on one side perhaps
				}
			}
			w.Low, w.Likely, w.High, w.Logged = k*w.Low, k*w.Likely, k*w.High, k*w.Logged
			scaled[i] = w
			if diff := math.Abs(w.Logged-w.estimate()) - exactWithin*w.estimate(); w.Done && math.Abs(diff) < 1e-9*w.estimate() {
				return // at the edge of an exact hit
			}
		}
		d, err := Hours(tasks)
		s, errScaled := Hours(scaled)
		require.Equal(t, err == nil, errScaled == nil)
		for i, h := range d.list() {
			require.InDelta(t, k*h, s.list()[i], 1e-9*h)
		}
	})
}

func TestBadWork(t *testing.T) {
	for _, tt := range []struct {
		work Work
		want string
	}{
		{Work{Low: 1, Likely: 3, High: 2}, "task tap-step: estimate 1, 3, 2 out of order: want low, likely, high"},
		{Work{Low: 2, Likely: 1, High: 2}, "task tap-step: estimate 2, 1, 2 out of order: want low, likely, high"},
		{Work{Logged: -1}, "task tap-step: hours logged -1: want 0 to 1000000 hours"},
		{Work{Low: math.NaN(), Likely: 1, High: 2}, "task tap-step: low estimate NaN: want 0 to 1000000 hours"},
		{Work{High: math.Inf(1)}, "task tap-step: high estimate +Inf: want 0 to 1000000 hours"},
		{Work{Likely: 1e7, High: 1e7}, "task tap-step: likely estimate 1e+07: want 0 to 1000000 hours"},
	} {
		tt.work.Name = "tap-step"
		_, err := Hours([]Work{{Name: "good", Low: 1, Likely: 1, High: 1}, tt.work})
		require.EqualError(t, err, tt.want)
	}
	_, err := Hours([]Work{{Name: "blind"}})
	require.ErrorContains(t, err, "give one")
}

// What the model says, case by case (reasoned, not published).
func TestEvidenceMovesTheForecast(t *testing.T) {
	build := func(ratio float64, done, open int, low, high float64) Distribution {
		var tasks []Work
		for range done {
			tasks = append(tasks, Work{Low: 2, Likely: 2, High: 2, Logged: 2 * ratio, Done: true})
		}
		for range open {
			tasks = append(tasks, Work{Low: low, Likely: 2, High: high})
		}
		d, err := Hours(tasks)
		require.NoError(t, err)
		return d
	}
	width := func(d Distribution) float64 { return d.P90 / d.P10 }
	plain := build(1, 0, 10, 2, 2)
	require.InDelta(t, 20, plain.P50, 3)
	slow, quick := build(1.5, 10, 10, 2, 2), build(0.7, 10, 10, 2, 2)
	require.Greater(t, slow.P50, build(1, 10, 10, 2, 2).P50)
	require.Less(t, quick.P50, build(1, 10, 10, 2, 2).P50)
	require.Greater(t, build(1.5, 30, 10, 2, 2).P50, slow.P50, "more finished tasks, more of their pace")
	require.Less(t, slow.P50, 1.5*plain.P50, "never all of it")
	require.Greater(t, width(build(1, 0, 3, 2, 2)), width(plain), "fewer open tasks")
	require.Less(t, width(build(1, 10, 10, 2, 2)), width(plain), "estimates met exactly")
	require.Greater(t, width(build(1, 0, 10, 0.2, 3.8)), width(build(1, 0, 10, 1.5, 2.5)), "wider ranges of the same mean")
	require.InDelta(t, build(1, 0, 10, 0.2, 3.8).P50, build(1, 0, 10, 1.5, 2.5).P50, 1e-9)
}

// An estimate beside twice the hours it was made for: a started task still
// needs something.
func TestStartedTask(t *testing.T) {
	for _, logged := range []float64{0.5, 1, 2, 20} {
		e, err := Read([]Work{{Low: 1, Likely: 1, High: 1, Logged: logged}})
		require.NoError(t, err)
		// by hand: g = 1 + 0.05, and max(0.40 g - 0.57 s, 0.06 s)
		require.InDelta(t, max(0.40*1.05-0.57*logged, 0.06*logged), e.Open, 1e-12)
		require.Equal(t, 1.0, e.Started)
	}
}

// The quantiles named are those of Quantile.
func TestQuantile(t *testing.T) {
	d, err := Hours([]Work{{Low: 1, Likely: 2, High: 4}, {Low: 3, Likely: 3, High: 3}})
	require.NoError(t, err)
	for i, want := range []float64{d.P10, d.P25, d.P50, d.P75, d.P90} {
		require.InEpsilon(t, want, d.Quantile(Levels[i]), 1e-12)
	}
}

// The functions agree with package math to its last digits.
func TestExpLog(t *testing.T) {
	for x := -30.0; x <= 30; x += 0.0137 {
		require.InEpsilon(t, math.Exp(x), exact.Exp(x), 1e-15)
		if y := math.Exp(x); math.Abs(x) > 0.01 {
			require.InEpsilon(t, math.Log(y), exact.Log(y), 1e-14)
		}
	}
	require.Zero(t, exact.Log(1))
	require.Equal(t, 1.0, exact.Exp(0))
}

// Every device computes the same bits: this test runs natively and as
// WebAssembly. The figure is that of this program, first run on amd64.
func TestSameBits(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	sum := fnv.New64a()
	for range 2000 {
		var tasks []Work
		for range 1 + r.IntN(40) {
			low := float64(r.IntN(64)) / 16
			likely := low + float64(r.IntN(64))/16
			w := Work{Low: low, Likely: likely, High: likely + float64(r.IntN(160))/16, Done: r.IntN(2) == 0}
			if w.Done || r.IntN(4) == 0 {
				w.Logged = float64(r.IntN(1000)) / 60
			}
			tasks = append(tasks, w)
		}
		d, err := Hours(tasks)
		if err != nil {
			continue
		}
		for _, h := range append(d.list(), d.Mean) {
			require.NoError(t, binary.Write(sum, binary.LittleEndian, h))
		}
	}
	require.Equal(t, "7eaacd754a34c761", fmt.Sprintf("%016x", sum.Sum64()))
}

// A build of many tasks, as a batch brings it.
func BenchmarkHours(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	tasks := make([]Work, 100_000)
	for i := range tasks {
		e := float64(1+r.IntN(64)) / 8
		tasks[i] = Work{Low: e / 2, Likely: e, High: 2 * e, Logged: e, Done: i%2 == 0}
	}
	for b.Loop() {
		if _, err := Hours(tasks); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(tasks)*b.N)/b.Elapsed().Seconds(), "tasks/s")
}
