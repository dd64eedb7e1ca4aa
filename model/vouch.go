package model

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"fmt"
	"slices"

	"github.com/google/uuid"
)

// MaxLine is how many names in a row a device may take until one that is known
// vouches for the last.
const MaxLine = 8

// VouchSize is how many bytes a vouch has: the Ed25519 key of the replica before,
// and its signature over
//
//	"ampwright name 1", replica before (16 bytes), replica (16 bytes), key (32 bytes)
const VouchSize = ed25519.PublicKeySize + ed25519.SignatureSize

// A Voucher is a replica that vouches for the one that continues it.
type Voucher struct {
	Replica uuid.UUID
	Vouch   []byte // VouchSize bytes
}

// Vouch returns what the key of replica was says of a replica that continues it
// under a name and a key of its own.
func Vouch(was uuid.UUID, old ed25519.PrivateKey, replica uuid.UUID, key ed25519.PublicKey) []byte {
	return append(slices.Clone(old.Public().(ed25519.PublicKey)), ed25519.Sign(old, vouchText(was, replica, key))...)
}

func vouchText(was, replica uuid.UUID, key ed25519.PublicKey) []byte {
	return slices.Concat([]byte("ampwright name 1"), was[:], replica[:], key)
}

// holds reports whether v vouches for a replica under a key.
func (v *Voucher) holds(replica uuid.UUID, key ed25519.PublicKey) bool {
	return len(v.Vouch) == VouchSize && ed25519.Verify(v.Vouch[:ed25519.PublicKeySize], vouchText(v.Replica, replica, key), v.Vouch[ed25519.PublicKeySize:])
}

// Vouchers returns who vouches for a replica whose first entry is here: the one it
// continues, then the one that continues, and so on, at most MaxLine.
func (l *Logbook) Vouchers(replica uuid.UUID) (line []Voucher) {
	for len(line) < MaxLine {
		b := l.opening(replica)
		if b == nil || b.Was == uuid.Nil || len(b.Vouch) != VouchSize {
			break
		}
		line = append(line, Voucher{b.Was, b.Vouch})
		replica = b.Was
	}
	return line
}

// Introduced returns the replica known here that a newcomer under this name and
// key continues, as line shows. A replica that was struck off vouches for nobody,
// and one that is known for one other alone: of two copies of a device the second
// is a stranger.
func (l *Logbook) Introduced(replica uuid.UUID, key ed25519.PublicKey, line []Voucher) (uuid.UUID, error) {
	for _, v := range line[:min(len(line), MaxLine)] {
		if _, closed := l.Closed(v.Replica); closed {
			return uuid.Nil, fmt.Errorf("it continues replica %s, which was struck off", v.Replica)
		}
		if !v.holds(replica, key) {
			return uuid.Nil, fmt.Errorf("the signature of replica %s, which it says it continues, does not hold", v.Replica)
		}
		key = v.Vouch[:ed25519.PublicKeySize]
		if known, ok := l.KeyOf(v.Replica); ok {
			if !known.Equal(key) {
				return uuid.Nil, fmt.Errorf("it continues replica %s, which is known here under another key", v.Replica)
			}
			if next := l.continuedBy(v.Replica); next != uuid.Nil && next != replica {
				return uuid.Nil, fmt.Errorf("it continues replica %s, which replica %s continues already: there are two copies of that device", v.Replica, next)
			}
			return v.Replica, nil
		}
		replica = v.Replica
	}
	return uuid.Nil, errors.New("it continues none that is known here")
}

// continuedBy returns the replica that a known one vouches for; zero for none.
func (l *Logbook) continuedBy(was uuid.UUID) uuid.UUID {
	key, _ := l.KeyOf(was)
	for i := range l.replicas {
		id := l.replicas[i].id
		if b := l.opening(id); b != nil && b.Was == was {
			v := Voucher{was, b.Vouch}
			if v.holds(id, b.Key) && key.Equal(ed25519.PublicKey(b.Vouch[:ed25519.PublicKeySize])) {
				return id
			}
		}
	}
	return uuid.Nil
}

// opening returns what the first entry of a replica says, nil if it is not here: of
// several, the one with the lowest name.
func (l *Logbook) opening(replica uuid.UUID) *Replica {
	i, ok := l.replica[replica]
	if !ok {
		return nil
	}
	var lowest Entry
	for n := range l.replicas[i].chain.openings() {
		e, err := Decode([]byte(l.items[n].raw))
		if err == nil && (lowest.Body == nil || bytes.Compare(e.ID[:], lowest.ID[:]) < 0) {
			lowest = e
		}
	}
	b, _ := lowest.Body.(*Replica)
	return b
}
