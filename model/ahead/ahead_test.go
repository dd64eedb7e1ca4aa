package ahead_test

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/ahead"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// heron is the demo's logbook, and a pen that goes on writing in it.
type heron struct {
	*model.Logbook
	pen model.Pen
}

func newHeron(t testing.TB) *heron {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	l := &heron{Logbook: model.NewLogbook(), pen: model.Pen{Replica: uuid.UUID{1}}}
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	return l
}

func (l *heron) at(t testing.TB, now time.Time) *model.Build {
	b, err := l.Build(demo.Build, now, plan.Builtin)
	require.NoError(t, err)
	return b
}

// write writes a wish down at a moment.
func (l *heron) write(t testing.TB, now time.Time, wish string, pairs ...string) {
	w := model.Wish{Name: wish, Values: map[string][]string{}}
	for i := 0; i < len(pairs); i += 2 {
		w.Values[pairs[i]] = []string{pairs[i+1]}
	}
	drafts, err := l.Write(l.at(t, now), w, model.Desk{Now: now, Person: "builder", Owner: "builder", Plans: plan.Builtin, NewID: uuid.New})
	require.NoError(t, err)
	raws, err := l.pen.Write(drafts, model.StampAt(now))
	require.NoError(t, err)
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
}

// The forecast of the demo, which is half built: figures that follow from one
// another, whatever they are.
func TestLook(t *testing.T) {
	o := ahead.Look(newHeron(t).at(t, demo.End), nil)
	require.NoError(t, o.HoursErr)
	require.NoError(t, o.MoneyErr)
	require.NoError(t, o.DayErr)
	require.Equal(t, 47, o.Basis.Finished)
	require.Equal(t, 60, o.Basis.Open)
	require.False(t, o.Basis.Few)
	require.Len(t, o.Tasks, 60)

	d := o.Hours.Total
	require.True(t, slices.IsSorted([]float64{0, d.P10, d.P25, d.P50, d.P75, d.P90}))
	share, stages := 0.0, 0.0
	for _, s := range o.Stages {
		share += s.Share
		stages += s.Hours.Mean
	}
	require.InDelta(t, 1, share, 1e-9)
	require.InEpsilon(t, d.Mean, stages, 0.05, "the stages are forecast on their own and make up the build")
	for _, m := range o.Marks {
		require.Less(t, m.Hours.P50, d.P50*1.001, m.Mark.ID)
		require.LessOrEqual(t, m.Day.P50, o.Day.P50, m.Mark.ID)
	}
	today := ahead.Day(o.Day.Tasks[0].Start[0])
	require.False(t, today.Before(time.Date(2026, 11, 20, 0, 0, 0, 0, time.UTC)))
	require.InDelta(t, float64(o.Build.Money.Net), o.Money.Net.Mean-o.Money.ToSpend.Mean+o.Money.Income.Mean, 1)
	work := 0
	for _, k := range o.Tasks {
		if k.Hours > 0 {
			work++
		}
	}
	require.Len(t, o.Order(), work)
	late := map[string]bool{}
	for _, p := range o.Late() {
		late[p.Part.ID] = true
	}
	require.True(t, late["display"], "it is two weeks late already")
}

// A finished build forecasts exactly nothing left.
func TestFinished(t *testing.T) {
	l := newHeron(t)
	now := demo.End
	for _, b := 0, l.at(t, now); ; {
		open := slices.DeleteFunc(slices.Clone(b.Tasks), func(t *model.Task) bool { return !t.Open() })
		if len(open) == 0 {
			break
		}
		for _, k := range open {
			l.write(t, now, "finish", "task", k.ID)
		}
		b = l.at(t, now)
	}
	b := l.at(t, now.AddDate(1, 0, 0)) // waits are over
	o := ahead.Look(b, nil)
	require.Zero(t, o.Hours.Total)
	require.Zero(t, o.Hours.Found.Mean+o.Hours.Rework.Mean)
	require.Empty(t, o.Stages)
	require.Empty(t, o.Marks)
	require.Equal(t, o.Day.P10, o.Day.P90)
	require.Equal(t, "2027-11-20", ahead.Day(o.Day.P90).Format(time.DateOnly))
	require.Equal(t, float64(b.Money.Net), o.Money.Net.P10)
	require.Equal(t, float64(b.Money.Net), o.Money.Net.P90)
	require.Len(t, ahead.Past([]*model.Build{b, newHeron(t).at(t, now)}), 1)
}

