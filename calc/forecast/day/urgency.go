package day

import (
	"cmp"
	"slices"
)

// urgency returns the tasks by the time it takes from their start to the end, if
// hands were always free but only so many hours a week: the longest first (the
// rule of J. R. Jackson, "Scheduling a production line to minimize maximum
// tardiness", 1955, for one machine and tails, from memory). Ties go by place
// behind all predecessors, and by ID.
func (n *network) urgency(p Project, nodes []node, before [][]int32) ([]int32, error) {
	size := len(nodes)
	after := make([][]int32, size)
	open := make([]int, size)
	for i, list := range before {
		open[i] = len(list)
		for _, j := range list {
			after[j] = append(after[j], int32(i))
		}
	}
	sorted := byID(size, func(i int) string { return nodes[i].id })
	id := inverse(sorted)
	var topo []int32
	placed := make([]bool, size)
	for _, i := range sorted {
		if open[i] == 0 {
			topo = append(topo, i)
		}
	}
	for k := 0; k < len(topo); k++ {
		placed[topo[k]] = true
		slices.SortFunc(after[topo[k]], func(a, b int32) int { return cmp.Compare(id[a], id[b]) })
		for _, j := range after[topo[k]] {
			if open[j]--; open[j] == 0 {
				topo = append(topo, j)
			}
		}
	}
	if len(topo) < size {
		return nil, circle(p.Tasks, before, placed)
	}
	total := 0.0
	for _, i := range sorted {
		total += nodes[i].share
	}
	if total > 0 {
		n.pace = p.Hours[2] * 60 / total
		if n.weeks.mean > 0 {
			n.pace *= max(7*1440/n.weeks.mean, 1)
		}
	}
	tail := make([]float64, size)
	for k := size - 1; k >= 0; k-- {
		i := topo[k]
		for _, j := range after[i] {
			tail[i] = max(tail[i], tail[j])
		}
		tail[i] += float64(nodes[i].share*n.pace) + nodes[i].wait[1]
	}
	slices.SortStableFunc(topo, func(a, b int32) int { return cmp.Compare(tail[b], tail[a]) })
	return topo, nil
}
