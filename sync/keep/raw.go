package keep

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
)

// Raw files, such as the log of a battery, are kept compressed: one gzip stream
// (RFC 1952) cut into pieces, each a blob. The pieces in order, put together, are
// a .gz file that any program can unpack. The frame around the packed bytes is
// written here, since compress/gzip would weigh on the phone.
const (
	gzipHead  = "\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\xff" // no name, no time, no system: section 2.3
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

// PutRaw stores a file and returns the names of its pieces, in order and as an
// entry names them, and the SHA-256 of the file. Where there is an error nothing of
// it stays; it is a [*TooLargeError] where the file is larger than what can be kept.
func PutRaw(to Blobs, in io.Reader) (pieces []string, hash string, err error) {
	return putRaw(&pieceWriter{to: to, size: rawPiece, most: rawPieces}, in)
}

func putRaw(w *pieceWriter, in io.Reader) (pieces []string, hash string, err error) {
	sum, check := sha256.New(), crc32.NewIEEE()
	pack, _ := flate.NewWriter(w, flate.DefaultCompression) // the level is one
	w.buf.WriteString(gzipHead)
	n, err := io.Copy(io.MultiWriter(pack, sum, check), in)
	if err == nil {
		err = pack.Close()
	}
	if err == nil {
		tail := binary.LittleEndian.AppendUint32(nil, check.Sum32())
		_, err = w.Write(binary.LittleEndian.AppendUint32(tail, uint32(n)))
	}
	if err == nil {
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
	return nil, "", err
}

// A pieceWriter cuts what is written to it into blobs.
type pieceWriter struct {
	to     Blobs
	size   int // of a piece, in bytes
	most   int // pieces
	buf    bytes.Buffer
	pieces []string
	fresh  []BlobID // those that were not there
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
	w.pieces = append(w.pieces, id.String())
	if !there {
		w.fresh = append(w.fresh, id)
	}
	return nil
}

// GetRaw writes the file that was kept in these pieces, byte for byte, and checks
// it against its SHA-256. The error is [ErrNoBlob] where a piece is not here.
func GetRaw(from Blobs, pieces []string, hash []byte, out io.Writer) error {
	var ids []BlobID
	for _, name := range pieces { // before anything is written
		id, err := ParseBlobID(name)
		if err != nil {
			return err
		}
		there, err := from.Has(id)
		if err != nil {
			return err
		}
		if !there {
			return fmt.Errorf("blob %s: %w", id, ErrNoBlob)
		}
		ids = append(ids, id)
	}
	packed := &pieceReader{from: from, left: ids}
	head := make([]byte, len(gzipHead))
	if _, err := io.ReadFull(packed, head); err != nil {
		return fmt.Errorf("unpack raw file: %w", err)
	}
	sum := sha256.New() // tells of more than the check sum in the tail would
	if _, err := io.Copy(io.MultiWriter(out, sum), flate.NewReader(packed)); err != nil {
		return fmt.Errorf("unpack raw file: %w", err)
	}
	if got := sum.Sum(nil); !bytes.Equal(got, hash) {
		return fmt.Errorf("the file that was kept has the SHA-256 %x, want %x", got, hash)
	}
	return nil
}

// A pieceReader reads blobs one behind the other.
type pieceReader struct {
	from Blobs
	left []BlobID
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
