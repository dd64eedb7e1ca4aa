package session

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"ampwright/model"
	"ampwright/sync/wire"

	"github.com/google/uuid"
)

const (
	maxFlights = 4                 // batches sent and not answered
	minCredit  = 2 * wire.MaxFrame // half of it is granted again at once: a frame always fits
)

// outgoing is what is on its way to the other side.
type outgoing struct {
	told    bool                       // the other side has said what it has
	changed bool                       // there may be something to send
	credit  int64                      // bytes that may still be sent
	batch   uint64                     // number of the last
	flights []flight                   // not yet answered, in order
	rungs   map[uuid.UUID][]model.Head // of chains for which a ladder came: those known here
	ladders map[uuid.UUID]bool         // sent since the other side last said what it has
	refused map[uuid.UUID]wire.Reason  // chains it does not take
	full    bool                       // it cannot store anything
	doubts  map[uuid.UUID]*doubt       // chains of which it lacked what it said it has
}

type flight struct {
	batch    uint64
	portions []model.Portion // without their entries
}

// sendHave says what is here.
func (s *Session) sendHave() {
	s.compared, s.in.failed, s.finishing.asked = s.now, false, 0
	s.send(&wire.Have{Schema: model.Schema, Digest: s.log.Digest(), Vector: s.log.Vector()})
}

// have takes down what the other side holds and finds where chains part.
func (s *Session) have(m *wire.Have) {
	o := &s.out
	ours := s.log.Vector()
	if m.Schema == model.Schema && m.Digest != 0 && equal(m.Vector, ours) {
		if d := s.log.Digest(); d != m.Digest {
			s.do(Diverged{Ours: d, Theirs: m.Digest})
		}
	}
	if m.Vector == nil {
		m.Vector = model.Vector{}
	}
	s.peer.Vector = m.Vector
	o.told, o.changed, o.full = true, true, false
	o.rungs, o.ladders = map[uuid.UUID][]model.Head{}, map[uuid.UUID]bool{}
	maps.DeleteFunc(o.refused, func(_ uuid.UUID, r wire.Reason) bool { return r == wire.ReasonGap })
	lacking := 0
	for _, replica := range slices.SortedFunc(maps.Keys(m.Vector), compareNames) {
		heads := m.Vector[replica]
		top := highest(ours[replica])
		lacking += int(max(highest(heads), top) - top)
		for _, h := range heads {
			if s.log.Has(h.ID) || s.in.has(replica, h) {
				continue
			}
			if replica == s.cfg.Replica {
				s.askRename(fmt.Sprintf("the other side holds entry %d (%s) of this replica, which is not here", h.Seq, h.ID.Short()))
			}
			if h.Seq <= top { // not ahead of ours, so beside it
				s.sendLadder(replica)
			}
		}
	}
	s.in.want = s.in.got + lacking
	s.do(Progress{s.in.got, s.in.want})
}

// sendLadder helps the other side find where its chain and ours part.
func (s *Session) sendLadder(replica uuid.UUID) {
	if s.out.ladders[replica] {
		return
	}
	if rungs := s.log.Ladder(replica); len(rungs) > 0 {
		s.out.ladders[replica] = true
		s.send(&wire.Ladder{Replica: replica, Rungs: rungs[max(0, len(rungs)-wire.MaxRungs):]})
	}
}

// ladder takes down which entries of a chain that parts are on both sides.
func (s *Session) ladder(m *wire.Ladder) {
	if !s.out.told {
		s.end(wire.CodeProtocol, "a ladder came before what the other side has", 0)
		return
	}
	known := []model.Head{}
	for _, h := range m.Rungs {
		if s.log.Has(h.ID) {
			known = append(known, h)
		}
	}
	s.out.rungs[m.Replica] = known
	s.out.changed = true
	s.sendLadder(m.Replica)
}

