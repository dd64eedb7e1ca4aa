package model

import (
	"slices"
	"time"
)

// A removal is something that could make a reading stale, or stood in its place,
// and that was struck out or replaced since.
type removal struct {
	event
	by []uint16 // the replicas that took it away, or know that it was
}

// What takes a reading's standing away, by where it is found.
func removedChange(kind string) string { return "change/" + kind }
func removedReading(c string) string   { return "reading/" + c }
func removedField(r *Register) string  { return r.What + "/" + r.Key + "/" + r.Field }

// makeRemoved gathers what was taken away again: see apart.
func (b *Build) makeRemoved(led *ledger) {
	b.removed, b.judged = map[string][]removal{}, map[string][][2]event{}
	add := func(where string, n uint32, at When) {
		by := b.log.removers(n, 0)
		for _, a := range b.admits[n] {
			by = append(by, b.log.removers(a, 0)...)
		}
		if len(by) == 0 {
			return // held, and never let in: it counts for nothing
		}
		b.removed[where] = append(b.removed[where], removal{event{unix: at.Unix, at: at, fact: b.log.fact(b.own, n)}, by})
		for _, m := range b.returned(n) { // it stood against more from then on, which others need not have known
			own := slices.DeleteFunc(slices.Clone(by), func(r uint16) bool { return r != b.log.items[m].rep })
			b.removed[where] = append(b.removed[where], removal{b.stamped(m), own})
		}
	}
	changed := func(kinds []string, answered bool, task string, n uint32, at When) {
		if t := b.task[task]; !answered && len(kinds) == 0 && t != nil {
			kinds = t.PlanTask.Changes
		}
		for _, k := range kinds {
			add(removedChange(k), n, at)
		}
	}
	for _, n := range led.removed {
		switch b.log.items[n].kind {
		case kindReading:
			if r, ok := read[Reading](b.log, n); ok {
				add(removedReading(r.body.Check), n, r.body.At)
			}
		case kindChange:
			if c, ok := read[Change](b.log, n); ok {
				changed(c.body.Changes, true, "", n, c.body.At)
			}
		case kindClockOff:
			if o, ok := read[ClockOff](b.log, n); ok {
				changed(o.body.Changes, o.body.Answered, b.log.clockedOn(o.body.On), n, o.body.At)
			}
		case kindWork:
			if w, ok := read[Work](b.log, n); ok {
				changed(w.body.Changes, w.body.Answered, w.body.Task, n, w.body.At.Add(time.Duration(w.body.Minutes)*time.Minute))
			}
		}
	}
	for _, r := range b.fields {
		for i := range r.Writes {
			w := &r.Writes[i]
			if r.What != "spec" && (r.What != "check" || r.Field != "min" && r.Field != "max") {
				break
			}
			n := b.log.byID[w.ID]
			if w.Struck {
				b.strikesOf(r, w, n)
			}
			for _, m := range b.returns(n) {
				b.strikesOf(r, w, m)
			}
			// A value of the spec sheet that was written over has its own event.
			if w.Struck || !w.Head && r.What == "check" {
				add(removedField(r), n, w.At)
			}
		}
	}
}

// strikesOf files a writing that counted by entry n, itself or what let it count
// again, with the moments at which that was struck out: what was read in between was
// judged by it.
func (b *Build) strikesOf(r *Register, w *Write, n uint32) {
	from := event{unix: w.At.Unix, at: w.At, fact: b.log.fact(b.own, n)}
	for _, m := range b.log.namers[n] {
		if b.log.strikes(m, n) && b.log.items[m].state&(struck|held) == 0 {
			b.judged[removedField(r)] = append(b.judged[removedField(r)], [2]event{from, b.stamped(m)})
		}
	}
}

// admissions returns what let each entry in, in force or not.
func (l *Logbook) admissions() map[uint32][]uint32 {
	var all map[uint32][]uint32
	for _, a := range l.admits {
		b, ok := read[ReplicaAdmit](l, a)
		if !ok || l.items[a].build != 0 {
			continue
		}
		for _, id := range b.body.Entries {
			if n, seen := l.byID[id]; seen {
				if all == nil {
					all = map[uint32][]uint32{}
				}
				all[n] = append(all[n], a)
			}
		}
	}
	return all
}

