package sim_test

import (
	"ampwright/model"
	"ampwright/sync/wire"
)

// claims returns the heads that a frame says its sender has.
func claims(frame []byte) (heads []model.Head) {
	if isEntries(frame) {
		return nil
	}
	var v model.Vector
	switch m, _ := wire.Decode(frame); m := m.(type) {
	case *wire.Have:
		v = m.Vector
	case *wire.Kept:
		v = m.Heads
	}
	for _, h := range v {
		heads = append(heads, h...)
	}
	return heads
}

// Kinds of frames, in their third byte: {0: kind, ...}.
const (
	entriesKind = 5
	ladderKind  = 8
)

func isEntries(frame []byte) bool { return isKind(frame, entriesKind) }

func isKind(frame []byte, kind byte) bool { return len(frame) > 2 && frame[2] == kind }

// pass puts the versions of g into a hello and keeps both greetings.
func (g *greeting) pass(frame []byte) []byte {
	switch m, _ := wire.Decode(frame); m := m.(type) {
	case *wire.Hello:
		g.hello = frame
		m.Versions = g.versions
		g.spoken, _ = wire.Encode(m)
		return g.spoken
	case *wire.Welcome:
		g.welcome = frame
	}
	return frame
}

// strange is a frame of a later version: of an even kind, to be passed over, or
// of an odd one, that ends the connection. {0: 40 or 41, 1: "?"}
func strange(odd bool) []byte {
	kind := byte(40)
	if odd {
		kind++
	}
	return []byte{0xa2, 0x00, 0x18, kind, 0x01, 0x61, '?'}
}
