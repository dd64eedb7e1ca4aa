package app_test

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"io"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"ampwright/client/phone/app"
	"ampwright/client/phone/device"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"
	"ampwright/sync/link"
	"ampwright/sync/session"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// An end is one end of a connection in memory.
type end struct {
	in, out chan []byte
	over    chan struct{}
	close   func()
}

func newEnds() (a, b *end) {
	x, y, over := make(chan []byte, 4096), make(chan []byte, 4096), make(chan struct{})
	shut := sync.OnceFunc(func() { close(over) })
	return &end{x, y, over, shut}, &end{y, x, over, shut}
}

func (e *end) ReadFrame() ([]byte, error) {
	select {
	case f := <-e.in:
		return f, nil
	case <-e.over:
		return nil, io.EOF
	}
}

func (e *end) WriteFrame(frame []byte) error {
	select {
	case <-e.over:
		return io.ErrClosedPipe
	default:
		e.out <- frame
		return nil
	}
}

func (e *end) Close() error { e.close(); return nil }

// A world is a phone's App with its link, and a laptop that it dials.
type world struct {
	t      *testing.T
	app    *app.App
	store  *tab
	blobs  *room
	self   device.Device
	link   *app.Link
	peers  []byte
	photos []byte   // as peers
	came   []string // photos that were waited for, or are not there
	asked  []string // photos that a tab without a link asks another for
	passed [][]byte
	dials  atomic.Int32
	last   *end

	far    *keep.MemoryBlobs // on the laptop
	laptop device.Device
	book   *book.Book
	away   atomic.Bool
	secret []byte // of the invitation that is open there
}

func newDevice(t *testing.T, name string) device.Device {
	d, err := device.New(name, "builder", rand.Reader)
	require.NoError(t, err)
	return d
}

func public(d device.Device) ed25519.PublicKey { return d.Key.Public().(ed25519.PublicKey) }

func bookConfig(d *device.Device) book.Config {
	return book.Config{
		Replica: d.Replica, Key: public(*d), Sign: func(m []byte) []byte { return d.Sign(m) }, Device: d.Name, Person: "builder",
		Plans: plan.Builtin, NewID: uuid.New, Now: time.Now,
	}
}

func newWorld(t *testing.T) *world {
	w := &world{t: t, blobs: &room{Blobs: keep.NewMemoryBlobs()}, far: keep.NewMemoryBlobs(), self: newDevice(t, "phone"), laptop: newDevice(t, "laptop")}
	w.store = &tab{Log: keep.NewMemory(), turn: new(sync.Mutex)}
	w.app = w.open()
	w.link = w.app.NewLink(w.config())
	log := keep.NewMemory()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	seals, err := demo.Seals(raws)
	require.NoError(t, err)
	require.NoError(t, log.Append(raws, seals...))
	w.book, err = book.Open(log, bookConfig(&w.laptop))
	require.NoError(t, err)
	return w
}

// open opens a tab.
func (w *world) open() *app.App {
	cfg := bookConfig(&w.self)
	cfg.Renew = func(string) (uuid.UUID, []byte, error) {
		w.self = newDevice(w.t, "phone")
		return w.self.Replica, public(w.self), nil
	}
	a, err := app.Open(app.Config{
		Store: w.store, Blobs: w.blobs, Book: cfg, Plans: plan.Editions(), Once: uuid.NewString, Asset: func(name string) string { return name },
		Storage: func() app.Storage { return app.Storage{} },
	})
	require.NoError(w.t, err)
	return a
}

func (w *world) config() app.LinkConfig {
	return app.LinkConfig{
		Dial: w.dial, Self: func() device.Device { return w.self }, Now: time.Now, After: time.After,
		Random: func() uint64 { return 250 * uint64(time.Millisecond) },
		Nonce:  func() (n [32]byte) { rand.Read(n[:]); return n },
		Peers:  w.peers, Keep: func(peers []byte) { w.peers = peers },
		Photos: w.photos, KeepPhotos: func(photos []byte) { w.photos = photos },
		Arrived: w.arrived, PassPhoto: func(name string) { w.asked = append(w.asked, name) },
		Pass: func(secret []byte) { w.passed = append(w.passed, secret) }, Changed: func() {},
	}
}

func (w *world) arrived(name string, here bool) {
	if !here {
		name = "not " + name
	}
	w.came = append(w.came, name)
}

func (w *world) dial(context.Context) (link.Conn, error) {
	w.dials.Add(1)
	if w.away.Load() {
		return nil, errors.New("the laptop does not answer")
	}
	near, far := newEnds()
	w.last = near
	c := link.Config{
		Session: session.Config{Replica: w.laptop.Replica, Key: public(w.laptop), Sign: w.laptop.Sign, Secret: w.secret},
		Book:    w.book, Now: time.Now, After: time.After, Rename: w.book.Become, Meet: true,
		Blobs: w.far, Fetch: true,
	}
	rand.Read(c.Session.Nonce[:])
	l, err := link.New(far, c)
	require.NoError(w.t, err)
	go l.Run(context.Background())
	return near, nil
}

// run runs the link until the test is over.
func (w *world) run() (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan error, 1)
	go func() { over <- w.link.Run(ctx) }()
	return func() {
		cancel()
		require.NoError(w.t, <-over)
	}
}

func (w *world) requireInStep() {
	w.t.Helper()
	var there uint64
	w.book.Read(func(l *model.Logbook) { there = l.Digest() })
	at := get(w.app, "/phone/this").Body
	require.Contains(w.t, at, model.DigestText(there))
	require.Contains(w.t, at, "no entry is on this device only")
	require.Contains(w.t, at, "linked with laptop since")
}