// Without figures a forecast says what is missing, part by part.
func TestMissing(t *testing.T) {
	l := model.NewLogbook()
	pen := model.Pen{Replica: uuid.UUID{2}}
	now := demo.End
	drafts, err := l.Write(nil, model.Wish{Name: "start", Values: map[string][]string{"plan": {"kart-chain"}, "title": {"Kart"}, "currency": {"EUR"}}},
		model.Desk{Now: now, Person: "builder", Owner: "builder", Plans: plan.Builtin, NewID: func() uuid.UUID { return uuid.UUID{3} }})
	require.NoError(t, err)
	raws, err := pen.Write(drafts, model.StampAt(now))
	require.NoError(t, err)
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	b, err := l.Build(uuid.UUID{3}, now, plan.Builtin)
	require.NoError(t, err)
	o := ahead.Look(b, nil)
	require.NoError(t, o.HoursErr)
	require.Positive(t, o.Hours.Total.P50)
	require.ErrorContains(t, o.DayErr, "nobody has worked on it before today and no hours a week are planned")
	require.Empty(t, o.Tasks)
	require.True(t, o.Basis.Few)
}

// What moved a forecast adds up to how far it moved, between any two moments,
// and all causes together make the later forecast.
func TestMoved(t *testing.T) {
	l := newHeron(t)
	first := time.Date(2026, 8, 30, 12, 0, 0, 0, demo.End.Location())
	var builds []*model.Build
	for _, days := range []int{0, 9, 23, 40, 61, 81} {
		b, err := ahead.AsOf(l.Logbook, demo.Build, first.AddDate(0, 0, days), plan.Builtin)
		require.NoError(t, err)
		builds = append(builds, b)
	}
	for i, then := range builds {
		for k, now := range builds {
			c := ahead.Moved(then, now, nil, 20)
			hours, net, day := 0.0, 0.0, 0
			for _, m := range c.Moves {
				hours, net, day = hours+m.Hours, net+m.Net, day+m.Days
			}
			require.InDelta(t, c.To.Hours.P50-c.From.Hours.P50, hours, 1e-9)
			require.InDelta(t, c.To.Net.P50-c.From.Net.P50, net, 1e-5)
			require.Equal(t, c.To.Day.P50-c.From.Day.P50, day, "%d to %d", i, k)
			require.Equal(t, ahead.Moved(now, now, nil, 20).From, c.To)
			if i == k {
				require.Empty(t, c.Moves)
			}
		}
	}
}

// Each thing that a person does shows as its cause.
func TestCauses(t *testing.T) {
	now := demo.End
	for _, tt := range []struct {
		cause ahead.Cause
		do    func(l *heron)
		sign  int // of the hours, or of the days where they stay
	}{
		{ahead.WorkDone, func(l *heron) { l.write(t, now, "hours", "task", "brk-01", "hours", "1") }, -1},
		{ahead.Estimates, func(l *heron) { l.write(t, now, "estimate", "task", "brk-03", "estimate", "9/12/20") }, 1},
		{ahead.Added, func(l *heron) {
			l.write(t, now, "add-task", "stage", "brk", "title", "Turn the drum", "estimate", "2/4/8")
		}, 1},
		{ahead.StruckOut, func(l *heron) { l.write(t, now, "drop", "task", "brk-03", "note", "new brake") }, -1},
		{ahead.Sequence, func(l *heron) { l.write(t, now, "sequence", "before", "har-06", "after", "brk-01") }, 1},
		{ahead.Deliveries, func(l *heron) { l.write(t, now, "promise", "order", "O7", "promised", "2027-09-01") }, 1},
		{ahead.Capacity, func(l *heron) { l.write(t, now, "away", "from", "2026-11-21", "until", "2027-03-31") }, 1},
	} {
		t.Run(string(tt.cause), func(t *testing.T) {
			l := newHeron(t)
			before := l.at(t, now)
			tt.do(l)
			c := ahead.Moved(before, l.at(t, now), nil, 200)
			require.NotEmpty(t, c.Moves)
			most := slices.MaxFunc(c.Moves, func(a, b ahead.Move) int { return weight(a) - weight(b) })
			require.Equal(t, tt.cause, most.Cause, "%+v", c.Moves)
			moved := most.Hours
			if moved == 0 {
				moved = float64(most.Days)
			}
			require.Equal(t, tt.sign > 0, moved > 0, "%+v", most)
		})
	}
}

// weight is how far a move goes, a hundredth of an hour as far as a day.
func weight(m ahead.Move) int { return int(max(m.Hours, -m.Hours)*100) + max(m.Days, -m.Days) }

