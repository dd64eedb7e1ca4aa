package schedule

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Each order has every task once and behind its predecessors, no two are the
// same, and one of them gives a timetable as short as the shortest found.
func TestOrders(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := projects(20, 8, true).Draw(t, "project")
		const limit = 40
		orders, err := Orders(p, limit)
		require.NoError(t, err)
		require.Equal(t, len(p.Tasks) > 0, len(orders) > 0)
		best := MaxDuration
		for k, order := range orders {
			at := inOrder(p, order)
			require.NoError(t, verify(p, at))
			best = min(best, at.Makespan)
			require.Equal(t, k, slices.IndexFunc(orders, func(o []int) bool { return slices.Equal(o, order) }))
		}
		if len(orders) > 0 {
			found, err := Shortest(p, limit)
			require.NoError(t, err)
			require.LessOrEqual(t, best, found.Makespan)
		}
	})
}

// inOrder starts each task of an order as early as it can be, looking at every
// unit of time.
func inOrder(p Project, order []int) Timetable {
	t := Timetable{Starts: slices.Repeat([]int{-1}, len(p.Tasks))}
	for _, i := range order {
		task, at := p.Tasks[i], p.Tasks[i].Release
		for _, id := range task.Predecessors {
			k := slices.IndexFunc(p.Tasks, func(o Task) bool { return o.ID == id })
			at = max(at, t.Starts[k]+p.Tasks[k].Duration+p.Tasks[k].Wait)
		}
		for ; !fits(p, t.Starts, i, at); at++ {
		}
		t.Starts[i] = at
		t.Makespan = max(t.Makespan, at+task.Duration+task.Wait)
	}
	return t
}

// fits reports whether what has started leaves enough for task i from at on.
func fits(p Project, starts []int, i, at int) bool {
	for now := at; now < at+p.Tasks[i].Duration; now++ {
		for r, c := range p.Capacity {
			asked := p.Tasks[i].Demand[r]
			for k, start := range starts {
				if start >= 0 && start <= now && now < start+p.Tasks[k].Duration {
					asked += p.Tasks[k].Demand[r]
				}
			}
			if asked > c {
				return false
			}
		}
	}
	return true
}

func TestOrdersOfWrong(t *testing.T) {
	_, err := Orders(Project{Tasks: []Task{{ID: "a", Release: -1}}}, 1)
	require.EqualError(t, err, `task "a": release: got -1, want 0 to 1000000`)
}
