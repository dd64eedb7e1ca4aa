package keep

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"sync"

	"ampwright/model"

	"github.com/google/uuid"
)

// Memory is a Log that is gone when the program ends. It is also the plain
// statement of what the other stores do with more care. It forgets no seal.
type Memory struct {
	mu      sync.RWMutex
	entries map[model.ID]entry
	seals   map[model.ID]model.Seal // by the entry's name
}

type entry struct {
	model.Link
	raw []byte
}

// NewMemory returns an empty log.
func NewMemory() *Memory {
	return &Memory{entries: map[model.ID]entry{}, seals: map[model.ID]model.Seal{}}
}

// Append stores entries and seals, as [Log] says.
func (m *Memory) Append(raws [][]byte, seals ...model.Seal) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	fresh := map[model.ID]entry{}
	has := func(id model.ID) bool {
		_, old := m.entries[id]
		_, new := fresh[id]
		return old || new
	}
	for i, raw := range raws {
		link, err := model.LinkOf(raw)
		if err != nil {
			return fmt.Errorf("append entry %d of %d: %w", i+1, len(raws), err)
		}
		if has(link.ID) {
			continue
		}
		if link.Seq > 1 && !m.precedes(fresh, link) {
			return fmt.Errorf("append entry %d of %d: %w", i+1, len(raws), &GapError{link})
		}
		fresh[link.ID] = entry{link, bytes.Clone(raw)}
	}
	for _, s := range seals {
		e, ok := fresh[s.Head.ID]
		if !ok {
			e, ok = m.entries[s.Head.ID]
		}
		if !ok || e.Replica != s.Replica || e.Seq != s.Head.Seq {
			return unsealable(s)
		}
	}
	for id, e := range fresh {
		m.entries[id] = e
	}
	for _, s := range seals {
		if _, ok := m.seals[s.Head.ID]; !ok {
			m.seals[s.Head.ID] = s
		}
	}
	return nil
}

// precedes reports whether the entry before l is there and may have it as its
// successor: a name alone could belong to another chain.
func (m *Memory) precedes(fresh map[model.ID]entry, l model.Link) bool {
	e, ok := fresh[l.Prev]
	if !ok {
		e, ok = m.entries[l.Prev]
	}
	return ok && e.Replica == l.Replica && e.Seq+1 == l.Seq
}

// Runs calls f with all that is stored, as [Log] says.
func (m *Memory) Runs(f func(run []byte) error) error {
	m.mu.RLock()
	defer m.mu.RUnlock()
	var runs [][]entry
	open := map[model.ID]int{} // last entry of a run that may grow -> its place in runs
	for _, e := range m.sorted() {
		n, ok := open[e.Prev]
		if !ok || e.Seq == 1 || len(runs[n]) == MaxRun {
			n = len(runs)
			runs = append(runs, nil)
		}
		runs[n] = append(runs[n], e)
		delete(open, e.Prev)
		open[e.ID] = n
	}
	for _, entries := range runs {
		raws := make([][]byte, len(entries))
		for i := range entries {
			raws[i] = entries[i].raw
		}
		run, err := model.PackRun(raws)
		if err != nil {
			return err
		}
		if err := f(run); err != nil {
			return err
		}
	}
	return nil
}

// Seals calls f with the seals, as [Log] says.
func (m *Memory) Seals(f func(model.Seal) error) error {
	m.mu.RLock()
	defer m.mu.RUnlock()
	seals := slices.Collect(maps.Values(m.seals))
	SortSeals(seals)
	for _, s := range seals {
		if err := f(s); err != nil {
			return err
		}
	}
	return nil
}

// sorted returns the entries by replica, number and name.
func (m *Memory) sorted() []entry {
	all := make([]entry, 0, len(m.entries))
	for _, e := range m.entries {
		all = append(all, e)
	}
	slices.SortFunc(all, func(a, b entry) int {
		if c := bytes.Compare(a.Replica[:], b.Replica[:]); c != 0 {
			return c
		}
		return model.Head{Seq: a.Seq, ID: a.ID}.Compare(model.Head{Seq: b.Seq, ID: b.ID})
	})
	return all
}

// Heads returns the last entries of every chain.
func (m *Memory) Heads() (map[uuid.UUID][]model.Head, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	followed := map[model.ID]bool{}
	for _, e := range m.entries {
		followed[e.Prev] = true
	}
	heads := map[uuid.UUID][]model.Head{}
	for _, e := range m.sorted() {
		if !followed[e.ID] {
			heads[e.Replica] = append(heads[e.Replica], model.Head{Seq: e.Seq, ID: e.ID})
		}
	}
	return heads, nil
}

// Close does nothing.
func (m *Memory) Close() error { return nil }
