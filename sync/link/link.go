// Package link drives one connection to another replica: it moves frames between
// a [session.Session] and a [Conn], entries between the session and a [Book], and
// photos between it and [keep.Blobs].
// It has no socket, file, clock or chance of its own, so it runs on the phone as
// it does on the laptop. [Stay] connects again and again.
package link

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
)

// A Conn carries frames of at most [wire.MaxFrame] bytes, whole and in order.
// One goroutine reads and one writes, at the same time.
type Conn interface {
	// ReadFrame returns the next frame, or an error once there is none to come.
	ReadFrame() ([]byte, error)

	// WriteFrame sends a frame. It gives up on a side that does not read.
	WriteFrame(frame []byte) error

	// Close makes reading and writing fail. It may be called at any time, more
	// than once.
	Close() error
}

// A Book is what a link needs of the logbook; [*ampwright/sync/book.Book] is one.
type Book interface {
	// Read calls f with the fold, which holds still meanwhile. f must not call
	// the Book.
	Read(f func(*model.Logbook))

	// Queue stores entries and seals and folds them in, in the order of the
	// calls, and calls done once they are durable or could not be stored.
	Queue(raws [][]byte, seals []model.Seal, done func(error))

	// Write stores what this replica notes down itself.
	Write(drafts []model.Draft) ([]model.ID, error)

	// Watch puts a value into grew, if there is room, whenever entries have been
	// folded in, before whoever brought them is told.
	Watch(grew chan<- struct{}) (stop func())
}

// Config is what a Link needs. Session, Book, Now and After are required.
type Config struct {
	Session session.Config // its Admit is called while the book is read
	Book    Book
	Now     func() time.Time                     // the clock that entries are stamped by
	After   func(time.Duration) <-chan time.Time // as [time.After]

	// Rename makes the book go on under a new replica name. Without it a link
	// ends that asks for one.
	Rename func(why string) error

	// Heard is told what the other side holds, once it has said so, whenever that
	// changes, and every minute while it is there. It must not call the Link.
	Heard func(replica uuid.UUID, holds model.Peer)

	Once bool // end in order once all is exchanged
	Meet bool // note the meeting down: one of the two sides does

	// Tell hears of [session.Met], [session.Progress], [session.Diverged],
	// [session.Refused], [session.Rename], [session.BlobThere] and
	// [session.NoBlob]. It must not block, and not call the Link.
	Tell func(session.Effect)

	// Blobs keeps photos and files. What the other side asks for is read here, what
	// comes is put here. Nil: none are handed over, and none fetched.
	Blobs keep.Blobs

	// Fetch has all photos and files fetched that entries name and Blobs lacks,
	// photos first, behind the entries; those that the other side does not have either are asked for again
	// with the next link. Otherwise only those come that [Link.Want] asks for.
	Fetch bool

	// Offer returns blobs of this side of which it is not known whether the other
	// side has them: Tell hears of a [session.BlobThere] for each that it has, at
	// once or after it has fetched it.
	Offer func() []keep.BlobID

	// Came is told of a blob that has come whole and is durable, and how many are
	// still asked for. It must not block, and not call the Link.
	Came func(id keep.BlobID, left int)
}

// A Report is what came of a link.
type Report struct {
	Peer              session.Peer // as last known; without a name if it never said one
	Met               bool         // both sides have proven who they are
	In, Out           int          // entries that came and are durable; that the other side confirmed to hold
	BytesIn, BytesOut int64        // of frames
	BlobsIn, BlobsNot int          // blobs that came and are durable; that were asked for and are not there

	End session.End // Code is 0 if the connection broke
	Err error       // then: how
}

// A Link is one connection. [Link.Run] ends it.
type Link struct {
	cfg  Config
	conn Conn

	mu      sync.Mutex
	session *session.Session
	log     *model.Logbook // during a step

	out    *outbox
	kept   chan session.Kept // never full: a session has few batches being stored
	report Report
	told   model.Peer // what Heard was told last
	blobs  *blobs
	ended  bool
}

// New returns a link over conn, which it closes at its end.
func New(conn Conn, cfg Config) (*Link, error) {
	if cfg.Book == nil || cfg.Now == nil || cfg.After == nil {
		return nil, errors.New("link: book, clock and timer are all needed")
	}
	l := &Link{cfg: cfg, conn: conn, out: newOutbox(), kept: make(chan session.Kept, maxStoring), blobs: newBlobs()}
	in := cfg.Session
	in.Admit = l.admit
	var err error
	if l.session, err = session.New(in); err != nil {
		return nil, err
	}
	return l, nil
}

const (
	maxStoring = 16              // more than the batches a session has being stored
	leave      = 2 * time.Second // for the last frames, before the connection is closed
)

// Peer returns what is known of the other side. It may be called at any time.
func (l *Link) Peer() session.Peer {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.session.Peer()
}

