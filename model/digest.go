package model

import (
	"encoding/binary"
	"fmt"
)

// Digest returns a 64-bit digest of what the logbook says: over the name of
// every entry and whether it is struck out, replaced or held. A writing of a
// field is one of its heads exactly when it is none of these, so the heads of
// all fields are in it. Logbooks with the same entries have the same digest, in
// whatever order they came; others have another, but for chance (it is no proof
// against somebody who looks for two that agree). Programs of one [Schema] agree.
func (l *Logbook) Digest() uint64 {
	l.settle()
	sum := mix(uint64(len(l.items)))
	for i := range l.items {
		it := &l.items[i]
		sum += mix(binary.BigEndian.Uint64(it.id[:8]) ^ uint64(it.state&standing)<<56)
	}
	return sum
}

// mix spreads every bit of x over all of the result: the finaliser of SplitMix64
// (its constants are from memory; any good mixer would do).
func mix(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// DigestText writes enough of a digest for people to compare two by eye: its
// first 8 hexadecimal digits.
func DigestText(digest uint64) string { return fmt.Sprintf("%08x", digest>>32) }