// fill sends what the other side lacks, as far as it takes more.
func (s *Session) fill() {
	o := &s.out
	o.resume(s.now)
	if !o.told || !o.changed || o.full {
		return
	}
	view := s.view()
	for limit := wire.MaxRaw; s.state == live && len(o.flights) < maxFlights && o.credit >= wire.MaxFrame; {
		portions, rest := s.log.Missing(view, limit)
		if len(portions) == 0 {
			o.changed = false
			return
		}
		frame, err := wire.Encode(&wire.Entries{Batch: o.batch + 1, Portions: portions})
		var large *wire.SizeError
		switch {
		case errors.As(err, &large) && limit > 1:
			limit /= 2
			if len(portions) == 1 {
				limit = 1 // the least there is
			}
			continue
		case err != nil: // entries that no frame takes
			o.refuse(portions[0].Seal.Replica, wire.ReasonFull)
			view = s.view()
			continue
		}
		o.batch++
		o.credit -= int64(len(frame))
		for i := range portions {
			portions[i].Raws = nil
		}
		advanceAll(view, portions)
		o.flights = append(o.flights, flight{o.batch, portions})
		s.sendFrame(frame)
		if o.changed = rest; !rest {
			return
		}
	}
}

// view returns what the other side will have once all that is on its way has
// arrived, in heads known here. A chain of which it has only heads that are not
// is taken to be ahead of ours, until a ladder says otherwise.
func (s *Session) view() model.Vector {
	ours := s.log.Vector()
	view := make(model.Vector, len(ours))
	for replica, heads := range ours {
		theirs := slices.Concat(s.out.rungs[replica], s.peer.Vector[replica])
		view[replica] = theirs
		_, laddered := s.out.rungs[replica]
		_, refused := s.out.refused[replica]
		if d := s.out.doubts[replica]; d != nil && !d.until.IsZero() {
			refused = true
		}
		if refused || len(theirs) > 0 && !laddered && !s.knowsAny(theirs) {
			view[replica] = heads
		}
	}
	for _, f := range s.out.flights {
		advanceAll(view, f.portions)
	}
	return view
}

func (s *Session) knowsAny(heads []model.Head) bool {
	for _, h := range heads {
		if s.log.Has(h.ID) {
			return true
		}
	}
	return false
}

func (o *outgoing) refuse(replica uuid.UUID, r wire.Reason) {
	if o.refused == nil {
		o.refused = map[uuid.UUID]wire.Reason{}
	}
	o.refused[replica] = r
}

// carries reports whether a batch is on its way that has a portion of a chain.
func (o *outgoing) carries(batch uint64, replica uuid.UUID) bool {
	for _, f := range o.flights {
		if f.batch == batch {
			return slices.ContainsFunc(f.portions, func(p model.Portion) bool { return p.Seal.Replica == replica })
		}
	}
	return false
}

// land takes a batch that was answered off the list.
func (s *Session) land(batch uint64) (flight, bool) {
	for i, f := range s.out.flights {
		if f.batch == batch {
			s.out.flights = append(s.out.flights[:i:i], s.out.flights[i+1:]...)
			s.out.changed = true
			return f, true
		}
	}
	s.end(wire.CodeProtocol, fmt.Sprintf("an answer to batch %d, which is not on its way", batch), 0)
	return flight{}, false
}

// peerKept notes what has become durable on the other side.
func (s *Session) peerKept(m *wire.Kept) {
	f, ok := s.land(m.Batch)
	if !ok {
		return
	}
	for _, p := range f.portions {
		if slices.Contains(m.Heads[p.Seal.Replica], p.Seal.Head) {
			advance(s.peer.Vector, p.Seal.Replica, p.From, p.Seal.Head)
			s.peer.Took += int(p.Seal.Head.Seq - p.From.Seq)
			s.out.trust(p.Seal.Replica, p.Seal.Head.Seq)
		}
	}
}

// peerHeld notes what the other side did not take.
func (s *Session) peerHeld(m *wire.Held) {
	if m.Replica != uuid.Nil && !s.out.carries(m.Batch, m.Replica) {
		s.end(wire.CodeProtocol, fmt.Sprintf("a refusal of replica %s in batch %d, which does not carry it", m.Replica, m.Batch), 0)
		return
	}
	s.do(Refused{Held: *m})
	if m.Replica != uuid.Nil {
		s.out.refuse(m.Replica, m.Reason)
		if m.Reason == wire.ReasonGap {
			s.doubt(m)
		}
		return
	}
	if _, ok := s.land(m.Batch); ok {
		s.out.full = true
	}
}
