package model

import (
	"crypto/ed25519"
	"slices"
)

// A chain is a replica's entries in order, from its first on: one branch, or
// several where the replica was copied or set back and wrote on. It grows with
// each entry, so that links find their place in it at once.
type chain struct {
	branches []branch
	waiting  map[ID][]uint32   // entries whose predecessor, the key, has not been placed
	key      ed25519.PublicKey // of the first entry, once keyed
	keyed    bool
}

// A branch is consecutive entries. It parts from an entry of an earlier branch
// that another one follows there, or begins the chain.
type branch struct {
	first uint64 // number of the first entry
	from  spot   // of the entry before it; branch -1 if it begins the chain
	items []uint32
	seals []sealed // by place
}

// A spot is the place of an entry in a chain.
type spot struct{ branch, at int }

// add places entry n, and those that waited for it.
func (c *chain) add(l *Logbook, n uint32, prev ID) {
	if !c.place(l, n, prev) {
		if c.waiting == nil {
			c.waiting = map[ID][]uint32{}
		}
		c.waiting[prev] = append(c.waiting[prev], n)
		return
	}
	if len(c.waiting) == 0 {
		return
	}
	for placed := []uint32{n}; len(placed) > 0; {
		prev = l.items[placed[0]].id
		placed = placed[1:]
		var left []uint32
		for _, m := range c.waiting[prev] {
			if c.place(l, m, prev) {
				placed = append(placed, m)
			} else {
				left = append(left, m)
			}
		}
		if delete(c.waiting, prev); left != nil {
			c.waiting[prev] = left // its number does not follow
		}
	}
}

func (c *chain) place(l *Logbook, n uint32, prev ID) bool {
	seq := uint64(l.items[n].seq)
	if seq == 1 {
		c.branches = append(c.branches, branch{first: 1, from: spot{-1, 0}, items: []uint32{n}})
		c.key, c.keyed = nil, false
		return true
	}
	for i := range c.branches {
		b := &c.branches[i]
		if b.end() == seq-1 && l.items[b.items[len(b.items)-1]].id == prev {
			b.items = append(b.items, n)
			return true
		}
	}
	if from, ok := c.find(l, Head{seq - 1, prev}); ok {
		c.branches = append(c.branches, branch{first: seq, from: from, items: []uint32{n}})
		return true
	}
	return false
}

// find returns where an entry is.
func (c *chain) find(l *Logbook, h Head) (spot, bool) {
	for i := range c.branches {
		b := &c.branches[i]
		if b.first <= h.Seq && h.Seq <= b.end() && l.items[b.items[h.Seq-b.first]].id == h.ID {
			return spot{i, int(h.Seq - b.first)}, true
		}
	}
	return spot{}, false
}

// end returns the number of the last entry.
func (b *branch) end() uint64 { return b.first + uint64(len(b.items)) - 1 }

// head returns the entry at a place.
func (c *chain) head(l *Logbook, s spot) Head {
	if s.branch < 0 {
		return Head{}
	}
	return l.head(c.branches[s.branch].items[s.at])
}

// heads returns the ends of the chain.
func (c *chain) heads(l *Logbook) []Head {
	heads := make([]Head, len(c.branches))
	for i := range c.branches {
		heads[i] = c.head(l, spot{i, len(c.branches[i].items) - 1})
	}
	if len(heads) > 1 {
		slices.SortFunc(heads, Head.Compare)
	}
	return heads
}

// back returns the place steps before s, or the first entry of the chain.
func (c *chain) back(s spot, steps int) spot {
	for {
		if steps <= s.at {
			return spot{s.branch, s.at - steps}
		}
		from := c.branches[s.branch].from
		if from.branch < 0 {
			return spot{s.branch, 0}
		}
		steps -= s.at + 1
		s = from
	}
}
