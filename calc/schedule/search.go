package schedule

// A search keeps two populations, one of schedules built forward and one of
// schedules built backward in time. Each is bred from the other, so that every
// child is also a step of forward-backward improvement: D. Debels, M. Vanhoucke,
// "A bi-population based genetic algorithm for the resource-constrained project
// scheduling problem", LNCS 3483 (2005) 378-387, who also take from a father the
// stretch of time in which he uses the resources best. Two things differ: a
// child inherits by places on the list, as in the two-point crossover of S.
// Hartmann, "A competitive genetic algorithm for resource-constrained project
// scheduling", Naval Research Logistics 45 (1998) 733-750, so that every list
// keeps the precedences; and it takes a place only from a schedule that is not
// shorter. Both made schedules shorter on average in our measurements.
type search struct {
	*builder
	chance chance
	limit  int          // of schedules
	size   int          // of each population
	herds  [2][]*member // by the side their schedules were built from
	weight []int64      // per task: work in a unit of time, in thousandths of the capacities
	child  *member
	taken  []bool

	bound int32
	span  int32 // of the best so far
	best  []int32
}

// A member of a population is a schedule, seen from the side opposite to the one
// it was built from.
type member struct {
	start []int32
	list  []int32 // the tasks in the order they start
	span  int32
	load  []int64 // work done up to each time
}

// swapRate is the chance that two neighbours on a child's list change places, in
// thousandths. Population sizes of 100 to 800 and rates of 10 to 120 were tried.
const swapRate = 60

func newSearch(n *network, limit int) *search {
	s := &search{
		builder: newBuilder(n), chance: chance(n.seed()), limit: limit, size: min(max(limit/100, 10), 600),
		weight: make([]int64, len(n.duration)), taken: make([]bool, len(n.duration)), bound: n.bound(),
	}
	for i := range s.weight {
		for r, c := range n.capacity {
			if c > 0 {
				s.weight[i] += int64(1000 * n.demand[i][r] / c)
			}
		}
	}
	s.child = s.newMember()
	return s
}

func (s *search) newMember() *member {
	n := len(s.duration)
	return &member{start: make([]int32, n), list: make([]int32, n)}
}

// run searches until the bound is met or the limit is reached, and makes one
// schedule at least.
func (s *search) run() {
	for d := range s.herds {
		rules := s.ranks(side(d))
		for k := 0; k < s.size; k++ {
			m := s.newMember()
			if k < len(rules) {
				s.draw(side(d), rules[k], nil, m.list)
			} else {
				s.draw(side(d), rules[k%3], &s.chance, m.list)
			}
			s.make(side(d), m)
			if s.done() {
				return
			}
			s.herds[d] = append(s.herds[d], m)
		}
	}
	for d := forward; !s.done(); d = 1 - d {
		s.breed(d)
	}
}

func (s *search) done() bool { return s.count >= s.limit || s.span == s.bound }

// make builds the schedule of m's list from side d, notes it if it is the best,
// and turns it to the other side.
func (s *search) make(d side, m *member) {
	m.span = s.build(d, m.list, m.start)
	if s.best == nil || m.span < s.span {
		s.span = m.span
		s.best = append(make([]int32, 0, len(m.start)), m.start...)
		if d == backward {
			s.mirror(s.best, m.span)
		}
	}
	s.mirror(m.start, m.span)
	s.byStart(1-d, m.start, m.span, m.list)
	s.loads(m)
}

func (s *search) loads(m *member) {
	if cap(m.load) < int(m.span)+2 {
		m.load = make([]int64, m.span+2)
	}
	load := m.load[:m.span+2]
	m.load = load
	clear(load)
	for i, t := range m.start {
		load[t+1] += s.weight[i]
		load[t+1+s.duration[i]] -= s.weight[i]
	}
	rate := int64(0)
	for t := int32(1); t <= m.span; t++ {
		rate += load[t]
		load[t] = load[t-1] + rate
	}
}

// breed makes children of herd d, which are built from the other side and take
// their places in the other herd.
func (s *search) breed(d side) {
	parents, herd := s.herds[d], s.herds[1-d]
	for k := range herd {
		if s.done() {
			return
		}
		father, mother := parents[k], s.pick(parents, k)
		if s.chance.below(2) == 0 {
			father, mother = mother, father
		}
		s.cross(father, mother)
		s.shake(s.child.list, 1-d)
		s.make(1-d, s.child)
		if s.child.span <= herd[k].span {
			s.child, herd[k] = herd[k], s.child
		}
	}
}

// pick returns the shorter of two members drawn from a herd, but not the one at
// place not.
func (s *search) pick(herd []*member, not int) *member {
	draw := func() *member { return herd[(not+1+s.chance.below(len(herd)-1))%len(herd)] }
	a, b := draw(), draw()
	if b.span < a.span {
		return b
	}
	return a
}

// cross fills the child's list: up to the father's stretch of most work, and
// behind it, with tasks in the order of the mother, within it in his. The
// stretch is a quarter to three quarters of his schedule.
func (s *search) cross(father, mother *member) {
	width := father.span/4 + int32(s.chance.below(int(father.span/2)+1))
	from, most := int32(0), int64(-1)
	for t := int32(0); t+width <= father.span; t++ {
		if work := father.load[t+width] - father.load[t]; work > most {
			from, most = t, work
		}
	}
	first, last := 0, 0 // his places on the list
	for _, i := range father.list {
		if father.start[i] < from {
			first++
		}
		if father.start[i] < from+width {
			last++
		}
	}
	list := append(s.child.list[:0], mother.list[:first]...)
	clear(s.taken)
	for _, i := range list {
		s.taken[i] = true
	}
	for _, i := range father.list {
		if len(list) < last && !s.taken[i] {
			s.taken[i] = true
			list = append(list, i)
		}
	}
	for _, i := range mother.list {
		if !s.taken[i] {
			list = append(list, i)
		}
	}
}

// shake lets some neighbours change places, if neither must wait for the other.
func (s *search) shake(list []int32, d side) {
next:
	for k := 1; k < len(list); k++ {
		if s.chance.below(1000) >= swapRate {
			continue
		}
		for _, j := range s.prev[d][list[k]] {
			if j == list[k-1] {
				continue next
			}
		}
		list[k-1], list[k] = list[k], list[k-1]
	}
}
