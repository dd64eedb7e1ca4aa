package forecast

import (
	"cmp"
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

// anyBuild draws tasks of every sort, found and done again, and past builds.
func anyBuild(t *rapid.T) Build {
	tasks := func() []Work {
		list := anyWork(t)
		for i := range list {
			list[i].Name = fmt.Sprint(i)
			list[i].Found = rapid.Bool().Draw(t, "found")
			if rapid.Bool().Draw(t, "again") {
				list[i].Rework = list[i].Logged * rapid.Float64Range(0, 1).Draw(t, "rework")
			}
		}
		return list
	}
	b := Build{Tasks: tasks()}
	for range rapid.IntRange(0, 3).Draw(t, "builds") {
		b.Past = append(b.Past, tasks())
	}
	return b
}

func parts(l Remaining) []Distribution { return []Distribution{l.Total, l.Listed, l.Found, l.Rework} }

func TestRestIsHours(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBuild(t)
		picked := make([]bool, len(b.Tasks))
		for i := range picked {
			picked[i] = rapid.Bool().Draw(t, "picked")
		}
		l, err := Rest(b, func(i int) bool { return picked[i] })
		if err != nil {
			require.ErrorContains(t, err, "give one")
			return
		}
		open := 0
		for i, w := range b.Tasks {
			if !w.Done && picked[i] {
				open++
			}
		}
		for _, d := range parts(l) {
			for _, h := range append(d.list(), d.Mean) {
				require.False(t, math.IsNaN(h) || math.IsInf(h, 0) || h < 0, "%+v", d)
				require.Equal(t, open == 0, h == 0, "%+v", d)
			}
			require.True(t, slices.IsSorted(d.list()), "%+v", d)
			require.LessOrEqual(t, d.P50, d.Mean)
		}
		require.Equal(t, l.Listed.Mean+l.Found.Mean+l.Rework.Mean, l.Total.Mean)
		require.Len(t, l.Tasks, open)
		if open == 0 {
			return
		}
		hours, spread := 0.0, 0.0
		for _, x := range l.Tasks {
			require.True(t, x.Hours > 0 && x.Spread > 0, "%+v", x)
			hours += x.Hours
			spread += x.Spread
		}
		require.InEpsilon(t, l.Listed.Mean, hours, 1e-9)
		require.InEpsilon(t, 1, spread, 1e-9)
		for _, x := range []Learnt{l.Basis.Pace, l.Basis.Growth, l.Basis.Rework} {
			require.True(t, 0 <= x.Weight && x.Weight < 1, "%+v", x)
			require.True(t, min(x.Own, x.Usual) <= x.Used*(1+1e-9) && x.Used <= max(x.Own, x.Usual)*(1+1e-9), "%+v", x)
		}
	})
}

func TestRestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBuild(t)
		before, err := Rest(b, nil)
		if err != nil {
			return
		}
		shuffled := Build{Tasks: rapid.Permutation(b.Tasks).Draw(t, "tasks"), Past: rapid.Permutation(b.Past).Draw(t, "builds")}
		for i, past := range shuffled.Past {
			shuffled.Past[i] = rapid.Permutation(past).Draw(t, "past tasks")
		}
		after, err := Rest(shuffled, nil)
		require.NoError(t, err)
		byName := func(l *Remaining, tasks []Work) map[string]TaskLeft {
			m := map[string]TaskLeft{}
			for _, x := range l.Tasks {
				m[tasks[x.Task].Name] = TaskLeft{Hours: x.Hours, Spread: x.Spread}
			}
			l.Tasks = nil
			return m
		}
		require.Equal(t, byName(&before, b.Tasks), byName(&after, shuffled.Tasks))
		require.Equal(t, before, after)
	})
}

// A build counted in half hours is forecast in half hours.
func TestRestScales(t *testing.T) {
	double := func(tasks []Work) []Work {
		tasks = slices.Clone(tasks)
		for i := range tasks {
			w := &tasks[i]
			w.Low, w.Likely, w.High, w.Logged, w.Rework = 2*w.Low, 2*w.Likely, 2*w.High, 2*w.Logged, 2*w.Rework
		}
		return tasks
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		b := garage(r, 1+r.IntN(60), r.IntN(3))
		twice := Build{Tasks: double(b.Tasks)}
		for _, past := range b.Past {
			twice.Past = append(twice.Past, double(past))
		}
		l, err := Rest(b, nil)
		require.NoError(t, err)
		l2, err := Rest(twice, nil)
		require.NoError(t, err)
		for i, d := range parts(l) {
			for k, h := range d.list() {
				require.InDelta(t, 2*h, parts(l2)[i].list()[k], 1e-9*h)
			}
		}
	})
}

