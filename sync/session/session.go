// Package session is one connection between two replicas as a state machine: it
// does no I/O, starts no goroutine and reads neither clock nor chance. What
// travels, and in which order, is described in [ampwright/sync/wire].
package session

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"maps"
	"time"

	"ampwright/sync/wire"

	"github.com/google/uuid"
)

// Times of a connection.
const (
	greetTime = 10 * time.Second // in which both sides must have proven who they are
	beatTime  = 20 * time.Second // without a frame sent, a beat is
	deadTime  = 50 * time.Second // without a frame received, the connection is over
	haveTime  = 30 * time.Second // between two comparisons
)

// A Session is one side of a connection. It is not for concurrent use.
type Session struct {
	cfg   Config
	state state
	peer  Peer

	hello, welcome []byte // frames, for the statement
	mine, theirs   wire.Greeting

	opened, heard, spoke, compared, stepped time.Time
	beat                                    int64 // number of the last
	answered                                int64 // the last one that was
	beatSent                                time.Time

	out       outgoing
	in        incoming
	blobs     blobs
	finishing finishing
	rename    bool // has been asked for

	// during a Step
	now     time.Time
	log     Log
	effects []Effect
}

type state int

const (
	idle  state = iota
	greet       // waits for a greeting
	prove       // waits for the other side's proof
	live
	over
)

// New returns a session that waits for Opened, or an error if cfg cannot work.
func New(cfg Config) (*Session, error) {
	switch {
	case cfg.Replica == uuid.Nil || len(cfg.Key) != ed25519.PublicKeySize || cfg.Sign == nil || cfg.Nonce == [32]byte{}:
		return nil, errors.New("session: replica, key, sign and nonce are all needed")
	case cfg.Secret != nil && len(cfg.Secret) < 16:
		return nil, fmt.Errorf("session: secret of %d bytes, want at least 16", len(cfg.Secret))
	case len(cfg.Program) > wire.MaxProgram:
		return nil, fmt.Errorf("session: program %q of %d bytes, at most %d are possible", cfg.Program, len(cfg.Program), wire.MaxProgram)
	case cfg.Credit == 0:
		cfg.Credit = 1 << 20
	case cfg.Credit < minCredit:
		return nil, fmt.Errorf("session: credit of %d bytes, want at least %d", cfg.Credit, minCredit)
	}
	return &Session{cfg: cfg}, nil
}

// Step takes one event at time now and returns what the caller must do. log
// must hold still meanwhile.
func (s *Session) Step(now time.Time, log Log, ev Event) []Effect {
	if s.state == over {
		return nil
	}
	if now.Before(s.stepped) { // the clock was set back: no timer waits for it
		s.opened, s.heard, s.spoke, s.compared, s.beatSent = now, now, now, now, now
		for _, d := range s.out.doubts {
			d.until = earlier(d.until, now)
		}
	}
	s.now, s.stepped, s.log, s.effects = now, now, log, nil
	s.handle(ev)
	if s.state == live {
		s.fill()
		s.serve()
		s.ask()
		s.grant()
		s.finish()
	}
	return s.effects
}

func (s *Session) handle(ev Event) {
	switch ev := ev.(type) {
	case Opened:
		s.open()
	case Frame:
		s.frame(ev)
	case Tick:
		s.tick()
	case Grew:
		s.out.changed = true
		s.stores()
	case Kept:
		s.kept(ev)
	case WantBlob:
		s.want(ev)
	case HaveBlob:
		s.haveBlob(ev.Hash)
	case BlobRead:
		s.blobRead(ev)
	case BlobKept:
		s.blobKept(ev)
	case Finish:
		s.finishing.wanted = true
	case Stop:
		s.end(ev.Code, ev.Text, ev.Retry)
	}
}

