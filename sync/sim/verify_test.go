package sim_test

import (
	"bytes"

	"ampwright/model"
)

// union returns what is on any disk.
func (w *world) union() map[model.ID]bool {
	all := map[model.ID]bool{}
	for _, d := range w.devices {
		for id := range d.disk.at {
			all[id] = true
		}
	}
	return all
}

// verify looks at the invariants that hold once all have met.
func (w *world) verify() {
	w.sameEverywhere()
	w.nothingLost()
	w.sameBlobs()
	for _, d := range w.devices {
		w.keepsWord(d)
		w.noHoles(d)
		w.reports(d)
	}
	w.anyOrder(w.devices[w.rng.IntN(len(w.devices))])
}

// sameEverywhere is I1.
func (w *world) sameEverywhere() {
	first := w.devices[0]
	for _, d := range w.devices {
		if d.fold.Len() != len(d.disk.order) {
			w.fail("device %d folds %d entries and has stored %d", d.n, d.fold.Len(), len(d.disk.order))
		}
		for id := range first.disk.at {
			if _, ok := d.disk.at[id]; !ok || !d.fold.Has(id) {
				w.fail("device %d lacks an entry that device %d has: %s", d.n, first.n, w.differ())
			}
		}
		if d.fold.Digest() != first.fold.Digest() {
			w.fail("devices %d and %d have the same entries and digests %v, %v", d.n, first.n, d.fold.Digest(), first.fold.Digest())
		}
	}
}

// nothingLost is the first half of I5: what a device has told to have, and was
// not set back behind, all have; what is nowhere fell with a device.
func (w *world) nothingLost() {
	union := w.union()
	for _, d := range w.devices {
		for id := range d.told {
			if !union[id] {
				w.fail("entry %d of replica %s is gone, and device %d had said to have it", w.written[id].Seq, w.written[id].Replica, d.n)
			}
		}
	}
	for _, r := range w.all {
		w.entries++
		if union[r.ID] || !r.stored {
			continue
		}
		if w.lost++; !r.fell {
			w.fail("entry %d of replica %s is gone, and no device that had it was set back", r.Seq, r.Replica)
		}
	}
}

// noHoles is I4.
func (w *world) noHoles(d *device) {
	seen := map[model.ID]bool{{}: true}
	for i, l := range d.disk.order {
		if !seen[l.Prev] {
			w.fail("device %d has entry %d of replica %s and not the one before it", d.n, l.Seq, l.Replica)
		}
		if seen[l.ID] = true; !bytes.Equal(d.disk.raws[i], w.written[l.ID].raw) {
			w.fail("device %d has entry %s in other bytes", d.n, l.ID)
		}
	}
}

// reports is the second half of I5: the standing of each entry, by the
// definition, over the whole set. What is held is the fold's word for it.
func (w *world) reports(d *device) {
	heldBack := map[model.ID]bool{}
	namers := map[model.ID][]*record{}
	for _, l := range d.disk.order {
		r := w.written[l.ID]
		if ln, ok := d.fold.Line(l.ID); ok && ln.Held {
			heldBack[l.ID] = true
		}
		for _, id := range r.over {
			namers[id] = append(namers[id], r)
		}
	}
	var struck func(*record) bool
	struck = func(r *record) bool {
		for _, by := range namers[r.ID] {
			if by.kind == "strike" && by.Build == r.Build && !heldBack[by.ID] && !struck(by) {
				return true
			}
		}
		return false
	}
	heads := map[string]int{}
	for _, l := range d.disk.order {
		r := w.written[l.ID]
		ln, ok := w.line(d, l.ID)
		if !ok {
			w.fail("device %d does not report entry %d of replica %s", d.n, r.Seq, r.Replica)
		}
		replaced := false
		for _, by := range namers[r.ID] {
			replaced = replaced || by.kind == r.kind && r.kind != newKind && r.kind != "strike" && by.Build == r.Build &&
				by.field == r.field && !heldBack[by.ID] && !struck(by)
		}
		if ln.Struck != struck(r) || ln.Replaced != replaced {
			w.fail("device %d reports entry %d of replica %s (%s) struck %v, replaced %v; by the definition %v, %v",
				d.n, r.Seq, r.Replica, r.kind, ln.Struck, ln.Replaced, struck(r), replaced)
		}
		if d.n == 0 && ln.Held {
			w.held++
		}
		if d.n == 0 && r.field != "" && !ln.Struck && !ln.Replaced && !ln.Held {
			if heads[r.field]++; heads[r.field] == 2 {
				w.clashes++
			}
		}
	}
}

// anyOrder is I3 and I7.
func (w *world) anyOrder(d *device) {
	want := d.fold.Digest()
	n := len(d.disk.order)
	w.check(d.disk.commit(d.disk.raws, d.disk.sorted()))
	at := 0
	for at < n { // once more, in pieces
		to := min(n, at+1+w.rng.IntN(20))
		w.check(d.disk.commit(d.disk.raws[at:to], nil))
		w.grow(d, d.disk.raws[at:to], nil)
		at = to
	}
	if len(d.disk.order) != n || d.fold.Len() != n || d.fold.Digest() != want {
		w.fail("device %d has %d entries and digest %v; all given once more it has %d and %v", d.n, n, want, len(d.disk.order), d.fold.Digest())
	}
	again := model.NewLogbook()
	for _, i := range w.rng.Perm(n) {
		_, err := again.Add(d.disk.raws[i])
		w.check(err)
	}
	if again.Digest() != want {
		w.fail("device %d has digest %v, its entries in another order %v", d.n, want, again.Digest())
	}
	if !sameVector(again.Vector(), d.fold.Vector()) {
		w.fail("device %d has another vector when its entries come in another order", d.n)
	}
}
