package model

import (
	"crypto/ed25519"
	"encoding/binary"
	"fmt"
	"slices"

	"github.com/google/uuid"
)

// A Seal is a replica's signature under its chain up to and with one entry. As
// each entry names the one before it, a seal vouches for all below. Entries are
// handed to other replicas only up to a sealed one.
type Seal struct {
	Replica uuid.UUID
	Head    Head
	Sig     [ed25519.SignatureSize]byte
}

// A sealed entry comes at the end of every commit, and inside a large one at the
// latest after so many entries or bytes: what lies between two seals fits into
// one message.
const (
	SealEntries = 256
	SealBytes   = 128 << 10
)

// text is what the signature is over.
func (s *Seal) text() []byte {
	b := append(make([]byte, 0, 64), "ampwright seal 1"...)
	b = append(b, s.Replica[:]...)
	b = binary.BigEndian.AppendUint64(b, s.Head.Seq)
	return append(b, s.Head.ID[:]...)
}

// Verify reports whether the seal was made with the replica's key.
func (s *Seal) Verify(key ed25519.PublicKey) bool {
	return len(key) == ed25519.PublicKeySize && ed25519.Verify(key, s.text(), s.Sig[:])
}

// SealCommit seals a commit: consecutive entries of one replica, whose private
// key sign uses. The entries come from a [Pen].
func SealCommit(raws [][]byte, sign func(message []byte) []byte) ([]Seal, error) {
	var seals []Seal
	entries, size := 0, 0
	for i, raw := range raws {
		entries, size = entries+1, size+len(raw)
		if i+1 < len(raws) && entries < SealEntries && size+len(raws[i+1]) <= SealBytes {
			continue
		}
		link, err := LinkOf(raw)
		if err != nil {
			return nil, fmt.Errorf("seal entry %d of %d: %w", i+1, len(raws), err)
		}
		s := Seal{Replica: link.Replica, Head: Head{link.Seq, link.ID}}
		if n := copy(s.Sig[:], sign(s.text())); n != len(s.Sig) {
			return nil, fmt.Errorf("seal entry %d of %d: signature of %d bytes, want %d", i+1, len(raws), n, len(s.Sig))
		}
		seals = append(seals, s)
		entries, size = 0, 0
	}
	return seals, nil
}

// A sealed is what a branch keeps of a seal.
type sealed struct {
	at   int // its entry's place in the branch
	size int // bytes of entries since the seal before it
	sig  [ed25519.SignatureSize]byte
}

func (s sealed) compareAt(at int) int { return s.at - at }

// AddSeal notes a seal of an entry that is in the logbook, in its place in an
// unbroken chain. The caller has verified it, or has it from its own store. Seals
// are thinned: one is dropped when the next of its branch is for a number in the
// same 256 and the entries between still fit between two seals.
func (l *Logbook) AddSeal(s Seal) error {
	i, ok := l.replica[s.Replica]
	if !ok {
		return fmt.Errorf("seal of replica %s: want one of a replica that is here", s.Replica)
	}
	c := &l.replicas[i].chain
	at, ok := c.find(l, s.Head)
	if !ok {
		return fmt.Errorf("seal of entry %d (%s) of replica %s: want one of an entry that is here", s.Head.Seq, s.Head.ID, s.Replica)
	}
	b := &c.branches[at.branch]
	n, found := slices.BinarySearchFunc(b.seals, at.at, sealed.compareAt)
	if found {
		return nil
	}
	from := 0
	if n > 0 {
		from = b.seals[n-1].at + 1
	}
	size := 0
	for _, item := range b.items[from : at.at+1] {
		size += len(l.items[item].raw)
	}
	b.seals = slices.Insert(b.seals, n, sealed{at.at, size, s.Sig})
	if n+1 < len(b.seals) {
		b.seals[n+1].size -= size
		b.thin(n)
	}
	if n > 0 {
		b.thin(n - 1)
	}
	return nil
}

// thin drops seal n, which is not the last, if the one after it will do.
func (b *branch) thin(n int) {
	x, y := b.seals[n], &b.seals[n+1]
	window := func(at int) uint64 { return (b.first + uint64(at) - 1) / SealEntries }
	if window(x.at) == window(y.at) && x.size+y.size <= SealBytes {
		y.size += x.size
		b.seals = slices.Delete(b.seals, n, n+1)
	}
}

// Seals returns the seals of a replica's chain, by number and name, that are
// worth storing: a store may forget the others.
func (l *Logbook) Seals(replica uuid.UUID) []Seal {
	i, ok := l.replica[replica]
	if !ok {
		return nil
	}
	c := &l.replicas[i].chain
	var seals []Seal
	for b := range c.branches {
		for _, s := range c.branches[b].seals {
			seals = append(seals, Seal{Replica: replica, Head: c.head(l, spot{b, s.at}), Sig: s.sig})
		}
	}
	slices.SortFunc(seals, func(a, b Seal) int { return a.Head.Compare(b.Head) })
	return seals
}
