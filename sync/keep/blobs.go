package keep

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
)

// MaxBlob is the size of the largest blob a store takes, in bytes.
const MaxBlob = 12 << 20

// ErrNoBlob says that a blob is not in the store.
var ErrNoBlob = errors.New("the blob is not here")

// A BlobID names a blob for ever: the SHA-256 of its bytes.
type BlobID [sha256.Size]byte

func (id BlobID) String() string { return hex.EncodeToString(id[:]) }

// Compare orders names by their bytes.
func (id BlobID) Compare(o BlobID) int { return bytes.Compare(id[:], o[:]) }

// ParseBlobID reads what BlobID.String writes.
func ParseBlobID(s string) (id BlobID, err error) {
	b, err := hex.DecodeString(s)
	if err != nil || len(b) != len(id) {
		return id, fmt.Errorf("blob name %q: want 64 hexadecimal digits", s)
	}
	return BlobID(b), nil
}

// A Blob is what a store says of one it holds.
type Blob struct {
	ID   BlobID
	Size int64
}

// Blobs keeps what is too large for an entry, such as photos, under the hash of
// its bytes. It is safe for concurrent use.
type Blobs interface {
	// Put stores what r gives, at most [MaxBlob] bytes, and returns its name
	// once it is durable. One that is there already is written anew, which
	// mends it.
	Put(r io.Reader) (BlobID, error)

	// Get returns a blob's bytes, which have been checked against its name. The
	// error is [ErrNoBlob] if it is not there, a [*BadBlobError] if its bytes
	// are others.
	Get(id BlobID) ([]byte, error)

	// Has reports whether the blob is there, without reading it.
	Has(id BlobID) (bool, error)

	// Drop removes a blob and what came of it in parts. One that is not there
	// is no error.
	Drop(id BlobID) error

	// List returns what is there, by name.
	List() ([]Blob, error)

	// Part adds the bytes from offset on to a blob that comes in parts, passes
	// over those it has, and returns how many it has then; with no data it only
	// says so. A part that would leave a hole is an error. Parts outlast the
	// program, but need not outlast a power cut.
	Part(id BlobID, offset int64, data []byte) (int64, error)

	// Done makes a blob of its parts once all are there, durable when it
	// returns. If their hash is another the error is a [*BadBlobError] and the
	// parts are gone: the blob is to be fetched from its beginning.
	Done(id BlobID) error
}

// A BadBlobError says that bytes kept as a blob are not those it is named after.
type BadBlobError struct{ Want, Got BlobID }

func (e *BadBlobError) Error() string {
	return fmt.Sprintf("the bytes of blob %s have the SHA-256 %s: damaged, or not all there", e.Want, e.Got)
}

// CheckBlob makes sure that data is the blob of that name.
func CheckBlob(id BlobID, data []byte) error {
	if got := BlobID(sha256.Sum256(data)); got != id {
		return &BadBlobError{id, got}
	}
	return nil
}

// NextPart returns which of the bytes of a part come after the first have
// bytes of the blob, as [Blobs.Part] says.
func NextPart(id BlobID, have, offset int64, data []byte) ([]byte, error) {
	end := offset + int64(len(data))
	switch {
	case offset < 0 || offset > MaxBlob || end > MaxBlob:
		return nil, fmt.Errorf("part of blob %s from byte %d to %d: want 0 to %d", id, offset, end, MaxBlob)
	case len(data) == 0 || end <= have:
		return nil, nil
	case offset > have:
		return nil, fmt.Errorf("part of blob %s from byte %d on: want one from byte %d on", id, offset, have)
	}
	return data[have-offset:], nil
}

// ReadBlob reads a blob whole. One of more than [MaxBlob] bytes is an error.
func ReadBlob(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBlob+1))
	if err == nil && len(data) > MaxBlob {
		err = fmt.Errorf("a blob of more than %d bytes: want one of at most %d", MaxBlob, MaxBlob)
	}
	return data, err
}
