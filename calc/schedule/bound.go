package schedule

import "slices"

// bound returns a makespan that no schedule can beat: the longest path, or what
// a resource needs for the tasks that have at least a before them and at least
// b behind them, with a and b on top, whichever is most. With a = b = 0 that is
// the plain resource bound; the others are the same argument on a part of the
// project.
func (n *network) bound() int32 {
	best := int32(0)
	for i, d := range n.duration {
		best = max(best, n.early[forward][i]+d+n.early[backward][i])
	}
	order := append([]int32(nil), n.topo...)
	slices.SortFunc(order, func(i, j int32) int { return int(n.early[backward][j] - n.early[backward][i]) })
	heads := append([]int32(nil), n.early[forward]...)
	slices.Sort(heads)
	heads = slices.Compact(heads)
	for r, c := range n.capacity {
		if c == 0 {
			continue
		}
		for _, head := range heads {
			work := 0
			for _, i := range order { // tails from long to short
				if n.early[forward][i] >= head {
					work += int(n.duration[i]) * n.demand[i][r]
					best = max(best, head+int32((work+c-1)/c)+n.early[backward][i])
				}
			}
		}
	}
	return best
}