// plan returns n open tasks of two hours, and done more that took ratio times
// their two hours.
func plan(open, done int, ratio float64) []Work {
	var tasks []Work
	for range done {
		tasks = append(tasks, Work{Low: 2, Likely: 2, High: 2, Logged: 2 * ratio, Done: true})
	}
	for range open {
		tasks = append(tasks, Work{Low: 2, Likely: 2, High: 2})
	}
	return tasks
}

func rest(t require.TestingT, tasks []Work, past ...[]Work) Remaining {
	l, err := Rest(Build{tasks, past}, nil)
	require.NoError(t, err)
	return l
}

func width(d Distribution) float64 { return d.P90 / d.P10 }

// What is finished is finished, whatever was found and done again on the way.
func TestFinishedBuild(t *testing.T) {
	tasks := plan(0, 12, 1.3)
	tasks[3].Found, tasks[4].Found, tasks[5].Rework = true, true, 1
	l := rest(t, tasks, plan(0, 20, 2))
	for _, d := range parts(l) {
		require.Equal(t, Distribution{}, d)
	}
	require.Equal(t, 12, l.Basis.Finished)
	require.InDelta(t, 2*2.6, l.Basis.FoundHours, 1e-12)
}

// By hand: a habit with mean 0.1, known as well from 20 tasks of a build as
// before. One build of 20 tasks at 0.3 weighs half. A past build of 20 tasks
// has weight 1/(0.8 + 1) beside 1/0.2 for what is usual.
func TestLearn(t *testing.T) {
	h := habit{mean: 0.1, variance: 0.04, tasks: 20}
	l := h.learn(seen{}, nil)
	require.InDeltaMapValues(t, values(0.1, 0.1, 0.1, 0, 0.04), values(l.Own, l.Usual, l.Used, l.Weight, l.variance), 1e-12)
	l = h.learn(seen{20, 0.3}, nil)
	require.InDeltaMapValues(t, values(0.3, 0.1, 0.2, 0.5, 0.02), values(l.Own, l.Usual, l.Used, l.Weight, l.variance), 1e-12)
	l = h.learn(seen{}, []seen{{20, 0.3}, {0, 9}})
	usual := (5*0.1 + 0.3/1.8) / (5 + 1/1.8)
	require.InDeltaMapValues(t, values(usual, usual, usual, 0, 0.04*(0.8+1/(5+1/1.8))), values(l.Own, l.Usual, l.Used, l.Weight, l.variance), 1e-12)
}

func values(v ...float64) map[string]float64 {
	m := map[string]float64{}
	for i, x := range v {
		m[[]string{"own", "usual", "used", "weight", "variance"}[i]] = x
	}
	return m
}

// By hand: a task begun, of one hour in a build of one-hour tasks (1.05 with the
// twentieth for its own sake), takes max(0.80 g - 0.35 s, 0.40 s).
func TestBegunAtWork(t *testing.T) {
	for _, tt := range []struct{ logged, want float64 }{{0, 1.05}, {0.5, 0.84 - 0.175}, {1, 0.84 - 0.35}, {2, 0.8}, {20, 8}} {
		require.InDelta(t, tt.want, atWork.open([]Work{{Low: 1, Likely: 1, High: 1, Logged: tt.logged}}, 1)[0], 1e-12)
	}
}

