package bolt

import (
	"crypto/rand"
	"encoding/hex"

	"go.etcd.io/bbolt"
)

// A Mark is chance that tells one file from every other. A copy has it too.
type Mark [16]byte

func (m Mark) String() string { return hex.EncodeToString(m[:]) }

func newMark() (m Mark) {
	rand.Read(m[:]) // never fails
	return m
}

// Mark returns the file's mark.
func (s *Store) Mark() Mark {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.mark
}

// Remark gives the file another mark and returns it when it is durable.
func (s *Store) Remark() (Mark, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	m := newMark()
	err := s.update(func(tx *bbolt.Tx) error { return tx.Bucket(aboutBucket).Put(markKey, m[:]) })
	if err == nil {
		s.mark = m
	}
	return s.mark, err
}
