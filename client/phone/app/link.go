package app

import (
	"context"
	"crypto/ed25519"
	"fmt"
	"sync"
	"time"

	"ampwright/client/phone/device"
	"ampwright/model"
	"ampwright/model/jsontext"
	"ampwright/sync/keep"
	"ampwright/sync/link"
	"ampwright/sync/peers"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
)

// LinkConfig is what a Link needs. Every field is required but Peers and Photos.
type LinkConfig struct {
	Dial    func(context.Context) (link.Conn, error)
	Self    func() device.Device // who this device is now
	Now     func() time.Time     // the clock that entries are stamped by
	After   func(time.Duration) <-chan time.Time
	Random  func() uint64
	Program string          // name and version, for the other side
	Nonce   func() [32]byte // random, another each time

	Peers []byte             // what Keep was given last
	Keep  func(peers []byte) // keeps what other devices were heard to hold; it may fail

	// Pass passes what this Link is told on to the tab that runs one: an
	// invitation's secret, or nil for a Wake.
	Pass func(secret []byte)

	Photos     []byte              // what KeepPhotos was given last
	KeepPhotos func(photos []byte) // keeps which photos and pieces of files the laptop holds; it may fail

	// Arrived hears that a photo which a page waits for is here, or that the laptop
	// does not have it. It must not block. Other tabs' TakePhoto wants to hear too.
	Arrived func(name string, here bool)

	// PassPhoto passes on to the tab that runs a Link that a photo is wanted.
	PassPhoto func(name string)

	// Changed hears of every change of the standing. It must not block, and not
	// call the Link.
	Changed func()
}

// A Link keeps this device in step with the laptop. Of several tabs one runs it;
// the others have the standing from there. It is safe for concurrent use.
type Link struct {
	cfg  LinkConfig
	app  *App
	book *shared
	wake chan struct{} // has a value when an attempt is wanted soon

	mu       sync.Mutex
	running  bool
	peers    *peers.Peers
	standing Standing
	photos   linkPhotos
	unseen   bool          // nobody looks at this tab
	turned   chan struct{} // closed when that changes, for another
	secret   []byte        // of an invitation, until it is used
	conn     link.Conn     // the one that stands, or the last
}

// A Standing is how the link is.
type Standing struct {
	Linked   bool
	With     uuid.UUID     // the device it stands or last stood with
	Since    time.Time     // when it began, or ended
	Why      string        // why it does not stand; or what went wrong while it does
	Again    time.Duration // after Since: the next attempt
	Stranger bool          // nobody has let this device in: an invitation is wanted
}

// soon is the longest wait before the connection that Wake asks for.
const soon = 500 * time.Millisecond

// NewLink returns a link for an App, which shows how it is. What Peers holds is
// left aside where it does not read: it is told again.
func (a *App) NewLink(cfg LinkConfig) *Link {
	l := &Link{cfg: cfg, app: a, book: a.book, wake: make(chan struct{}, 1), turned: make(chan struct{})}
	l.peers, _ = peers.Read(cfg.Peers)
	l.photos = readLinkPhotos(cfg.Photos)
	l.standing.Stranger = len(l.peers.All()) == 0
	a.link = l
	return l
}

// Standing returns how the link is, and what other devices were last heard to
// hold.
func (l *Link) Standing() (Standing, map[uuid.UUID]model.Peer) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.standing, l.peers.All()
}

// Invite takes up an invitation. It is held, in memory alone, until the laptop
// knows this device or has refused it.
func (l *Link) Invite(secret []byte) {
	l.mu.Lock()
	l.secret = secret
	l.mu.Unlock()
	if l.Running() {
		l.dialSoon()
		return
	}
	l.cfg.Pass(secret)
}

// Running reports whether this Link is the one that runs.
func (l *Link) Running() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.running
}

// Wake drops the connection, which may be dead without anybody knowing, and
// makes another soon.
func (l *Link) Wake() {
	if l.Running() {
		l.dialSoon()
		return
	}
	l.cfg.Pass(nil)
}

func (l *Link) dialSoon() {
	select {
	case l.wake <- struct{}{}:
	default:
	}
}

// Run keeps the link until ctx is done.
func (l *Link) Run(ctx context.Context) error {
	l.change(func() { l.running = true })
	for ctx.Err() == nil {
		if l.stranger() {
			select {
			case <-l.wake: // perhaps with an invitation
			case <-ctx.Done():
			}
			continue
		}
		select {
		case <-l.wake: // the attempt that is made now is the one that was wanted
		default:
		}
		attempt, stop := context.WithCancel(ctx)
		over := make(chan error, 1)
		go func() { over <- l.stay(attempt, stop) }()
		var err error
		select {
		case err = <-over:
		case <-l.wake:
			stop()
			l.drop()
			err = <-over
		}
		stop()
		if err != nil {
			return err
		}
		select {
		case <-l.cfg.After(time.Duration(l.cfg.Random() % uint64(soon+1))):
		case <-ctx.Done():
		}
	}
	return nil
}

