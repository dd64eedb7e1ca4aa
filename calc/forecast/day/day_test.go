package day

import (
	"fmt"
	"hash/fnv"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// anyProject draws projects of every sort; plain ones have nothing for which a
// rule of urgency could gain from a delay: no waits, stints, resources or retests.
func anyProject(t *rapid.T, plain bool) Project {
	number := func(low, high int, what string) int { return rapid.IntRange(low, high).Draw(t, what) }
	p := Project{Now: number(-10, 30000, "now"), Seed: rapid.Uint64().Draw(t, "seed"), Planned: number(30, 900, "planned")}
	for range number(0, 6, "parts") {
		part := Part{ID: fmt.Sprint("part ", len(p.Parts)), Here: rapid.Bool().Draw(t, "here"), Low: number(0, 9, "low"), High: number(9, 60, "high")}
		if rapid.Bool().Draw(t, "ordered") {
			part.Promised = max(p.Now+number(0, 40, "promised"), 1)
		}
		p.Parts = append(p.Parts, part)
	}
	p.Late = rapid.SliceOfN(rapid.IntRange(-3, 30), 0, 9).Draw(t, "late")
	for range number(0, 30, "sessions") {
		p.Sessions = append(p.Sessions, Session{p.Now - number(0, 90, "ago"), number(0, 300, "minutes")})
	}
	if rapid.Bool().Draw(t, "holiday") {
		from := p.Now + number(-40, 40, "from")
		p.Away = []Span{{from, from + number(0, 20, "days")}}
	}
	if !plain {
		p.Resources = []Resource{{ID: "second", Weekdays: [7]bool{0: true, 3: true}, Days: []Span{{p.Now + 2, p.Now + 4}}}}
	}
	hours := 0.0
	for i := range number(0, 9, "tasks") {
		task := Task{ID: fmt.Sprint("task ", i), Hours: rapid.SampledFrom([]float64{0, 0.2, 1, 3, 8}).Draw(t, "hours"), Spread: 0.6}
		for j := range i {
			if number(0, 3, "after") == 0 {
				task.After = append(task.After, fmt.Sprint("task ", j))
			}
		}
		for k := range p.Parts {
			if number(0, 3, "part") == 0 {
				task.Parts = append(task.Parts, p.Parts[k].ID)
			}
		}
		if !plain {
			task.MinStint = number(0, 120, "stint")
			w := float64(number(0, 200, "wait"))
			task.Wait = Hours3{w / 2, w, 3 * w}
			task.Retest = rapid.SampledFrom([]float64{0, 0, 0.3}).Draw(t, "retest")
			if number(0, 3, "second") == 0 {
				task.Needs = []string{"second"}
			}
		}
		hours += task.Hours
		p.Tasks = append(p.Tasks, task)
	}
	for i := range p.Hours {
		p.Hours[i] = hours * []float64{0.6, 0.8, 1, 1.3, 1.7}[i]
	}
	if len(p.Tasks) > 0 {
		p.Marks = []Mark{{"rides", []string{p.Tasks[len(p.Tasks)/2].ID}}}
	}
	return p
}

const someTrials = 60

func simulate(t require.TestingT, p Project) Outlook {
	o, err := Simulate(p, someTrials)
	require.NoError(t, err)
	return o
}

func TestDatesAreDates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProject(t, false)
		o := simulate(t, p)
		ordered := func(days ...int) {
			require.True(t, slices.IsSorted(days) && days[0] >= p.Now && days[len(days)-1] <= p.Now+Horizon, "%v", days)
		}
		ordered(o.Days...)
		ordered(o.P10, o.P25, o.P50, o.P75, o.P90)
		require.Len(t, o.Days, someTrials)
		require.Equal(t, o.Days[rank(90, someTrials)], o.P90)
		mean := 0.0
		for _, d := range o.Days {
			mean += float64(d-p.Now) / someTrials
		}
		if o.Never == 0 {
			sum := o.Chain.Work + o.Chain.Waits + o.Chain.Parts + o.Chain.Resources
			require.True(t, sum >= mean-1e-9 && sum <= mean+1, "the chain has %g days, the build %g and a part of one", sum, mean)
		}
		for i, d := range o.Tasks {
			ordered(d.Start[:]...)
			ordered(d.Finish[:]...)
			require.True(t, d.Slack >= 0 && d.Start[1] <= d.Finish[1])
			require.True(t, within(d.Critical, 0, 1) && within(d.Resting, 0, 1))
			for _, id := range p.Tasks[i].After {
				k := slices.IndexFunc(p.Tasks, func(t Task) bool { return t.ID == id })
				require.LessOrEqual(t, o.Tasks[k].Finish[1], d.Start[1])
			}
		}
		work := 0
		for i, task := range p.Tasks {
			if task.Hours > 0 {
				work++
				require.Contains(t, o.Order, i)
			}
		}
		require.Len(t, o.Order, work)
		for k, i := range o.Order {
			require.True(t, k == 0 || o.Tasks[o.Order[k-1]].Start[1] <= o.Tasks[i].Start[1])
		}
		for i, d := range o.Parts {
			ordered(d.Need[:]...)
			require.True(t, within(d.TooLate, 0, 1) && within(d.Critical, 0, 1) && d.Cost >= 0)
			require.LessOrEqual(t, d.OrderBy[0], d.OrderBy[1])
			require.True(t, !p.Parts[i].Here || d.TooLate == 0 && d.Critical == 0)
		}
		for _, m := range o.Marks {
			require.True(t, m.P10 <= o.P10 && m.P50 <= o.P50 && m.P90 <= o.P90)
		}
	})
}

