package sim_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"time"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
)

// maxFrame is the largest frame that may travel.
const maxFrame = 256 << 10

var (
	grew    = session.Grew{}
	errFull = errors.New("disk full")
)

// A lateNote is a frame of a connection that has ended.
type lateNote struct {
	from, to *device
	frame    []byte
}

// meet connects d with another device.
func (w *world) meet(d *device) {
	o := w.devices[w.rng.IntN(len(w.devices))]
	if o == d {
		return
	}
	for _, e := range d.live() {
		if e.peer.dev == o && !e.peer.done && w.rng.IntN(10) > 0 {
			return // one in ten dials again before the old connection is known to be dead
		}
	}
	w.connect(d, o)
}

// connect opens a connection that a dials.
func (w *world) connect(a, b *device) *end {
	if !w.opened(a) || !w.opened(b) {
		return nil
	}
	x := &end{dev: a, quiet: true, dials: true, sent: map[model.ID]bool{}}
	y := &end{dev: b, quiet: true, sent: map[model.ID]bool{}}
	x.peer, y.peer = y, x
	var xs, ys []byte
	if strangers := !knows(a, b) || !knows(b, a); strangers && !w.calm && introduced(a, b) && introduced(b, a) && w.rng.IntN(2) == 0 {
		w.introduced++ // their names before do
	} else if strangers { // their people pair them
		xs, ys = w.secret, w.secret
		if w.hit(badSecret) {
			x.barred, y.barred = true, true
			ys = []byte("fedcba9876543210")
		}
	}
	if xs == nil && w.hit(otherVersion) { // without a secret: see signs
		x.greets = &greeting{versions: []int64{1, 2, 3}}
	} else if w.hit(wrongVersion) {
		x.greets = &greeting{versions: []int64{2}}
		x.quiet, y.quiet = false, false
	}
	y.greets = x.greets
	x.s, y.s = w.session(x, true, xs), w.session(y, false, ys)
	a.ends, b.ends = append(a.ends, x), append(b.ends, y)
	w.step(x, session.Opened{})
	w.step(y, session.Opened{})
	return x
}

// introduced reports whether a lets b in for its own name or the one it continues.
func introduced(a, b *device) bool {
	_, err := a.fold.Introduced(b.name, b.key.Public().(ed25519.PublicKey), b.fold.Vouchers(b.name))
	return knows(a, b) || err == nil
}

func knows(a, b *device) bool {
	key, ok := a.fold.KeyOf(b.name)
	return ok && key.Equal(b.key.Public())
}

func (w *world) session(e *end, dials bool, secret []byte) *session.Session {
	d := e.dev
	e.credit = 512<<10 + w.rng.IntN(512<<10)
	cfg := session.Config{
		Replica: d.name, Key: d.key.Public().(ed25519.PublicKey), Sign: e.signs, Dials: dials, Secret: secret,
		Program: fmt.Sprintf("sim %d", d.n), Credit: e.credit,
		Admit: func(p session.Peer) error {
			if _, closed := d.fold.Closed(p.Replica); closed {
				return fmt.Errorf("replica %s was struck off", p.Replica)
			}
			return nil
		},
	}
	for i := 0; i < len(cfg.Nonce); i += 8 {
		binary.BigEndian.PutUint64(cfg.Nonce[i:], w.rng.Uint64())
	}
	s, err := session.New(cfg)
	w.check(err)
	return s
}

// signs signs a statement. Its last 32 bytes are the hash of both greetings: a
// side that speaks other versions as well has sent another hello than its
// session knows, so here each side signs what the other has seen.
func (e *end) signs(message []byte) []byte {
	if g := e.greets; g != nil && len(message) > 32 && g.welcome != nil {
		hello := g.spoken
		if !e.dials {
			hello = g.hello
		}
		seen := sha256.Sum256(append(bytes.Clone(hello), g.welcome...))
		message = append(bytes.Clone(message[:len(message)-32]), seen[:]...)
	}
	return e.dev.sign(message)
}

// step gives an event to a session and does what it asks for.
func (w *world) step(e *end, ev session.Event) {
	if e.done {
		return
	}
	effects := e.s.Step(w.clock(e.dev), w.log(e), ev)
	met := false
	for _, effect := range effects {
		switch f := effect.(type) {
		case session.Send:
			w.send(e, f.Frame)
		case session.Append:
			w.sabotage.take(w, e, commit{f.Raws, f.Seals, e, f.Batch})
		case session.Rename:
			e.dev.renames = true
		case session.Met:
			if e.barred && !f.Peer.Known && f.Peer.Was == uuid.Nil {
				w.fail("device %d lets in one that is neither known nor invited", e.dev.n)
			}
			if _, closed := e.dev.fold.Closed(f.Peer.Replica); closed {
				w.fail("device %d lets in replica %s, which was struck off", e.dev.n, f.Peer.Replica)
			}
			if was := f.Peer.Was; was != uuid.Nil {
				if _, closed := e.dev.fold.Closed(was); closed || f.Peer.Known || f.Peer.Invited {
					w.fail("device %d lets in replica %s for %s: struck off %v", e.dev.n, f.Peer.Replica, was, closed)
				}
				w.vouched++
			}
			w.met++
			met = true
		case session.Diverged:
			if e.quiet {
				w.fail("devices %d and %d hold the same entries and differ: digests %x, %x", e.dev.n, e.peer.dev.n, f.Ours, f.Theirs)
			}
		case session.Refused:
			w.refused++
			if r := f.Held.Reason; e.quiet && r != wire.ReasonFull && !(r == wire.ReasonGap && (e.failed || e.peer.failed)) {
				w.fail("device %d: entries from %d of replica %s refused: %v, and nobody had meddled", e.dev.n, f.Held.Seq, f.Held.Replica, r)
			}
		case session.Progress, session.BlobThere, session.NoBlob:
		case session.ReadBlob:
			defer w.readBlob(e, f) // after all that the step asks for
		case session.WriteBlob:
			defer w.writeBlob(e, f)
		case session.End:
			w.over(e, f)
		default:
			w.fail("device %d: an effect that was not asked for: %T", e.dev.n, f)
		}
	}
	if len(effects) > 1000 {
		w.fail("one step makes %d effects", len(effects))
	}
	switch ev.(type) {
	case session.Kept, session.Grew:
		met = e.s.Peer().Vector != nil
	}
	if met {
		w.look(e)
	}
}

