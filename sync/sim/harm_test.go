package sim_test

import (
	"bytes"
	"maps"
	"time"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"
)

// weight is how often, in 1,000 occasions, a fault strikes that has an occasion:
// a write, a connection.
func (f fault) weight() int {
	switch f {
	case fullDisk, crashBefore, crashAfter, wrongVersion:
		return 20
	case otherVersion, badSecret:
		return 50
	case unknownKind:
		return 300
	case largeCommit:
		return 1
	}
	panic("a fault that strikes by itself")
}

// some returns one of d's connections to which frames are on their way, or nil.
func (w *world) some(d *device) *end {
	for _, e := range d.live() {
		if len(e.in) > 0 {
			return e
		}
	}
	return nil
}

// meddled notes that a connection did not carry what was sent.
func meddled(e *end) { e.quiet, e.peer.quiet = false, false }

func (w *world) cut(d *device) {
	if live := d.live(); len(live) > 0 {
		w.faults[cutLink]++
		w.part(live[w.rng.IntN(len(live))])
	}
}

// stop ends a connection in order: at once, or when all is exchanged. It is no
// harm.
func (w *world) stop(d *device) {
	live := d.live()
	if len(live) == 0 {
		return
	}
	e := live[w.rng.IntN(len(live))]
	if w.rng.IntN(2) == 0 {
		e.finishes = false
		w.step(e, session.Stop{Code: wire.CodeStopped, Text: "the lid is closed"})
		return
	}
	w.end(e)
}

// end asks a session to end when all is exchanged.
func (w *world) end(e *end) {
	e.finishes, e.theirs = true, len(e.peer.dev.disk.order)
	w.step(e, session.Finish{})
}

func (w *world) cutInBatch(d *device) {
	for _, e := range d.live() {
		for i, frame := range e.in {
			if !isEntries(frame) {
				continue
			}
			w.faults[cutMidBatch]++
			for range i {
				w.deliver(e)
			}
			if !e.done {
				w.part(e)
			}
			return
		}
	}
}

func (w *world) lose(d *device) {
	if e := w.some(d); e != nil {
		w.faults[dropFrame]++
		meddled(e)
		e.in = e.in[1:]
	}
}

func (w *world) repeat(d *device) {
	if e := w.some(d); e != nil {
		w.faults[repeatFrame]++
		meddled(e)
		e.in = append([][]byte{e.in[0]}, e.in...)
	}
}

func (w *world) corrupt(d *device) {
	if e := w.some(d); e != nil && len(e.in[0]) > 0 {
		w.faults[corruptFrame]++
		meddled(e)
		e.in[0] = bytes.Clone(e.in[0])
		e.in[0][w.rng.IntN(len(e.in[0]))] ^= 1 << w.rng.IntN(8)
	}
}

func (w *world) bringLate(d *device) {
	for i, l := range w.late {
		for _, e := range d.live() {
			if l.to == d && e.peer.dev == l.from {
				w.faults[lateFrame]++
				meddled(e)
				e.in = append(e.in, l.frame)
				w.late = append(w.late[:i:i], w.late[i+1:]...)
				return
			}
		}
	}
}

func (w *world) stall(d *device) {
	if e := w.some(d); e != nil {
		w.faults[stallLink]++
		e.stalled = 20 + w.rng.IntN(100)
	}
}

func (w *world) sendStrange(d *device) {
	if e := w.some(d); e != nil {
		w.faults[strangeFrame]++
		odd := w.rng.IntN(2) == 0
		if odd {
			meddled(e)
		}
		e.in = append(e.in, strange(odd))
	}
}

func (w *world) jump(d *device) {
	w.faults[clockJump]++
	d.skew += time.Duration(w.rng.IntN(6*24*3600)-3*24*3600) * time.Second
}

func (w *world) crashNow(d *device) {
	w.faults[crashIdle]++
	w.crash(d)
}

// crash takes from d all that is not on its disk. Of the writes that were not
// finished the first few may have come through. The other sides of its
// connections do not notice.
func (w *world) crash(d *device) {
	for _, e := range d.live() {
		e.done, e.in = true, nil
		w.sabotage.parted(e)
	}
	pending := d.disk.pending
	d.disk.pending = nil
	for i, c := range pending {
		if w.rng.IntN(2) == 0 {
			w.faults[unsyncedLoss] += len(pending) - i
			break
		}
		if w.sabotage.store(w, d, c) != nil {
			break // what comes before it was lost
		}
		w.faults[unsyncedKept]++
	}
	w.reopen(d)
}

// reopen folds what is on d's disk, as after a start, and looks whether it is
// all that d has told to have.
func (w *world) reopen(d *device) {
	fold, err := d.disk.read()
	w.check(err)
	d.fold = fold
	if w.rng.IntN(3) == 0 {
		d.disk.thin(fold)
	}
	w.keepsWord(d)
}

// clone puts a copy of d beside it that goes on under the same name.
func (w *world) clone(d *device) {
	if len(w.devices) == maxDevices || w.doubles == maxDoubles {
		return
	}
	w.faults[cloneDevice]++
	w.doubles++
	c := &device{
		n: len(w.devices), name: d.name, key: d.key, disk: d.disk.copy(), skew: d.skew,
		told: maps.Clone(d.told), cursors: map[int]model.Vector{},
	}
	w.devices = append(w.devices, c)
	w.reopen(c)
}

// setBack puts an old copy of its folder in place of what d has.
func (w *world) setBack(d *device, f fault) bool {
	if len(d.old) == 0 {
		return false
	}
	w.faults[f]++
	w.crash(d)
	old := d.old[w.rng.IntN(len(d.old))]
	for _, l := range d.disk.order {
		if _, ok := old.disk.at[l.ID]; !ok {
			w.written[l.ID].fell = true
		}
	}
	d.name, d.key, d.disk, d.told = old.name, old.key, old.disk.copy(), maps.Clone(old.told)
	d.renames = false // it knows nothing of that
	w.reopen(d)
	return true
}

// restoreNew sets d back by the rule: it takes a new name at once.
func (w *world) restoreNew(d *device) {
	if w.setBack(d, restoreNew) {
		w.rename(d)
	}
}

// restoreOld sets d back and lets it go on under its name, on numbers that it has
// used before.
func (w *world) restoreOld(d *device) {
	if w.doubles < maxDoubles && w.setBack(d, restoreOld) {
		w.doubles++
	}
}

// closeOne strikes off a device that d knows, at an entry that d has of it.
func (w *world) closeOne(d *device) {
	o := w.devices[w.rng.IntN(len(w.devices))]
	heads := d.fold.Vector()[o.name]
	if o == d || len(heads) == 0 {
		return
	}
	w.faults[closeDevice]++
	id := heads[w.rng.IntN(len(heads))].ID
	for range w.rng.IntN(3) { // what came after is doubted
		if before := w.written[id].Prev; before != (model.ID{}) {
			id = before
		}
	}
	w.write(d, []draft{{body: &model.ReplicaClose{At: w.when(d), Replica: o.name, Upto: id, Reason: "lost on the road"}}})
}
