package session_test

import (
	"crypto/ed25519"
	"crypto/sha256"
	"fmt"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var (
	start  = time.Date(2026, 9, 5, 18, 0, 0, 0, time.UTC)
	secret = []byte("a secret of an invitation")
)

// A device is a replica and one side of a connection: what is stored is folded in
// at once.
type device struct {
	t       *testing.T
	name    uuid.UUID
	key     ed25519.PrivateKey
	log     *model.Logbook
	recalls func(*model.Logbook) session.Log // what it takes its log for; nil for what it is
	cfg     session.Config
	session *session.Session
	out     [][]byte // frames not yet delivered
	effects []session.Effect
	fail    error          // of the next Append
	slow    bool           // Appends are not answered at once
	hold    bool           // parts of blobs are not stored
	asked   []session.Kept // answers that are due
	blobs   map[wire.Hash][]byte
	clock   time.Duration // ahead
}

func newDevice(t *testing.T, nth byte) *device {
	seed := sha256.Sum256([]byte{nth})
	d := &device{t: t, name: uuid.UUID{nth, 15: 1}, key: ed25519.NewKeyFromSeed(seed[:]), log: model.NewLogbook(), blobs: map[wire.Hash][]byte{}}
	d.cfg = session.Config{
		Replica: d.name, Key: d.key.Public().(ed25519.PublicKey), Sign: d.sign,
		Nonce: sha256.Sum256([]byte{nth, 1}), Program: fmt.Sprintf("device %d", nth),
	}
	d.write(&model.Replica{Key: d.cfg.Key, Device: d.cfg.Program, Person: "Robin"})
	return d
}

func (d *device) sign(m []byte) []byte { return ed25519.Sign(d.key, m) }

// write commits entries of this device.
func (d *device) write(bodies ...model.Body) {
	pen, err := d.log.Pen(d.name)
	require.NoError(d.t, err)
	d.commit(&pen, bodies...)
}

func (d *device) commit(pen *model.Pen, bodies ...model.Body) {
	var drafts []model.Draft
	for _, b := range bodies {
		drafts = append(drafts, model.Draft{Body: b})
	}
	raws, err := pen.Write(drafts, model.StampAt(start))
	require.NoError(d.t, err)
	seals, err := model.SealCommit(raws, d.sign)
	require.NoError(d.t, err)
	d.keep(raws, seals)
}

func (d *device) keep(raws [][]byte, seals []model.Seal) {
	for _, raw := range raws {
		_, err := d.log.Add(raw)
		require.NoError(d.t, err)
	}
	for _, s := range seals {
		require.NoError(d.t, d.log.AddSeal(s))
	}
}

func (d *device) notes(text string, n int) {
	for i := range n {
		d.write(&model.Note{Text: fmt.Sprint(text, i)})
	}
}

// copy returns a device with the same name, key and contents.
func (d *device) copy() *device {
	c := *d
	c.log = model.NewLogbook()
	require.NoError(d.t, d.log.All(func(raw []byte) error {
		_, err := c.log.Add(raw)
		return err
	}))
	for r := range d.log.Vector() {
		for _, s := range d.log.Seals(r) {
			require.NoError(d.t, c.log.AddSeal(s))
		}
	}
	c.cfg.Sign = c.sign
	c.cfg.Nonce[0]++
	return &c
}

// step does an event and what it asks for.
func (d *device) step(now time.Time, ev session.Event) {
	var log session.Log = d.log
	if d.recalls != nil {
		log = d.recalls(d.log)
	}
	for _, e := range d.session.Step(now.Add(d.clock), log, ev) {
		d.effects = append(d.effects, e)
		switch e := e.(type) {
		case session.Send:
			require.LessOrEqual(d.t, len(e.Frame), wire.MaxFrame)
			d.out = append(d.out, e.Frame)
		case session.Append:
			k := session.Kept{Batch: e.Batch, Err: d.fail}
			if d.fail == nil {
				d.keep(e.Raws, e.Seals)
			}
			d.asked = append(d.asked, k)
		case session.ReadBlob:
			b := d.blobs[e.Hash]
			part := b[min(e.Offset, int64(len(b))):min(e.Offset+int64(e.Max), int64(len(b)))]
			d.step(now, session.BlobRead{Bytes: part, Size: int64(len(b))})
		case session.WriteBlob:
			if d.hold {
				continue
			}
			require.Equal(d.t, e.Offset, int64(len(d.blobs[e.Hash])))
			d.blobs[e.Hash] = append(d.blobs[e.Hash], e.Bytes...)
			k := session.BlobKept{Hash: e.Hash}
			if sum := sha256.Sum256(d.blobs[e.Hash]); e.Last && sum != e.Hash {
				k.Err = fmt.Errorf("another hash")
			}
			d.step(now, k)
		}
	}
	for !d.slow && len(d.asked) > 0 {
		k := d.asked[0]
		d.asked = d.asked[1:]
		d.step(now, k)
	}
}

// A pair is two devices on one connection.
type pair struct {
	t    *testing.T
	a, b *device // a has dialled
	now  time.Time
	sent []wire.Message // all that was delivered
	log  func(from *device, frame []byte)
}

func dial(t *testing.T, a, b *device) *pair {
	p := &pair{t: t, a: a, b: b, now: start}
	p.open()
	return p
}

func (p *pair) open() {
	a, b, t := p.a, p.b, p.t
	for _, d := range []*device{a, b} {
		d.cfg.Dials = d == a
		d.out, d.effects, d.asked = nil, nil, nil
		var err error
		d.session, err = session.New(d.cfg)
		require.NoError(t, err)
	}
	b.step(p.now, session.Opened{})
	a.step(p.now, session.Opened{})
	p.run()
}

// run delivers frames until none is left.
func (p *pair) run() {
	for len(p.a.out)+len(p.b.out) > 0 {
		p.deliver(p.a, p.b)
		p.deliver(p.b, p.a)
	}
}

func (p *pair) deliver(from, to *device) {
	if len(from.out) == 0 {
		return
	}
	frame := from.out[0]
	from.out = from.out[1:]
	if p.log != nil {
		p.log(from, frame)
	}
	if m, err := wire.Decode(frame); err == nil {
		p.sent = append(p.sent, m)
	}
	to.step(p.now, session.Frame{Bytes: frame})
}

// pass lets time go by, with ticks when they are due.
func (p *pair) pass(d time.Duration) {
	for end := p.now.Add(d); p.now.Before(end); p.now = p.now.Add(time.Second) {
		for _, x := range []*device{p.a, p.b} {
			if next := x.session.Next(); !next.IsZero() && !next.After(p.now.Add(x.clock)) {
				x.step(p.now, session.Tick{})
			}
		}
		p.run()
	}
}

func (p *pair) grew(d *device) {
	d.step(p.now, session.Grew{})
	p.run()
}

// requireSame requires that both sides hold the same and know it of each other.
func (p *pair) requireSame() {
	p.t.Helper()
	require.Equal(p.t, p.a.log.Vector(), p.b.log.Vector())
	require.Equal(p.t, p.a.log.Digest(), p.b.log.Digest())
	require.Equal(p.t, p.a.log.Vector(), p.a.session.Peer().Vector)
	require.Equal(p.t, p.a.log.Vector(), p.b.session.Peer().Vector)
	require.Zero(p.t, p.a.session.Peer().InFlight+p.b.session.Peer().InFlight)
}

// invited lets two devices meet for the first time.
func invited(devices ...*device) {
	for _, d := range devices {
		d.cfg.Secret = secret
	}
}

// of returns the effects of one type.
func of[E session.Effect](d *device) (found []E) {
	for _, e := range d.effects {
		if e, ok := e.(E); ok {
			found = append(found, e)
		}
	}
	return found
}

// sent returns the messages of one type that were delivered.
func sent[M wire.Message](p *pair) (found []M) {
	for _, m := range p.sent {
		if m, ok := m.(M); ok {
			found = append(found, m)
		}
	}
	return found
}

// ended returns how the session of a device ended.
func ended(d *device) session.End {
	ends := of[session.End](d)
	require.Len(d.t, ends, 1)
	require.Equal(d.t, ends[0], d.effects[len(d.effects)-1])
	return ends[0]
}