// Run exchanges entries until the other side ends it, the connection breaks, all
// is exchanged (if Once), or ctx is done; then the other side is told so.
func (l *Link) Run(ctx context.Context) Report {
	over := make(chan struct{})
	defer close(over)
	defer l.conn.Close()
	frames, unread, unsent := make(chan session.Frame), make(chan error, 1), make(chan error, 1)
	go l.receive(frames, unread, over)
	go l.out.send(l.conn, unsent)
	defer l.out.close()

	grew := make(chan struct{}, 1)
	defer l.cfg.Book.Watch(grew)()
	l.step(session.Opened{})
	if l.cfg.Once {
		l.step(session.Finish{})
	}
	var armed time.Time // for when the timer is set
	var timer, late <-chan time.Time
	for !l.ended {
		if next := l.next(); timer == nil || next.Before(armed) {
			armed = next
			timer = l.cfg.After(max(next.Sub(l.cfg.Now()), time.Millisecond))
		}
		select { // what grew goes before whatever comes: the other side may ask for it
		case <-grew:
			l.step(session.Grew{})
			continue
		default:
		}
		select {
		case <-grew:
			l.step(session.Grew{})
		case f := <-frames:
			l.report.BytesIn += int64(len(f.Bytes))
			l.step(f)
		case k := <-l.kept:
			l.step(k)
		case ev := <-l.blobs.done:
			l.jobDone(ev)
		case <-l.blobs.wake:
			l.takeUp()
		case <-timer:
			timer = nil
			l.step(session.Tick{})
		case <-unsent: // the other side may have said why before it went
			late = l.cfg.After(leave)
		case <-late:
			l.conn.Close()
		case err := <-unread:
			l.ended, l.report.Err = true, err
		case <-ctx.Done():
			l.step(session.Stop{Code: wire.CodeStopped, Text: "the other side ends its work"})
		}
	}
	l.bye(frames, unread)
	l.endJobs()
	l.report.Peer = l.Peer()
	l.report.Out = l.report.Peer.Took
	return l.report
}

// receive reads and decodes frames, and says when there are no more.
func (l *Link) receive(frames chan<- session.Frame, unread chan<- error, over <-chan struct{}) {
	for {
		bytes, err := l.conn.ReadFrame()
		if err != nil {
			unread <- fmt.Errorf("the connection broke: %w", err)
			return
		}
		select {
		case frames <- session.Decoded(bytes):
		case <-over:
			return
		}
	}
}

// bye lets the last frames go out. A connection closed with frames unread is cut
// by the network, so this side waits until the other has closed it.
func (l *Link) bye(frames <-chan session.Frame, unread <-chan error) {
	if l.report.Err != nil || l.report.End.Theirs {
		return
	}
	l.out.close()
	for late := l.cfg.After(leave); ; {
		select {
		case <-frames:
		case <-unread:
			return
		case <-late:
			return
		}
	}
}

// step has the session handle an event and does what it asks for.
func (l *Link) step(ev session.Event) {
	if l.ended {
		return
	}
	var effects []session.Effect
	l.cfg.Book.Read(func(log *model.Logbook) {
		l.mu.Lock()
		defer l.mu.Unlock()
		if _, grew := ev.(session.Grew); grew && l.report.Met && struckOff(log, l.session.Peer().Replica) {
			ev = session.Stop{Code: wire.CodeRefused, Text: errStruckOff.Error()}
		}
		l.log = log
		effects = l.session.Step(l.cfg.Now(), log, ev)
	})
	for _, e := range effects {
		if l.ended {
			break
		}
		l.do(e)
	}
	l.hear()
	l.afterStep(ev, effects)
}

// hearAgain is how old what Heard was told may be while the other side is there.
const hearAgain = time.Minute

// hear passes on what the other side holds, if there is news of it.
func (l *Link) hear() {
	if l.cfg.Heard == nil || !l.report.Met {
		return
	}
	p := l.Peer()
	same := maps.EqualFunc(p.Vector, l.told.Vector, func(a, b []model.Head) bool { return slices.Equal(a, b) })
	if p.Vector == nil || same && p.Seen.Sub(l.told.Heard) < hearAgain {
		return
	}
	l.told = model.Peer{Vector: p.Vector, Heard: p.Seen}
	l.cfg.Heard(p.Replica, l.told)
}

func (l *Link) do(e session.Effect) {
	switch e := e.(type) {
	case session.Send:
		l.report.BytesOut += int64(len(e.Frame))
		if !l.out.put(e.Frame) {
			l.ended, l.report.Err = true, fmt.Errorf("the other side does not read: %d bytes wait for it", maxWaiting)
		}
		return
	case session.Append:
		l.cfg.Book.Queue(e.Raws, e.Seals, func(err error) { l.kept <- session.Kept{Batch: e.Batch, Err: err} })
		return
	case session.End:
		l.ended, l.report.End = true, e
		return
	case session.ReadBlob:
		l.later(func() session.Event { return l.read(e) })
		return
	case session.WriteBlob:
		l.later(func() session.Event { return l.write(e) })
		return
	case session.BlobThere:
		l.there(keep.BlobID(e.Hash))
	case session.NoBlob:
		delete(l.blobs.wanted, keep.BlobID(e.Hash))
		l.report.BlobsNot++
	case session.Met:
		l.report.Met = true
		l.meet(e.Peer)
	case session.Progress:
		l.report.In = e.Got
	}
	if l.cfg.Tell != nil {
		l.cfg.Tell(e)
	}
	if e, ok := e.(session.Rename); ok {
		l.rename(e)
	}
}

var errStruckOff = errors.New("this device was struck off the list here")

// admit turns away a device that was struck off, and whom the caller does not
// want.
func (l *Link) admit(p session.Peer) error {
	if struckOff(l.log, p.Replica) {
		return errStruckOff
	}
	if l.cfg.Session.Admit != nil {
		return l.cfg.Session.Admit(p)
	}
	return nil
}

func struckOff(log *model.Logbook, replica uuid.UUID) bool {
	_, closed := log.Closed(replica)
	return closed
}

// rename takes a new name.
func (l *Link) rename(e session.Rename) {
	err := errors.New("it cannot")
	if l.cfg.Rename != nil {
		err = l.cfg.Rename(e.Why)
	}
	if err != nil {
		l.step(session.Stop{Code: wire.CodeStopped, Text: fmt.Sprintf("%s: this copy must take a new name: %v", e.Why, err)})
	}
}

func (l *Link) next() time.Time {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.session.Next()
}
