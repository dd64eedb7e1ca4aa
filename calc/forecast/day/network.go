package day

import (
	"cmp"
	"slices"

	"ampwright/calc/exact"
)

// A network is a checked project in the form the trials work on. Tasks are
// numbered in the order of work: of those that can be worked on, the lowest is
// taken; each comes after its predecessors. Parts are numbered by ID.
type network struct {
	tasks  []node
	stints []int32 // shortest useful, minutes
	parts  []part
	rare   []rare // resources that are not always there
	away   []bool // by day from today
	late   [steps]int32
	hours  [5]float64 // logarithms, of minutes
	number []int32    // place of task i of the project
	part   []int32    // place of part i of the project
	weeks  *weeks
	pace   float64 // minutes that pass for an hour of a task's share
	words  int     // of a set of tasks
}

type node struct {
	id            string
	draw          uint64
	share, spread float64
	wait          [3]float64 // minutes
	retest        uint64     // chance of 1<<32
	before, after []int32
	parts, needs  []int32
}

type rare struct {
	there []bool   // by day from today
	tasks []uint64 // that need it
}

func compile(p Project) (*network, error) {
	n := &network{words: (len(p.Tasks) + 63) / 64, weeks: newWeeks(p)}
	n.readParts(p)
	if err := n.readTasks(p); err != nil {
		return nil, err
	}
	for i, t := range n.tasks {
		for _, k := range t.parts {
			n.parts[k].users = append(n.parts[k].users, int32(i))
		}
	}
	n.needed()
	n.away = make([]bool, Horizon)
	mark(n.away, p.Now, p.Away)
	n.readLate(p.Late)
	for i, h := range p.Hours {
		if h > 0 {
			n.hours[i] = exact.Log(float64(h * 60))
		}
	}
	return n, nil
}

// needed notes which tasks need each resource.
func (n *network) needed() {
	n.rare = slices.Clone(n.rare)
	for r := range n.rare {
		n.rare[r].tasks = make([]uint64, n.words)
	}
	for i, t := range n.tasks {
		for _, r := range t.needs {
			n.rare[r].tasks[i/64] |= 1 << (i % 64)
		}
	}
}

// mark sets the days of spans.
func mark(days []bool, now int, spans []Span) {
	for _, s := range spans {
		for d := max(s.From, now); d <= min(s.To, now+len(days)-1); d++ {
			days[d-now] = true
		}
	}
}

// byID returns the places of n things in the order of their IDs.
func byID(n int, id func(int) string) []int32 {
	order := make([]int32, n)
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int { return cmp.Compare(id(int(a)), id(int(b))) })
	return order
}

// inverse turns "which is at place k" into "at which place is i".
func inverse(order []int32) []int32 {
	place := make([]int32, len(order))
	for k, i := range order {
		place[i] = int32(k)
	}
	return place
}

func (n *network) readTasks(p Project) error {
	ids := make([]string, len(p.Tasks))
	for i, t := range p.Tasks {
		ids[i] = t.ID
	}
	at, err := index("task", ids)
	if err != nil {
		return err
	}
	ids = nil
	for _, t := range p.Parts {
		ids = append(ids, t.ID)
	}
	partAt, err := index("part", ids)
	if err != nil {
		return err
	}
	resourceAt, err := n.readResources(p)
	if err != nil {
		return err
	}
	before := make([][]int32, len(p.Tasks))
	nodes := make([]node, len(p.Tasks))
	for i, t := range p.Tasks {
		if before[i], err = places("task", t.ID, "predecessor", t.After, at); err != nil {
			return err
		}
		if slices.Contains(before[i], int32(i)) {
			return fault("task", t.ID, "comes after itself")
		}
		d := node{
			id: t.ID, draw: hash("task", t.ID), share: t.Hours, spread: t.Spread,
			wait: [3]float64{t.Wait.Low * 60, t.Wait.Likely * 60, t.Wait.High * 60}, retest: uint64(t.Retest * (1 << 32)),
		}
		if d.parts, err = places("task", t.ID, "part", t.Parts, partAt); err != nil {
			return err
		}
		for k, j := range d.parts {
			d.parts[k] = n.part[j]
		}
		slices.Sort(d.parts)
		if d.needs, err = places("task", t.ID, "resource", t.Needs, resourceAt); err != nil {
			return err
		}
		nodes[i] = d
	}
	order, err := n.urgency(p, nodes, before)
	if err != nil {
		return err
	}
	n.number = inverse(order)
	for k, i := range order {
		d := nodes[i]
		for _, j := range before[i] {
			j = n.number[j]
			d.before = append(d.before, j)
			n.tasks[j].after = append(n.tasks[j].after, int32(k)) // j < k
		}
		slices.Sort(d.before)
		n.tasks = append(n.tasks, d)
		n.stints = append(n.stints, int32(p.Tasks[i].MinStint))
	}
	return nil
}

func (n *network) readResources(p Project) (map[string]int, error) {
	var ids []string
	for _, r := range p.Resources {
		ids = append(ids, r.ID)
		there := make([]bool, Horizon)
		for d := range there {
			there[d] = r.Weekdays[((p.Now+d+4)%7+7)%7] // 1970-01-01 was a Thursday
		}
		mark(there, p.Now, r.Days)
		n.rare = append(n.rare, rare{there: there})
	}
	return index("resource", ids)
}
