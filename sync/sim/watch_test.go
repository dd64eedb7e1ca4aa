package sim_test

import (
	"ampwright/model"
	"ampwright/sync/wire"
)

// bounded is I6: what is on its way to one side is within the credit it gave.
func (w *world) bounded(e *end, size int) {
	if !e.quiet {
		return
	}
	for _, frame := range e.peer.in {
		if isEntries(frame) {
			size += len(frame)
		}
	}
	if size > e.peer.credit {
		w.fail("%d bytes of entries are on their way to device %d, which takes %d", size, e.peer.dev.n, e.peer.credit)
	}
}

// sentOnce sees to it that a connection carries no entry twice, unless one could
// not be stored.
func (w *world) sentOnce(e *end, frame []byte) {
	if !w.strict || !e.quiet || e.peer.failed {
		return
	}
	m, err := wire.Decode(frame)
	w.check(err)
	for _, p := range m.(*wire.Entries).Portions {
		for _, raw := range p.Raws {
			id := model.IDOf(raw)
			if e.sent[id] {
				w.fail("device %d sends entry %d of replica %s twice to device %d", e.dev.n, w.written[id].Seq, w.written[id].Replica, e.peer.dev.n)
			}
			e.sent[id] = true
		}
	}
}

// tells notes that d has said to have head h and all below it.
func (w *world) tells(d *device, h model.Head) {
	for id := h.ID; id != (model.ID{}) && !d.told[id]; {
		r := w.written[id]
		if r == nil {
			w.fail("device %d says to have entry %d %s, which nobody wrote", d.n, h.Seq, id)
		}
		if _, ok := d.disk.at[id]; !ok {
			w.fail("device %d says to have entry %d of replica %s, which is not on its disk", d.n, r.Seq, r.Replica)
		}
		d.told[id] = true
		id = r.Prev
	}
}

// believes looks whether what a session takes the other side to have is there.
func (w *world) believes(e *end) {
	if e.done || e.peer.done || !e.quiet {
		return
	}
	for replica, heads := range e.s.Peer().Vector {
		for _, h := range heads {
			if _, ok := e.peer.dev.disk.at[h.ID]; !ok {
				w.fail("device %d takes device %d to have entry %d of replica %s, which is not on its disk", e.dev.n, e.peer.dev.n, h.Seq, replica)
			}
		}
	}
}

// keepsWord is invariant I2.
func (w *world) keepsWord(d *device) {
	for id := range d.told {
		if _, ok := d.disk.at[id]; !ok {
			r := w.written[id]
			w.fail("device %d no longer has entry %d of replica %s, which it had said to have", d.n, r.Seq, r.Replica)
		}
	}
}

// finished sees to it that a connection that was to end when all is exchanged
// has done so: the other side has all that this one has, and this one what the
// other had when the end was asked for.
func (w *world) finished(e *end) {
	if !e.finishes || !e.quiet || e.failed || e.peer.failed || e.peer.done {
		return
	}
	w.ends++
	for _, l := range e.dev.disk.order {
		if _, ok := e.peer.dev.disk.at[l.ID]; !ok {
			w.fail("device %d ends a connection as done and device %d lacks entry %d of replica %s", e.dev.n, e.peer.dev.n, l.Seq, l.Replica)
		}
	}
	for _, l := range e.peer.dev.disk.order[:e.theirs] {
		if _, ok := e.dev.disk.at[l.ID]; !ok {
			w.fail("device %d ends a connection as done and lacks entry %d of replica %s, which device %d had", e.dev.n, l.Seq, l.Replica, e.peer.dev.n)
		}
	}
}
