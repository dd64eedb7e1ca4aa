package schedule

import "slices"

// A tree is a branch and bound over the orders in which tasks start: the
// precedence tree (J. H. Patterson, R. Slowinski, F. B. Talbot, J. Weglarz, "An
// algorithm for a general class of precedence and resource constrained
// scheduling problems", in Advances in Project Scheduling, 1989) with the cutset
// rule (E. Demeulemeester, W. Herroelen, "A branch-and-bound procedure for the
// multiple resource-constrained project scheduling problem", Management Science
// 38 (1992) 1803-1818): of two ways to have begun the same tasks, one that has
// every task ended no later need not be looked at.
type tree struct {
	*network
	before []uint64 // per task: its predecessors, a bit each
	end    []int32
	span   int32
	best   []int32
	seen   map[uint64][]cut
}

// A cut is one way to have begun a set of tasks.
type cut struct {
	last int32 // the latest start among them
	end  []int32
}

// exact returns the shortest makespan and its starts, given one known already.
// The network has at most 64 tasks.
func (n *network) exact(span int32, best []int32) (int32, []int32) {
	t := &tree{network: n, before: make([]uint64, len(n.duration)), end: make([]int32, len(n.duration)), span: span, best: best, seen: map[uint64][]cut{}}
	for i, list := range n.prev[forward] {
		for _, j := range list {
			t.before[i] |= 1 << j
		}
	}
	t.step(0, 0)
	return t.span, t.best
}

// step goes on from a set of begun tasks, none of which starts after last; no
// task to come starts before it.
func (t *tree) step(begun uint64, last int32) {
	for _, i := range t.topo { // milestones wait for nothing but their predecessors
		if t.duration[i] == 0 && begun>>i&1 == 0 && t.before[i]&^begun == 0 {
			t.end[i] = t.ready(i)
			begun |= 1 << i
		}
	}
	if begun == 1<<len(t.duration)-1 {
		span := int32(0)
		for _, e := range t.end {
			span = max(span, e)
		}
		if span < t.span {
			t.span = span
			for i, e := range t.end {
				t.best[i] = e - t.duration[i]
			}
		}
		return
	}
	type choice struct{ task, start int32 }
	var choices []choice
	first, over := t.span, t.span // earliest start and earliest end among the next
	for i := range int32(len(t.duration)) {
		if begun>>i&1 == 1 || t.before[i]&^begun != 0 {
			continue
		}
		start := t.room(i, begun, max(last, t.ready(i)))
		if start+t.duration[i]+t.early[backward][i] >= t.span {
			return // it only gets later
		}
		choices = append(choices, choice{i, start})
		first, over = min(first, start), min(over, start+t.duration[i])
	}
	if t.work(begun, first) >= t.span {
		return
	}
	for _, c := range t.seen[begun] {
		if t.dominates(c, begun, last) {
			return
		}
	}
	t.seen[begun] = append(t.seen[begun], cut{last, slices.Clone(t.end)})
	slices.SortStableFunc(choices, func(a, b choice) int { return int(a.start - b.start) })
	for _, c := range choices {
		if c.start >= over {
			break // another fits in before it
		}
		t.end[c.task] = c.start + t.duration[c.task]
		t.step(begun|1<<c.task, c.start)
	}
}

// work is when the resource with most left to do is through with it, if nothing
// more starts before at.
func (t *tree) work(begun uint64, at int32) int32 {
	through := int32(0)
	for r, c := range t.capacity {
		left := 0
		for i, d := range t.duration {
			if begun>>i&1 == 1 {
				d = max(t.end[i]-max(at, t.end[i]-d), 0)
			}
			left += int(d) * t.demand[i][r]
		}
		if left > 0 {
			through = max(through, at+int32((left+c-1)/c))
		}
	}
	return through
}

// ready is when the last predecessor of i ends.
func (t *tree) ready(i int32) int32 {
	at := int32(0)
	for _, j := range t.prev[forward][i] {
		at = max(at, t.end[j])
	}
	return at
}

// room is the first time from at on when i has its resources. All begun tasks
// have started by then, so what is free at one time stays free.
func (t *tree) room(i int32, begun uint64, at int32) int32 {
	for {
		next := int32(-1)
		for r, c := range t.capacity {
			asked, soon := t.demand[i][r], int32(-1)
			for j, e := range t.end {
				if begun>>j&1 == 1 && t.duration[j] > 0 && e > at && t.demand[j][r] > 0 {
					asked += t.demand[j][r]
					if soon < 0 || e < soon {
						soon = e
					}
				}
			}
			if asked > c {
				next = max(next, soon)
			}
		}
		if next < 0 {
			return at
		}
		at = next
	}
}

func (t *tree) dominates(c cut, begun uint64, last int32) bool {
	if c.last > last {
		return false
	}
	for i := range t.end {
		if begun>>i&1 == 1 && c.end[i] > max(t.end[i], last) {
			return false
		}
	}
	return true
}
