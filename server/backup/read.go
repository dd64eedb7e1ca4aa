package backup

import (
	"bufio"
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"

	"ampwright/model"
	"ampwright/sync/keep"
)

// A DamagedError says that a file is no whole backup.
type DamagedError struct {
	Path string
	What string // the first thing wrong
}

func (e *DamagedError) Error() string { return e.Path + " is no whole backup: " + e.What }

// Contents is what a backup holds.
type Contents struct {
	Header
	Raws  [][]byte // the entries, each chain in its order
	Seals []model.Seal
	Blobs []keep.Blob
	Bytes int64 // size of the file
}

// Read reads a backup from end to end: every entry's name and place in its
// chain, every seal, every blob's hash, the checksum over all, and all that the header
// promises. It calls blob, unless that is nil, with each blob as soon as it has
// been checked; whether the rest is whole is not known then. The error is a
// [*DamagedError] if anything is not as it was written.
func Read(path string, blob func(id keep.BlobID, data []byte) error) (Contents, error) {
	f, err := os.Open(path)
	if err != nil {
		return Contents{}, err
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return Contents{}, &DamagedError{path, "it is a folder, want a file that ampwright backup wrote"}
	}
	c, err := read(f, blob)
	var bad damage
	if errors.As(err, &bad) {
		return c, &DamagedError{path, bad.Error()}
	}
	if err != nil {
		return c, fmt.Errorf("read %s: %w", path, err)
	}
	return c, nil
}

// Is reports whether a file begins as a backup of any version does.
func Is(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	begin := make([]byte, len(headerPrefix))
	_, err = io.ReadFull(f, begin)
	return err == nil && string(begin) == headerPrefix
}

// damage is what is wrong with a file, as opposed to with reading it.
type damage struct{ error }

func (d damage) Unwrap() error { return d.error }

func damaged(format string, args ...any) error { return damage{fmt.Errorf(format, args...)} }

func read(f io.Reader, blob func(keep.BlobID, []byte) error) (c Contents, err error) {
	r := reader{in: bufio.NewReaderSize(f, 64<<10), sum: sha256.New()}
	defer func() { c.Bytes = r.at }()
	if c.Header, err = r.header(); err != nil {
		return c, err
	}
	log := keep.NewMemory()
	var check model.SealCheck
	begin := r.at
	for n := 1; ; n++ {
		start := r.at
		kind, err := r.take(1)
		if err != nil {
			return c, err
		}
		switch kind[0] {
		case 'r':
			raws, err := r.run(n)
			if err == nil {
				err = chained(log, &check, raws)
			}
			if err != nil {
				return c, within(err, start, r.at)
			}
			c.Raws = append(c.Raws, raws...)
		case 's':
			seals, err := r.seals(&check, c.Seals)
			if err != nil {
				return c, within(err, start, r.at)
			}
			c.Seals = append(c.Seals, seals...)
		case 'b':
			id, data, err := r.blob()
			if err != nil {
				return c, within(err, start, r.at)
			}
			if last := len(c.Blobs) - 1; last >= 0 && c.Blobs[last].ID.Compare(id) >= 0 {
				return c, damaged("bytes %d to %d: blob %s is there twice or out of order", start, r.at-1, id)
			}
			c.Blobs = append(c.Blobs, keep.Blob{ID: id, Size: int64(len(data))})
			if blob != nil {
				if err := blob(id, data); err != nil {
					return c, err
				}
			}
		case 'e':
			if err := r.end(begin); err != nil {
				return c, err
			}
			if err := c.check(log, len(c.Raws), len(c.Seals), len(c.Blobs)); err != nil {
				return c, damage{err}
			}
			return c, nil
		default:
			return c, damaged("byte %d is %#02x where a run, seals, a blob or the end should begin: it or what stands before it was changed", start, kind[0])
		}
	}
}

// within says between which bytes of the file the damage is.
func within(err error, from, to int64) error {
	if bad := (damage{}); errors.As(err, &bad) && !errors.Is(err, errCut) {
		return damaged("bytes %d to %d are not what was written: %w", from, to-1, bad.error)
	}
	return err
}

