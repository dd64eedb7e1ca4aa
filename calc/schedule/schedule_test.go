package schedule

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// verify reports what is wrong with a timetable. It shares nothing with the
// search: it looks at every unit of time.
func verify(p Project, t Timetable) error {
	if len(t.Starts) != len(p.Tasks) {
		return fmt.Errorf("%d starts of %d tasks", len(t.Starts), len(p.Tasks))
	}
	end := map[string]int{}
	last := 0
	for i, task := range p.Tasks {
		if t.Starts[i] < task.Release {
			return fmt.Errorf("%s starts at %d, released at %d", task.ID, t.Starts[i], task.Release)
		}
		end[task.ID] = t.Starts[i] + task.Duration
		last = max(last, end[task.ID]+task.Wait)
	}
	if last != t.Makespan {
		return fmt.Errorf("ends at %d, not at %d", last, t.Makespan)
	}
	for i, task := range p.Tasks {
		for _, id := range task.Predecessors {
			k := slices.IndexFunc(p.Tasks, func(o Task) bool { return o.ID == id })
			if rested := end[id] + p.Tasks[k].Wait; t.Starts[i] < rested {
				return fmt.Errorf("%s starts at %d, %s is over at %d", task.ID, t.Starts[i], id, rested)
			}
		}
	}
	for now := range last {
		for r, c := range p.Capacity {
			asked := 0
			for i, task := range p.Tasks {
				if t.Starts[i] <= now && now < end[task.ID] {
					asked += task.Demand[r]
				}
			}
			if asked > c {
				return fmt.Errorf("at %d resource %d: %d of %d", now, r, asked, c)
			}
		}
	}
	return nil
}

// shortest tries every start of every task.
func shortest(p Project) int {
	horizon := 0
	for _, t := range p.Tasks {
		horizon += t.Duration + t.Release + t.Wait
	}
	best := horizon
	used := make([][]int, horizon)
	for t := range used {
		used[t] = make([]int, len(p.Capacity))
	}
	start := map[string]int{}
	var try func(i, span int)
	try = func(i, span int) {
		if i == len(p.Tasks) {
			for _, t := range p.Tasks {
				for _, id := range t.Predecessors {
					k := slices.IndexFunc(p.Tasks, func(o Task) bool { return o.ID == id })
					if start[t.ID] < start[id]+p.Tasks[k].Duration+p.Tasks[k].Wait {
						return
					}
				}
			}
			best = span
			return
		}
		task := p.Tasks[i]
		for at := task.Release; at+task.Duration <= horizon && max(span, at+task.Duration+task.Wait) < best; at++ {
			fits := true
			for u := at; u < at+task.Duration; u++ {
				for r, d := range task.Demand {
					used[u][r] += d
					fits = fits && used[u][r] <= p.Capacity[r]
				}
			}
			if start[task.ID] = at; fits {
				try(i+1, max(span, at+task.Duration+task.Wait))
			}
			for u := at; u < at+task.Duration; u++ {
				for r, d := range task.Demand {
					used[u][r] -= d
				}
			}
		}
	}
	try(0, 0)
	return best
}

// projects draws projects that can be done, their tasks in any order; those timed
// have releases and waits.
func projects(most, longest int, timed bool) *rapid.Generator[Project] {
	return rapid.Custom(func(t *rapid.T) Project {
		var p Project
		scale := rapid.SampledFrom([]int{1, 1, 1, 7, 100_000_000}).Draw(t, "scale")
		for range rapid.IntRange(0, 6).Draw(t, "resources") {
			p.Capacity = append(p.Capacity, scale*rapid.IntRange(1, 6).Draw(t, "capacity"))
		}
		n := rapid.IntRange(0, most).Draw(t, "tasks")
		for i := range n {
			task := Task{ID: "t" + strconv.Itoa(i), Duration: rapid.IntRange(0, longest).Draw(t, "duration")}
			if timed && rapid.IntRange(0, 4).Draw(t, "timed") == 0 {
				task.Release, task.Wait = rapid.IntRange(0, longest).Draw(t, "release"), rapid.IntRange(0, (longest+1)/2).Draw(t, "wait")
			}
			for _, c := range p.Capacity {
				task.Demand = append(task.Demand, scale*rapid.IntRange(0, c/scale).Draw(t, "demand"))
			}
			for j := max(0, i-8); j < i; j++ {
				if rapid.IntRange(0, 4).Draw(t, "before") == 0 {
					task.Predecessors = append(task.Predecessors, "t"+strconv.Itoa(j))
				}
			}
			p.Tasks = append(p.Tasks, task)
		}
		p.Tasks = rapid.Permutation(p.Tasks).Draw(t, "order")
		return p
	})
}