// frame handles what the other side sent.
func (s *Session) frame(ev Frame) {
	bytes, m := ev.Bytes, ev.message
	if m == nil {
		var err error
		if m, err = wire.Decode(bytes); err != nil {
			s.end(wire.CodeProtocol, err.Error(), 0)
			return
		}
	}
	s.heard, s.peer.Seen = s.now, s.now
	switch m := m.(type) {
	case *wire.Bye:
		s.do(End{Code: m.Code, Text: m.Text, Retry: m.Retry, Theirs: true})
		s.state = over
		return
	case *wire.Unknown:
		return
	}
	if s.state != live {
		s.greeting(m, bytes)
		return
	}
	switch m := m.(type) {
	case *wire.Have:
		s.have(m)
	case *wire.Entries:
		s.entries(m, len(bytes))
	case *wire.Kept:
		s.peerKept(m)
	case *wire.Held:
		s.peerHeld(m)
	case *wire.Ladder:
		s.ladder(m)
	case *wire.BlobHave:
		s.do(BlobThere{m.Hash})
	case *wire.BlobWant:
		s.blobWant(m)
	case *wire.BlobPart:
		s.blobPart(m, len(bytes))
	case *wire.Credit:
		s.out.credit += m.Bytes
		s.out.changed = true
	case *wire.Beat:
		s.send(&wire.BeatOK{Number: m.Number, Wall: s.now.UnixMilli()})
	case *wire.BeatOK:
		s.answered = max(s.answered, min(m.Number, s.beat))
		if m.Number == s.beat {
			s.clock(m.Wall, s.beatSent)
		}
	default:
		s.end(wire.CodeProtocol, "a greeting came after the greeting", 0)
	}
}

// clock notes how far the other clock is from ours. It showed wall some time
// between asked and now.
func (s *Session) clock(wall int64, asked time.Time) {
	s.peer.Offset = time.UnixMilli(wall).Sub(asked.Add(s.now.Sub(asked) / 2)).Round(time.Millisecond)
}

// tick does what is due.
func (s *Session) tick() {
	switch {
	case s.state == idle:
	case s.state != live && s.now.Sub(s.opened) >= greetTime:
		s.end(wire.CodeTimeout, fmt.Sprintf("no greeting within %v", greetTime), 0)
	case s.now.Sub(s.heard) >= deadTime:
		s.end(wire.CodeTimeout, fmt.Sprintf("nothing heard for %v", deadTime), 0)
	case s.state == live:
		if s.quiet() && s.now.Sub(s.compared) >= haveTime {
			s.sendHave()
		}
		if s.now.Sub(s.spoke) >= beatTime {
			s.sendBeat()
		}
	}
}

// Next returns when a Tick is due at the latest; zero if never.
func (s *Session) Next() time.Time {
	switch s.state {
	case idle, over:
		return time.Time{}
	case live:
		next := earlier(s.heard.Add(deadTime), s.spoke.Add(beatTime))
		if s.quiet() {
			next = earlier(next, s.compared.Add(haveTime))
		}
		if again := s.out.resumes(); !again.IsZero() {
			next = earlier(next, again)
		}
		return next
	}
	return s.opened.Add(greetTime)
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// quiet reports whether no entries are on their way.
func (s *Session) quiet() bool { return len(s.out.flights) == 0 && len(s.in.pending) == 0 }

// Peer returns what is known of the other side.
func (s *Session) Peer() Peer {
	p := s.peer
	p.Vector = maps.Clone(p.Vector)
	p.InFlight = len(s.out.flights)
	return p
}

// do adds an effect. The last one is End.
func (s *Session) do(e Effect) {
	if s.state != over {
		s.effects = append(s.effects, e)
	}
}

// send sends a message that is known to fit its frame.
func (s *Session) send(m wire.Message) {
	frame, err := wire.Encode(m)
	if err != nil {
		s.fault(err)
		return
	}
	s.sendFrame(frame)
}

func (s *Session) sendFrame(frame []byte) {
	s.spoke = s.now
	s.do(Send{frame})
}

// end tells the other side why the session is over.
func (s *Session) end(code wire.Code, text string, retry time.Duration) {
	if s.state != idle && s.state != over {
		if frame, err := wire.Encode(&wire.Bye{Code: code, Text: cut(text), Retry: min(max(retry, 0), wire.MaxRetry)}); err == nil {
			s.do(Send{frame})
		}
	}
	s.do(End{Code: code, Text: text, Retry: retry})
	s.state = over
}

// fault ends the session because this side cannot say what it must.
func (s *Session) fault(err error) {
	s.end(wire.CodeStopped, err.Error(), 0)
}

// cut returns as much of a text as a Bye can hold.
func cut(text string) string {
	if len(text) <= wire.MaxText {
		return text
	}
	n := wire.MaxText
	for n > 0 && text[n]&0xc0 == 0x80 { // not within a character
		n--
	}
	return text[:n]
}
