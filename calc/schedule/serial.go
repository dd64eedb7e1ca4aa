package schedule

// A builder makes schedules of a network, one at a time, by the serial
// generation scheme (J. E. Kelley, "The critical-path method: resources
// planning and scheduling", in Industrial Scheduling, 1963): tasks in the order
// of a list, each at the earliest time at which its predecessors have ended and
// its resources are free throughout.
type builder struct {
	*network
	empty, free []uint64 // per unit of time and word
	used        int32    // free differs from empty before this time
	count       int      // schedules made so far
	buckets     []int32
}

func newBuilder(n *network) *builder {
	b := &builder{network: n, empty: make([]uint64, int(n.total)*n.words), buckets: make([]int32, n.total+2)}
	for t := 0; t < int(n.total); t++ {
		copy(b.empty[t*n.words:], n.full)
	}
	b.free = append([]uint64(nil), b.empty...)
	return b
}

// build fills start with the schedule of a list that keeps the precedences of
// side s, and returns its makespan. Backward, times count back from the end.
//
// No task starts after the end of those before it in the list, so no time
// beyond the sum of durations is looked at.
func (b *builder) build(s side, list, start []int32) int32 {
	b.count++
	copy(b.free[:int(b.used)*b.words], b.empty)
	span := int32(0)
	for _, i := range list {
		t, d := int32(0), b.duration[i]
		for _, j := range b.prev[s][i] {
			t = max(t, start[j]+b.duration[j])
		}
		if d > 0 && b.words > 0 {
			if b.words == 1 {
				t = b.place1(b.need[i], t, d)
			} else {
				t = b.place(b.need[int(i)*b.words:int(i+1)*b.words], t, d)
			}
		}
		start[i] = t
		span = max(span, t+d)
	}
	b.used = span
	return span
}

// place finds the first time from t on at which need is free for d units of
// time, and takes it. It looks at a stretch from its end, so that a full unit
// of time rules out as many starts as possible.
func (b *builder) place(need []uint64, t, d int32) int32 {
	for known := t; ; { // from t up to known there is room
		u := t + d - 1
		for u >= known && b.fits(need, u) {
			u--
		}
		if u < known {
			break
		}
		t, known = u+1, t+d
	}
	for u := t; u < t+d; u++ {
		for w, x := range need {
			b.free[int(u)*b.words+w] -= x
		}
	}
	return t
}

func (b *builder) fits(need []uint64, t int32) bool {
	for w, x := range need {
		if (b.free[int(t)*b.words+w]-x)&b.guard[w] != b.guard[w] {
			return false
		}
	}
	return true
}

// place1 is place for resources that fit one word, as they mostly do.
func (b *builder) place1(need uint64, t, d int32) int32 {
	free, guard := b.free, b.guard[0]
	for known := t; ; {
		u := t + d - 1
		for u >= known && (free[u]-need)&guard == guard {
			u--
		}
		if u < known {
			break
		}
		t, known = u+1, t+d
	}
	for u := range free[t : t+d] {
		free[int(t)+u] -= need
	}
	return t
}

// mirror changes a schedule of one side into the same schedule seen from the
// other.
func (b *builder) mirror(start []int32, span int32) {
	for i := range start {
		start[i] = span - start[i] - b.duration[i]
	}
}

// byStart fills list with the tasks in the order of their starts; of those that
// start together, milestones keep the precedences of side s.
func (b *builder) byStart(s side, start []int32, span int32, list []int32) {
	at := b.buckets[:span+2]
	clear(at)
	for _, t := range start {
		at[t+1]++
	}
	for t := int32(0); t <= span; t++ {
		at[t+1] += at[t]
	}
	put := func(i int32) {
		list[at[start[i]]] = i
		at[start[i]]++
	}
	if s == forward {
		for _, i := range b.topo {
			put(i)
		}
		return
	}
	for k := len(b.topo) - 1; k >= 0; k-- {
		put(b.topo[k])
	}
}
