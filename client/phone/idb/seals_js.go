package idb

import (
	"bytes"
	"fmt"
	"syscall/js"

	"ampwright/model"
	"ampwright/sync/keep"
)

// sealSize is the size of one seal in a record, in bytes.
const sealSize = len(keep.Key{}) + len(model.Seal{}.Sig)

// noRun stands in a record of seals where others have their run's key.
var noRun keep.Key

// sealsRecord makes a record of seals.
func sealsRecord(seals []model.Seal) js.Value {
	parts := [][]byte{noRun[:]}
	for _, seal := range seals {
		key := keep.SealKey(seal)
		parts = append(parts, key[:], seal.Sig[:])
	}
	return arrayOf(parts...)
}

// sealsOf reads a record. It is false if the record is of a run.
func sealsOf(record []byte) (seals []model.Seal, ok bool, err error) {
	rest, ok := bytes.CutPrefix(record, noRun[:])
	if !ok {
		return nil, false, nil
	}
	if len(rest)%sealSize != 0 {
		return nil, true, fmt.Errorf("the logbook on this device is damaged: seals of %d bytes, want a multiple of %d", len(rest), sealSize)
	}
	for ; len(rest) > 0; rest = rest[sealSize:] {
		seal, err := keep.SealOf(rest[:len(noRun)], rest[len(noRun):sealSize])
		if err != nil {
			return nil, true, fmt.Errorf("the logbook on this device is damaged: %w", err)
		}
		seals = append(seals, seal)
	}
	return seals, true, nil
}

func (s *Store) knowSeals(n int, seals []model.Seal) {
	s.seals[n], s.last = seals, max(s.last, n)
	for _, seal := range seals {
		s.sealed[keep.SealKey(seal)] = true
	}
}

func (s *Store) forgetSeals(n int) {
	for _, seal := range s.seals[n] {
		delete(s.sealed, keep.SealKey(seal))
	}
	delete(s.seals, n)
}

// unsealed returns those seals whose entries have none yet, each once.
func (s *Store) unsealed(seals []model.Seal) (fresh []model.Seal) {
	seen := map[keep.Key]bool{}
	for _, seal := range seals {
		if key := keep.SealKey(seal); !s.sealed[key] && !seen[key] {
			seen[key] = true
			fresh = append(fresh, seal)
		}
	}
	return fresh
}

// allSeals returns the seals in the order of [keep.Log.Seals].
func (s *Store) allSeals() []model.Seal {
	all := make([]model.Seal, 0, len(s.sealed))
	for _, seals := range s.seals {
		all = append(all, seals...)
	}
	keep.SortSeals(all)
	return all
}

// Seals calls f with the seals, as [keep.Log] says.
func (s *Store) Seals(f func(model.Seal) error) error {
	s.mu.Lock()
	seals := s.allSeals()
	s.mu.Unlock()
	for _, seal := range seals {
		if err := f(seal); err != nil {
			return err
		}
	}
	return nil
}
