package sim_test

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"time"

	"ampwright/model"
	"ampwright/sync/session"
)

// heal ends all harm and lets all devices meet until they have the same. In half
// of the runs, connections that carried what was sent go on, so that none may be
// stuck. In half of the runs, devices that are joined through others are not
// connected as well, so that all must be passed on.
func (w *world) heal() {
	w.calm = true
	keep := w.rng.IntN(2) == 0
	w.sparse = w.rng.IntN(2) == 0
	w.deadNoticed()
	for _, d := range w.devices {
		for _, e := range d.live() {
			e.stalled = 0
			if !keep || !e.quiet || e.peer.done || e.finishes || e.peer.finishes {
				w.part(e)
			}
		}
	}
	for round := 0; !w.meetAll(); round++ {
		if round == 8 {
			w.fail("not the same on all devices after %d rounds without harm: %s", round, w.differ())
		}
	}
	for range 2 {
		w.echo(w.devices[w.rng.IntN(len(w.devices))])
	}
	w.eachKnows()
	w.meetForBlobs()
	w.finishAll()
}

// deadNoticed sees to it that a connection whose other side is gone ends in a
// minute, whatever became of the clocks.
func (w *world) deadNoticed() {
	var dead []*end
	for _, d := range w.devices {
		for _, e := range slices.Clone(d.live()) {
			if e.peer.done {
				for len(e.in) > 0 {
					w.deliver(e)
				}
				dead = append(dead, e)
			}
		}
	}
	for _, after := range []time.Duration{time.Second, time.Minute} {
		w.now = w.now.Add(after)
		for _, e := range dead {
			w.step(e, session.Tick{})
		}
	}
	for _, e := range dead {
		if !e.done {
			w.fail("device %d has heard nothing from device %d for a minute and still waits, until %v; it is %v there",
				e.dev.n, e.peer.dev.n, e.s.Next(), w.clock(e.dev))
		}
	}
}

// meetAll connects the devices, goes on until nothing moves, and reports whether
// all have the same.
func (w *world) meetAll() bool {
	w.rest()
	for _, d := range w.devices {
		if d.renames {
			w.rename(d)
		}
	}
	for i, a := range w.devices {
		for _, b := range w.devices[:i] {
			if !connected(a, b) && !(w.sparse && joined(a, b)) {
				w.connect(a, b)
			}
		}
	}
	if w.settle(); w.quiet() {
		return true
	}
	w.compare()
	return w.quiet()
}

// compare lets time pass until all connections have compared what is on either
// side.
func (w *world) compare() {
	w.now = w.now.Add(40 * time.Second)
	for _, d := range w.devices {
		for _, e := range slices.Clone(d.live()) {
			w.step(e, session.Tick{})
		}
	}
	w.settle()
}

// eachKnows sees to it that in the end each side knows of the other that it has
// all.
func (w *world) eachKnows() {
	w.compare()
	for _, d := range w.devices {
		for _, e := range d.live() {
			if !e.peer.done && !sameVector(e.s.Peer().Vector, d.fold.Vector()) {
				w.fail("device %d knows of device %d that it has %v, and has %v itself", d.n, e.peer.dev.n, e.s.Peer().Vector, d.fold.Vector())
			}
		}
	}
}

// echo lets d write once more, and all must have it at once, each from those it
// is connected with.
func (w *world) echo(d *device) {
	for d.renames {
		w.meetAll()
	}
	drafts := []draft{w.set(d)}
	if w.rng.IntN(150) == 0 {
		for range 5 {
			drafts = append(drafts, w.large(d, 130, 3000)...)
		}
	}
	w.write(d, drafts)
	w.settle()
	pen, err := d.fold.Pen(d.name)
	w.check(err)
	for _, o := range w.devices {
		if !o.fold.Has(pen.Head.ID) {
			w.fail("device %d wrote entry %d, and device %d does not have it at once", d.n, pen.Head.Seq, o.n)
		}
	}
	for _, e := range d.live() {
		if !e.peer.done && !slices.Contains(e.s.Peer().Vector[d.name], pen.Head) {
			w.fail("device %d does not know that device %d has entry %d", d.n, e.peer.dev.n, pen.Head.Seq)
		}
	}
}

// rest finishes all writes.
func (w *world) rest() {
	for _, d := range w.devices {
		for len(d.disk.pending) > 0 {
			w.finish(d)
		}
	}
}

// finishAll ends all connections in order.
func (w *world) finishAll() {
	for _, d := range w.devices {
		for _, e := range slices.Clone(d.live()) {
			if e.dials {
				w.end(e)
			}
		}
	}
	w.settle()
	for _, d := range w.devices {
		for _, e := range d.live() {
			if !e.peer.done {
				w.fail("the connection of devices %d and %d was to end when all is exchanged and goes on", d.n, e.peer.dev.n)
			}
		}
	}
}

func connected(a, b *device) bool {
	for _, e := range a.live() {
		if e.peer.dev == b && !e.peer.done {
			return true
		}
	}
	return false
}

// joined reports whether a way leads from a to b over connections.
func joined(a, b *device) bool {
	seen := map[*device]bool{a: true}
	for open := []*device{a}; len(open) > 0; open = open[1:] {
		for _, e := range open[0].live() {
			if o := e.peer.dev; !e.peer.done && !seen[o] {
				seen[o] = true
				open = append(open, o)
			}
		}
	}
	return seen[b]
}

// settle moves frames and finishes writes until there are none.
func (w *world) settle() {
	for range 300 {
		w.rest()
		busy := false
		for _, d := range w.devices {
			for _, e := range slices.Clone(d.live()) {
				busy = busy || len(e.in) > 0
				for len(e.in) > 0 {
					w.deliver(e)
				}
				if e.closing {
					e.done = true
				}
			}
		}
		if !busy {
			return
		}
	}
	w.fail("frames without end")
}

// quiet reports whether all devices have the same and none must change its name.
func (w *world) quiet() bool {
	first := w.devices[0]
	for _, d := range w.devices {
		if d.renames || len(d.disk.order) != len(first.disk.order) || !sameVector(d.fold.Vector(), first.fold.Vector()) {
			return false
		}
	}
	return true
}

func sameVector(a, b model.Vector) bool { return maps.EqualFunc(a, b, slices.Equal[[]model.Head]) }

// differ says who lacks what.
func (w *world) differ() string {
	var b bytes.Buffer
	union := w.union()
	for _, d := range w.devices {
		missing := 0
		var first *record
		for _, r := range w.all {
			if _, ok := d.disk.at[r.ID]; !ok && union[r.ID] {
				if missing++; first == nil {
					first = r
				}
			}
		}
		fmt.Fprintf(&b, "device %d (%s) has %d and lacks %d", d.n, d.name, len(d.disk.order), missing)
		if first != nil {
			fmt.Fprintf(&b, ", first %d of replica %s", first.Seq, first.Replica)
		}
		if d.renames {
			fmt.Fprintf(&b, " and must take a new name")
		}
		b.WriteString("; ")
	}
	return b.String()
}