// chained adds a run to what was read before.
func chained(log *keep.Memory, check *model.SealCheck, raws [][]byte) error {
	err := log.Append(raws)
	for _, raw := range raws {
		if link, err := model.LinkOf(raw); err == nil {
			check.Show(raw, link)
		}
	}
	if gap := new(keep.GapError); errors.As(err, &gap) {
		err = gap
	}
	if err != nil {
		return damage{err}
	}
	return nil
}

// A reader counts and sums what is read.
type reader struct {
	in  *bufio.Reader
	sum hash.Hash
	at  int64
}

var errCut = errors.New("it was cut short")

// take reads n bytes.
func (r *reader) take(n int) ([]byte, error) {
	b := make([]byte, n)
	got, err := io.ReadFull(r.in, b)
	r.at += int64(got)
	r.sum.Write(b[:got])
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return nil, damaged("it ends after %d bytes, before its end mark: %w", r.at, errCut)
	}
	return b, err
}

// header reads the first line.
func (r *reader) header() (h Header, err error) {
	var line []byte
	for {
		b, err := r.in.ReadByte()
		switch {
		case err == io.EOF && r.at == 0:
			return h, damaged("it is empty")
		case err == io.EOF:
			return h, damaged("it ends after %d bytes, in its header: %w", r.at, errCut)
		case err != nil:
			return h, err
		}
		line = append(line, b)
		r.at++
		if b == '\n' {
			break
		}
		if len(line) > maxHeader {
			return h, damaged("its first line has more than %d bytes: it is no backup", maxHeader)
		}
	}
	r.sum.Write(line)
	if h, err = parseHeader(line); err != nil {
		return h, damage{err}
	}
	return h, nil
}

// sized reads a number and extra bytes and that many more.
func (r *reader) sized(extra, most int) (head, data []byte, err error) {
	size, err := r.take(4)
	if err != nil {
		return nil, nil, err
	}
	n := binary.BigEndian.Uint32(size)
	if int64(n) > int64(most) {
		return nil, nil, damaged("an item of %d bytes, at most %d are possible", n, most)
	}
	if head, err = r.take(extra); err != nil {
		return nil, nil, err
	}
	data, err = r.take(int(n))
	return head, data, err
}

// run reads a run, the n-th item.
func (r *reader) run(n int) (raws [][]byte, err error) {
	_, packed, err := r.sized(0, maxRun)
	if err != nil {
		return nil, err
	}
	in := bytes.NewReader(packed)
	run, err := io.ReadAll(io.LimitReader(flate.NewReader(in), maxRun+1))
	switch {
	case err != nil:
		return nil, damaged("run %d: %w", n, err)
	case len(run) > maxRun:
		return nil, damaged("run %d: more than %d bytes when unpacked", n, maxRun)
	case in.Len() > 0:
		return nil, damaged("run %d: %d bytes after its end", n, in.Len())
	}
	err = model.UnpackRun(run, func(raw string, _ model.ID) error {
		raws = append(raws, []byte(raw))
		_, err := model.Decode(raws[len(raws)-1])
		return err
	})
	if err != nil {
		return nil, damaged("run %d: %w", n, err)
	}
	return raws, nil
}

func (r *reader) blob() (id keep.BlobID, data []byte, err error) {
	head, data, err := r.sized(len(id), keep.MaxBlob)
	if err != nil {
		return id, nil, err
	}
	id = keep.BlobID(head)
	if err := keep.CheckBlob(id, data); err != nil {
		return id, nil, damage{err}
	}
	return id, data, nil
}

// end reads the checksum. All items have been found good by their own hashes
// then; begin is where they begin.
func (r *reader) end(begin int64) error {
	want := r.sum.Sum(nil)
	got, err := r.take(len(want))
	if err != nil {
		return err
	}
	if !bytes.Equal(got, want) {
		return damaged("its checksum is not that of its bytes, though every entry and blob is whole: the header (bytes 0 to %d), the checksum (bytes %d to %d) or packing was changed",
			begin-1, r.at-int64(len(want)), r.at-1)
	}
	if _, err := r.in.ReadByte(); err != io.EOF {
		return damaged("something follows its end mark at byte %d", r.at)
	}
	return nil
}