func TestFeasible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := projects(40, 10, true).Draw(t, "project")
		limit := rapid.IntRange(1, 1500).Draw(t, "limit")
		got, err := Shortest(p, limit)
		require.NoError(t, err)
		require.NoError(t, verify(p, got))
		require.GreaterOrEqual(t, got.Makespan, got.Bound)
		require.LessOrEqual(t, got.Schedules, limit)
		again, err := Shortest(p, limit)
		require.NoError(t, err)
		require.Equal(t, got, again)
	})
}

func TestExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := projects(5, 3, true).Draw(t, "project")
		want := shortest(p)
		got, err := Shortest(p, 0)
		require.NoError(t, err)
		require.NoError(t, verify(p, got))
		require.Equal(t, want, got.Makespan)
		require.Equal(t, want, got.Bound)
		n, err := compile(p)
		require.NoError(t, err)
		require.LessOrEqual(t, int(n.bound()*n.unit), want)
		span, _ := n.exact(n.total+1, make([]int32, len(n.duration))) // by branch and bound alone
		require.Equal(t, want, int(span*n.unit))
	})
}

// The search never beats branch and bound, and one more unit of a resource never
// makes the exact optimum longer.
func TestMoreResource(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := projects(exactTasks, 6, false).Draw(t, "project")
		before, err := Shortest(p, 0)
		require.NoError(t, err)
		require.NoError(t, verify(p, before))
		n, err := compile(p)
		require.NoError(t, err)
		s := newSearch(n, 300)
		s.run()
		require.GreaterOrEqual(t, int(s.span*n.unit), before.Makespan)
		for r := range p.Capacity {
			more := p
			more.Capacity = slices.Clone(p.Capacity)
			more.Capacity[r] = min(more.Capacity[r]+1, MaxCapacity)
			after, err := Shortest(more, 0)
			require.NoError(t, err)
			require.LessOrEqual(t, after.Makespan, before.Makespan)
		}
	})
}

func TestWorked(t *testing.T) {
	machines := func(capacity int, durations ...int) Project {
		p := Project{Capacity: []int{capacity}}
		for i, d := range durations {
			p.Tasks = append(p.Tasks, Task{ID: "T" + strconv.Itoa(i+1), Duration: d, Demand: []int{1}})
		}
		return p
	}
	follow := func(p Project, pairs ...string) Project {
		for _, pair := range pairs {
			first, then, _ := strings.Cut(pair, "<")
			k := slices.IndexFunc(p.Tasks, func(t Task) bool { return t.ID == then })
			p.Tasks[k].Predecessors = append(p.Tasks[k].Predecessors, first)
		}
		return p
	}
	// R. L. Graham, "Bounds on multiprocessing timing anomalies", SIAM J. Appl.
	// Math. 17 (1969) 416-429, from memory: nine tasks on three processors take
	// 12; on four, list scheduling takes 15. By hand: 12 is T1 and T9 alone, so
	// it is the optimum on both; with all a unit shorter, 2 + 8 = 10 is met by
	// T1 T9 | T2 T4 T5 T7 | T3, a wait, T6 T8, the last two rows ending at 8.
	graham := []string{"T1<T9", "T4<T5", "T4<T6", "T4<T7", "T4<T8"}
	for _, tt := range []struct {
		name string
		in   Project
		want int
	}{
		{"nothing", Project{}, 0},
		{"three processors", follow(machines(3, 3, 2, 2, 2, 4, 4, 4, 4, 9), graham...), 12},
		{"four processors", follow(machines(4, 3, 2, 2, 2, 4, 4, 4, 4, 9), graham...), 12},
		{"a unit shorter", follow(machines(3, 2, 1, 1, 1, 3, 3, 3, 3, 8), graham...), 10},
		// The same paper, from memory: longest first takes 11. By hand: 5+4, 5+4,
		// 3+3+3, no machine idle.
		{"longest first is not best", machines(3, 5, 5, 4, 4, 3, 3, 3), 9},
		// By hand: b and c share one lift, 3 + 4, and d needs both hands, so it
		// fits beside neither: 8, met by a beside b, then c, then d.
		{"two resources", Project{Capacity: []int{2, 1}, Tasks: []Task{
			{ID: "a", Duration: 2, Demand: []int{1, 0}},
			{ID: "b", Duration: 3, Demand: []int{1, 1}},
			{ID: "c", Duration: 4, Demand: []int{1, 1}, Predecessors: []string{"a"}},
			{ID: "d", Duration: 1, Demand: []int{2, 0}},
		}}, 8},
		// By hand: the glue comes at 3 and dries for 4, so hands that lay it at
		// once end at 9 with the lid; the lamp goes in meanwhile, before or after.
		{"release and wait", Project{Capacity: []int{1}, Tasks: []Task{
			{ID: "glue", Duration: 1, Demand: []int{1}, Release: 3, Wait: 4},
			{ID: "lamp", Duration: 2, Demand: []int{1}},
			{ID: "lid", Duration: 1, Demand: []int{1}, Predecessors: []string{"glue"}},
		}}, 9},
		// By hand: nothing comes after the paint, which must still dry.
		{"last wait", Project{Tasks: []Task{{ID: "paint", Duration: 2, Wait: 10}, {ID: "lamp", Duration: 3}}}, 12},
		// By hand: minutes, and a milestone between the two.
		{"milestone", Project{Tasks: []Task{
			{ID: "a", Duration: 90}, {ID: "half way", Predecessors: []string{"a"}}, {ID: "b", Duration: 60, Predecessors: []string{"half way"}},
		}}, 150},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := Shortest(tt.in, 0)
			require.NoError(t, err)
			require.NoError(t, verify(tt.in, got))
			require.Equal(t, tt.want, got.Makespan)
			require.Equal(t, tt.want, got.Bound)
		})
	}
}

