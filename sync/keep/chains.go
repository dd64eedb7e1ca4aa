package keep

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"

	"ampwright/model"

	"github.com/google/uuid"
)

// MaxRun is the number of entries at which a store begins another run. More
// would save nothing on the disk (measured with bbolt: 1024 entries of a real
// build take 69 bytes each, 4096 the same), and a run is what one damaged byte
// costs.
const MaxRun = 1024

// A Span is what a store remembers of a run it has written away.
type Span struct {
	model.Span
	Name model.ID // of the first entry
}

// A Key is the name of a run in a store: replica, number of the first entry (big
// endian) and name of the first entry. In the order of keys, each run comes
// after the one it follows. A seal's is made of its own entry's likewise.
type Key [40]byte

func keyOf(replica uuid.UUID, h model.Head) (k Key) {
	copy(k[:16], replica[:])
	binary.BigEndian.PutUint64(k[16:24], h.Seq)
	copy(k[24:], h.ID[:])
	return k
}

// Key returns the run's key. It stays the same when the run grows.
func (s Span) Key() Key { return keyOf(s.Replica, model.Head{Seq: s.First, ID: s.Name}) }

// SpanOf reads what the run under key says it holds.
func SpanOf(key, run []byte) (Span, error) {
	if len(key) != len(Key{}) {
		return Span{}, fmt.Errorf("key %x: %d bytes, want %d", key, len(key), len(Key{}))
	}
	head, err := model.SpanOf(run)
	if err != nil {
		return Span{}, fmt.Errorf("key %x: %w", key, err)
	}
	s := Span{head, model.ID(key[24:])}
	if k := s.Key(); !bytes.Equal(k[:], key) {
		return Span{}, fmt.Errorf("key %x: holds the run of replica %s from %d on", key, s.Replica, s.First)
	}
	return s, nil
}

// Chains knows the ends of the runs in a store, and by them what may be appended.
// It takes some hundred bytes a run and nothing for an entry. The zero Chains is
// an empty store. It is not for concurrent use.
type Chains struct {
	of map[uuid.UUID]*chain
}

type chain struct {
	spans []Span // by First, then Name
	end   uint64 // highest number
}

// Links returns the places of entries.
func Links(raws [][]byte) ([]model.Link, error) {
	links := make([]model.Link, len(raws))
	for i, raw := range raws {
		var err error
		if links[i], err = model.LinkOf(raw); err != nil {
			return nil, fmt.Errorf("entry %d of %d: %w", i+1, len(raws), err)
		}
	}
	return links, nil
}

// Set notes a run that is in the store, in place of an earlier one with its key.
func (c *Chains) Set(s Span) {
	if c.of == nil {
		c.of = map[uuid.UUID]*chain{}
	}
	ch := c.of[s.Replica]
	if ch == nil {
		ch = new(chain)
		c.of[s.Replica] = ch
	}
	ch.end = max(ch.end, s.End())
	at, found := slices.BinarySearchFunc(ch.spans, s, Span.Compare)
	if found {
		ch.spans[at] = s
		return
	}
	ch.spans = slices.Insert(ch.spans, at, s)
}

// Delete forgets a run whose entries are now in another.
func (c *Chains) Delete(s Span) {
	ch := c.of[s.Replica]
	if at, found := slices.BinarySearchFunc(ch.spans, s, Span.Compare); found {
		ch.spans = slices.Delete(ch.spans, at, at+1)
	}
}

// Compare orders the runs of a replica as their keys do.
func (s Span) Compare(o Span) int {
	return model.Head{Seq: s.First, ID: s.Name}.Compare(model.Head{Seq: o.First, ID: o.Name})
}

// Heads returns the last entries of every chain.
func (c *Chains) Heads() map[uuid.UUID][]model.Head {
	heads := make(map[uuid.UUID][]model.Head, len(c.of))
	for replica, ch := range c.of {
		followed := make(map[model.ID]bool, len(ch.spans))
		for _, s := range ch.spans {
			followed[s.Prev] = true
		}
		for _, s := range ch.spans {
			if !followed[s.Last] {
				heads[replica] = append(heads[replica], model.Head{Seq: s.End(), ID: s.Last})
			}
		}
		slices.SortFunc(heads[replica], model.Head.Compare)
	}
	return heads
}

// A Run is entries to be stored under one key.
type Run struct {
	Span
	raws  [][]byte
	links []model.Link
}

// Pack returns the run's bytes.
func (r *Run) Pack() ([]byte, error) { return model.PackLinks(r.raws, r.links) }

