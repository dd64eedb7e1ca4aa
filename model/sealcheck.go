package model

import (
	"crypto/ed25519"
	"fmt"

	"github.com/google/uuid"
)

// A SealCheck checks seals against the entries that it was shown, those of a
// file, say. The zero SealCheck was shown none.
type SealCheck struct {
	entries map[ID]sealable
}

type sealable struct {
	replica uuid.UUID
	seq     uint64
	key     ed25519.PublicKey // of its chain; nil if that has none, or its beginning was not shown
}

// Show notes an entry, whose link is l. The one before it comes first.
func (c *SealCheck) Show(raw []byte, l Link) {
	e := sealable{replica: l.Replica, seq: l.Seq}
	if l.Seq == 1 {
		e.key = OpeningKey(raw)
	} else if before := c.entries[l.Prev]; before.replica == l.Replica && before.seq+1 == l.Seq {
		e.key = before.key
	}
	if c.entries == nil {
		c.entries = map[ID]sealable{}
	}
	c.entries[l.ID] = e
}

// Check makes sure that a seal is of an entry that was shown, and was made with
// the key that the first entry of its chain carries.
func (c *SealCheck) Check(s Seal) error {
	e, ok := c.entries[s.Head.ID]
	switch {
	case !ok || e.replica != s.Replica || e.seq != s.Head.Seq:
		return fmt.Errorf("seal of entry %d (%s) of replica %s: want one of an entry that is there", s.Head.Seq, s.Head.ID, s.Replica)
	case e.key == nil:
		return fmt.Errorf("seal of entry %d of replica %s: no first entry with a key leads to it, so it cannot be checked", s.Head.Seq, s.Replica)
	case !s.Verify(e.key):
		return fmt.Errorf("seal of entry %d of replica %s: it was not made with the key in that replica's first entry", s.Head.Seq, s.Replica)
	}
	return nil
}
