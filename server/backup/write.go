package backup

import (
	"bufio"
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"

	"ampwright/model"
	"ampwright/sync/keep"
)

// Save writes a backup of a log and its blobs to path, in place of a file that
// is there, and reads it back before it gets that name: whatever happens, path
// holds what it held before or the whole backup, durably. The caller fills in
// Made, Program, Replica and Device of h. The log must not change meanwhile.
//
// A blob that does not read any more is left out, for the sake of all else; the
// second result names those.
func Save(path string, h Header, log Log, blobs keep.Blobs) (_ Header, left []keep.BlobID, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("write %s: %w", path, err)
		}
	}()
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, "."+filepath.Base(path)+".*") // mode 0600
	if err != nil {
		return h, nil, err
	}
	defer os.Remove(f.Name()) // gone already if all went well
	h, left, err = Write(f, h, log, blobs)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return h, left, err
	}
	if _, err := Read(f.Name(), nil); err != nil {
		return h, left, fmt.Errorf("read back: %w", err)
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return h, left, err
	}
	return h, left, syncDir(dir)
}

// syncDir makes the names in a folder durable.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" { // cannot, and need not
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Write writes a backup to w, as [Save] says of its content.
func Write(w io.Writer, h Header, log Log, blobs keep.Blobs) (_ Header, left []keep.BlobID, err error) {
	h.Format, h.Entries, h.Seals = format, 0, 0
	if err := log.Runs(func(run []byte) error {
		span, err := model.SpanOf(run)
		h.Entries += span.Count
		return err
	}); err != nil {
		return h, nil, err
	}
	heads, err := log.Heads()
	if err != nil {
		return h, nil, err
	}
	h.Chains = chainsOf(heads)
	var seals []model.Seal
	if err := log.Seals(func(s model.Seal) error { seals = append(seals, s); return nil }); err != nil {
		return h, nil, err
	}
	h.Seals = len(seals)
	list, left, err := readable(blobs)
	if err != nil {
		return h, left, err
	}
	h.Blobs = len(list)
	line, err := json.Marshal(h)
	if err == nil && len(line) >= maxHeader {
		err = fmt.Errorf("a header of %d bytes, at most %d are possible", len(line), maxHeader)
	}
	if err != nil {
		return h, left, err
	}

	sum := sha256.New()
	buffered := bufio.NewWriter(w)
	out := io.MultiWriter(buffered, sum)
	out.Write(append(line, '\n')) // what goes wrong is remembered until Flush
	if err := log.Runs(func(run []byte) error {
		var packed bytes.Buffer
		z, err := flate.NewWriter(&packed, flate.DefaultCompression)
		if err != nil {
			return err
		}
		if _, err := z.Write(run); err != nil {
			return err
		}
		if err := z.Close(); err != nil {
			return err
		}
		return item(out, 'r', len(packed.Bytes()), packed.Bytes())
	}); err != nil {
		return h, left, err
	}
	for some := range slices.Chunk(seals, maxSeals) {
		packed := packSeals(some)
		if err := item(out, 's', len(packed), packed); err != nil {
			return h, left, err
		}
	}
	for _, id := range list {
		data, err := blobs.Get(id)
		if err != nil {
			return h, left, err
		}
		if err := item(out, 'b', len(data), id[:], data); err != nil {
			return h, left, err
		}
	}
	out.Write([]byte{'e'})
	buffered.Write(sum.Sum(nil))
	return h, left, buffered.Flush()
}

// readable sorts blobs by whether they read. One that is dropped meanwhile is in
// neither list.
func readable(blobs keep.Blobs) (good, bad []keep.BlobID, err error) {
	list, err := blobs.List()
	for _, b := range list {
		_, err := blobs.Get(b.ID)
		switch {
		case err == nil:
			good = append(good, b.ID)
		case !errors.Is(err, keep.ErrNoBlob):
			bad = append(bad, b.ID)
		}
	}
	return good, bad, err
}

// item writes one item, whose number is n.
func item(w io.Writer, kind byte, n int, parts ...[]byte) error {
	head := binary.BigEndian.AppendUint32([]byte{kind}, uint32(n))
	for _, b := range append([][]byte{head}, parts...) {
		if _, err := w.Write(b); err != nil {
			return err
		}
	}
	return nil
}
