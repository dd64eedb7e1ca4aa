package model

import (
	"crypto/ed25519"
	"iter"
	"slices"

	"github.com/google/uuid"
)

// Schema is the number of the fold's rules. It is raised when the same entries
// would get another [Logbook.Digest].
const Schema = 1

// A Vector says how far each replica's chain is known: its heads, normally one.
// To have a head is to have all below it. Numbers alone would not do: a device
// that was set back gives one number twice.
type Vector map[uuid.UUID][]Head

// Vector returns the heads of all chains. Entries whose predecessor has not been
// seen are not in it.
func (l *Logbook) Vector() Vector {
	v := make(Vector, len(l.replicas))
	for i := range l.replicas {
		if r := &l.replicas[i]; len(r.chain.branches) > 0 {
			v[r.id] = r.chain.heads(l)
		}
	}
	return v
}

// KeyOf returns the Ed25519 public key that the replica's first entry carries,
// false if that entry has not been seen or has none. Where several first entries
// are about, as of a device that was copied before it wrote, they must carry one
// key: with two different ones nobody can tell which is the replica's, in whatever
// order they came, and it has none.
func (l *Logbook) KeyOf(replica uuid.UUID) (ed25519.PublicKey, bool) {
	i, ok := l.replica[replica]
	if !ok {
		return nil, false
	}
	c := &l.replicas[i].chain
	if !c.keyed {
		c.key, c.keyed = c.findKey(l), true
	}
	return c.key, c.key != nil
}

// findKey returns the one key that first entries carry, nil if there is none.
func (c *chain) findKey(l *Logbook) (key ed25519.PublicKey) {
	for n := range c.openings() {
		k := OpeningKey([]byte(l.items[n].raw))
		if key != nil && k != nil && !key.Equal(k) {
			return nil
		}
		if k != nil {
			key = k
		}
	}
	return key
}

// openings returns the first entries.
func (c *chain) openings() iter.Seq[uint32] {
	return func(yield func(uint32) bool) {
		for i := range c.branches {
			if b := &c.branches[i]; b.from.branch < 0 && !yield(b.items[0]) {
				return
			}
		}
	}
}

// Unsealed returns how many entries of each replica no seal covers, or follow one
// that is not here: they are passed on as a file alone. Replicas without such are
// left out. It looks at the ends of the chains, not at the entries.
func (l *Logbook) Unsealed() map[uuid.UUID]int {
	all := map[uuid.UUID]int{}
	for i := range l.replicas {
		r := &l.replicas[i]
		known := make([]int, len(r.chain.branches))
		for b := range known {
			known[b] = -1
		}
		for b := range known {
			if seals := r.chain.branches[b].seals; len(seals) > 0 {
				r.chain.mark(known, spot{b, seals[len(seals)-1].at})
			}
		}
		n := r.count
		for _, last := range known {
			n -= last + 1
		}
		if n > 0 {
			all[r.id] = n
		}
	}
	return all
}

// OpeningKey returns the public key that an opening entry carries, nil if raw is
// none or has none.
func OpeningKey(raw []byte) ed25519.PublicKey {
	e, err := Decode(raw)
	if err != nil || e.Seq != 1 {
		return nil
	}
	if b, ok := e.Body.(*Replica); ok && len(b.Key) == ed25519.PublicKeySize {
		return b.Key
	}
	return nil
}

// Ladder returns entries of a replica's chain, by number: from each end back in
// steps of 1, 1, 1, 1, 1, 2, 4, 8, ... to the first. Two replicas whose chains
// part find with it a place where they are still the same.
func (l *Logbook) Ladder(replica uuid.UUID) []Head {
	i, ok := l.replica[replica]
	if !ok {
		return nil
	}
	c := &l.replicas[i].chain
	var rungs []Head
	for b := range c.branches {
		at := spot{b, len(c.branches[b].items) - 1}
		for n, step := 0, 1; ; n++ {
			h := c.head(l, at)
			rungs = append(rungs, h)
			if h.Seq == 1 {
				break
			}
			if n >= 5 {
				step *= 2
			}
			at = c.back(at, step)
		}
	}
	slices.SortFunc(rungs, Head.Compare)
	return slices.Compact(rungs)
}

// A Portion is consecutive entries of one chain that end at a sealed one: what
// is handed from replica to replica.
type Portion struct {
	From Head // the entry before the first; zero where the chain begins
	Raws [][]byte
	Seal Seal // of the last
}

// Missing returns what a replica lacks that has no more than have, causes first:
// chains are merged by the stamps of their sealed entries. A head that is not in
// the logbook says nothing. It returns portions of about max bytes in all, at
// least one if anything is missing, and whether there is more. Entries above the
// last seal of their chain are not handed over.
func (l *Logbook) Missing(have Vector, max int) (portions []Portion, rest bool) {
	var open []*cursor
	for i := range l.replicas {
		r := &l.replicas[i]
		open = append(open, r.chain.cursors(l, r.id, have[r.id])...)
	}
	for {
		var next *cursor
		for _, c := range open {
			if c.ready() && (next == nil || c.compare(next) < 0) {
				next = c
			}
		}
		if next == nil {
			return portions, false
		}
		items, size := next.portion()
		if len(portions) > 0 && size > max {
			return portions, true
		}
		max -= size
		portions = next.take(portions, items, size)
	}
}

