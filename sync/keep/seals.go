package keep

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"

	"ampwright/model"

	"github.com/google/uuid"
)

// SealKey is the name of a seal in a store, whose value is the signature. In the
// order of keys, seals come as [Log.Seals] says.
func SealKey(s model.Seal) Key { return keyOf(s.Replica, s.Head) }

// SealOf reads the seal that a store has under key.
func SealOf(key, sig []byte) (s model.Seal, err error) {
	if len(key) != len(Key{}) || len(sig) != len(s.Sig) {
		return s, fmt.Errorf("seal %x: a key of %d bytes and a signature of %d, want %d and %d", key, len(key), len(sig), len(Key{}), len(s.Sig))
	}
	s.Replica = uuid.UUID(key[:16])
	s.Head = model.Head{Seq: binary.BigEndian.Uint64(key[16:24]), ID: model.ID(key[24:])}
	copy(s.Sig[:], sig)
	return s, nil
}

// SortSeals puts seals in the order of [Log.Seals].
func SortSeals(seals []model.Seal) {
	slices.SortFunc(seals, func(a, b model.Seal) int {
		x, y := SealKey(a), SealKey(b)
		return bytes.Compare(x[:], y[:])
	})
}

func unsealable(s model.Seal) error {
	return fmt.Errorf("append seal of entry %d (%s) of replica %s: want one of an entry that is here", s.Head.Seq, s.Head.ID, s.Replica)
}

// Thin returns which of some seals, in the order of their numbers, a store may
// forget: those that have another after them in the same run, in the same window
// of [model.SealEntries] numbers, if what comes to lie between two seals is no
// more than [model.SealBytes]. Seals of other entries than the run's stay.
func Thin(run []byte, seals []model.Seal) (forget []model.Seal, err error) {
	span, err := model.SpanOf(run)
	if err != nil {
		return nil, err
	}
	ids := make([]model.ID, 0, span.Count)
	ends := make([]int, 0, span.Count) // bytes of the run's entries up to each
	size := 0
	err = model.UnpackRun(run, func(raw string, id model.ID) error {
		size += len(raw)
		ids, ends = append(ids, id), append(ends, size)
		return nil
	})
	if err != nil {
		return nil, err
	}
	from, known := 0, span.First == 1 // where the last seal that stays ends; before the run, nobody knows
	last := -1                        // in seals, the last of the run
	for i, s := range seals {
		if s.Replica != span.Replica || s.Head.Seq < span.First || s.Head.Seq > span.End() || ids[s.Head.Seq-span.First] != s.Head.ID {
			continue
		}
		if last >= 0 {
			x := seals[last]
			if known && window(x) == window(s) && ends[s.Head.Seq-span.First]-from <= model.SealBytes {
				forget = append(forget, x)
			} else {
				from, known = ends[x.Head.Seq-span.First], true
			}
		}
		last = i
	}
	return forget, nil
}

func window(s model.Seal) uint64 { return (s.Head.Seq - 1) / model.SealEntries }