// What evidence does, case by case (reasoned, not published).
func TestEvidenceMovesTheRest(t *testing.T) {
	plain := rest(t, plan(20, 20, 1))
	require.Greater(t, plain.Found.Mean, 0.0, "something always turns up")
	require.Greater(t, plain.Rework.Mean, 0.0)

	tasks := plan(20, 20, 1)
	for i := range 5 {
		tasks[i].Found = true
	}
	grown := rest(t, tasks)
	require.Greater(t, grown.Found.Mean, plain.Found.Mean)
	require.InDelta(t, 5*2.0/40, grown.Basis.Growth.Own, 1e-12, "5 of 20 finished tasks of 2 h were found")
	require.Equal(t, plain.Listed, grown.Listed, "the rest of the list is as long as before")

	tasks = plan(20, 20, 1)
	for i := range 5 {
		tasks[i].Logged, tasks[i].Rework = 4, 2
	}
	again := rest(t, tasks)
	require.Greater(t, again.Rework.Mean, plain.Rework.Mean)
	require.Equal(t, plain.Basis.Pace, again.Basis.Pace, "rework is not first-time pace")

	// None found and none done again in much work: less of both to come.
	long := rest(t, plan(20, 200, 1))
	require.Less(t, long.Found.Mean, plain.Found.Mean/2)
	require.Less(t, long.Rework.Mean, plain.Rework.Mean)

	slow := plan(0, 60, 1.8)
	require.Greater(t, rest(t, plan(20, 0, 1), slow).Listed.P50, 1.05*rest(t, plan(20, 0, 1)).Listed.P50, "a slow garage")
	one, two := rest(t, plan(20, 30, 0.8), slow).Basis.Pace, rest(t, plan(20, 30, 0.8)).Basis.Pace
	require.Greater(t, one.Used, two.Used)
	require.Less(t, one.Used, 1.0, "the build's own pace outweighs the past")
}

// A stage is forecast from what the whole build has shown, and the way to a
// milestone is no longer than the whole.
func TestAsk(t *testing.T) {
	b := Build{Tasks: plan(30, 30, 1.6)}
	b.Tasks[31] = Work{Low: 2, Likely: 4, High: 12} // picked
	whole, err := Rest(b, nil)
	require.NoError(t, err)
	stage, err := Rest(b, func(i int) bool { return i%3 == 1 })
	require.NoError(t, err)
	require.Len(t, stage.Tasks, 10)
	require.Equal(t, whole.Basis.Pace, stage.Basis.Pace)
	require.Equal(t, whole.Basis.Growth, stage.Basis.Growth)
	require.Less(t, stage.Total.P50, whole.Total.P50/2)
	require.Greater(t, width(stage.Total), width(whole.Total))
	require.InDelta(t, whole.Found.Mean/whole.Listed.Mean, stage.Found.Mean/stage.Listed.Mean, 1e-9)
	worst := slices.MaxFunc(stage.Tasks, func(a, b TaskLeft) int { return cmp.Compare(a.Spread, b.Spread) })
	require.Equal(t, 31, worst.Task, "the longest, and of the widest range")

	none, err := Rest(b, func(i int) bool { return i < 30 })
	require.NoError(t, err)
	require.Equal(t, Distribution{}, none.Total, "all of these are finished")
}

// The factors of the reasons are all there is to the spread, so that it never
// grows without one of them.
func TestWidthHasReasons(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBuild(t)
		l, err := Rest(b, nil)
		if err != nil || l.Total.P50 == 0 {
			return
		}
		product := exact.Exp(Fitted().Spread[0])
		for _, f := range l.Basis.Reasons.list() {
			product *= f
		}
		edge := func(d Distribution) bool { return d.spread <= leastSpread*1.01 || d.spread >= mostSpread*0.99 }
		if !edge(l.Total) && !edge(l.Listed) {
			office, err := look(b, nil, atWork)
			require.NoError(t, err)
			c := Fitted()
			c.Spread[4] = startedAtWork
			if !edge(office.worked(c)) {
				require.InEpsilon(t, product, l.Total.spread, 1e-9)
			}
		}
		for _, more := range []Work{
			{Low: 3, Likely: 3, High: 3, Logged: 3, Done: true},
			{Low: 3, Likely: 3, High: 3, Logged: 9, Done: true},
			{Low: 3, Likely: 3, High: 3, Logged: 3, Done: true, Found: true},
		} {
			after := rest(t, append(slices.Clone(b.Tasks), more), b.Past...)
			if after.Total.spread > l.Total.spread*(1+1e-9) {
				was := l.Basis.Reasons.list()
				require.True(t, slices.ContainsFunc(after.Basis.Reasons.list(), func(f float64) bool {
					f, was = f/was[0], was[1:]
					return f > 1
				}))
			}
		}
	})
}

