package session

import (
	"fmt"
	"time"

	"ampwright/sync/wire"

	"github.com/google/uuid"
)

// A chain of which the other side held an entry, it said, and lacked it when the
// next came, is sent again: at once, then after a second, 2, 4, 8 and 16. With
// the maxGaps-th gap the session is over.
const (
	maxGaps   = 7
	firstWait = time.Second
	gapRetry  = 10 * time.Minute // before the two connect again
)

// maxStray is how many batches in a row may hold portions that follow nothing
// here: a side that sends what it was not asked for is not answered for ever.
const maxStray = 64

// A doubt is how often the other side was wrong about what it holds of a chain.
type doubt struct {
	gaps  int
	batch uint64    // the last one sent when the last gap was counted: those up to it tell nothing new
	top   uint64    // highest number it has confirmed
	until time.Time // the chain is held back; zero if it is not
}

// doubt counts a gap, and holds the chain back or gives up.
func (s *Session) doubt(m *wire.Held) {
	o := &s.out
	if o.doubts == nil {
		o.doubts = map[uuid.UUID]*doubt{}
	}
	d := o.doubts[m.Replica]
	if d == nil {
		d = &doubt{}
		o.doubts[m.Replica] = d
	}
	if o.full || m.Batch <= d.batch { // what it could not store, or what was on its way by then
		return
	}
	d.batch = o.batch
	switch d.gaps++; {
	case d.gaps == maxGaps:
		s.end(wire.CodeProtocol, fmt.Sprintf(
			"the other side said %d times that it holds replica %s up to entry %d, and lacked that entry whenever the next one came: its copy of the logbook is damaged",
			maxGaps, m.Replica, m.Seq-1), gapRetry)
	case d.gaps > 1:
		d.until = s.now.Add(firstWait << (d.gaps - 2))
	}
}

// trust forgets the gaps of a chain that has come further than ever before.
func (o *outgoing) trust(replica uuid.UUID, seq uint64) {
	if d := o.doubts[replica]; d != nil && seq > d.top {
		d.gaps, d.top = 0, seq
	}
}

// resume lets go of the chains that were held back long enough.
func (o *outgoing) resume(now time.Time) {
	for _, d := range o.doubts {
		if !d.until.IsZero() && !now.Before(d.until) {
			d.until, o.changed = time.Time{}, true
		}
	}
}

// resumes returns when the next chain is let go of; zero if none is held back.
func (o *outgoing) resumes() (next time.Time) {
	for _, d := range o.doubts {
		if !d.until.IsZero() && (next.IsZero() || d.until.Before(next)) {
			next = d.until
		}
	}
	return next
}

// stray counts batches that follow nothing here, and ends the session after many.
func (s *Session) stray() {
	if s.in.stray++; s.in.stray == maxStray {
		s.end(wire.CodeProtocol, fmt.Sprintf("%d batches in a row hold entries that follow none here", maxStray), gapRetry)
	}
}