func TestFinishedToday(t *testing.T) {
	o := simulate(t, Project{Now: 20000, Sessions: []Session{{19990, 60}}})
	require.Equal(t, Dates{20000, 20000, 20000, 20000, 20000, 0}, o.Dates)
	require.Equal(t, slices.Repeat([]int{20000}, someTrials), o.Days)
	require.Zero(t, o.Chain)
}

func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProject(t, false)
		q := p
		q.Tasks = rapid.Permutation(p.Tasks).Draw(t, "tasks")
		q.Parts = rapid.Permutation(p.Parts).Draw(t, "parts")
		q.Sessions = rapid.Permutation(p.Sessions).Draw(t, "sessions")
		q.Late = rapid.Permutation(p.Late).Draw(t, "late")
		a, b := simulate(t, p), simulate(t, q)
		require.Equal(t, a.Days, b.Days)
		require.Equal(t, a.Chain, b.Chain)
		require.Equal(t, a.Basis, b.Basis)
		for i, x := range p.Tasks {
			require.Equal(t, a.Tasks[i], b.Tasks[slices.IndexFunc(q.Tasks, func(y Task) bool { return x.ID == y.ID })])
		}
		for i, x := range p.Parts {
			require.Equal(t, a.Parts[i], b.Parts[slices.IndexFunc(q.Parts, func(y Part) bool { return x.ID == y.ID })])
		}
	})
}

// A build some weeks later is the same build: no day is special but by weekday
// and by how far it is from today.
func TestSameInOtherWeeks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProject(t, false)
		later := 7 * rapid.IntRange(1, 500).Draw(t, "weeks")
		q := p
		q.Now += later
		q.Parts, q.Sessions, q.Away = slices.Clone(p.Parts), slices.Clone(p.Sessions), slices.Clone(p.Away)
		for i, part := range p.Parts {
			if part.Promised != 0 {
				q.Parts[i].Promised += later
			}
		}
		for i := range q.Sessions {
			q.Sessions[i].Day += later
		}
		for i, s := range p.Away {
			q.Away[i] = Span{s.From + later, s.To + later}
		}
		q.Resources = slices.Clone(p.Resources)
		for i, r := range p.Resources {
			q.Resources[i].Days = nil
			for _, s := range r.Days {
				q.Resources[i].Days = append(q.Resources[i].Days, Span{s.From + later, s.To + later})
			}
		}
		a, b := simulate(t, p), simulate(t, q)
		for i := range a.Days {
			a.Days[i] += later
		}
		require.Equal(t, a.Days, b.Days)
		require.Equal(t, a.Order, b.Order)
		require.Equal(t, a.Chain, b.Chain)
	})
}

