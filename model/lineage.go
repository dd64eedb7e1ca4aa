package model

// noEntry stands where an entry may be missing.
const noEntry = ^uint32(0)

// head is an entry's number and name.
func (l *Logbook) head(n uint32) Head { return Head{uint64(l.items[n].seq), l.items[n].id} }

// leadsTo reports whether entry a is b, or comes before it in b's chain. Nothing
// leads to noEntry, nor over an entry that has not been seen.
func (l *Logbook) leadsTo(a, b uint32) bool {
	if b == noEntry || l.items[a].rep != l.items[b].rep {
		return false
	}
	c := &l.replicas[l.items[a].rep].chain
	x, placed := c.find(l, l.head(a))
	y, ok := c.find(l, l.head(b))
	if !placed || !ok {
		return a == b
	}
	for y.branch > x.branch { // a branch parts from an earlier one
		y = c.branches[y.branch].from
	}
	return x.branch == y.branch && x.at <= y.at
}

// meeting returns the last entry that leads to both a and b, entries of one
// replica; noEntry if there is none.
func (l *Logbook) meeting(a, b uint32) uint32 {
	switch {
	case a == noEntry || b == noEntry:
		return noEntry
	case l.leadsTo(a, b):
		return a
	case l.leadsTo(b, a):
		return b
	}
	c := &l.replicas[l.items[a].rep].chain
	x, placed := c.find(l, l.head(a))
	y, ok := c.find(l, l.head(b))
	for placed && ok && x.branch != y.branch {
		if x.branch < y.branch {
			x, y = y, x
		}
		x = c.branches[x.branch].from
	}
	if !placed || !ok || x.branch < 0 {
		return noEntry
	}
	return c.branches[x.branch].items[min(x.at, y.at)]
}

// A Fork says that entries of one replica bear the same number: the device was
// duplicated, by a copy or a restored backup that wrote on.
type Fork struct {
	Number uint64 // the first that two entries bear
	Heads  []Head // where the lines end, by number, then name
}

// fork returns where a chain parts, nil if it does not.
func (c *chain) fork(l *Logbook) *Fork {
	if len(c.branches) < 2 {
		return nil
	}
	f := Fork{c.branches[1].first, c.heads(l)}
	for _, b := range c.branches[1:] {
		f.Number = min(f.Number, b.first)
	}
	return &f
}
