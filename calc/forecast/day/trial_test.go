package day

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// certain plays a project without chance, where all hours are taken as the
// tasks have them and a session lasts so many minutes on each day.
func certain(t *testing.T, p Project, minutes int32) *play {
	t.Helper()
	sum := 0.0
	for _, task := range p.Tasks {
		sum += task.Hours
	}
	p.Hours = [5]float64{sum, sum, sum, sum, sum}
	p.Planned = 7 * int(minutes)
	require.NoError(t, p.check(1))
	n, err := compile(p)
	require.NoError(t, err)
	n.weeks.rows, n.weeks.upTo, n.weeks.record = make([][7]int32, 1), []uint64{1 << 32}, 1
	for d := range n.weeks.rows[0] {
		n.weeks.rows[0][d] = minutes
	}
	n.late = [steps]int32{}
	one := newPlay(n, newTables())
	one.draw(p.Seed, 0, 1)
	one.level = 65536
	require.True(t, one.run())
	return one
}

// at is a time of day: sessions begin at ten.
func at(day, hour, minute int32) int32 { return day*1440 + hour*60 + minute }

func fixed(hours float64) Hours3 { return Hours3{hours, hours, hours} }

// All by hand.
func TestTrial(t *testing.T) {
	for _, tt := range []struct {
		name     string
		p        Project
		minutes  int32
		end      map[string]int32 // waits included
		critical []string
		chain    [4]int32 // minutes of work, waits, parts, resources
	}{
		{
			name: "one after the other",
			p: Project{Tasks: []Task{
				{ID: "frame", Hours: 2}, {ID: "paint", Hours: 1, After: []string{"frame"}},
			}},
			minutes: 60, end: map[string]int32{"frame": at(1, 11, 0), "paint": at(2, 11, 0)},
			critical: []string{"frame", "paint"}, chain: [4]int32{at(2, 11, 0)},
		},
		{
			name: "a wait with enough to do meanwhile",
			p: Project{Tasks: []Task{
				{ID: "glue", Hours: 1, Wait: fixed(48)}, {ID: "lid", Hours: 1, After: []string{"glue"}}, {ID: "lamp", Hours: 2},
			}},
			minutes: 60, end: map[string]int32{"glue": at(2, 11, 0), "lamp": at(2, 11, 0), "lid": at(3, 11, 0)},
			critical: []string{"glue", "lamp", "lid"}, chain: [4]int32{at(3, 11, 0)},
		},
		{
			name: "a wait with too little to do meanwhile",
			p: Project{Tasks: []Task{
				{ID: "glue", Hours: 1, Wait: fixed(48)}, {ID: "lid", Hours: 1, After: []string{"glue"}}, {ID: "lamp", Hours: 1},
			}},
			minutes: 60, end: map[string]int32{"glue": at(2, 11, 0), "lamp": at(1, 11, 0), "lid": at(3, 11, 0)},
			critical: []string{"glue", "lid"}, chain: [4]int32{at(3, 11, 0) - 48*60, 48 * 60},
		},
		{
			name: "hands go on with what is less urgent, which holds nothing up",
			p: Project{Tasks: []Task{
				{ID: "glue", Hours: 1, Wait: fixed(22)}, {ID: "lid", Hours: 1, After: []string{"glue"}, Wait: fixed(24 * 9)}, {ID: "lamp", Hours: 2},
			}},
			minutes: 120, end: map[string]int32{"glue": at(1, 9, 0), "lamp": at(1, 12, 0), "lid": at(10, 11, 0)},
			critical: []string{"glue", "lid"}, chain: [4]int32{0: 13 * 60, 1: at(9, 22, 0)},
		},
		{
			name: "a late part",
			p: Project{Tasks: []Task{{ID: "motor in", Hours: 1, Parts: []string{"motor"}}, {ID: "lamp", Hours: 1}},
				Parts: []Part{{ID: "motor", Low: 5, High: 5}}},
			minutes: 60, end: map[string]int32{"motor in": at(5, 11, 0), "lamp": at(0, 11, 0)},
			critical: []string{"motor in"}, chain: [4]int32{0: 11 * 60, 2: at(5, 0, 0)},
		},
		{
			name: "a second person",
			p: Project{Tasks: []Task{{ID: "lift", Hours: 1, Needs: []string{"second"}}, {ID: "lamp", Hours: 1}},
				Resources: []Resource{{ID: "second", Days: []Span{{3, 3}}}}},
			minutes: 60, end: map[string]int32{"lift": at(3, 11, 0), "lamp": at(0, 11, 0)},
			critical: []string{"lift"}, chain: [4]int32{0: 11 * 60, 3: at(3, 0, 0)},
		},
		{
			name:    "a second person on Sundays; 1970-01-01 was a Thursday",
			p:       Project{Tasks: []Task{{ID: "lift", Hours: 1, Needs: []string{"second"}}}, Resources: []Resource{{ID: "second", Weekdays: [7]bool{true}}}},
			minutes: 60, end: map[string]int32{"lift": at(3, 11, 0)},
			critical: []string{"lift"}, chain: [4]int32{0: 11 * 60, 3: at(3, 0, 0)},
		},
		{
			name:    "a holiday",
			p:       Project{Tasks: []Task{{ID: "frame", Hours: 2}}, Away: []Span{{1, 3}}},
			minutes: 60, end: map[string]int32{"frame": at(4, 11, 0)},
			critical: []string{"frame"}, chain: [4]int32{at(4, 11, 0)},
		},
		{
			name:    "the rest of a session is too short for a stint",
			p:       Project{Tasks: []Task{{ID: "a lamp", Hours: 1.5}, {ID: "weld", Hours: 1.5, MinStint: 60}}},
			minutes: 120, end: map[string]int32{"a lamp": at(0, 11, 30), "weld": at(1, 11, 30)},
			critical: []string{"a lamp", "weld"}, chain: [4]int32{at(1, 11, 30)},
		},
		{
			name:    "no session is ever long enough: after a fortnight it is done in what there is",
			p:       Project{Tasks: []Task{{ID: "weld", Hours: 2, MinStint: 90}}},
			minutes: 60, end: map[string]int32{"weld": at(15, 11, 0)},
			critical: []string{"weld"}, chain: [4]int32{at(15, 11, 0)},
		},
		{
			name:    "an unattended wait that runs already",
			p:       Project{Tasks: []Task{{ID: "rest", Wait: fixed(72)}, {ID: "measure", Hours: 1, After: []string{"rest"}}}},
			minutes: 60, end: map[string]int32{"rest": at(3, 0, 0), "measure": at(3, 11, 0)},
			critical: []string{"rest", "measure"}, chain: [4]int32{11 * 60, at(3, 0, 0)},
		},
		{
			name:    "an hour of today is worked already",
			p:       Project{Tasks: []Task{{ID: "frame", Hours: 2}}, Sessions: []Session{{0, 60}}},
			minutes: 90, end: map[string]int32{"frame": at(1, 11, 30)},
			critical: []string{"frame"}, chain: [4]int32{at(1, 11, 30)},
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := certain(t, tt.p, tt.minutes)
			c := newChain(p.network)
			c.walk(p)
			var critical []string
			for i, task := range tt.p.Tasks {
				k := p.number[i]
				require.Equal(t, tt.end[task.ID], p.end[k], task.ID)
				if c.task[k].count > 0 {
					critical = append(critical, task.ID)
				}
			}
			slices.Sort(critical)
			slices.Sort(tt.critical)
			require.Equal(t, tt.critical, critical)
			require.Equal(t, tt.chain, [4]int32{int32(c.work), int32(c.waits), int32(c.parts), int32(c.resources)})
		})
	}
}