func (l *Link) stranger() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.standing.Stranger && l.secret == nil
}

// stay makes one connection after the other. It calls stop when there is no use
// in more.
func (l *Link) stay(ctx context.Context, stop func()) error {
	return link.Stay(ctx, link.Redial{
		Dial: l.dial, Config: l.next, Made: l.made, Now: l.cfg.Now, After: l.cfg.After, Random: l.cfg.Random,
		Tell: func(r link.Report, err error, wait time.Duration) {
			l.parted(r, err, wait)
			if l.stranger() {
				stop()
			}
		},
	})
}

func (l *Link) dial(ctx context.Context) (link.Conn, error) {
	conn, err := l.cfg.Dial(ctx)
	if err == nil {
		l.mu.Lock()
		l.conn = conn
		l.mu.Unlock()
	}
	return conn, err
}

// drop closes the connection that stands, if one does.
func (l *Link) drop() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.conn != nil {
		l.conn.Close()
	}
}

// next returns what the next connection needs. The laptop notes the meeting down.
func (l *Link) next() link.Config {
	d := l.cfg.Self()
	l.mu.Lock()
	secret := l.secret
	l.mu.Unlock()
	return link.Config{
		Session: session.Config{
			Replica: d.Replica, Key: d.Key.Public().(ed25519.PublicKey), Sign: d.Sign, Nonce: l.cfg.Nonce(),
			Dials: true, Program: l.cfg.Program, Secret: secret,
		},
		Book: l.book.Book, Now: l.cfg.Now, After: l.cfg.After, Rename: l.book.rename, Tell: l.tell, Heard: l.heard,
		Blobs: l.app.cfg.Blobs, Offer: l.offer, Came: func(id keep.BlobID, _ int) { l.arrived(id, true) },
	}
}

// offer returns what the laptop may not have.
func (l *Link) offer() []keep.BlobID {
	all := l.app.lone()
	return append(all.photos, all.pieces...)
}

func (l *Link) tell(e session.Effect) {
	switch e := e.(type) {
	case session.Met:
		l.change(func() { l.standing = Standing{Linked: true, With: e.Peer.Replica, Since: l.cfg.Now()} })
	case session.BlobThere:
		l.blobThere(keep.BlobID(e.Hash))
	case session.NoBlob:
		l.arrived(keep.BlobID(e.Hash), false)
	case session.Diverged:
		l.change(func() {
			l.standing.Why = fmt.Sprintf("both devices hold the same entries and make different things of them (%s here, %s there): that is an error in a program", model.DigestText(e.Ours), model.DigestText(e.Theirs))
		})
	case session.Refused:
		l.change(func() {
			who := "the laptop did not take entries"
			if e.Ours {
				who = "entries of the laptop were not taken"
			}
			l.standing.Why = fmt.Sprintf("%s: %s", who, e.Held.Reason)
		})
	}
}

func (l *Link) heard(replica uuid.UUID, holds model.Peer) {
	l.change(func() {
		l.peers.Heard(replica, holds)
		if len(holds.Vector[l.cfg.Self().Replica]) > 0 { // it knows this device from now on
			l.secret = nil
		}
	})
	l.cfg.Keep(l.peers.Bytes())
}

// parted notes why there is no connection.
func (l *Link) parted(r link.Report, err error, wait time.Duration) {
	l.change(func() {
		s := &l.standing
		s.Linked, s.Since, s.Again, s.Why = false, l.cfg.Now(), wait, r.End.Text
		if err != nil {
			s.Why = err.Error()
		}
		if r.End.Code == wire.CodeUnknown {
			if l.secret != nil {
				s.Why = "the laptop does not take this invitation: it is for one device and a few minutes; a new one is wanted"
			}
			l.secret, s.Stranger = nil, true
		}
	})
}

// change changes the standing.
func (l *Link) change(f func()) {
	l.mu.Lock()
	f()
	l.mu.Unlock()
	l.cfg.Changed()
}

// told is what the tab that runs the link tells the others.
type told struct {
	Standing Standing `json:"standing"`
	Peers    []byte   `json:"peers"`
	Photos   []byte   `json:"photos"`
}

// Bytes writes the standing for another tab's Take. There is nothing to tell
// where the link does not run.
func (l *Link) Bytes() []byte {
	l.mu.Lock()
	defer l.mu.Unlock()
	if !l.running {
		return nil
	}
	return jsontext.Append(nil, told{l.standing, l.peers.Bytes(), l.photos.bytes()})
}

// Take notes the standing that another tab tells of, which runs the link.
func (l *Link) Take(data []byte) error {
	var t told
	err := jsontext.Read(data, &t)
	if err != nil {
		return err
	}
	p, err := peers.Read(t.Peers)
	if err != nil {
		return err
	}
	l.change(func() {
		if !l.running {
			l.standing, l.peers, l.secret = t.Standing, p, nil
			l.photos.there = readLinkPhotos(t.Photos).there
			if t.Standing.Linked {
				clear(l.photos.lacks) // what it has may be more with each meeting
			}
		}
	})
	return nil
}
