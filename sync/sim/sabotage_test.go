package sim_test

import (
	"slices"

	"ampwright/model"
	"ampwright/sync/session"
)

// A sabotage is how a world breaks one rule on purpose; the zero sabotage breaks
// none. It sits around the core: in what the session is told of the log, in when
// the store answers, in what a fold reports.
type sabotage struct {
	name        string
	log         func(*world, *end, session.Log) session.Log
	line        func(*world, *device, model.ID) (model.Line, bool)
	ackEarly    bool // an Append is answered before it is stored
	dropUnknown bool // entries of unknown kinds are not stored
	remember    bool // what a peer once had is taken for what it has
	lazy        bool // no photo is fetched
}

// log is what the session at e sees of the logbook.
func (w *world) log(e *end) session.Log {
	if w.sabotage.log != nil {
		return w.sabotage.log(w, e, e.dev.fold)
	}
	return e.dev.fold
}

// line is what d reports of an entry.
func (w *world) line(d *device, id model.ID) (model.Line, bool) {
	if w.sabotage.line != nil {
		return w.sabotage.line(w, d, id)
	}
	return d.fold.Line(id)
}

// take receives an Append.
func (s *sabotage) take(w *world, e *end, c commit) {
	e.dev.disk.pending = append(e.dev.disk.pending, c)
	if s.ackEarly {
		w.grow(e.dev, c.raws, c.seals)
		w.step(e, session.Kept{Batch: c.batch})
	}
}

// store commits what came from another device and folds it in.
func (s *sabotage) store(w *world, d *device, c commit) error {
	if s.dropUnknown {
		c.raws, c.seals = d.disk.withoutUnknown(w, c)
	}
	if err := d.disk.commit(c.raws, c.seals); err != nil {
		return err
	}
	if !s.ackEarly {
		w.grow(d, c.raws, c.seals)
	}
	return nil
}

// withoutUnknown leaves out entries of unknown kinds, and what the disk would
// not take without them.
func (d *disk) withoutUnknown(w *world, c commit) (raws [][]byte, seals []model.Seal) {
	taken := map[model.ID]bool{}
	has := func(id model.ID) bool { _, ok := d.at[id]; return ok || taken[id] }
	for _, raw := range c.raws {
		r := w.written[model.IDOf(raw)]
		if r.known && (r.Seq == 1 || has(r.Prev)) {
			raws, taken[r.ID] = append(raws, raw), true
		}
	}
	for _, s := range c.seals {
		if has(s.Head.ID) {
			seals = append(seals, s)
		}
	}
	return raws, seals
}

// parted notes, when a connection ends, what the other side had.
func (s *sabotage) parted(e *end) {
	if s.remember {
		e.dev.cursors[e.peer.dev.n] = join(e.dev.cursors[e.peer.dev.n], e.s.Peer().Vector)
	}
}

func join(a, b model.Vector) model.Vector {
	both := model.Vector{}
	for _, v := range []model.Vector{a, b} {
		for replica, heads := range v {
			for _, h := range heads {
				if !slices.Contains(both[replica], h) {
					both[replica] = append(both[replica], h)
				}
			}
		}
	}
	return both
}