// A cursor walks the seals of a branch that a replica lacks.
type cursor struct {
	l       *Logbook
	c       *chain
	replica uuid.UUID
	branch  int
	known   []int // per branch of the chain: the last place it has, -1 for none; shared
	seal    int   // the next to hand over
	grows   int   // the portion it has last added to, counted from 1
}

// cursors returns one for each branch of which have, the heads of this chain,
// lacks sealed entries.
func (c *chain) cursors(l *Logbook, replica uuid.UUID, have []Head) (open []*cursor) {
	var known []int
	for i := range c.branches {
		b := &c.branches[i]
		if len(b.seals) == 0 {
			continue
		}
		if known == nil {
			known = c.known(l, have)
		}
		n, found := slices.BinarySearchFunc(b.seals, known[i], sealed.compareAt)
		if found {
			n++
		}
		if n < len(b.seals) {
			open = append(open, &cursor{l: l, c: c, replica: replica, branch: i, known: known, seal: n})
		}
	}
	return open
}

// known returns how far each branch is known to a replica with these heads.
func (c *chain) known(l *Logbook, have []Head) []int {
	known := make([]int, len(c.branches))
	for i := range known {
		known[i] = -1
	}
	for _, h := range have {
		if s, ok := c.find(l, h); ok {
			c.mark(known, s)
		}
	}
	return known
}

// mark notes that an entry and all below it are known.
func (c *chain) mark(known []int, s spot) {
	for s.branch >= 0 && known[s.branch] < s.at {
		known[s.branch] = s.at
		s = c.branches[s.branch].from
	}
}

// ready reports whether the next portion can be handed over. Where the branch
// parts from another, that one's seals come first, as far as they cover the place.
func (c *cursor) ready() bool {
	b := &c.c.branches[c.branch]
	for c.seal < len(b.seals) && b.seals[c.seal].at <= c.known[c.branch] { // handed over under a branch's seal
		c.seal++
	}
	if c.seal >= len(b.seals) {
		return false
	}
	from := b.from
	if c.known[c.branch] >= 0 || from.branch < 0 || c.known[from.branch] >= from.at {
		return true
	}
	seals := c.c.branches[from.branch].seals
	return len(seals) == 0 || seals[len(seals)-1].at < from.at
}

// compare orders cursors by the stamp of what they hand over next.
func (c *cursor) compare(o *cursor) int {
	a, b := c.c.branches[c.branch], o.c.branches[o.branch]
	x, y := a.items[a.seals[c.seal].at], b.items[b.seals[o.seal].at]
	return c.l.compare(x, y)
}

// portion returns the entries from what is known to the next seal, and their
// bytes.
func (c *cursor) portion() (items []uint32, size int) {
	s := spot{c.branch, c.c.branches[c.branch].seals[c.seal].at}
	for s.branch >= 0 && c.known[s.branch] < s.at {
		b := &c.c.branches[s.branch]
		part := b.items[c.known[s.branch]+1 : s.at+1]
		if items == nil {
			items = part
		} else {
			items = slices.Concat(part, items)
		}
		if c.known[s.branch] >= 0 {
			break
		}
		s = b.from
	}
	for _, n := range items {
		size += len(c.l.items[n].raw)
	}
	return items, size
}

// take adds a portion, to the branch's last if it follows that.
func (c *cursor) take(portions []Portion, items []uint32, size int) []Portion {
	b := &c.c.branches[c.branch]
	s := b.seals[c.seal]
	first := &c.l.items[items[0]]
	var from Head
	if at, ok := c.c.find(c.l, Head{uint64(first.seq), first.id}); ok {
		from = c.c.head(c.l, c.c.before(at))
	}
	if c.grows == 0 || portions[c.grows-1].Seal.Head != from {
		portions = append(portions, Portion{From: from})
		c.grows = len(portions)
	}
	p := &portions[c.grows-1]
	buf := make([]byte, 0, size)
	for _, n := range items {
		start := len(buf)
		buf = append(buf, c.l.items[n].raw...)
		p.Raws = append(p.Raws, buf[start:len(buf):len(buf)])
	}
	p.Seal = Seal{Replica: c.replica, Head: c.c.head(c.l, spot{c.branch, s.at}), Sig: s.sig}
	c.c.mark(c.known, spot{c.branch, s.at})
	c.seal++
	return portions
}

// before returns the place of the entry before s, branch -1 if s begins the
// chain.
func (c *chain) before(s spot) spot {
	if s.at > 0 {
		return spot{s.branch, s.at - 1}
	}
	return c.branches[s.branch].from
}
