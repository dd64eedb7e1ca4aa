package session

import "ampwright/sync/wire"

// A finishing is the way to an end in order. When nothing is left to send and
// nothing is on its way, a beat goes out. The other side answers it after all
// that it had to send by then: if nothing came meanwhile, nothing will.
type finishing struct {
	wanted bool
	asked  int64 // number of the beat that went out when nothing was left; 0 for none
}

// finish ends the session once each side has what the other could give.
func (s *Session) finish() {
	f, o := &s.finishing, &s.out
	if !f.wanted || s.state != live {
		return
	}
	if !o.told || o.changed && !o.full || !o.resumes().IsZero() || !s.quiet() || len(s.blobs.wants)+len(s.blobs.serving) > 0 {
		f.asked = 0
		return
	}
	switch {
	case f.asked == 0:
		s.sendBeat()
		f.asked = s.beat
	case s.answered >= f.asked:
		s.end(wire.CodeStopped, "all is exchanged", 0)
	}
}

func (s *Session) sendBeat() {
	s.beat++
	s.beatSent = s.now
	s.send(&wire.Beat{Number: s.beat, Wall: s.now.UnixMilli()})
}