// over ends e. The other side learns of it when it has read all that was sent.
func (w *world) over(e *end, end session.End) {
	if end.Code == wire.CodeStopped && !end.Theirs {
		w.finished(e)
	}
	e.done = true
	e.peer.closing = true
	e.in = nil
	w.sabotage.parted(e)
	switch end.Code {
	case wire.CodeProtocol, wire.CodeVersion, wire.CodeKey, wire.CodeProof:
		if e.quiet && !e.barred {
			w.fail("connection of devices %d and %d ended with code %d (%s), and nobody had meddled", e.dev.n, e.peer.dev.n, end.Code, end.Text)
		}
	case wire.CodeRefused:
		if w.calm {
			for _, d := range []*device{e.dev, e.peer.dev} {
				d.renames = d.renames || w.closed(d)
			}
		}
	}
}

// closed reports whether d's name is struck off in the eyes of any device.
func (w *world) closed(d *device) bool {
	for _, o := range w.devices {
		if _, closed := o.fold.Closed(d.name); closed {
			return true
		}
	}
	return false
}

// send puts a frame on its way and notes what it claims.
func (w *world) send(e *end, frame []byte) {
	if len(frame) > maxFrame {
		w.fail("a frame of %d bytes, at most %d may travel", len(frame), maxFrame)
	}
	w.saw(e, frame)
	for _, h := range claims(frame) {
		w.tells(e.dev, h)
	}
	if isEntries(frame) {
		w.bounded(e, len(frame))
		w.sentOnce(e, frame)
	}
	if isKind(frame, ladderKind) {
		w.ladders++
	}
	if e.greets != nil {
		frame = e.greets.pass(frame)
	}
	if !e.peer.done {
		e.peer.in = append(e.peer.in, frame)
	}
}

// move delivers up to n frames on one connection.
func (w *world) move(n int) {
	var ends []*end
	for _, d := range w.devices {
		for _, e := range d.live() {
			switch {
			case e.stalled > 0:
				e.stalled--
			case len(e.in) > 0:
				ends = append(ends, e)
			case e.closing:
				e.done = true
			}
		}
	}
	if len(ends) == 0 {
		return
	}
	e := ends[w.rng.IntN(len(ends))]
	for range n {
		w.deliver(e)
	}
}

func (w *world) deliver(e *end) {
	if e.done || len(e.in) == 0 {
		return
	}
	frame := e.in[0]
	e.in = e.in[1:]
	w.step(e, session.Frame{Bytes: frame})
	w.believes(e)
}

// pass lets time go by and tells one session of d.
func (w *world) pass(d *device) {
	w.now = w.now.Add(time.Duration(w.rng.IntN(20_000)) * time.Millisecond)
	if live := d.live(); len(live) > 0 {
		w.step(live[w.rng.IntN(len(live))], session.Tick{})
	}
}

// part cuts a connection: what is on its way may turn up in a later one.
func (w *world) part(e *end) {
	for _, x := range []*end{e, e.peer} {
		for _, frame := range x.in {
			w.late = append(w.late, lateNote{x.peer.dev, x.dev, frame})
		}
		x.done, x.in = true, nil
		w.sabotage.parted(x)
	}
	if n := len(w.late); n > 30 {
		w.late = w.late[n-30:]
	}
}

// drop cuts all connections of d.
func (w *world) drop(d *device) {
	for _, e := range d.live() {
		w.part(e)
	}
}

// finish lets the first write that d's disk works on come to its end.
func (w *world) finish(d *device) {
	if len(d.disk.pending) == 0 {
		return
	}
	c := d.disk.pending[0]
	d.disk.pending = d.disk.pending[1:]
	var err error
	if w.hit(fullDisk) {
		err = errFull
	} else {
		err = w.sabotage.store(w, d, c)
	}
	if err != nil {
		if !c.from.failed && err != errFull {
			w.fail("device %d stores a commit of device %d: %v", d.n, c.from.peer.dev.n, err)
		}
		c.from.failed = true
		w.step(c.from, session.Kept{Batch: c.batch, Err: err})
		return
	}
	w.stored++
	w.step(c.from, session.Kept{Batch: c.batch})
	for _, e := range d.live() {
		if e != c.from {
			w.step(e, grew)
		}
	}
}
