package link_test

import (
	"context"
	"crypto/ed25519"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"
	"ampwright/sync/link"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var secret = []byte("a secret of an invitation")

// A device is a replica with its book.
type device struct {
	t     *testing.T
	name  uuid.UUID
	key   ed25519.PrivateKey
	log   keep.Log
	book  *book.Book
	skew  time.Duration
	cfg   link.Config
	nonce byte
}

func keyOf(nth byte) ed25519.PrivateKey {
	seed := sha256.Sum256([]byte{nth})
	return ed25519.NewKeyFromSeed(seed[:])
}

func public(k ed25519.PrivateKey) ed25519.PublicKey { return k.Public().(ed25519.PublicKey) }

func newDevice(t *testing.T, nth byte) *device {
	d := &device{t: t, name: uuid.UUID{nth, 15: 1}, key: keyOf(nth), log: keep.NewMemory()}
	d.open()
	return d
}

func (d *device) now() time.Time { return time.Now().Add(d.skew) }

func (d *device) sign(m []byte) []byte { return ed25519.Sign(d.key, m) }

// renew takes a name that follows from the last.
func (d *device) renew(string) (uuid.UUID, []byte, error) {
	d.name[15]++
	d.key = keyOf(d.name[0] + 100*d.name[15])
	return d.name, public(d.key), nil
}

func (d *device) open() {
	var err error
	d.book, err = book.Open(d.log, book.Config{
		Replica: d.name, Key: public(d.key), Sign: d.sign, Renew: d.renew,
		Device: fmt.Sprintf("device %d", d.name[0]), Person: "Robin", Now: d.now, NewID: uuid.New, Plans: plan.Builtin,
	})
	require.NoError(d.t, err)
}

func (d *device) notes(n int) { d.note("drum brake", n) }

// note writes n notes in one commit.
func (d *device) note(text string, n int) {
	var drafts []model.Draft
	for i := range n {
		drafts = append(drafts, model.Draft{Body: &model.Note{Text: fmt.Sprint(text, " ", i)}})
	}
	_, err := d.book.Write(drafts)
	require.NoError(d.t, err)
}

// config returns what the device's next link needs.
func (d *device) config(dials bool) link.Config {
	d.nonce++
	cfg := d.cfg
	cfg.Session = session.Config{
		Replica: d.book.Replica(), Key: public(d.key), Sign: d.sign, Nonce: sha256.Sum256([]byte{d.name[0], d.nonce}),
		Program: "a test", Dials: dials, Secret: secret,
	}
	cfg.Book, cfg.Now, cfg.After, cfg.Rename = d.book, d.now, time.After, d.book.Become
	return cfg
}

func (d *device) read() (v model.Vector, digest uint64) {
	d.book.Read(func(l *model.Logbook) { v, digest = l.Vector(), l.Digest() })
	return v, digest
}

func requireSame(t *testing.T, a, b *device) {
	t.Helper()
	av, ad := a.read()
	bv, bd := b.read()
	require.Equal(t, av, bv)
	require.Equal(t, ad, bd)
}

// A pipe is one end of a connection in memory that takes any number of frames.
type pipe struct {
	in, out *frames
	limit   int // frames it writes before it breaks; 0 for no limit
	written int
	stuck   atomic.Pointer[chan struct{}] // not nil: writing waits for it
}

// hold makes the pipe's writing wait until release is called.
func (p *pipe) hold() (release func()) {
	c := make(chan struct{})
	p.stuck.Store(&c)
	return func() { close(c) }
}

type frames struct {
	mu     sync.Mutex
	more   *sync.Cond
	list   [][]byte
	closed bool
}

func newFrames() *frames {
	f := new(frames)
	f.more = sync.NewCond(&f.mu)
	return f
}

func newPipe() (a, b *pipe) {
	x, y := newFrames(), newFrames()
	return &pipe{in: x, out: y}, &pipe{in: y, out: x}
}

func (p *pipe) ReadFrame() ([]byte, error) {
	p.in.mu.Lock()
	defer p.in.mu.Unlock()
	for len(p.in.list) == 0 {
		if p.in.closed {
			return nil, io.EOF
		}
		p.in.more.Wait()
	}
	frame := p.in.list[0]
	p.in.list = p.in.list[1:]
	return frame, nil
}

func (p *pipe) WriteFrame(frame []byte) error {
	if c := p.stuck.Load(); c != nil {
		<-*c
	}
	p.out.mu.Lock()
	defer p.out.mu.Unlock()
	if p.written++; p.limit > 0 && p.written > p.limit {
		p.out.closed = true
		p.out.more.Broadcast()
	}
	if p.out.closed {
		return io.ErrClosedPipe
	}
	p.out.list = append(p.out.list, frame)
	p.out.more.Broadcast()
	return nil
}

func (p *pipe) Close() error {
	for _, f := range []*frames{p.in, p.out} {
		f.mu.Lock()
		f.closed = true
		f.more.Broadcast()
		f.mu.Unlock()
	}
	return nil
}

// A running is a link under way.
type running struct {
	*link.Link
	end context.CancelFunc
	ch  chan link.Report
}

func run(t *testing.T, conn link.Conn, cfg link.Config) *running {
	l, err := link.New(conn, cfg)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	r := &running{l, cancel, make(chan link.Report, 1)}
	go func() { r.ch <- l.Run(ctx) }()
	return r
}

func (r *running) wait() link.Report {
	defer r.end()
	return <-r.ch
}

// meet connects two devices; a has dialled and ends when all is exchanged.
func meet(t *testing.T, a, b *device) (ra, rb link.Report) {
	x, y := newPipe()
	cfg := a.config(true)
	cfg.Once = true
	s := run(t, y, b.config(false))
	c := run(t, x, cfg)
	return c.wait(), s.wait()
}

func TestOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newDevice(t, 1), newDevice(t, 2)
		laptop.notes(700)
		phone.notes(30)
		ra, rb := meet(t, phone, laptop)
		require.Equal(t, "all is exchanged", ra.End.Text)
		require.True(t, rb.End.Theirs)
		require.NoError(t, ra.Err)
		require.NoError(t, rb.Err)
		require.Equal(t, []int{701, 31, 31, 701}, []int{ra.In, ra.Out, rb.In, rb.Out})
		require.Equal(t, laptop.name, ra.Peer.Replica)
		require.Equal(t, []int64{ra.BytesIn, ra.BytesOut}, []int64{rb.BytesOut, rb.BytesIn})
		requireSame(t, laptop, phone)

		// What is durable is on the store as well.
		phone.open()
		requireSame(t, laptop, phone)
	})
}

