package day

import (
	"fmt"
	"slices"
	"strconv"

	"ampwright/calc/schedule"
)

// How hard an order of work is looked for: it stays short beside 2000 trials.
const (
	worth      = 720    // minutes by which the mean end must come sooner than by urgency, for another order
	tries      = 12     // trials of each order; 32 gained little more on invented builds
	timetables = 100    // made to find orders
	mostTasks  = 1000   // beyond, urgency alone decides
	slot       = 240    // minutes of a unit of time, at least
	slots      = 20_000 // all tasks, releases and waits together, at most
)

// inOrder returns the network in the order of work in which it ends soonest, on
// average over some trials: one of those that [schedule.Orders] finds for middle
// durations if that is worth it, else that by urgency.
func (n *network) inOrder(seed uint64, tables *tables) (*network, error) {
	if !n.orderMatters() {
		return n, nil
	}
	orders, err := schedule.Orders(n.middle(tables), timetables)
	if err != nil {
		return nil, fmt.Errorf("order of work: %w", err)
	}
	choosing, confirming := mix(seed), mix(seed+1) // not the chance of the trials that count
	best, least := n, n.minutesToEnd(choosing, tries, tables)-worth*tries
	for _, order := range orders {
		if slices.IsSorted(order) {
			continue // n's own
		}
		m := n.reordered(order)
		if minutes := m.minutesToEnd(choosing, tries, tables); minutes < least {
			best, least = m, minutes
		}
	}
	// The best of many looks better than it is: it must do as well once more.
	if best != n && best.minutesToEnd(confirming, 2*tries, tables) > n.minutesToEnd(confirming, 2*tries, tables)-worth*2*tries {
		return n, nil
	}
	return best, nil
}

// orderMatters reports whether hands are not all that can be short: without waits
// and resources, any order that never leaves them idle ends at the same time.
func (n *network) orderMatters() bool {
	return len(n.tasks) > 1 && len(n.tasks) <= mostTasks && n.weeks.mean > 0 &&
		slices.ContainsFunc(n.tasks, func(t node) bool { return t.wait[2] > 0 || len(t.needs) > 0 || t.retest > 0 })
}

// minutesToEnd is the sum of some trials' ends.
func (n *network) minutesToEnd(seed uint64, trials int, tables *tables) int64 {
	one, sum := newPlay(n, tables), int64(0)
	for k := range trials {
		one.draw(seed, k, trials)
		one.run()
		sum += int64(one.end[one.latest()])
	}
	return sum
}

// middle is the rest of the build with middle figures, in an ordinary week: work
// takes as much longer as a week is longer than its sessions, a part that is not
// here is a release, and a task holds a resource that comes and goes for as much
// longer as it is away, hands free.
func (n *network) middle(tables *tables) schedule.Project {
	lengths := make([]length, len(n.tasks))
	total := 0.0
	one := newPlay(n, tables)
	for i, t := range n.tasks {
		l := length{work: float64(t.share * n.pace), wait: t.wait[1]}
		for _, k := range t.parts {
			l.release = max(l.release, float64(one.arrival(&n.parts[k], steps/2))*1440)
		}
		if len(t.needs) > 0 && l.work > 0 {
			from, share := n.there(t.needs)
			l.release = max(l.release, float64(from)*1440)
			l.held = min(float64(l.work*(1/share-1)), Horizon*1440)
		}
		lengths[i] = l
		total += l.work + l.held + l.wait + l.release
	}
	unit := max(slot, total/slots)
	whole := func(minutes float64) int { return int(minutes/unit + 0.5) }
	s := schedule.Project{Capacity: slices.Repeat([]int{1}, 1+len(n.rare))} // hands come first
	var held []schedule.Task
	last := make([]string, len(n.tasks))
	for i, t := range n.tasks {
		l := lengths[i]
		k := schedule.Task{ID: strconv.Itoa(i), Release: whole(l.release), Demand: make([]int, len(s.Capacity))}
		for _, j := range t.before {
			k.Predecessors = append(k.Predecessors, last[j])
		}
		if l.work > 0 {
			k.Duration, k.Demand[0] = max(whole(l.work), 1), 1
			for _, r := range t.needs {
				k.Demand[1+r] = 1
			}
		}
		last[i] = k.ID
		if v := whole(l.held); v > 0 {
			last[i] = k.ID + " held"
			h := schedule.Task{ID: last[i], Duration: v, Demand: slices.Clone(k.Demand), Predecessors: []string{k.ID}, Wait: whole(l.wait)}
			h.Demand[0] = 0
			held = append(held, h)
		} else {
			k.Wait = whole(l.wait)
		}
		s.Tasks = append(s.Tasks, k)
	}
	s.Tasks = append(s.Tasks, held...)
	return s
}

// A length is what a task takes of the calendar, in minutes.
type length struct{ release, work, held, wait float64 }

// there returns the first day on which all of some resources are there, and the
// share of the time worked from then to the last such day within a year on which
// they are.
func (n *network) there(needs []int32) (from int, share float64) {
	const year = 364
	var minutes [7]float64
	for k, row := range n.weeks.rows {
		weight := n.weeks.upTo[k]
		if k > 0 {
			weight -= n.weeks.upTo[k-1]
		}
		for d, m := range row {
			minutes[d] += float64(float64(weight) * float64(m))
		}
	}
	from = -1
	var all, with, upTo float64
	for d := range Horizon {
		m := minutes[d%7]
		if n.away[d] || m == 0 || from >= 0 && d > year {
			continue
		}
		if !slices.ContainsFunc(needs, func(r int32) bool { return !n.rare[r].there[d] }) {
			if from < 0 {
				from = d
			}
			with += m
			upTo = all + m
		}
		if from >= 0 {
			all += m
		}
	}
	if from < 0 {
		return Horizon, 1
	}
	return from, with / upTo
}

// reordered returns n with its tasks renumbered: order gives the number of today
// that comes first, second, ...; each after its predecessors. Places beyond the
// tasks are passed over.
func (n *network) reordered(order []int) *network {
	var now []int32
	for _, i := range order {
		if i < len(n.tasks) {
			now = append(now, int32(i))
		}
	}
	place := inverse(now)
	renumber := func(list []int32) []int32 {
		out := make([]int32, len(list))
		for k, i := range list {
			out[k] = place[i]
		}
		slices.Sort(out)
		return out
	}
	m := *n
	m.tasks, m.stints, m.number = make([]node, len(now)), make([]int32, len(now)), renumber(nil)
	for i, t := range n.tasks {
		t.before, t.after = renumber(t.before), renumber(t.after)
		m.tasks[place[i]], m.stints[place[i]] = t, n.stints[i]
	}
	for _, k := range n.number {
		m.number = append(m.number, place[k])
	}
	m.parts = slices.Clone(n.parts)
	for k := range m.parts {
		m.parts[k].users = renumber(n.parts[k].users)
	}
	m.needed()
	return &m
}