// Plan sorts out what an [Log.Append] must write: the entries that are not in
// the store yet, in runs of at most MaxRun, and all the seals, of which some may
// be there. It changes nothing; when the runs are durable, tell with Set. load
// reads a run of the store; it is needed only where entries are not simply the
// next of their chains, or the sealed one not the last of a run. links are the
// entries' places.
func (c *Chains) Plan(raws [][]byte, links []model.Link, seals []model.Seal, load func(Span) ([]byte, error)) ([]*Run, error) {
	p := plan{chains: c, load: load, loaded: map[Key][]model.ID{}}
	for i, raw := range raws {
		if err := p.add(links[i], raw); err != nil {
			return nil, fmt.Errorf("append entry %d of %d: %w", i+1, len(raws), err)
		}
	}
	for _, s := range seals {
		if there, err := p.has(s.Replica, s.Head.Seq, s.Head.ID); err != nil {
			return nil, err
		} else if !there {
			return nil, unsealable(s)
		}
	}
	return p.runs, nil
}

type plan struct {
	chains *Chains
	load   func(Span) ([]byte, error)
	loaded map[Key][]model.ID
	runs   []*Run
}

func (p *plan) add(l model.Link, raw []byte) error {
	if there, err := p.has(l.Replica, l.Seq, l.ID); there || err != nil {
		return err
	}
	for _, r := range slices.Backward(p.runs) {
		if r.Last == l.Prev && r.Replica == l.Replica && r.End()+1 == l.Seq && r.Count < MaxRun {
			r.raws, r.links = append(r.raws, raw), append(r.links, l)
			r.Count, r.Last = r.Count+1, l.ID
			return nil
		}
	}
	if l.Seq > 1 {
		if there, err := p.has(l.Replica, l.Seq-1, l.Prev); err != nil {
			return err
		} else if !there {
			return &GapError{l}
		}
	}
	head := model.Span{Replica: l.Replica, First: l.Seq, Count: 1, Prev: l.Prev, Last: l.ID}
	p.runs = append(p.runs, &Run{Span: Span{head, l.ID}, raws: [][]byte{raw}, links: []model.Link{l}})
	return nil
}

// has reports whether the entry is in the store or among the runs planned.
func (p *plan) has(replica uuid.UUID, seq uint64, id model.ID) (bool, error) {
	for _, r := range p.runs {
		if r.Replica == replica && r.First <= seq && seq <= r.End() && r.links[seq-r.First].ID == id {
			return true, nil
		}
	}
	ch := p.chains.of[replica]
	if ch == nil || seq > ch.end {
		return false, nil
	}
	for _, s := range slices.Backward(ch.spans) {
		switch {
		case seq < s.First || seq > s.End():
		case seq == s.First && id == s.Name || seq == s.End() && id == s.Last:
			return true, nil
		case s.Count > 1:
			ids, err := p.ids(s)
			if err != nil {
				return false, err
			}
			if ids[seq-s.First] == id {
				return true, nil
			}
		}
	}
	return false, nil
}

// ids returns the names of the entries of a run in the store.
func (p *plan) ids(s Span) ([]model.ID, error) {
	key := s.Key()
	if ids, ok := p.loaded[key]; ok {
		return ids, nil
	}
	run, err := p.load(s)
	if err != nil {
		return nil, err
	}
	ids := make([]model.ID, 0, s.Count)
	err = model.UnpackRun(run, func(_ string, id model.ID) error {
		ids = append(ids, id)
		return nil
	})
	if err == nil && len(ids) != s.Count {
		err = fmt.Errorf("run of replica %s from %d on holds %d entries, want %d", s.Replica, s.First, len(ids), s.Count)
	}
	if err != nil {
		return nil, err
	}
	p.loaded[key] = ids
	return ids, nil
}

// Joins returns all runs in groups: those in a group follow one another and
// make one run of at most MaxRun entries.
func (c *Chains) Joins() [][]Span {
	var groups [][]Span
	for _, ch := range c.of {
		type end struct{ group, count int }
		open := map[model.ID]end{} // last entry of a group that may grow
		for _, s := range ch.spans {
			e, ok := open[s.Prev]
			if ok = ok && e.count+s.Count <= MaxRun; ok {
				groups[e.group] = append(groups[e.group], s)
				delete(open, s.Prev)
			} else {
				e = end{group: len(groups)}
				groups = append(groups, []Span{s})
			}
			open[s.Last] = end{e.group, e.count + s.Count}
		}
	}
	return groups
}
