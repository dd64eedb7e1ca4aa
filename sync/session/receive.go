package session

import (
	"crypto/ed25519"
	"fmt"
	"slices"

	"ampwright/model"
	"ampwright/sync/wire"

	"github.com/google/uuid"
)

// incoming is what has come from the other side.
type incoming struct {
	batch     uint64 // number of the last
	pending   []arrival
	granted   int  // bytes the other side may still send
	owed      int  // bytes that can be granted again
	failed    bool // a batch could not be stored since the last have
	stray     int  // batches with a gap since anything was stored
	got, want int  // entries
}

// An arrival is a batch that is being stored.
type arrival struct {
	batch    uint64
	frame    int // bytes
	portions []model.Portion
}

// has reports whether an entry is in a batch that is being stored.
func (in *incoming) has(replica uuid.UUID, h model.Head) bool {
	for i := range in.pending {
		if holds(in.pending[i].portions, replica, h) {
			return true
		}
	}
	return false
}

// holds reports whether an entry is in one of the portions.
func holds(portions []model.Portion, replica uuid.UUID, h model.Head) bool {
	for i := range portions {
		p := &portions[i]
		if p.Seal.Replica != replica || h.Seq <= p.From.Seq || h.Seq > p.Seal.Head.Seq {
			continue
		}
		if h == p.Seal.Head || model.IDOf(p.Raws[h.Seq-p.From.Seq-1]) == h.ID {
			return true
		}
	}
	return false
}

// spend takes a frame off what was granted.
func (s *Session) spend(bytes int) bool {
	if s.in.granted -= bytes; s.in.granted < 0 {
		s.end(wire.CodeProtocol, fmt.Sprintf("%d bytes more than were granted", -s.in.granted), 0)
		return false
	}
	return true
}

// entries checks a batch, chain by chain, and has the sound ones stored.
func (s *Session) entries(m *wire.Entries, frame int) {
	if !s.spend(frame) {
		return
	}
	if m.Batch != s.in.batch+1 {
		s.end(wire.CodeProtocol, fmt.Sprintf("batch %d came after %d", m.Batch, s.in.batch), 0)
		return
	}
	if len(s.in.pending) == maxFlights {
		s.end(wire.CodeProtocol, fmt.Sprintf("batch %d came while %d are being stored, at most %d are accepted", m.Batch, maxFlights, maxFlights), 0)
		return
	}
	s.in.batch, s.finishing.asked = m.Batch, 0
	ours := s.log.Vector()
	for _, a := range s.in.pending {
		advanceAll(ours, a.portions)
	}
	var sound []model.Portion
	gap := false
	for _, p := range m.Portions {
		replica, head := p.Seal.Replica, p.Seal.Head
		r := s.check(&p, sound, ours)
		if s.peer.Vector != nil && (r == 0 || s.peer.Vector[replica] != nil) {
			advance(s.peer.Vector, replica, head, head) // it has that, whether or not we take it; overtake drops p.From
		}
		if r != 0 {
			h := wire.Held{Batch: m.Batch, Replica: replica, Seq: p.From.Seq + 1, Reason: r}
			s.send(&h)
			s.do(Refused{Held: h, Ours: true})
			gap = gap || r == wire.ReasonGap
			continue
		}
		sound = append(sound, p)
		advance(ours, replica, p.From, head)
		if replica == s.cfg.Replica && !s.log.Has(head.ID) {
			s.askRename(fmt.Sprintf("the other side brings entry %d (%s) of this replica, which is not here", head.Seq, head.ID.Short()))
		}
	}
	if gap && !s.in.failed {
		s.sendHave() // it thought of us as further than we are
		s.stray()
	}
	if len(sound) == 0 {
		s.in.owed += frame
		s.send(&wire.Kept{Batch: m.Batch})
		return
	}
	s.in.pending = append(s.in.pending, arrival{m.Batch, frame, sound})
	ap := Append{Batch: m.Batch}
	for _, p := range sound {
		ap.Raws = append(ap.Raws, p.Raws...)
		ap.Seals = append(ap.Seals, p.Seal)
	}
	s.do(ap)
}