// In each trial, not only by their quantiles: the trials share their chance.
func notEarlier(t *rapid.T, early, late Outlook) {
	for i, d := range early.Days {
		require.LessOrEqual(t, d, late.Days[i])
	}
}

func TestLaterPromiseIsNeverEarlier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProject(t, true)
		q := p
		q.Parts = slices.Clone(p.Parts)
		for i := range q.Parts {
			if q.Parts[i].Promised >= max(p.Now, 1) {
				q.Parts[i].Promised += rapid.IntRange(0, 20).Draw(t, "later")
			}
		}
		notEarlier(t, simulate(t, p), simulate(t, q))
	})
}

func TestLongerSessionsAreNeverLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProject(t, true)
		q := p
		q.Planned *= 2
		q.Sessions = slices.Clone(p.Sessions)
		for i := range q.Sessions {
			if q.Sessions[i].Day < p.Now { // what is worked today is not to come
				q.Sessions[i].Minutes *= 2
			}
		}
		notEarlier(t, simulate(t, q), simulate(t, p))
	})
}

func TestHolidayIsNeverEarlier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProject(t, true)
		q := p
		from := p.Now + rapid.IntRange(0, 60).Draw(t, "from")
		q.Away = append(slices.Clone(p.Away), Span{from, from + rapid.IntRange(0, 30).Draw(t, "days")})
		notEarlier(t, simulate(t, p), simulate(t, q))
	})
}

// A task more moves nothing that others draw.
func TestSmallChangeMovesLittle(t *testing.T) {
	p := wholeBuild()
	a, err := Simulate(p, 500)
	require.NoError(t, err)
	p.Tasks = append(p.Tasks, Task{ID: "one more", Hours: 0.5, Spread: 0.6})
	b, err := Simulate(p, 500)
	require.NoError(t, err)
	require.InDelta(t, a.P50, b.P50, 2)
	p.Seed++
	c, err := Simulate(p, 500)
	require.NoError(t, err)
	require.NotEqual(t, b.Days, c.Days)
}

func TestNever(t *testing.T) {
	p := Project{Hours: [5]float64{1, 1, 1, 1, 1}, Planned: 300, Resources: []Resource{{ID: "lift"}},
		Tasks: []Task{{ID: "frame", Hours: 1, Needs: []string{"lift"}}}}
	o := simulate(t, p)
	require.Equal(t, 1.0, o.Never)
	require.Equal(t, Horizon, o.P50)
	require.Equal(t, Horizon, o.Tasks[0].Start[0])
}

func TestBasis(t *testing.T) {
	p := Project{Now: 28, Planned: 120, Hours: [5]float64{1, 1, 1, 1, 1}, Late: []int{4, -1},
		Sessions: []Session{{0, 60}, {10, 30}, {10, 30}, {27, 60}},
		Tasks:    []Task{{ID: "weld", Hours: 0.5, MinStint: 90}, {ID: "lamp", Hours: 0.5, MinStint: 30}}}
	b := simulate(t, p).Basis
	require.Equal(t, []string{"weld"}, b.TooLong)
	require.Equal(t, []any{4, 1, 2, 1.5}, []any{b.Weeks, b.Empty, b.Late, b.MeanLate})
	// By hand: an hour in each week of four but days 14 to 20, the one before last; the weeks weigh 2^(-k/26).
	require.InDelta(t, (1+0.948077+0.923121)/(1+0.973689+0.948077+0.923121), b.Week, 1e-5)
}