// A week is seen as it was seen then: what is written later changes none of the
// weeks before it, and the last is the forecast of today.
func TestWeeks(t *testing.T) {
	l := newHeron(t)
	weeks, err := ahead.Weeks(l.Logbook, demo.Build, demo.End, plan.Builtin, nil)
	require.NoError(t, err)
	require.Len(t, weeks, 13)
	last := weeks[12]
	require.Equal(t, ahead.Look(l.at(t, demo.End), nil).Hours.Total, last.Hours)
	require.Equal(t, 113.0, last.Logged)
	for i, w := range weeks {
		require.InDelta(t, last.Logged-w.Logged+last.Hours.P50, w.Truth, 1e-9)
		if i > 0 {
			require.GreaterOrEqual(t, w.Logged, weeks[i-1].Logged)
		}
		if i < 12 {
			require.Equal(t, time.Monday, w.At.Weekday())
		}
	}
	later := demo.End.AddDate(0, 0, 7)
	l.write(t, later, "hours", "task", "brk-01", "hours", "3")
	again, err := ahead.Weeks(l.Logbook, demo.Build, later, plan.Builtin, nil)
	require.NoError(t, err)
	for i := range weeks[:12] {
		require.Equal(t, weeks[i].Hours, again[i].Hours)
		require.Equal(t, weeks[i].Day, again[i].Day)
	}
	_, err = ahead.Weeks(l.Logbook, uuid.UUID{9}, demo.End, plan.Builtin, nil)
	require.ErrorIs(t, err, model.ErrNoBuild)
	_, err = ahead.AsOf(l.Logbook, demo.Build, demo.End.AddDate(-1, 0, 0), plan.Builtin)
	require.ErrorIs(t, err, model.ErrNoBuild)
}

// A helper who is there on Sundays alone holds up what must be witnessed.
func TestShared(t *testing.T) {
	l := newHeron(t)
	before := ahead.Look(l.at(t, demo.End), nil)
	l.write(t, demo.End, "shared", "what", "second person", "days", "2027-10-01..2027-10-31")
	after := ahead.Look(l.at(t, demo.End), nil)
	require.Greater(t, after.Day.P10, before.Day.P10)
	require.GreaterOrEqual(t, ahead.Day(after.Day.P10).Format(time.DateOnly), "2027-10-01")
	require.Equal(t, before.Hours.Total, after.Hours.Total)
	l.write(t, demo.End, "shared", "what", "second person", "off", "yes")
	require.Equal(t, before.Day.Dates, ahead.Look(l.at(t, demo.End), nil).Day.Dates)
}

// What is to be sold counts until it is sold.
func TestForSale(t *testing.T) {
	l := newHeron(t)
	before := ahead.Look(l.at(t, demo.End), nil).Money
	l.write(t, demo.End, "for-sale", "what", "wheels, pair", "low", "60", "high", "90")
	offered := ahead.Look(l.at(t, demo.End), nil).Money
	require.Greater(t, offered.Income.Mean, before.Income.Mean)
	require.Greater(t, offered.UnderCeiling, before.UnderCeiling)
	l.write(t, demo.End, "sell", "what", "wheels, pair", "amount", "70")
	sold := ahead.Look(l.at(t, demo.End), nil).Money
	require.Zero(t, sold.Income.Mean)
	require.Equal(t, 1, sold.Basis.SaleDeals)
}

// The forecast of the demo is the same to the last bit on every device: this
// runs natively and as WebAssembly.
func TestSameBits(t *testing.T) {
	o := ahead.Look(newHeron(t).at(t, demo.End), nil)
	h := sha256.New()
	fmt.Fprintf(h, "%x %x %x %v %v %v", o.Hours.Total, o.Hours.Found, o.Money.Net, o.Day.Dates, o.Day.Days, o.Day.Marks)
	require.Equal(t, golden, fmt.Sprintf("%x", h.Sum(nil)[:8]))
}

// A reading moves no forecast: its trials are not played again, and the answer
// is that of a fresh look.
func TestAgain(t *testing.T) {
	l := newHeron(t)
	before := ahead.Look(l.at(t, demo.End), nil)
	l.write(t, demo.End, "read", "check", "motor-iso", "value", "8.1M")
	b := l.at(t, demo.End)
	again, fresh := ahead.Again(before, b, nil), ahead.Look(b, nil)
	require.Same(t, &before.Day.Days[0], &again.Day.Days[0])
	require.Equal(t, fresh, again)
	l.write(t, demo.End, "hours", "task", "brk-01", "hours", "1")
	moved := ahead.Again(before, l.at(t, demo.End), nil)
	require.Less(t, moved.Hours.Total.P50, before.Hours.Total.P50)
}

func BenchmarkHoursAndMoney(b *testing.B) {
	build := newHeron(b).at(b, demo.End)
	for b.Loop() {
		if err := ahead.Closed(build); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLook(b *testing.B) {
	build := newHeron(b).at(b, demo.End)
	for b.Loop() {
		ahead.Look(build, nil)
	}
}

const golden = "28e076bf190da5f2"

// The clock's zone and the units of the screens change no forecast.
func TestZoneAndUnits(t *testing.T) {
	l := newHeron(t)
	want := ahead.Look(l.at(t, demo.End), nil)
	l.write(t, demo.End, "settings", "units", "us", "mark", "comma")
	got := ahead.Look(l.at(t, demo.End.UTC()), nil) // the same day there
	require.Equal(t, want.Hours, got.Hours)
	require.Equal(t, want.Money, got.Money)
	require.Equal(t, want.Day, got.Day)
}
