package bolt

import (
	"encoding/binary"
	"fmt"

	"go.etcd.io/bbolt"
)

// packKey is where "loose" and "seals" note which transaction packed last. It
// sorts after nearly all that is in them, so that it stands on the page that is
// written next.
var packKey = []byte("\xffpack")

// notePack notes in a bucket, and in the upper half of its sequence, that this
// transaction packed. A page of the bucket from before, which a disk has kept in
// the place of the one it should have written, may hold as many items.
func notePack(tx *bbolt.Tx, bucket []byte) error {
	b := tx.Bucket(bucket)
	pack := uint32(tx.ID())
	if err := b.Put(packKey, binary.BigEndian.AppendUint32(nil, pack)); err != nil {
		return err
	}
	return b.SetSequence(uint64(pack)<<32 | count(b.Sequence()))
}

// count is the number of entries and seals that a bucket's sequence promises.
func count(sequence uint64) uint64 { return uint64(uint32(sequence)) }

// checkCount compares what was found in a bucket, and the value of its packKey,
// with what its sequence promises.
func checkCount(bucket []byte, sequence, found uint64, pack []byte) error {
	if want := count(sequence); found != want {
		return fmt.Errorf("bucket %q holds %d entries and seals that read, want %d", bucket, found, want)
	}
	var got uint32
	if len(pack) == 4 {
		got = binary.BigEndian.Uint32(pack)
	}
	if want := uint32(sequence >> 32); got != want {
		return fmt.Errorf("bucket %q was packed by transaction %d, want %d: a page of it did not reach the disk", bucket, got, want)
	}
	return nil
}
