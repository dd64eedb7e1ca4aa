package model

import (
	"slices"

	"github.com/google/uuid"
)

// # What a close holds
//
// A [ReplicaClose] in force cuts a replica's chain: the entry it names and those
// that lead to it count, all others of that replica are held, on every line if
// the chain forks, and all of them while the named entry has not been seen. Held
// entries are kept, counted and passed on, and otherwise as if not there: they
// strike nothing, replace nothing, are no facts and no writings. Several closes
// of one replica hold together: where they differ, the lower cut. A
// [ReplicaAdmit] in force lets the entries it names in. No rule looks at a stamp
// or at the order of arrival, so backdating wins nothing and every device holds
// the same.
//
// A close or admission is in force as everything else is: not struck out, not
// replaced, not held by a close. Anyone may strike a close out or replace it,
// save that nothing past its own cut counts against it, let in or not. So
//
//   - a closed device cannot strike out its close, nor close others, after the
//     cut;
//   - a device that closes itself is closed: its close does not hold itself;
//   - of two devices that close each other apart, each before it knew of the
//     other's close, both are closed, until a third strikes one close out, or
//     closes one of them below its close;
//   - closes that hold one another in a longer ring all stand.

// A truth is what is known of a statement before all are decided.
type truth int8

const (
	no truth = iota
	maybe
	yes
)

func not(t truth) truth { return yes - t }

// A cut is where a replica is closed.
type cut struct {
	upto uint32 // the last entry that counts, noEntry for none
	by   uint32 // the close that says so
}

// A closing is a close while it is decided whether it holds.
type closing struct {
	n     uint32 // its entry
	rep   uint16 // whom it closes
	upto  uint32 // noEntry: none counts
	holds truth
}

// past reports whether the close, if it holds, holds entry n back.
func (c *closing) past(l *Logbook, n uint32) bool {
	return l.items[n].rep == c.rep && !l.leadsTo(n, c.upto)
}

// hold finds the closes in force, marks what they hold and reports whether a mark
// changed.
func (l *Logbook) hold() bool {
	h := newHolding(l)
	h.decide()
	l.closed = make([]*cut, len(l.replicas))
	for _, c := range h.closes {
		if c.holds == no {
			continue
		}
		if at := l.closed[c.rep]; at == nil {
			l.closed[c.rep] = &cut{c.upto, c.n}
		} else if low := l.meeting(at.upto, c.upto); low != at.upto {
			l.closed[c.rep] = &cut{low, c.n}
		}
	}
	changed := false
	for i := range l.items {
		it := &l.items[i]
		mark := state(0)
		if at, n := l.closed[it.rep], uint32(i); at != nil && !l.leadsTo(n, at.upto) && h.admitted(n) == no {
			mark = held
		}
		changed = changed || it.state&held != mark
		it.state = it.state&^held | mark
	}
	return changed
}

// A holding decides which closes are in force. Whether one is may depend on
// others: all begin as maybe, and each round decides those that what is known
// decides.
type holding struct {
	l      *Logbook
	closes []closing
	of     map[uint16][]int    // closes by the replica they close
	admits map[uint32][]uint32 // entry -> admissions that name it
	view   *closing            // the close in question: nothing past its cut is looked at; nil for none
	memo   map[uint32]truth    // of stands, in this view
}

func newHolding(l *Logbook) *holding {
	h := &holding{l: l, of: map[uint16][]int{}, admits: l.admissions(), memo: map[uint32]truth{}}
	slices.SortFunc(l.closes, l.compare) // so that of two at the same cut the same is named everywhere
	for _, n := range l.closes {
		b, ok := read[ReplicaClose](l, n)
		rep, known := l.replica[b.body.Replica]
		if !ok || !known || l.items[n].build != 0 {
			continue
		}
		upto, seen := l.byID[b.body.Upto]
		if !seen || l.items[upto].rep != rep {
			upto = noEntry
		}
		h.of[rep] = append(h.of[rep], len(h.closes))
		h.closes = append(h.closes, closing{n, rep, upto, maybe})
	}
	return h
}