// By hand: the lamp may end two days later, when the lid must begin; the part is
// reached for at ten today and comes five days later, but the glue alone takes
// two days.
func TestSlackAndCost(t *testing.T) {
	p := certain(t, Project{Tasks: []Task{
		{ID: "glue", Hours: 1, Wait: fixed(48)}, {ID: "lid", Hours: 1, After: []string{"glue", "lamp"}}, {ID: "lamp", Hours: 0.5},
	}}, 120)
	late, days := make([]int32, 3), make([]int32, 3)
	p.slacks(late, days)
	require.Equal(t, []int32{0, 0, 1}, []int32{days[p.number[0]], days[p.number[1]], days[p.number[2]]}) // 1 day and 23.5 hours

	p = certain(t, Project{Tasks: []Task{
		{ID: "motor in", Hours: 1, Parts: []string{"motor"}}, {ID: "glue", Hours: 1, Wait: fixed(47)}, {ID: "lid", Hours: 1, After: []string{"glue"}},
	}, Parts: []Part{{ID: "motor", Low: 5, High: 5}}}, 120)
	c := newChain(p.network)
	require.Equal(t, int32(0), c.walk(p))
	c.without(p, 0)
	require.Equal(t, int64(at(5, 11, 0)-at(2, 11, 0)), c.cost[0])
}