// A commit on either side wakes the link, and the other side confirms it.
func TestLive(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, b := newDevice(t, 1), newDevice(t, 2)
		x, y := newPipe()
		s, c := run(t, y, b.config(false)), run(t, x, a.config(true))
		synctest.Wait()
		for i := range 20 {
			[]*device{a, b}[i%2].notes(1)
			synctest.Wait()
			requireSame(t, a, b)
			v, _ := a.read()
			require.Equal(t, v, c.Peer().Vector)
			require.Equal(t, v, s.Peer().Vector)
			require.Zero(t, c.Peer().InFlight)
		}
		time.Sleep(10 * time.Minute) // of the bubble: beats keep it alive
		a.notes(1)
		synctest.Wait()
		requireSame(t, a, b)
		c.end()
		require.Equal(t, session.End{Code: wire.CodeStopped, Text: "the other side ends its work"}, c.wait().End)
		require.True(t, s.wait().End.Theirs)
	})
}

// What one link brings goes on through another.
func TestPassedOn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hub, a, b := newDevice(t, 1), newDevice(t, 2), newDevice(t, 3)
		var links []*running
		for _, d := range []*device{a, b} {
			x, y := newPipe()
			links = append(links, run(t, y, hub.config(false)), run(t, x, d.config(true)))
		}
		a.notes(3)
		synctest.Wait()
		requireSame(t, a, b)
		requireSame(t, a, hub)
		for _, l := range links {
			l.end()
		}
		for _, l := range links {
			l.wait()
		}
	})
}

