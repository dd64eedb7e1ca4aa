package day

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// By hand, two hours a day from a Thursday on: the tank comes first by the plain
// rule, as it takes longest; then the bracket misses the first Sunday, is welded
// on day 10 and cured on day 20. With the bracket first it is welded on day 3,
// the tank is through on day 5 and has settled on day 16.
func TestHelperComesOnSundays(t *testing.T) {
	p := Project{
		Tasks: []Task{
			{ID: "tank", Hours: 8, Wait: fixed(11 * 24)},
			{ID: "bracket", Hours: 2},
			{ID: "weld", Hours: 2, After: []string{"bracket"}, Needs: []string{"second"}, Wait: fixed(10 * 24)},
		},
		Resources: []Resource{{ID: "second", Weekdays: [7]bool{true}}},
	}
	one := certain(t, p, 120)
	require.Equal(t, at(20, 12, 0), one.end[one.latest()])
	n, err := one.inOrder(p.Seed, one.tables)
	require.NoError(t, err)
	one.network = n
	one.draw(p.Seed, 0, 1)
	one.level = 65536
	require.True(t, one.run())
	require.Equal(t, at(16, 12, 0), one.end[one.latest()])
	require.Equal(t, "bracket", n.tasks[0].id)
}

// Another order of work is the same project: every task behind its predecessors,
// with its parts and resources.
func TestReordered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyProject(t, false)
		n, err := compile(p)
		require.NoError(t, err)
		var order []int
		left := make([]int, len(n.tasks))
		for len(order) < len(n.tasks) {
			var ready []int
			for i, x := range n.tasks {
				if left[i] == 0 && !slices.ContainsFunc(x.before, func(j int32) bool { return left[j] == 0 }) {
					ready = append(ready, i)
				}
			}
			i := rapid.SampledFrom(ready).Draw(t, "next")
			order, left[i] = append(order, i), 1
		}
		m := n.reordered(order)
		for k, i := range order {
			was, is := n.tasks[i], m.tasks[k]
			require.Equal(t, was.id, is.id)
			require.Equal(t, n.stints[i], m.stints[k])
			names := func(n *network, list []int32) (ids []string) {
				for _, j := range list {
					ids = append(ids, n.tasks[j].id)
				}
				slices.Sort(ids)
				return ids
			}
			require.Equal(t, names(n, was.before), names(m, is.before))
			require.Equal(t, names(n, was.after), names(m, is.after))
			for _, j := range is.before {
				require.Less(t, j, int32(k))
			}
			for r := range n.rare {
				require.Equal(t, n.rare[r].tasks[i/64]>>(i%64)&1, m.rare[r].tasks[k/64]>>(k%64)&1)
			}
		}
		for i, task := range p.Tasks {
			require.Equal(t, task.ID, m.tasks[m.number[i]].id)
		}
		for k := range n.parts {
			require.Len(t, m.parts[k].users, len(n.parts[k].users))
			for _, j := range m.parts[k].users {
				require.Contains(t, m.tasks[j].parts, int32(k))
			}
		}
	})
}