// A hold point that stays shut costs half the work and the whole wait once more.
func TestRetest(t *testing.T) {
	n := node{retest: 1 << 31}
	for draw, want := range map[uint64]int32{1<<32 - 1: 0, 1 << 31: 0, 1<<31 - 1: 1, 1 << 30: 1, 1<<30 - 1: 2, 1<<29 - 1: 3, 0: 3} {
		require.Equal(t, want, n.again(draw), draw)
	}
}

// Overdue parts go by the orders that were as late; beyond the record, half come
// before they are twice as late.
func TestArrival(t *testing.T) {
	n := &network{}
	n.readLate(slices.Concat(slices.Repeat([]int{0}, 500), slices.Repeat([]int{10}, 500))) // 4 usual orders among 1000
	p := &play{network: n, tables: newTables()}
	require.Equal(t, int32(7), p.arrival(&part{dated: true, promised: 7}, 100))
	require.Equal(t, int32(17), p.arrival(&part{dated: true, promised: 7}, 900))
	require.Equal(t, int32(6), p.arrival(&part{dated: true, promised: -4}, 100), "four days late: the other half comes on the tenth")
	require.Equal(t, int32(1), p.arrival(&part{dated: true, promised: -100}, 0))
	require.InDelta(t, 100, p.arrival(&part{dated: true, promised: -100}, steps/2), 2)
	require.Equal(t, int32(0), p.arrival(&part{dated: true, promised: 9, here: true}, 500))
}

// The points of the published sequences: radical inverses to the bases 2 and 3
// (Hammersley 1960, from memory), and the first number of splitmix64 from 0 (from
// memory).
func TestChance(t *testing.T) {
	for i, want := range []float64{1. / 2, 1. / 4, 3. / 4, 1. / 8, 5. / 8, 3. / 8, 7. / 8} {
		require.Equal(t, want, even(i, 2))
	}
	for i, want := range []float64{1. / 3, 2. / 3, 1. / 9, 4. / 9, 7. / 9} {
		require.InDelta(t, want, even(i, 3), 1e-15)
	}
	require.Equal(t, uint64(0xe220a8397b1dcdaf), key(0, 0))
}

// The weeks to come are those of the record, the recent ones more often, and
// blocks of three on average.
func TestWeeks(t *testing.T) {
	p := Project{Now: 700, Planned: 600}
	for k := range 100 {
		p.Sessions = append(p.Sessions, Session{Day: 700 - 7*(k+1), Minutes: 100 + k})
	}
	w := newWeeks(p)
	require.Equal(t, 100, w.record)
	require.Equal(t, [7]int32{0: 117}, w.rows[17])
	var sum, could, follows, weighed, planned float64
	row := len(w.rows)
	const n = 50000
	for i := range n {
		next := w.next(row, mix(golden*uint64(i)))
		if row > 0 && row < w.record {
			could++
			if next == row-1 {
				follows++
			}
		}
		if row = next; row < w.record {
			sum += float64(row)
			weighed++
		} else {
			planned++
		}
	}
	require.InDelta(t, keepOn, follows/could, 0.02)
	require.Less(t, sum/weighed, 35.0, "mean age of a record of 100 weeks that counted evenly is 49.5")
	require.InDelta(t, 4./(4+36), planned/n, 0.03) // weights of 100 weeks that halve in 26 sum to 36
}
