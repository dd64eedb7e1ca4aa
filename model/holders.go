package model

import (
	"bytes"
	"cmp"
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

// Alone returns how many entries no other device is known to hold.
func (h *Holders) Alone() int {
	alone := 0
	for i := range h.log.items {
		n := uint32(i)
		if !slices.ContainsFunc(h.tops[h.log.items[i].rep], func(t top) bool { return h.log.leadsTo(n, t.n) }) {
			alone++
		}
	}
	return alone
}
