package plan

import (
	"slices"
	"strings"
)

// sorted returns the nodes so that each comes after what it needs, otherwise
// in their own order; or, if that cannot be, one cycle: each needs the next,
// the last needs the first.
func sorted(needs [][]int) (order, cycle []int) {
	const (
		unseen = iota
		open
		done
	)
	state := make([]int, len(needs))
	var path []int
	var visit func(i int) bool
	visit = func(i int) bool {
		switch state[i] {
		case done:
			return true
		case open:
			cycle = path[slices.Index(path, i):]
			return false
		}
		state[i] = open
		path = append(path, i)
		for _, j := range needs[i] {
			if !visit(j) {
				return false
			}
		}
		path = path[:len(path)-1]
		state[i] = done
		order = append(order, i)
		return true
	}
	for i := range needs {
		if !visit(i) {
			return nil, cycle
		}
	}
	return order, nil
}

// chain writes the names of a cycle, the first again at the end.
func chain(cycle []int, joint string, name func(int) string) string {
	var b strings.Builder
	for _, i := range cycle {
		b.WriteString(name(i) + joint)
	}
	return b.String() + name(cycle[0])
}

// A graph is the tasks and what each comes after.
type graph struct {
	tasks    ids
	number   map[string]int
	after    [][]int
	upstream []map[int]bool // of each task, once asked for
}

func newGraph(f *planFile, tasks ids) *graph {
	g := &graph{tasks: tasks, number: map[string]int{}, upstream: make([]map[int]bool, len(f.Tasks))}
	for i, t := range f.Tasks {
		if _, ok := g.number[t.ID]; !ok {
			g.number[t.ID] = i
		}
	}
	for _, t := range f.Tasks {
		var after []int
		for _, id := range t.After {
			if j, ok := g.number[id]; ok {
				after = append(after, j)
			}
		}
		g.after = append(g.after, after)
	}
	return g
}

// comesAfter reports whether task i waits, through any others, for task j.
func (g *graph) comesAfter(i, j int) bool {
	if g.upstream[i] == nil {
		seen := map[int]bool{}
		todo := slices.Clone(g.after[i])
		for len(todo) > 0 {
			next := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			if !seen[next] {
				seen[next] = true
				todo = append(todo, g.after[next]...)
			}
		}
		g.upstream[i] = seen
	}
	return g.upstream[i][j]
}
