package model

import (
	"bytes"
	"cmp"
	"iter"
	"maps"
	"slices"
	"time"

	"github.com/google/uuid"
)

// A Peer is what another device was last heard to hold.
type Peer struct {
	Vector Vector
	Heard  time.Time
}

// Holders says which other devices are known to hold an entry: those whose heads
// this logbook has too, at the entry or after it in its chain. A head that it
// lacks tells nothing, whatever its number. Holders stand for the moment they
// were made; the logbook must not be added to while they are asked.
type Holders struct {
	log  *Logbook
	tops map[uint16][]top
}

// A top is an entry that a peer holds with all that lead to it.
type top struct {
	n    uint32
	peer Holder
}

// A Holder is a device that holds an entry, and when that was heard.
type Holder struct {
	Replica uuid.UUID
	Heard   time.Time
}

// Holders makes them from what peers said, by the names of their replicas.
func (l *Logbook) Holders(peers map[uuid.UUID]Peer) *Holders {
	h := &Holders{l, map[uint16][]top{}}
	for id, p := range peers {
		for _, heads := range p.Vector {
			for _, head := range heads {
				if n, ok := l.byID[head.ID]; ok {
					rep := l.items[n].rep
					h.tops[rep] = append(h.tops[rep], top{n, Holder{id, p.Heard}})
				}
			}
		}
	}
	return h
}

// Of returns the devices known to hold an entry beside this one, the one heard
// last first.
func (h *Holders) Of(id ID) []Holder {
	n, ok := h.log.byID[id]
	if !ok {
		return nil
	}
	var list []Holder
	for _, t := range h.tops[h.log.items[n].rep] {
		if h.log.leadsTo(n, t.n) && !slices.Contains(list, t.peer) {
			list = append(list, t.peer)
		}
	}
	slices.SortFunc(list, func(a, b Holder) int {
		return cmp.Or(b.Heard.Compare(a.Heard), bytes.Compare(a.Replica[:], b.Replica[:]))
	})
	return list
}

// Alone returns how many entries no other device is known to hold, and the stamp
// of the oldest among them; zero for none.
func (h *Holders) Alone() (entries int, oldest Stamp) {
	l := h.log
	for i := range l.replicas {
		c := &l.replicas[i].chain
		var heads []Head
		for _, t := range h.tops[uint16(i)] {
			heads = append(heads, l.head(t.n))
		}
		for n := range c.beyond(l, heads) {
			if entries++; oldest == 0 || l.items[n].stamp < oldest {
				oldest = l.items[n].stamp
			}
		}
	}
	return entries, oldest
}

// Lacks returns how many entries of this logbook a device with these heads is not
// known to hold.
func (l *Logbook) Lacks(have Vector) int {
	lacks := 0
	for i := range l.replicas {
		r := &l.replicas[i]
		for range r.chain.beyond(l, have[r.id]) {
			lacks++
		}
	}
	return lacks
}

// Beyond returns of how many chains a device with these heads holds more than is
// here, or other entries.
func (l *Logbook) Beyond(have Vector) int {
	chains := 0
	for _, heads := range have {
		if slices.ContainsFunc(heads, func(h Head) bool { return !l.Has(h.ID) }) {
			chains++
		}
	}
	return chains
}

// beyond yields the entries of a chain that do not lead to any of the heads.
func (c *chain) beyond(l *Logbook, heads []Head) iter.Seq[uint32] {
	return func(yield func(uint32) bool) {
		known := c.known(l, heads)
		for i := range c.branches {
			for _, n := range c.branches[i].items[known[i]+1:] {
				if !yield(n) {
					return
				}
			}
		}
		for _, loose := range c.waiting {
			for _, n := range loose {
				if !slices.Contains(heads, l.head(n)) && !yield(n) {
					return
				}
			}
		}
	}
}

// Counting returns the peers whose copies count as one more place where an entry
// is kept, without own, the name of this device. One that was struck off is
// nobody's to rely on. One that a device continues under a new name was set back
// or duplicated: what it was heard to hold before may be lost.
func Counting(peers map[uuid.UUID]Peer, devices []Device, own uuid.UUID) map[uuid.UUID]Peer {
	count := maps.Clone(peers)
	delete(count, own)
	for _, d := range devices {
		delete(count, d.Was)
		if d.Closed != nil {
			delete(count, d.Replica)
		}
	}
	return count
}