// check returns why a portion cannot be stored after those in sound, or 0. That
// its entries hang together was seen when they were decoded.
func (s *Session) check(p *model.Portion, sound []model.Portion, ours model.Vector) wire.Reason {
	replica := p.Seal.Replica
	if p.From.Seq > 0 && !s.log.Has(p.From.ID) && !holds(sound, replica, p.From) && !s.in.has(replica, p.From) {
		return wire.ReasonGap
	}
	if len(ours[replica]) >= wire.MaxHeads && !slices.Contains(ours[replica], p.From) && !s.log.Has(p.Seal.Head.ID) {
		return wire.ReasonFork
	}
	key := s.keyOf(replica, sound)
	if p.From.Seq == 0 {
		opening := model.OpeningKey(p.Raws[0])
		if key != nil && !key.Equal(opening) {
			return wire.ReasonSeal
		}
		key = opening
	}
	if key == nil && p.From.Seq > 0 && !s.log.Has(p.From.ID) {
		return wire.ReasonGap // the first entry was in a batch that could not be stored
	}
	if !p.Seal.Verify(key) {
		return wire.ReasonSeal
	}
	return 0
}

// keyOf returns the key of a replica whose opening entry is here or has come.
func (s *Session) keyOf(replica uuid.UUID, sound []model.Portion) ed25519.PublicKey {
	if key, ok := s.log.KeyOf(replica); ok {
		return key
	}
	for i := range s.in.pending {
		if key := openingOf(s.in.pending[i].portions, replica); key != nil {
			return key
		}
	}
	return openingOf(sound, replica)
}

func openingOf(portions []model.Portion, replica uuid.UUID) ed25519.PublicKey {
	for _, p := range portions {
		if p.Seal.Replica == replica && p.From.Seq == 0 {
			return model.OpeningKey(p.Raws[0])
		}
	}
	return nil
}

// kept answers a batch: its entries are durable, or could not be stored.
func (s *Session) kept(ev Kept) {
	for i, a := range s.in.pending {
		if a.batch != ev.Batch {
			continue
		}
		s.in.pending = append(s.in.pending[:i:i], s.in.pending[i+1:]...)
		s.in.owed += a.frame
		s.out.changed = true
		if s.state != live {
			return
		}
		if ev.Err != nil {
			s.notKept(a.batch)
			return
		}
		s.in.stray = 0
		heads := model.Vector{}
		advanceAll(heads, a.portions)
		for _, p := range a.portions {
			s.in.got += len(p.Raws)
		}
		s.overtake(a.portions)
		s.send(&wire.Kept{Batch: a.batch, Heads: heads})
		s.stores()
		s.in.want = max(s.in.want, s.in.got)
		s.do(Progress{s.in.got, s.in.want})
		return
	}
}

// notKept answers a batch that could not be stored. Those behind it are likely to
// fail as well: no comparison until one is due or something has been stored, or
// both sides would try at once, again and again.
// overtake drops from what the other side has the heads that entries now known
// here have followed. Before, they were all that told how far its chain is ours.
func (s *Session) overtake(portions []model.Portion) {
	for i, p := range portions {
		replica, head := p.Seal.Replica, p.Seal.Head
		if theirs := s.peer.Vector[replica]; slices.Contains(theirs, head) {
			s.peer.Vector[replica] = slices.DeleteFunc(slices.Clone(theirs), func(h model.Head) bool {
				return h == p.From || h != head && holds(portions[i:i+1], replica, h)
			})
		}
	}
}

func (s *Session) notKept(batch uint64) {
	s.in.failed = true
	h := wire.Held{Batch: batch, Reason: wire.ReasonFull}
	s.send(&h)
	s.do(Refused{Held: h, Ours: true})
}

// stores compares again once there is room to store again.
func (s *Session) stores() {
	if s.state == live && s.in.failed {
		s.sendHave()
	}
}

// grant lets the other side send more, once half of its credit is used up.
func (s *Session) grant() {
	if s.state == live && s.in.owed >= s.cfg.Credit/2 {
		s.send(&wire.Credit{Bytes: int64(s.in.owed)})
		s.in.granted += s.in.owed
		s.in.owed = 0
	}
}

// askRename asks once for a new name.
func (s *Session) askRename(why string) {
	if !s.rename {
		s.rename = true
		s.do(Rename{why})
	}
}
