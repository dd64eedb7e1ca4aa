package sim_test

import (
	"crypto/ed25519"
	"fmt"

	"ampwright/model"

	"github.com/google/uuid"
)

// A record is an entry that was once written, as the world remembers it.
type record struct {
	model.Link
	raw    []byte
	over   []model.ID
	kind   string
	field  string // of a set
	known  bool   // kind and fields are ones this program knows
	stored bool   // its writer was told that it is stored
	fell   bool   // a device that had it was set back behind it
}

// newKind is a kind from a newer version.
const newKind = "forecast"

// builds are the two that all devices write about.
var builds = []uuid.UUID{{1, 6: 0x40, 8: 0x80}, {2, 6: 0x40, 8: 0x80}}

// A draft is an entry before it has a number.
type draft struct {
	build uuid.UUID
	over  []model.ID
	must  bool
	body  model.Body
}

// drafts makes up what the person at d writes next.
func (w *world) drafts(d *device) []draft {
	if w.hit(largeCommit) {
		if w.rng.IntN(2) == 0 { // more bytes than one frame or one seal takes
			return w.large(d, 100+w.rng.IntN(80), 3000)
		}
		return w.large(d, model.SealEntries+w.rng.IntN(80), 1)
	}
	list := make([]draft, 0, 3)
	for range 1 + w.rng.IntN(3)*w.rng.IntN(2) {
		list = append(list, w.draft(d))
	}
	return list
}

// large makes up n notes of some size.
func (w *world) large(d *device, n, size int) []draft {
	list := make([]draft, n)
	for i := range list {
		text := make([]byte, size)
		for j := range text {
			text[j] = '!' + byte(w.rng.IntN(94)) // does not deflate well
		}
		list[i] = draft{build: builds[0], body: &model.Note{At: w.when(d), Text: string(text)}}
	}
	return list
}

func (w *world) when(d *device) model.When { return model.When{Unix: w.clock(d).Unix()} }

func (w *world) draft(d *device) draft {
	dr := draft{build: builds[w.rng.IntN(2)]}
	at := w.when(d)
	switch n := w.rng.IntN(20); {
	case n < 9:
		return w.set(d)
	case n < 12: // strike something out, sometimes a strike
		if r := w.seen(d); r != nil {
			return draft{build: r.Build, over: []model.ID{r.ID}, body: &model.Strike{At: at, Reason: "twice"}}
		}
	case n < 14: // correct a fact
		if r := w.seen(d); r != nil && r.kind == "work" {
			return draft{build: r.Build, over: []model.ID{r.ID}, body: &model.Work{At: at, Task: "frame", Minutes: 7}}
		}
	}
	if w.hit(unknownKind) {
		// Kinds and fields from a newer version: {1: 2, 40: h'07'}.
		dr.body = &model.Unknown{Name: []string{newKind, "work"}[w.rng.IntN(2)], CBOR: "\xa2\x01\x02\x18\x28\x41\x07"}
		dr.must = w.rng.IntN(2) == 0
		return dr
	}
	if w.rng.IntN(10) == 0 {
		return w.picture(d, dr)
	}
	dr.body = &model.Work{At: at, Task: "wire", Minutes: int64(1 + w.rng.IntN(90))}
	return dr
}

// set writes a field, in place of all that d sees in it.
func (w *world) set(d *device) draft {
	s := &model.Set{
		At: w.when(d), What: "task", Key: []string{"loom", "mount"}[w.rng.IntN(2)], Field: "estimate",
		Value: fmt.Sprint(1 + w.rng.IntN(9)),
	}
	dr := draft{build: builds[w.rng.IntN(2)], body: s}
	for _, r := range w.fields[fieldOf(dr.build, s)] {
		if ln, ok := d.fold.Line(r.ID); ok && !ln.Struck && !ln.Replaced && !ln.Held && len(dr.over) < 16 {
			dr.over = append(dr.over, r.ID)
		}
	}
	if r := w.seen(d); r != nil && len(dr.over) < 16 && w.rng.IntN(10) == 0 {
		dr.over = append(dr.over, r.ID) // names what it cannot replace: another field, kind or build, or twice
	}
	return dr
}

