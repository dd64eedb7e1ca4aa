package session

import (
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/sha256"
	"fmt"
	"slices"

	"ampwright/sync/wire"
)

// open begins the greeting.
func (s *Session) open() {
	if s.state != idle {
		return
	}
	s.opened, s.heard, s.spoke = s.now, s.now, s.now
	s.state = greet
	s.mine = wire.Greeting{
		Versions: []int64{wire.Version}, Replica: s.cfg.Replica, Key: s.cfg.Key, Nonce: s.cfg.Nonce[:],
		Wall: s.now.UnixMilli(), Credit: int64(s.cfg.Credit), Program: s.cfg.Program,
		Line: s.log.Vouchers(s.cfg.Replica),
	}
	s.in.granted = s.cfg.Credit
	if s.cfg.Dials {
		s.hello = s.greetWith(&wire.Hello{Greeting: s.mine})
	}
}

// greetWith sends a greeting and returns its frame.
func (s *Session) greetWith(m wire.Message) []byte {
	frame, err := wire.Encode(m)
	if err != nil {
		s.fault(err)
		return nil
	}
	s.sendFrame(frame)
	return frame
}

// greeting handles the frames before both sides are known to each other.
func (s *Session) greeting(m wire.Message, frame []byte) {
	switch m := m.(type) {
	case *wire.Hello:
		if s.state == greet && !s.cfg.Dials {
			s.answer(m, frame)
			return
		}
	case *wire.Welcome:
		if s.state == greet && s.cfg.Dials {
			s.welcomed(m, frame)
			return
		}
	case *wire.Prove:
		if s.state == prove {
			s.proven(m)
			return
		}
	}
	s.end(wire.CodeProtocol, "a frame came before its time", 0)
}

// answer greets a side that has dialled.
func (s *Session) answer(m *wire.Hello, frame []byte) {
	if !slices.Contains(m.Versions, wire.Version) {
		s.end(wire.CodeVersion, fmt.Sprintf("protocol versions %d, this side speaks %d", m.Versions, wire.Version), 0)
		return
	}
	s.hello = frame
	s.clock(m.Wall, s.now)
	s.mine.Wall = s.now.UnixMilli()
	s.welcome = s.greetWith(&wire.Welcome{Greeting: s.mine})
	s.meet(m.Greeting)
}

// welcomed proves to the side dialled who this is.
func (s *Session) welcomed(m *wire.Welcome, frame []byte) {
	if !slices.Equal(m.Versions, []int64{wire.Version}) {
		s.end(wire.CodeVersion, fmt.Sprintf("protocol versions %d, this side speaks %d", m.Versions, wire.Version), 0)
		return
	}
	s.welcome = frame
	s.clock(m.Wall, s.opened)
	if s.meet(m.Greeting); s.state == prove {
		s.sendProof()
	}
}

// meet takes down who the other side says it is.
func (s *Session) meet(g wire.Greeting) {
	if g.Credit < minCredit {
		s.end(wire.CodeProtocol, fmt.Sprintf("credit of %d bytes, want at least %d", g.Credit, minCredit), 0)
		return
	}
	s.theirs = g
	s.out.credit = g.Credit
	s.peer.Replica, s.peer.Key, s.peer.Program = g.Replica, g.Key, g.Program
	if s.state == greet {
		s.state = prove
	}
}

// statement is what a side signs to prove its key: nobody can use it in another
// connection, in the other role, or with another greeting.
func (s *Session) statement(dials bool) []byte {
	d, a, role := &s.mine, &s.theirs, byte(1)
	if !s.cfg.Dials {
		d, a = a, d
	}
	if !dials {
		role = 2
	}
	greetings := sha256.Sum256(slices.Concat(s.hello, s.welcome))
	return slices.Concat([]byte("ampwright link 1"), []byte{role}, d.Nonce, a.Nonce,
		d.Replica[:], a.Replica[:], d.Key, a.Key, greetings[:])
}

func (s *Session) mac(statement []byte) []byte {
	if s.cfg.Secret == nil {
		return nil
	}
	h := hmac.New(sha256.New, s.cfg.Secret)
	h.Write(statement)
	return h.Sum(nil)
}

func (s *Session) sendProof() {
	t := s.statement(s.cfg.Dials)
	s.send(&wire.Prove{Sig: s.cfg.Sign(t), Mac: s.mac(t)})
}

// introduced reports whether a side that is not known may come in for the name it
// had before, and ends the session if not.
func (s *Session) introduced() bool {
	why := fmt.Sprintf("replica %s is not known here and shows no invitation that is open", s.peer.Replica)
	if len(s.theirs.Line) > 0 {
		var err error
		if s.peer.Was, err = s.log.Introduced(s.peer.Replica, s.peer.Key, s.theirs.Line); err == nil {
			return true
		}
		why += "; " + err.Error()
	}
	s.end(wire.CodeUnknown, why, 0)
	return false
}

// proven checks the other side's proof and decides whether it may come in. The
// side that dialled has proven itself first.
func (s *Session) proven(m *wire.Prove) {
	t := s.statement(!s.cfg.Dials)
	if !ed25519.Verify(s.peer.Key, t, m.Sig) {
		s.end(wire.CodeProof, "the signature does not fit the key", 0)
		return
	}
	key, known := s.log.KeyOf(s.peer.Replica)
	if s.peer.Replica == s.cfg.Replica {
		key, known = s.cfg.Key, true
	}
	if known && !key.Equal(s.peer.Key) {
		s.end(wire.CodeKey, fmt.Sprintf("replica %s is known here under another key", s.peer.Replica), 0)
		return
	}
	s.peer.Known = known
	s.peer.Tried = len(m.Mac) > 0
	s.peer.Invited = s.cfg.Secret != nil && hmac.Equal(m.Mac, s.mac(t))
	if !known && !s.peer.Invited && !s.introduced() {
		return
	}
	if s.cfg.Admit != nil {
		if err := s.cfg.Admit(s.peer); err != nil {
			s.end(wire.CodeRefused, err.Error(), 0)
			return
		}
	}
	if !s.cfg.Dials {
		s.sendProof()
	}
	if s.state != prove { // the proof could not be sent
		return
	}
	s.state = live
	s.do(Met{s.peer})
	if n := len(s.log.Vector()[s.cfg.Replica]); n > 1 {
		s.askRename(fmt.Sprintf("this replica's chain has %d ends", n))
	}
	s.sendHave()
}
