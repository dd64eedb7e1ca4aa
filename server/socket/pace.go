package socket

import "time"

// paceFrames may be read within paceTime of each other; who sends more waits.
const (
	paceFrames = 100
	paceTime   = time.Second
)

// A pace slows the reading of frames. The zero pace has read none.
type pace struct {
	read [paceFrames]time.Time // when the last ones were, a ring
	next int
}

// wait returns how long the next frame must wait, and counts it as read then.
func (p *pace) wait(now time.Time) time.Duration {
	at := now
	if first := p.read[p.next].Add(paceTime); first.After(at) {
		at = first
	}
	p.read[p.next] = at
	p.next = (p.next + 1) % paceFrames
	return at.Sub(now)
}