// A device that nobody let in does not even dial; with an invitation it comes in,
// and from then on without.
func TestLinkLetIn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		time.Sleep(time.Until(demo.End)) // the bubble's clock begins in the year 2000
		w := newWorld(t)
		stop := sync.OnceFunc(w.run())
		defer stop()
		time.Sleep(time.Hour)
		require.Zero(t, w.dials.Load())
		require.Contains(t, get(w.app, "/phone/this").Body, "the laptop does not know this device yet")
		require.Contains(t, post(w.app, "/phone/this", "invite", "x").Body, "invitation of 1 characters, want 26")

		w.secret = []byte("0123456789abcdef")
		text := base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(w.secret)
		require.Contains(t, post(w.app, "/phone/this", "invite", text).Body, "The invitation is shown to the laptop")
		synctest.Wait()
		time.Sleep(time.Second)
		synctest.Wait()
		w.requireInStep()
		entries, standing := w.app.News()
		require.False(t, entries || standing, "the page shows it all")
		r := post(w.app, bench+"write/note", "text", "left lug tacked")
		synctest.Wait()
		entries, standing = w.app.News()
		require.False(t, entries, "it is the page's own")
		require.True(t, standing || strings.Contains(r.Body, "on laptop"), "it is there now")
		require.Contains(t, get(w.app, bench+"logbook").Body, "on laptop")

		_, err := w.book.Do(demo.Build, model.Wish{Name: "note", Values: map[string][]string{"text": {"right lug too"}}}, "")
		require.NoError(t, err)
		synctest.Wait()
		entries, _ = w.app.News()
		require.True(t, entries)
		require.Contains(t, get(w.app, bench+"logbook").Body, "right lug too")
		stop()

		w.secret = nil // used up
		post(w.app, bench+"write/note", "text", "written alone")
		require.Contains(t, get(w.app, "/phone/this").Body, "1 entry is on this device only, written 0 min ago")
		w.link = w.app.NewLink(w.config()) // the page was loaded again
		require.Contains(t, get(w.app, "/phone/this").Body, "1 entry is on this device only", "what was heard is remembered")
		defer w.run()()
		synctest.Wait()
		w.requireInStep()
	})
}

// An invitation that the laptop does not take is not shown again.
func TestLinkWrongInvitation(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := newWorld(t)
		w.secret = []byte("0123456789abcdef")
		defer w.run()()
		w.link.Invite([]byte("fedcba9876543210"))
		time.Sleep(time.Hour)
		require.EqualValues(t, 1, w.dials.Load())
		require.Contains(t, get(w.app, "/phone/this").Body, "does not take this invitation")
	})
}

// A connection that is dead is dropped and made anew when somebody looks, half a
// second later at most; one that can't be had is tried for again and again.
func TestLinkWake(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := newWorld(t)
		w.secret = []byte("0123456789abcdef")
		defer w.run()()
		w.link.Invite(w.secret)
		synctest.Wait()
		time.Sleep(time.Second)
		w.requireInStep()
		dials, was := w.dials.Load(), w.last
		w.link.Wake()
		synctest.Wait()
		select {
		case <-was.over:
		default:
			t.Fatal("the old connection stands")
		}
		time.Sleep(500 * time.Millisecond)
		synctest.Wait()
		require.Equal(t, dials+1, w.dials.Load())
		w.requireInStep()

		w.away.Store(true)
		w.last.Close()
		time.Sleep(10 * time.Second)
		require.Greater(t, w.dials.Load(), dials+5)
		require.Contains(t, get(w.app, "/phone/this").Body, "not linked: the laptop does not answer")
		w.away.Store(false)
		time.Sleep(time.Minute)
		w.requireInStep()
	})
}

// One tab runs the link: the others show what it tells, and pass on what the
// person does in them.
func TestLinkOtherTab(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := newWorld(t)
		w.secret = []byte("0123456789abcdef")
		other := w.open()
		idle := other.NewLink(w.config())
		require.Nil(t, idle.Bytes())
		idle.Invite(w.secret)
		idle.Wake()
		require.Equal(t, [][]byte{w.secret, nil}, w.passed)
		defer w.run()()
		synctest.Wait()
		w.link.Invite(w.passed[0])
		time.Sleep(time.Second)
		w.requireInStep()
		require.NoError(t, idle.Take(w.link.Bytes()))
		require.Error(t, idle.Take([]byte("x")))
		at := get(other, "/phone/this").Body // it has read the store
		require.Contains(t, at, "linked with laptop since")
		require.Contains(t, at, "no entry is on this device only")
	})
}

// Where one tab has had to take a new name the other writes no more.
func TestOtherTabRenamed(t *testing.T) {
	w := newWorld(t)
	other := w.open()
	heron(t, w.app)
	copied, err := book.Open(keep.NewMemory(), bookConfig(&w.self)) // of this very device
	require.NoError(t, err)
	_, err = copied.Write([]model.Draft{{Body: &model.Note{Text: "by the copy"}}})
	require.NoError(t, err)
	text := ""
	copied.Read(func(l *model.Logbook) { text = linesOf(t, l) })
	require.Equal(t, 200, post(w.app, "/phone/this", "lines", text).Status)
	require.Contains(t, get(w.app, "/phone/").Body, "it goes on as a new device")
	require.Empty(t, post(w.app, bench+"write/note", "text", "under the new name").Fault)
	r := post(other, bench+"write/note", "text", "under the old name")
	require.Contains(t, r.Fault, "in another tab this device has taken a new name")
	require.Contains(t, get(w.app, bench+"logbook").Body, "under the new name")
}