// A connection that breaks anywhere loses nothing, and the next one goes on.
func TestBroken(t *testing.T) {
	for limit := 1; limit < 12; limit++ {
		synctest.Test(t, func(t *testing.T) {
			a, b := newDevice(t, 1), newDevice(t, 2)
			a.notes(20_000)
			b.notes(50)
			x, y := newPipe()
			y.limit = limit
			s, c := run(t, y, b.config(false)), run(t, x, a.config(true))
			ra := c.wait()
			require.ErrorContains(t, ra.Err, "the connection broke: EOF")
			require.Error(t, s.wait().Err)
			again, _ := meet(t, a, b)
			require.Equal(t, "all is exchanged", again.End.Text)
			requireSame(t, a, b)
		})
	}
}

// A side that says a lot and reads nothing is given up.
func TestSlowReader(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, b := newDevice(t, 1), newDevice(t, 2)
		x, y := newPipe()
		s, c := run(t, y, b.config(false)), run(t, x, a.config(true))
		synctest.Wait()
		release := y.hold()
		beat, err := wire.Encode(&wire.Beat{Number: 1, Wall: 1})
		require.NoError(t, err)
		for range 60_000 {
			require.NoError(t, x.WriteFrame(beat))
		}
		require.EqualError(t, s.wait().Err, "the other side does not read: 4194304 bytes wait for it")
		release()
		c.end()
		c.wait()
	})
}

// A device that was copied takes a new name once it is shown what it lacks, and
// both lines are on both.
func TestCopied(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newDevice(t, 1), newDevice(t, 2)
		meet(t, phone, laptop)
		copied := &device{t: t, name: phone.name, key: phone.key, log: keep.NewMemory(), nonce: 100}
		var raws [][]byte
		var seals []model.Seal
		phone.book.Read(func(l *model.Logbook) {
			require.NoError(t, l.All(func(raw []byte) error { raws = append(raws, raw); return nil }))
		})
		require.NoError(t, phone.log.Seals(func(s model.Seal) error { seals = append(seals, s); return nil }))
		require.NoError(t, copied.log.Append(raws, seals...))
		copied.open()
		phone.notes(3)
		meet(t, phone, laptop)
		copied.note("side cover", 2)
		var renamed []session.Effect
		copied.cfg.Tell = func(e session.Effect) {
			if _, ok := e.(session.Rename); ok {
				renamed = append(renamed, e)
			}
		}
		ra, _ := meet(t, copied, laptop)
		require.Equal(t, "all is exchanged", ra.End.Text)
		require.Len(t, renamed, 1)
		require.NotEqual(t, phone.name, copied.book.Replica())
		requireSame(t, copied, laptop)
		v, _ := laptop.read()
		require.Len(t, v[phone.name], 2)
		require.Len(t, v[copied.book.Replica()], 1)

		// It is known under the new name: no invitation is needed.
		cfg := copied.config(true)
		cfg.Session.Secret, cfg.Once = nil, true
		x, y := newPipe()
		s := run(t, y, laptop.config(false))
		require.Equal(t, "all is exchanged", run(t, x, cfg).wait().End.Text)
		require.True(t, s.wait().Peer.Known)
	})
}