func fieldOf(build uuid.UUID, s *model.Set) string {
	return fmt.Sprint(build[0], s.What, s.Key, s.Field)
}

// seen returns an entry about a build that d has, or nil.
func (w *world) seen(d *device) *record {
	if len(d.disk.order) == 0 {
		return nil
	}
	r := w.written[d.disk.order[w.rng.IntN(len(d.disk.order))].ID]
	if r.Build == uuid.Nil || !d.fold.Has(r.ID) {
		return nil
	}
	return r
}

// note remembers an entry that was encoded.
func (w *world) note(e *model.Entry, raw []byte) {
	r := &record{
		Link: model.Link{Replica: e.Replica, Seq: e.Seq, Prev: e.Prev, ID: e.ID, Build: e.Build},
		raw:  raw, over: e.Over, kind: e.Kind(),
	}
	_, unknown := e.Body.(*model.Unknown)
	r.known = !unknown
	if s, ok := e.Body.(*model.Set); ok {
		r.field = fieldOf(e.Build, s)
		w.fields[r.field] = append(w.fields[r.field], r)
	}
	w.written[e.ID] = r
	w.all = append(w.all, r)
}

// write lets d write down drafts as one commit: stored, then told to its person
// and to the other devices. It may go wrong half way.
func (w *world) write(d *device, drafts []draft) {
	if d.renames {
		w.rename(d)
	}
	pen, err := d.fold.Pen(d.name)
	if err != nil { // two ends: this name is used twice
		w.rename(d)
		pen, err = d.fold.Pen(d.name)
		w.check(err)
	}
	if pen.Head.Seq == 0 {
		drafts = append([]draft{w.opening(d)}, drafts...)
	}
	raws := make([][]byte, 0, len(drafts))
	for _, dr := range drafts {
		stamp := pen.High.Next(w.clock(d))
		e := model.Entry{
			Replica: d.name, Seq: pen.Head.Seq + 1, Prev: pen.Head.ID, Build: dr.build,
			Stamp: stamp, Over: dr.over, Must: dr.must, Body: dr.body,
		}
		raw, err := e.Encode()
		w.check(err)
		raws = append(raws, raw)
		w.note(&e, raw)
		pen.Head, pen.High = model.Head{Seq: e.Seq, ID: e.ID}, stamp
	}
	seals, err := model.SealCommit(raws, d.sign)
	w.check(err)
	switch {
	case w.hit(fullDisk):
		return // the person is told that nothing was saved
	case w.hit(crashBefore):
		w.crash(d)
		return
	}
	w.check(d.disk.commit(raws, seals))
	if w.hit(crashAfter) {
		w.crash(d)
		return
	}
	w.grow(d, raws, seals)
	for _, raw := range raws {
		id := model.IDOf(raw)
		w.written[id].stored = true
		d.told[id] = true
	}
	for _, e := range d.live() {
		w.step(e, grew)
	}
}

// grow folds in what was committed.
func (w *world) grow(d *device, raws [][]byte, seals []model.Seal) {
	for _, raw := range raws {
		_, err := d.fold.Add(raw)
		w.check(err)
	}
	for _, s := range seals {
		w.check(d.fold.AddSeal(s))
	}
}

// rename gives d a new name and key and opens its chain. Connections under the
// old name end.
func (w *world) rename(d *device) {
	w.renames++
	w.drop(d)
	d.renames, d.was = false, d.name
	old := d.key
	d.name, d.key = w.newName()
	d.vouch = model.Vouch(d.was, old, d.name, d.key.Public().(ed25519.PublicKey))
	w.opened(d)
}

// opened reports whether d's chain is open, and opens it if it is not.
func (w *world) opened(d *device) bool {
	if _, ok := d.fold.KeyOf(d.name); !ok {
		w.write(d, nil)
		_, ok = d.fold.KeyOf(d.name)
		return ok
	}
	return true
}

// opening is the first entry of d's chain.
func (w *world) opening(d *device) draft {
	return draft{body: &model.Replica{
		Key: d.key.Public().(ed25519.PublicKey), Device: fmt.Sprintf("device %d", d.n), Person: "Robin", Was: d.was, Vouch: d.vouch,
	}}
}