func (h *holding) decide() {
	for {
		for h.round() {
		}
		var open, first []*closing
		for i := range h.closes {
			if c := &h.closes[i]; c.holds == maybe {
				open = append(open, c)
			}
		}
		if len(open) == 0 {
			return
		}
		// What is left hangs on itself and stands: first what no other of these
		// would hold, for it may decide the others.
		for _, c := range open {
			if !slices.ContainsFunc(open, func(d *closing) bool { return d != c && d.past(h.l, c.n) }) {
				first = append(first, c)
			}
		}
		if len(first) == 0 {
			first = open
		}
		for _, c := range first {
			c.holds = yes
		}
	}
}

// round decides the closes that can be decided now, and reports whether any was.
func (h *holding) round() bool {
	next := make([]truth, len(h.closes))
	for i := range h.closes {
		c := &h.closes[i]
		if next[i] = c.holds; c.holds == maybe {
			h.look(c)
			next[i] = h.inForce(c.n)
		}
	}
	h.look(nil)
	changed := false
	for i, t := range next {
		changed = changed || t != h.closes[i].holds
		h.closes[i].holds = t
	}
	return changed
}

func (h *holding) look(c *closing) {
	h.view = c
	clear(h.memo)
}

// outOfView reports whether an entry does not count here.
func (h *holding) outOfView(n uint32) bool {
	return h.view != nil && n != h.view.n && h.view.past(h.l, n)
}

// inForce reports whether a close or admission stands and is not replaced.
func (h *holding) inForce(n uint32) truth {
	t := h.stands(n)
	for _, m := range h.l.namers[n] {
		if h.l.replaces(m, n) {
			t = min(t, not(h.stands(m)))
		}
	}
	return t
}

// stands reports whether entry n is neither held nor struck out.
func (h *holding) stands(n uint32) truth {
	if h.outOfView(n) {
		return no
	}
	if t, ok := h.memo[n]; ok {
		return t
	}
	back := no
	for _, i := range h.of[h.l.items[n].rep] {
		if c := &h.closes[i]; c.n != n && c.past(h.l, n) && !h.outOfView(c.n) {
			back = max(back, c.holds)
		}
	}
	if back != no {
		back = min(back, not(h.admitted(n)))
	}
	t := not(back)
	for _, m := range h.l.namers[n] {
		if h.l.strikes(m, n) {
			t = min(t, not(h.stands(m)))
		}
	}
	h.memo[n] = t
	return t
}

// admitted reports whether entry n was let in.
func (h *holding) admitted(n uint32) truth {
	t := no
	for _, a := range h.admits[n] {
		t = max(t, h.inForce(a))
	}
	return t
}

// A Closure says that a device was closed, and by whom.
type Closure struct {
	Fact
	ReplicaClose
	Last Head // the last of its entries that count; zero for none
}

// Closed returns where a replica was closed: the last of its entries that counts,
// the zero Head if none does. The second result is false if it is not closed.
func (l *Logbook) Closed(replica uuid.UUID) (Head, bool) {
	if len(l.closes) == 0 {
		return Head{}, false
	}
	l.settle()
	if rep, ok := l.replica[replica]; ok && int(rep) < len(l.closed) {
		if at := l.closed[rep]; at != nil {
			return l.headOr(at.upto), true
		}
	}
	return Head{}, false
}

// headOr is an entry's number and name, zero for noEntry.
func (l *Logbook) headOr(n uint32) Head {
	if n == noEntry {
		return Head{}
	}
	return l.head(n)
}

// closure returns how a replica was closed, nil if it was not.
func (l *Logbook) closure(g *garage, rep uint16) *Closure {
	if int(rep) >= len(l.closed) || l.closed[rep] == nil {
		return nil
	}
	at := l.closed[rep]
	b, _ := read[ReplicaClose](l, at.by)
	return &Closure{l.fact(g, at.by), b.body, l.headOr(at.upto)}
}
