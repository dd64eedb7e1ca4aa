package model

import (
	"slices"

	"github.com/google/uuid"
)

// A Fact says where something in the build comes from.
type Fact struct {
	ID      ID
	Replica uuid.UUID
	Seq     uint64
	Stamp   Stamp
	Device  string
	Person  string
}

// A Write is one writing of a field.
type Write struct {
	Fact
	At     When
	Value  string
	Note   string
	Typed  string
	Over   []ID
	Head   bool // no later writing replaced it
	Struck bool
}

// A Register is a field with all its writings, oldest first. Writings that did
// not see each other are all heads: the latest is shown, the others stay in
// sight until someone writes over all of them.
type Register struct {
	What, Key, Field string
	Writes           []Write
}

// Heads returns the writings in force, the shown one first.
func (r *Register) Heads() []Write {
	if r == nil {
		return nil
	}
	var heads []Write
	for i := len(r.Writes) - 1; i >= 0; i-- {
		if r.Writes[i].Head {
			heads = append(heads, r.Writes[i])
		}
	}
	return heads
}

// Value returns the shown writing, nil if the field was never written.
func (r *Register) Value() *Write {
	if r == nil {
		return nil
	}
	for i := len(r.Writes) - 1; i >= 0; i-- {
		if r.Writes[i].Head {
			return &r.Writes[i]
		}
	}
	return nil
}

// Clash reports whether writings that did not see each other disagree.
func (r *Register) Clash() bool {
	heads := r.Heads()
	for _, h := range heads[min(1, len(heads)):] {
		if h.Value != heads[0].Value {
			return true
		}
	}
	return false
}

// Settled returns the writing that settled a clash, or nil.
func (r *Register) Settled() *Write {
	for i := range r.Writes {
		if w := &r.Writes[i]; len(w.Over) > 1 && !w.Struck {
			return w
		}
	}
	return nil
}

// first returns the earliest writing, by its own moment, of a value.
func (r *Register) first(value string) *Write {
	if r == nil {
		return nil
	}
	var first *Write
	for i := range r.Writes {
		w := &r.Writes[i]
		if w.Value == value && !w.Struck && (first == nil || w.At.Unix < first.At.Unix) {
			first = w
		}
	}
	return first
}

// over returns the names a new writing must carry.
func (r *Register) over() []ID {
	var ids []ID
	for _, h := range r.Heads() {
		ids = append(ids, h.ID)
	}
	return ids[:min(len(ids), maxOver)]
}

type registerKey struct{ what, key, field string }

type registers map[registerKey]*Register

func (rs registers) get(what, key, field string) *Register {
	return rs[registerKey{what, key, field}]
}

// text returns the shown value of a field, or def.
func (rs registers) text(what, key, field, def string) string {
	if w := rs.get(what, key, field).Value(); w != nil {
		return w.Value
	}
	return def
}

// sorted returns the registers in a fixed order.
func (rs registers) sorted() []*Register {
	list := make([]*Register, 0, len(rs))
	for _, r := range rs {
		list = append(list, r)
	}
	slices.SortFunc(list, func(a, b *Register) int {
		return slices.Compare([]string{a.What, a.Key, a.Field}, []string{b.What, b.Key, b.Field})
	})
	return list
}

// A garage is what the fold knows beside the builds.
type garage struct {
	replicas map[uuid.UUID]got[Replica]
	regs     registers
}

// got is a body with the place of its entry.
type got[T any] struct {
	n    uint32
	body T
}

func read[T any, P interface {
	*T
	Body
}](l *Logbook, n uint32) (g got[T], ok bool) {
	it := &l.items[n]
	g.n = n
	return g, readBody(it.raw[it.body:], P(&g.body)) == nil
}

// A collector reads bodies one after the other.
type collector struct {
	log    *Logbook
	c      codec
	unread int // bodies with fields from a newer version
}

// collect appends the body of entry n, if it reads.
func collect[T any, P interface {
	*T
	Body
}](r *collector, n uint32, to *[]got[T]) {
	it := &r.log.items[n]
	*to = append(*to, got[T]{n: n})
	last := len(*to) - 1
	if r.c.readBody(it.raw[it.body:], P(&(*to)[last].body)) != nil {
		*to = (*to)[:last]
		r.unread++
	}
}

// byTime orders facts by the moment they speak of, then as the logbook does.
// Bodies are large: small keys are sorted in their stead.
func byTime[T any](l *Logbook, list []got[T], at func(*T) When) {
	type key struct {
		unix int64
		i    int32
	}
	keys := make([]key, len(list))
	sorted := true
	cmp := func(a, b key) int {
		if a.unix != b.unix {
			if a.unix < b.unix {
				return -1
			}
			return 1
		}
		return l.compare(list[a.i].n, list[b.i].n)
	}
	for i := range list {
		keys[i] = key{at(&list[i].body).Unix, int32(i)}
		sorted = sorted && (i == 0 || cmp(keys[i-1], keys[i]) <= 0)
	}
	if sorted {
		return
	}
	slices.SortFunc(keys, cmp)
	old := slices.Clone(list)
	for i, k := range keys {
		list[i] = old[k.i]
	}
}

func (l *Logbook) garage() *garage {
	g := &garage{replicas: map[uuid.UUID]got[Replica]{}, regs: registers{}}
	var sets []uint32
	for _, n := range l.builds[0].items {
		switch l.items[n].kind {
		case kindReplica:
			if r, ok := read[Replica](l, n); ok && l.items[n].seq == 1 {
				id := l.replicas[l.items[n].rep].id
				if old, ok := g.replicas[id]; !ok || l.compare(n, old.n) < 0 { // two where a chain forks at its beginning
					g.replicas[id] = r
				}
			}
		case kindSet:
			if l.items[n].state&held == 0 {
				sets = append(sets, n)
			}
		}
	}
	l.register(g, g.regs, sets)
	for id, r := range g.replicas { // what it was called since
		r.body.Device = g.regs.text("device", id.String(), "name", r.body.Device)
		g.replicas[id] = r
	}
	return g
}

// register files the writings in sets.
func (l *Logbook) register(g *garage, rs registers, sets []uint32) {
	slices.SortFunc(sets, l.compare)
	for _, n := range sets {
		s, ok := read[Set](l, n)
		if !ok {
			continue
		}
		it := &l.items[n]
		key := registerKey{s.body.What, s.body.Key, s.body.Field}
		r := rs[key]
		if r == nil {
			r = &Register{What: key.what, Key: key.key, Field: key.field}
			rs[key] = r
		}
		w := Write{
			Fact: l.fact(g, n), At: s.body.At, Value: s.body.Value, Note: s.body.Note, Typed: s.body.Typed,
			Head: it.state&standing == 0, Struck: it.state&struck != 0,
		}
		if w.At.IsZero() {
			w.At = When{Unix: it.stamp.Time().Unix()}
		}
		var h header
		if parseHeader(it.raw, &h) == nil {
			w.Over = h.Over
		}
		r.Writes = append(r.Writes, w)
	}
}

func (l *Logbook) fact(g *garage, n uint32) Fact {
	it := &l.items[n]
	id := l.replicas[it.rep].id
	f := Fact{ID: it.id, Replica: id, Seq: uint64(it.seq), Stamp: it.stamp}
	if r, ok := g.replicas[id]; ok {
		f.Device, f.Person = r.body.Device, r.body.Person
	}
	if it.state&authored != 0 {
		var h header
		if parseHeader(it.raw, &h) == nil {
			f.Person = h.Author
		}
	}
	return f
}
