package session

import (
	"bytes"
	"maps"
	"slices"

	"ampwright/model"

	"github.com/google/uuid"
)

// advance puts head in a vector in place of from, which it follows. The slices in
// v are never changed, only replaced.
func advance(v model.Vector, replica uuid.UUID, from, head model.Head) {
	heads := make([]model.Head, 0, len(v[replica])+1)
	for _, h := range v[replica] {
		if h != from && h != head {
			heads = append(heads, h)
		}
	}
	heads = append(heads, head)
	slices.SortFunc(heads, model.Head.Compare)
	v[replica] = heads
}

func advanceAll(v model.Vector, portions []model.Portion) {
	for i := range portions {
		advance(v, portions[i].Seal.Replica, portions[i].From, portions[i].Seal.Head)
	}
}

func equal(a, b model.Vector) bool {
	return maps.EqualFunc(a, b, func(x, y []model.Head) bool { return slices.Equal(x, y) })
}

// highest returns the highest number among heads.
func highest(heads []model.Head) (seq uint64) {
	for _, h := range heads {
		seq = max(seq, h.Seq)
	}
	return seq
}

func compareNames(a, b uuid.UUID) int { return bytes.Compare(a[:], b[:]) }
