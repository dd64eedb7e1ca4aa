package schedule

import "math/bits"

// ranks gives each task a number by each priority rule, low first. Sources:
// E. M. Davis, J. H. Patterson, "A comparison of heuristic and optimum solutions
// in resource-constrained project scheduling", Management Science 21 (1975)
// 944-955, for latest finish and slack; R. Kolisch, S. Hartmann, "Heuristic
// algorithms for the resource-constrained project scheduling problem", in
// Project Scheduling, ed. J. Weglarz, 1999, table 1, for the list of rules.
func (n *network) ranks(s side) [][]int {
	size := len(n.duration)
	span := 0
	for i := range size {
		span = max(span, int(n.early[s][i]+n.duration[i]+n.early[1-s][i]))
	}
	latest, slack, start := make([]int, size), make([]int, size), make([]int, size)
	many, weight, work := make([]int, size), make([]int, size), make([]int, size)
	reach := n.reach(1 - s)
	for i := range size {
		latest[i] = span - int(n.early[1-s][i])
		start[i] = latest[i] - int(n.duration[i])
		slack[i] = start[i] - int(n.early[s][i])
		weight[i] = -int(n.duration[i])
		for w, set := range reach[i] {
			many[i] -= bits.OnesCount64(set)
			for ; set != 0; set &= set - 1 {
				weight[i] -= int(n.duration[w*64+bits.TrailingZeros64(set)])
			}
		}
		for r, c := range n.capacity {
			if c > 0 {
				work[i] -= 1000 * n.demand[i][r] * int(n.duration[i]) / c
			}
		}
	}
	return [][]int{
		latest, // latest finish
		start,  // latest start
		slack,  // minimum slack
		many,   // most total successors
		weight, // greatest rank positional weight: of the task and all its successors
		work,   // most work
	}
}

// reach returns for each task the set of tasks that must have ended before it
// on side s, 64 to a word.
func (n *network) reach(s side) [][]uint64 {
	words := (len(n.duration) + 63) / 64
	reach := make([][]uint64, len(n.duration))
	for k := range n.topo {
		i := n.topo[k]
		if s == backward {
			i = n.topo[len(n.topo)-1-k]
		}
		reach[i] = make([]uint64, words)
		for _, j := range n.prev[s][i] {
			reach[i][j/64] |= 1 << (j % 64)
			for w := range words {
				reach[i][w] |= reach[j][w]
			}
		}
	}
	return reach
}

// draw fills list with tasks taken one after the other from those whose
// predecessors are on it: the one of the lowest rank if c is nil, else each with
// a chance proportional to 1 + how much lower its rank is than the worst there
// (regret-based biased random sampling: A. Drexl, "Scheduling of project
// networks by job assignment", Management Science 37 (1991) 1590-1602).
func (n *network) draw(s side, rank []int, c *chance, list []int32) {
	waiting := make([]int, len(n.duration))
	var ready []int32
	for i := range waiting {
		if waiting[i] = len(n.prev[s][i]); waiting[i] == 0 {
			ready = append(ready, int32(i))
		}
	}
	for at := range list {
		k := 0
		worst := rank[ready[0]]
		for j, i := range ready {
			worst = max(worst, rank[i])
			if rank[i] < rank[ready[k]] || rank[i] == rank[ready[k]] && i < ready[k] {
				k = j
			}
		}
		if c != nil {
			sum := len(ready)
			for _, i := range ready {
				sum += worst - rank[i]
			}
			x := c.below(sum)
			for k = 0; ; k++ {
				if x -= 1 + worst - rank[ready[k]]; x < 0 {
					break
				}
			}
		}
		i := ready[k]
		ready[k] = ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		list[at] = i
		for _, j := range n.prev[1-s][i] {
			if waiting[j]--; waiting[j] == 0 {
				ready = append(ready, j)
			}
		}
	}
}