func TestWrongProjects(t *testing.T) {
	good := func() Project {
		return Project{Now: 100, Planned: 300, Hours: [5]float64{1, 2, 3, 4, 5}, Parts: []Part{{ID: "motor"}},
			Tasks: []Task{{ID: "a", Hours: 1, Parts: []string{"motor"}}, {ID: "b", Hours: 1, After: []string{"a"}}}}
	}
	_, err := Simulate(good(), 10)
	require.NoError(t, err)
	for _, tt := range []struct {
		change func(*Project)
		want   string
	}{
		{func(p *Project) { p.Tasks[0].After = []string{"b"} }, `task "a": comes after itself in a circle: a before b before a`},
		{func(p *Project) { p.Tasks[0].After = []string{"a"} }, `task "a": comes after itself`},
		{func(p *Project) { p.Tasks[0].After = []string{"c"} }, `task "a": predecessor "c" is not in the project`},
		{func(p *Project) { p.Tasks[0].Parts = []string{"fuse"} }, `task "a": part "fuse" is not in the project`},
		{func(p *Project) { p.Tasks[0].Needs = []string{"lift"} }, `task "a": resource "lift" is not in the project`},
		{func(p *Project) { p.Marks = []Mark{{"rides", []string{"c"}}} }, `mark "rides": task "c" is not in the project`},
		{func(p *Project) { p.Tasks[1].ID = "a" }, `task "a": is there twice, want every ID once`},
		{func(p *Project) { p.Tasks[1].ID = "" }, `task 2 of 2 has no ID`},
		{func(p *Project) { p.Parts = append(p.Parts, p.Parts[0]) }, `part "motor": is there twice, want every ID once`},
		{func(p *Project) { p.Tasks[0].Hours = -1 }, `task "a": -1 hours left: want 0 to 1000000`},
		{func(p *Project) { p.Tasks[0].Spread = 3 }, `task "a": spread 3: want 0 to 2`},
		{func(p *Project) { p.Tasks[0].MinStint = 1441 }, `task "a": shortest useful stint 1441 minutes: want 0 to 1440`},
		{func(p *Project) { p.Tasks[0].Wait = Hours3{3, 2, 4} }, `task "a": wait 3, 2, 4 hours: want low, likely, high, within 0 to 43824`},
		{func(p *Project) { p.Tasks[0].Retest = 1 }, `task "a": chance of a retest 1: want 0 to below 1`},
		{func(p *Project) { p.Parts[0].Low = 3 }, `part "motor": lead time 3 to 0 days: want low to high, within 0 to 1826`},
		{func(p *Project) { p.Hours[4] = 1 }, `hours left [1 2 3 4 1]: want five quantiles, rising`},
		{func(p *Project) { p.Hours[0] = 0 }, `hours left [0 2 3 4 5]: want above 0, as tasks have hours left`},
		{func(p *Project) { p.Tasks = nil }, `hours left [1 2 3 4 5]: want 0, as no task has hours left`},
		{func(p *Project) { p.Planned = 0 }, `no session before today and no minutes planned a week: give one`},
		{func(p *Project) { p.Planned = -5 }, `-5 minutes planned a week: want 0 to 10080`},
		{func(p *Project) { p.Sessions = []Session{{101, 60}} }, `session on day 101: want none after today, day 100`},
		{func(p *Project) { p.Sessions = []Session{{99, -60}} }, `session on day 99 of -60 minutes: want 0 to 1440`},
		{func(p *Project) { p.Away = []Span{{5, 4}} }, `away from day 5 to 4: want the first day first`},
		{func(p *Project) { p.Resources = []Resource{{ID: "lift", Days: []Span{{5, 4}}}} }, `resource "lift": there from day 5 to 4: want the first day first`},
		{func(p *Project) { p.Late = []int{5000} }, `order 5000 days late: want -1826 to 1826`},
	} {
		p := good()
		tt.change(&p)
		_, err := Simulate(p, 10)
		require.EqualError(t, err, tt.want)
	}
	_, err = Simulate(good(), 0)
	require.EqualError(t, err, "got 0 trials, want 1 to 100000")
}

// Every device computes the same: this test runs natively and as WebAssembly. The
// figure is that of this program, first run on amd64.
func TestSameEverywhere(t *testing.T) {
	o, err := Simulate(wholeBuild(), 300)
	require.NoError(t, err)
	sum := fnv.New64a()
	fmt.Fprintf(sum, "%+v", o)
	require.Equal(t, "e40edbbc90778b26", fmt.Sprintf("%016x", sum.Sum64()))
}
