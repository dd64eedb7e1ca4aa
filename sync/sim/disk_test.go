package sim_test

import (
	"fmt"
	"maps"
	"slices"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// A disk is what outlives a crash: entries and seals that were committed, and
// commits that are being written.
type disk struct {
	order   []model.Link // as committed
	raws    [][]byte
	at      map[model.ID]int
	seals   map[sealKey]model.Seal
	pending []commit
	blobs   shelf
}

type sealKey struct {
	replica uuid.UUID
	head    model.Head
}

// A commit is entries that are stored together or not at all.
type commit struct {
	raws  [][]byte
	seals []model.Seal
	from  *end // the session that asked for it
	batch uint64
}

func newDisk() *disk {
	return &disk{at: map[model.ID]int{}, seals: map[sealKey]model.Seal{}, blobs: newShelf()}
}

// commit stores entries and seals for good, all or none, as [keep.Log] says.
func (d *disk) commit(raws [][]byte, seals []model.Seal) error {
	length := len(d.order)
	undo := func(err error) error {
		for _, l := range d.order[length:] {
			delete(d.at, l.ID)
		}
		d.order, d.raws = d.order[:length], d.raws[:length]
		return err
	}
	for _, raw := range raws {
		link, err := model.LinkOf(raw)
		if err != nil {
			return undo(err)
		}
		if _, ok := d.at[link.ID]; ok {
			continue
		}
		if link.Seq > 1 {
			before, ok := d.at[link.Prev]
			if !ok || d.order[before].Replica != link.Replica || d.order[before].Seq+1 != link.Seq {
				return undo(&keep.GapError{Link: link})
			}
		}
		d.at[link.ID] = len(d.order)
		d.order, d.raws = append(d.order, link), append(d.raws, raw)
	}
	for _, s := range seals {
		if _, ok := d.at[s.Head.ID]; !ok {
			return undo(fmt.Errorf("seal of entry %d %s of replica %s, which is not here", s.Head.Seq, s.Head.ID, s.Replica))
		}
		d.seals[sealKey{s.Replica, s.Head}] = s
	}
	return nil
}

// copy returns a disk with what is committed on this one.
func (d *disk) copy() *disk {
	return &disk{
		order: slices.Clone(d.order), raws: slices.Clone(d.raws),
		at: maps.Clone(d.at), seals: maps.Clone(d.seals), blobs: shelf{maps.Clone(d.blobs.whole), maps.Clone(d.blobs.parts)},
	}
}

// read folds what is on the disk.
func (d *disk) read() (*model.Logbook, error) {
	l := model.NewLogbook()
	for _, raw := range d.raws {
		if _, err := l.Add(raw); err != nil {
			return nil, err
		}
	}
	for _, s := range d.sorted() {
		if err := l.AddSeal(s); err != nil {
			return nil, fmt.Errorf("a seal that was stored: %w", err)
		}
	}
	return l, nil
}

func (d *disk) sorted() []model.Seal {
	return slices.SortedFunc(maps.Values(d.seals), func(a, b model.Seal) int {
		if c := slices.Compare(a.Replica[:], b.Replica[:]); c != 0 {
			return c
		}
		return a.Head.Compare(b.Head)
	})
}

// thin leaves the seals that a fold of the disk finds worth storing.
func (d *disk) thin(l *model.Logbook) {
	clear(d.seals)
	for replica := range l.Vector() {
		for _, s := range l.Seals(replica) {
			d.seals[sealKey{s.Replica, s.Head}] = s
		}
	}
}
