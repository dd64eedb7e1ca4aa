package blobs

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"

	"ampwright/sync/keep"
)

// Raw files, such as the log of a battery, are kept compressed: one gzip stream
// (RFC 1952) cut into pieces, each a blob. The pieces in order, put together, are
// a .gz file that any program can unpack.
const (
	rawPiece  = 8 << 20
	rawPieces = 16 // 128 MiB compressed
)

// A TooLargeError says that a raw file is larger than what is kept.
type TooLargeError struct {
	Read int64
	Most int // bytes, compressed
}

func (e *TooLargeError) Error() string {
	return fmt.Sprintf("its first %d MB take more than %d MB compressed, which is all that is kept of a file", e.Read>>20, e.Most>>20)
}

// PutRaw stores a file and returns the names of its pieces, in order, and the
// SHA-256 of the file. The error is a [*TooLargeError] where it is larger than
// what can be kept; then nothing of it is.
func PutRaw(to keep.Blobs, in io.Reader) (pieces []keep.BlobID, hash string, err error) {
	return putRaw(&pieceWriter{to: to, size: rawPiece, most: rawPieces}, in)
}

func putRaw(w *pieceWriter, in io.Reader) (pieces []keep.BlobID, hash string, err error) {
	sum := sha256.New()
	pack := gzip.NewWriter(w)
	n, err := io.Copy(io.MultiWriter(pack, sum), in)
	if err = errors.Join(err, pack.Close()); err == nil {
		err = w.put()
	}
	if err == nil {
		return w.pieces, hex.EncodeToString(sum.Sum(nil)), nil
	}
	for _, id := range w.fresh {
		err = errors.Join(err, w.to.Drop(id))
	}
	if w.full {
		return nil, "", &TooLargeError{n, w.most * w.size}
	}
	return nil, "", fmt.Errorf("keep raw file: %w", err)
}

// A pieceWriter cuts what is written to it into blobs.
type pieceWriter struct {
	to     keep.Blobs
	size   int // of a piece, in bytes
	most   int // pieces
	buf    bytes.Buffer
	pieces []keep.BlobID
	fresh  []keep.BlobID // those that were not there
	full   bool
}

func (w *pieceWriter) Write(p []byte) (int, error) {
	n, _ := w.buf.Write(p)
	for w.buf.Len() >= w.size {
		if err := w.put(); err != nil {
			return 0, err
		}
	}
	return n, nil
}

// put stores the next piece.
func (w *pieceWriter) put() error {
	data := w.buf.Next(w.size)
	if len(data) == 0 {
		return nil
	}
	if w.full = len(w.pieces) == w.most; w.full {
		return errors.New("full")
	}
	there, err := w.to.Has(sha256.Sum256(data))
	if err != nil {
		return err
	}
	id, err := w.to.Put(bytes.NewReader(data))
	if err != nil {
		return err
	}
	w.pieces = append(w.pieces, id)
	if !there {
		w.fresh = append(w.fresh, id)
	}
	return nil
}

// GetRaw writes the file that was kept in these pieces, byte for byte, and checks
// it against its SHA-256. The error is [keep.ErrNoBlob] where a piece is not here.
func GetRaw(from keep.Blobs, pieces []keep.BlobID, hash string, out io.Writer) error {
	for _, id := range pieces { // before anything is written
		if there, err := from.Has(id); err != nil || !there {
			return errors.Join(err, fmt.Errorf("blob %s: %w", id, keep.ErrNoBlob))
		}
	}
	unpack, err := gzip.NewReader(bufio.NewReader(&pieceReader{from: from, left: pieces}))
	if err != nil {
		return fmt.Errorf("unpack raw file: %w", err)
	}
	sum := sha256.New()
	if _, err := io.Copy(io.MultiWriter(out, sum), unpack); err != nil {
		return fmt.Errorf("unpack raw file: %w", err)
	}
	if got := hex.EncodeToString(sum.Sum(nil)); got != hash {
		return fmt.Errorf("the file that was kept has the SHA-256 %s, want %s", got, hash)
	}
	return nil
}

// A pieceReader reads blobs one behind the other.
type pieceReader struct {
	from keep.Blobs
	left []keep.BlobID
	now  bytes.Reader
}

func (r *pieceReader) Read(p []byte) (int, error) {
	for r.now.Len() == 0 {
		if len(r.left) == 0 {
			return 0, io.EOF
		}
		data, err := r.from.Get(r.left[0])
		if err != nil {
			return 0, err
		}
		r.now.Reset(data)
		r.left = r.left[1:]
	}
	return r.now.Read(p)
}
