package day

import (
	"slices"

	"ampwright/calc/exact"
)

type part struct {
	draw           uint64
	here           bool
	promised       int32 // days from today
	dated          bool
	ordered        int32 // days from today
	middle, spread float64
	users          []int32
}

func (n *network) readParts(p Project) {
	order := byID(len(p.Parts), func(i int) string { return p.Parts[i].ID })
	n.part = inverse(order)
	for _, i := range order {
		t := p.Parts[i]
		q := part{draw: hash("part", t.ID), here: t.Here, dated: t.Promised != 0}
		if q.dated {
			q.promised = int32(min(max(t.Promised-p.Now, -Horizon), Horizon))
		}
		if t.Ordered != 0 {
			q.ordered = int32(min(max(t.Ordered-p.Now, -Horizon), Horizon))
		}
		// One day is added, so that a lead time of 0 has a logarithm.
		low, high := exact.Log(float64(t.Low+1)), exact.Log(float64(t.High+1))
		q.middle, q.spread = (low+high)/2, (high-low)/2/tenth
		n.parts = append(n.parts, q)
	}
}

// tenth is the 90 % point of the normal distribution.
const tenth = 1.2815515655446004

// How late orders come before this garage has a record, each as likely, and how
// many orders they weigh: common practice, no published source.
var usualLate = [...]int{-2, 0, 0, 0, 1, 2, 3, 5, 10, 21}

const priorOrders = 4

// readLate lays out the days late in equally likely steps.
func (n *network) readLate(late []int) {
	type weighed struct {
		days   int
		weight int // of 1/len(usualLate) order
	}
	var all []weighed
	total := 0
	add := func(days, weight int) {
		all = append(all, weighed{days, weight})
		total += weight
	}
	for _, d := range late {
		add(d, len(usualLate))
	}
	for _, d := range usualLate {
		add(d, priorOrders)
	}
	slices.SortFunc(all, func(a, b weighed) int { return a.days - b.days })
	at, upTo := 0, all[0].weight
	for k := range n.late {
		for upTo*steps*2 <= total*(2*k+1) {
			at++
			upTo += all[at].weight
		}
		n.late[k] = int32(all[at].days)
	}
}

// arrival returns the day, from today, on which a part is there.
func (p *play) arrival(t *part, draw uint64) int32 {
	step := draw % steps
	switch {
	case t.here:
		return 0
	case !t.dated:
		lead := int32(p.exponential(t.middle+float64(t.spread*p.normal[step])) - 0.5)
		if t.ordered < 0 { // on its way, and not here yet
			return max(t.ordered+lead, 1)
		}
		return t.ordered + max(lead, 0)
	case t.promised >= 0:
		return max(t.promised+p.late[step], 1)
	}
	// Overdue: as late as orders are that were at least so late; where there are
	// hardly any, as long again as it is overdue, in the middle, with a long tail.
	from := 0
	for from < steps && t.promised+p.late[from] < 1 {
		from++
	}
	if steps-from < steps/20 {
		return min(1+int32(uint64(-t.promised)*(2*step+1)/(2*steps-2*step-1)), Horizon)
	}
	return t.promised + p.late[from+int(step)*(steps-from)/steps]
}