// returns returns the entries, in force or not, that let entry n count again: they
// let it in, or struck out what had struck it out.
func (b *Build) returns(n uint32) []uint32 {
	by := slices.Clone(b.admits[n])
	for _, m := range b.log.namers[n] {
		if !b.log.strikes(m, n) {
			continue
		}
		for _, s := range b.log.namers[m] {
			if b.log.strikes(s, m) {
				by = append(by, s)
			}
		}
	}
	slices.SortFunc(by, b.log.compare) // so that every device names the same
	return by
}

// returned returns those of them that are in force.
func (b *Build) returned(n uint32) []uint32 {
	return slices.DeleteFunc(b.returns(n), func(m uint32) bool { return b.log.items[m].state&standing != 0 })
}

// stamped is what entry n did, at the moment it was written.
func (b *Build) stamped(n uint32) event {
	at := When{Unix: b.log.items[n].stamp.Time().Unix()}
	return event{unix: at.Unix, at: at, fact: b.log.fact(b.own, n)}
}

// removers returns the replicas of the entries in force that took entry n away, and
// of those that wrote over these in turn: they knew.
func (l *Logbook) removers(n uint32, depth int) (by []uint16) {
	for _, m := range l.namers[n] {
		it := &l.items[m]
		over := l.replaces(m, n)
		if it.state&(struck|held) != 0 || !over && !l.strikes(m, n) {
			continue
		}
		by = append(by, it.rep)
		if over && depth < maxOver {
			by = append(by, l.removers(m, depth+1)...)
		}
	}
	return by
}

// apart returns a cause where a reading or a sign-off, made at unix by f, stands
// only because several things against it were taken away by devices none of which
// took all of them away: each may have seen it shut to the last, and meeting opens
// nothing. A reading that was typed later than what it was taken before counts as
// an act of its device as well, one that was let in as an act of who let it in. And
// it returns one where an input or a limit that stood when it was made was struck out
// since: that changes as much as another value.
func (b *Build) apart(c *Check, unix int64, f *Fact, until int64) *Cause {
	if len(b.removed)+len(b.judged) == 0 {
		return nil
	}
	var all []uint16 // who took away each of them so far
	seen := false
	var cause *Cause
	meet := func(by []uint16) bool {
		if !seen {
			all, seen = by, true
		} else {
			all = slices.DeleteFunc(slices.Clone(all), func(r uint16) bool { return !slices.Contains(by, r) })
		}
		return len(all) > 0
	}
	n := b.log.byID[f.ID]
	for _, m := range b.log.namers[n] { // it was struck out itself, and the strike was
		if b.log.strikes(m, n) && b.log.items[m].state&struck != 0 {
			meet(b.log.removers(m, 0))
		}
	}
	var let []uint16
	for _, a := range b.admits[n] { // it was held, and let in
		if b.log.items[a].state&standing == 0 {
			let = append(let, b.log.items[a].rep)
		}
	}
	if let != nil {
		meet(let)
	}
	look := func(where string) {
		for i := range b.removed[where] {
			e := &b.removed[where][i]
			if cause != nil || e.unix > until || e.before(unix, f) {
				continue
			}
			if !meet(e.by) || e.fact.Stamp < f.Stamp && !meet([]uint16{b.log.replica[f.Replica]}) {
				cause = &Cause{Title: "struck out on two devices, each without the other, was what had shut it", At: e.at, Entry: e.fact.ID, Apart: true}
			}
		}
	}
	field := func(r *Register) {
		look(removedField(r))
		for _, e := range b.judged[removedField(r)] {
			if cause == nil && e[0].fact.Stamp < f.Stamp && f.Stamp < e[1].fact.Stamp && e[1].unix <= until {
				cause = &Cause{Title: "what it was judged by was struck out", At: e[1].at, Entry: e[1].fact.ID, Apart: true}
			}
		}
	}
	for _, k := range c.InvalidatedBy {
		look(removedChange(k))
	}
	look(removedReading(c.ID))
	if c.Derive != nil {
		look(removedReading(c.Derive.Check))
	}
	for _, v := range c.restsOn {
		if v.Field != nil {
			field(v.Field)
		}
	}
	for _, side := range []string{"min", "max"} {
		if r := b.regs.get("check", c.ID, side); r != nil {
			field(r)
		}
	}
	return cause
}