// The side that is told to notes a meeting down: one a day, or when the clock has
// moved.
func TestMeet(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newDevice(t, 1), newDevice(t, 2)
		laptop.cfg.Meet = true
		phone.skew = 90 * time.Second
		meetings := func() (n int, offset time.Duration) {
			phone.book.Read(func(l *model.Logbook) {
				require.NoError(t, l.All(func(raw []byte) error {
					e, err := model.Decode(raw)
					if e.Kind() == "meet" {
						n++
					}
					return err
				}))
				_, devices := l.Garage()
				for _, d := range devices {
					if d.Replica == phone.name {
						offset = d.Offset
					}
				}
			})
			return n, offset
		}
		for _, step := range []struct {
			wait, skew, want time.Duration
			n                int
		}{
			{0, 90 * time.Second, 90 * time.Second, 1},
			{time.Hour, 90 * time.Second, 90 * time.Second, 1},
			{time.Hour, 91 * time.Second, 90 * time.Second, 1},
			{time.Hour, 93 * time.Second, 93 * time.Second, 2},
			{25 * time.Hour, 93 * time.Second, 93 * time.Second, 3},
		} {
			time.Sleep(step.wait)
			phone.skew = step.skew
			meet(t, phone, laptop)
			n, offset := meetings()
			require.Equal(t, step.n, n, step)
			require.Equal(t, step.want, offset, step)
			requireSame(t, laptop, phone)
		}
	})
}

// A device that is struck off while it is connected is sent away, and stays away.
func TestStruckOff(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newDevice(t, 1), newDevice(t, 2)
		x, y := newPipe()
		s, c := run(t, y, laptop.config(false)), run(t, x, phone.config(true))
		synctest.Wait()
		_, err := laptop.book.Do(uuid.Nil, model.Wish{Name: "strike-off", Values: map[string][]string{"device": {"device 2"}, "reason": {"lost"}}}, "")
		require.NoError(t, err)
		want := session.End{Code: wire.CodeRefused, Text: "this device was struck off the list here", Theirs: true}
		require.Equal(t, want, c.wait().End)
		s.wait()
		ra, _ := meet(t, phone, laptop)
		require.Equal(t, want, ra.End)
		require.False(t, ra.Met)
	})
}

// A disk that takes nothing is said so, and what came goes again the next time.
func TestDiskFails(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, b := newDevice(t, 1), newDevice(t, 2)
		disk := &failing{Log: b.log}
		b.log = disk
		b.open()
		a.notes(10)
		disk.err = errors.New("no space left on device")
		var refused []session.Refused
		a.cfg.Tell = func(e session.Effect) {
			if r, ok := e.(session.Refused); ok {
				refused = append(refused, r)
			}
		}
		ra, _ := meet(t, a, b)
		require.Zero(t, ra.Out)
		require.Len(t, refused, 1)
		require.Equal(t, wire.ReasonFull, refused[0].Held.Reason)
		disk.err = nil
		ra, _ = meet(t, a, b)
		require.Equal(t, 11, ra.Out)
		requireSame(t, a, b)
	})
}

type failing struct {
	keep.Log
	err error
}

func (f *failing) Append(raws [][]byte, seals ...model.Seal) error {
	if f.err != nil {
		return f.err
	}
	return f.Log.Append(raws, seals...)
}

// A connection that has gone deaf, and nobody was told, is over after 50 s, and
// the greeting after 10 s.
func TestHalfOpen(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a, b := newDevice(t, 1), newDevice(t, 2)
		x, y := newPipe()
		release := y.hold()
		began := time.Now()
		s, c := run(t, y, b.config(false)), run(t, x, a.config(true))
		require.Equal(t, "no greeting within 10s", c.wait().End.Text)
		require.Less(t, time.Since(began), 15*time.Second)
		release()
		s.end()
		s.wait()

		x, y = newPipe()
		s, c = run(t, y, b.config(false)), run(t, x, a.config(true))
		synctest.Wait()
		began = time.Now()
		release = y.hold()
		require.Equal(t, session.End{Code: wire.CodeTimeout, Text: "nothing heard for 50s"}, c.wait().End)
		require.LessOrEqual(t, time.Since(began), 55*time.Second)
		release()
		s.end()
		s.wait()
	})
}