func TestWrong(t *testing.T) {
	one := func(t Task) Project {
		return Project{Capacity: []int{2}, Tasks: []Task{{ID: "a", Duration: 1, Demand: []int{1}}, t}}
	}
	for _, tt := range []struct {
		in   Project
		want string
	}{
		{Project{Capacity: []int{1, -1}}, "capacity of resource 2: got -1, want 0 to 1000000000"},
		{one(Task{}), "task 2 has no ID"},
		{one(Task{ID: "a", Demand: []int{1}}), `task "a": is there twice, want every ID once`},
		{one(Task{ID: "b", Duration: -1, Demand: []int{1}}), `task "b": duration: got -1, want 0 to 1000000`},
		{one(Task{ID: "b", Release: -2}), `task "b": release: got -2, want 0 to 1000000`},
		{one(Task{ID: "b", Wait: 2_000_000}), `task "b": wait: got 2000000, want 0 to 1000000`},
		{one(Task{ID: "b", Demand: []int{1, 1}}), `task "b": got demands of 2 resources, want 1`},
		{one(Task{ID: "b", Demand: []int{3}}), `task "b": demand of resource 1: got 3, want 0 to its capacity 2`},
		{one(Task{ID: "b", Demand: []int{-1}}), `task "b": demand of resource 1: got -1, want 0 to its capacity 2`},
		{one(Task{ID: "b", Demand: []int{1}, Predecessors: []string{"c"}}), `task "b": predecessor "c" is not a task of the project`},
		{one(Task{ID: "b", Demand: []int{1}, Predecessors: []string{"b"}}), `task "b": comes after itself`},
		{one(Task{ID: "b", Duration: 1_000_000, Demand: []int{1}}), `task "b": durations, releases and waits up to here sum to 1000001, want at most 1000000: take a longer unit of time`},
		{Project{Tasks: []Task{
			{ID: "behind", Predecessors: []string{"b"}}, {ID: "a", Predecessors: []string{"c"}}, {ID: "free"},
			{ID: "b", Predecessors: []string{"a", "free"}}, {ID: "c", Predecessors: []string{"b"}},
		}}, `task "b": comes after itself in a circle: b before c before a before b`},
		{Project{Capacity: make([]int, MaxResources+1)}, "got 33 resources, want at most 32"},
		{Project{Tasks: make([]Task, MaxTasks+1)}, "got 5001 tasks, want at most 5000"},
	} {
		_, err := Shortest(tt.in, 0)
		require.EqualError(t, err, tt.want)
	}
}

// big is a made-up project in which every resource is short.
func big(tasks int) Project {
	c := chance(1)
	p := Project{Capacity: []int{18, 18, 18, 18}}
	for i := range tasks {
		t := Task{ID: strconv.Itoa(i), Duration: 1 + c.below(10), Demand: make([]int, 4)}
		for range 2 {
			t.Demand[c.below(4)] = 1 + c.below(10)
		}
		for range min(i, 2) {
			t.Predecessors = append(t.Predecessors, strconv.Itoa(i-1-c.below(min(i, 20))))
		}
		p.Tasks = append(p.Tasks, t)
	}
	return p
}

func TestBig(t *testing.T) {
	p := big(400)
	got, err := Shortest(p, 500)
	require.NoError(t, err)
	require.NoError(t, verify(p, got))
}

func BenchmarkShortest(b *testing.B) {
	for _, tasks := range []int{12, 30, 60, 120} {
		p := big(tasks)
		b.Run(strconv.Itoa(tasks), func(b *testing.B) {
			for b.Loop() {
				t, err := Shortest(p, 0)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(t.Makespan), "makespan")
				b.ReportMetric(float64(t.Bound), "bound")
			}
		})
	}
}