// In an ordinary build another finished task that came out as estimated never
// widens the rest, and neither does another such build in the past.
func TestPlainEvidenceNarrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		open, done := rapid.IntRange(1, 60).Draw(t, "open"), rapid.IntRange(0, 60).Draw(t, "done")
		before := rest(t, plan(open, done, 1))
		require.LessOrEqual(t, width(rest(t, plan(open, done+1, 1)).Total), width(before.Total)*(1+1e-12))
		require.LessOrEqual(t, width(rest(t, plan(open, done, 1), plan(0, 30, 1)).Total), width(before.Total)*(1+1e-12))
	})
}

func TestReasons(t *testing.T) {
	wild := func(open int) []Work {
		tasks := plan(open, 40, 1)
		for i := range 40 {
			tasks[i].Logged = []float64{0.6, 5, 2}[i%3]
		}
		return tasks
	}
	require.Equal(t, "few", rest(t, wild(1)).Basis.Reasons.Widest())
	require.Equal(t, "scatter", rest(t, wild(30)).Basis.Reasons.Widest())
	require.Equal(t, "unforeseen", rest(t, plan(8, 40, 1)).Basis.Reasons.Widest(), "all went as estimated, but something may turn up")
	tasks := plan(8, 0, 1)
	for i := range 6 {
		tasks[i] = Work{}
	}
	require.Equal(t, "unestimated", rest(t, tasks).Basis.Reasons.Widest())
	require.Equal(t, 6, rest(t, tasks).Basis.Unestimated)
	require.Empty(t, Reasons{}.Widest())
}

func TestBadRest(t *testing.T) {
	bad := []Work{{Name: "tap-step", Logged: 1, Rework: 1.5}}
	_, err := Rest(Build{Tasks: bad}, nil)
	require.EqualError(t, err, "task tap-step: rework 1.5: want 0 to the 1 hours logged")
	_, err = Rest(Build{Tasks: plan(1, 0, 1), Past: [][]Work{nil, bad}}, nil)
	require.EqualError(t, err, "past build 2: task tap-step: rework 1.5: want 0 to the 1 hours logged")
	_, err = Rest(Build{Tasks: []Work{{Name: "blind"}}}, nil)
	require.ErrorContains(t, err, "give one")
	_, err = Rest(Build{Tasks: []Work{{Name: "tap-step", Logged: 1, Rework: math.NaN()}}}, nil)
	require.ErrorContains(t, err, "rework NaN")
}

// garage makes a build as a logbook has it, and the builds before it, from a
// seed: sixteenths and sixtieths of an hour.
func garage(r *rand.Rand, n, past int) Build {
	tasks := func(finished float64) []Work {
		var list []Work
		for range n {
			low := float64(1+r.IntN(32)) / 16
			w := Work{Low: low, Likely: 2 * low, High: 2*low + float64(r.IntN(160))/16, Done: r.Float64() < finished, Found: r.IntN(8) == 0}
			if w.Done || r.IntN(5) == 0 {
				w.Logged = float64(r.IntN(600)) / 60
			}
			if w.Done && r.IntN(10) == 0 {
				w.Rework = w.Logged / 4
			}
			list = append(list, w)
		}
		return list
	}
	b := Build{Tasks: tasks(0.5)}
	for range past {
		b.Past = append(b.Past, tasks(1))
	}
	return b
}

// Every device computes the same bits: this test runs natively and as
// WebAssembly. The figure is that of this program, first run on amd64.
func TestRestSameBits(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	sum := fnv.New64a()
	for i := range 400 {
		l, err := Rest(garage(r, 1+r.IntN(60), i%3), nil)
		require.NoError(t, err)
		for _, d := range parts(l) {
			require.NoError(t, binary.Write(sum, binary.LittleEndian, append(d.list(), d.Mean)))
		}
		require.NoError(t, binary.Write(sum, binary.LittleEndian, l.Basis.Reasons.list()))
		for _, x := range l.Tasks {
			require.NoError(t, binary.Write(sum, binary.LittleEndian, []float64{x.Hours, x.Spread}))
		}
	}
	require.Equal(t, "0921c708c7793da7", fmt.Sprintf("%016x", sum.Sum64()))
}

// The rest of the build of the built-in plan, which has 109 tasks, alone and
// after two others.
func BenchmarkRest(b *testing.B) {
	for past := range 3 {
		b.Run(fmt.Sprintf("past=%d", past), func(b *testing.B) {
			build := garage(rand.New(rand.NewPCG(1, 2)), 109, past)
			for b.Loop() {
				if _, err := Rest(build, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
