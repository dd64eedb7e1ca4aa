// Package blobs keeps photos and other blobs as files in the garage's folder.
//
// # The folder
//
// Folder "blobs" (mode 0700) in the garage's folder; a blob whose SHA-256 is
// abcdef... in hexadecimal digits is the file blobs/ab/cdef... (mode 0600) and
// holds the blob's bytes and nothing else. Folder "blobs/part" holds what is not
// whole yet: a file named after the blob's full 64 digits for one that comes in
// parts, files put-* for those being written. Names that are neither are left
// alone.
//
// A blob is written under another name, synced, renamed, and the folder synced:
// under its own name it is always whole. Any program may read blobs while
// another one writes.
package blobs

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"ampwright/sync/keep"
)

const (
	folder     = "blobs"
	partFolder = "part"
)

// A Store is [keep.Blobs] in a garage's folder. The folder is made with the
// first blob.
type Store struct {
	dir string
	mu  sync.Mutex // of what is written
}

var _ keep.Blobs = (*Store)(nil)

// In returns the store in a garage's folder.
func In(garage string) *Store { return &Store{dir: filepath.Join(garage, folder)} }

// Sweep removes what a program that was killed left half written. Parts stay.
// Only the one program that has the garage open may call it.
func (s *Store) Sweep() error {
	names, err := namesIn(filepath.Join(s.dir, partFolder))
	for _, name := range names {
		if strings.HasPrefix(name, "put-") {
			err = errors.Join(err, os.Remove(filepath.Join(s.dir, partFolder, name)))
		}
	}
	return err
}

// namesIn returns what is in a folder, in order; nothing if there is none.
func namesIn(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name()
	}
	return names, err
}

func (s *Store) path(id keep.BlobID) string {
	name := id.String()
	return filepath.Join(s.dir, name[:2], name[2:])
}

func (s *Store) partPath(id keep.BlobID) string { return filepath.Join(s.dir, partFolder, id.String()) }

// Put stores a blob, as [keep.Blobs] says.
func (s *Store) Put(r io.Reader) (keep.BlobID, error) {
	data, err := keep.ReadBlob(r)
	if err != nil {
		return keep.BlobID{}, fmt.Errorf("store blob: %w", err)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	id := keep.BlobID(sha256.Sum256(data))
	return id, s.put(id, data)
}

// put writes a blob whole and durably.
func (s *Store) put(id keep.BlobID, data []byte) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("store blob %s: %w", id, err)
		}
	}()
	path := s.path(id)
	for _, dir := range []string{filepath.Join(s.dir, partFolder), filepath.Dir(path)} {
		if err := makeDir(dir); err != nil {
			return err
		}
	}
	f, err := os.CreateTemp(filepath.Join(s.dir, partFolder), "put-*") // mode 0600
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return syncDir(filepath.Dir(path))
}

// makeDir makes a folder for this user alone, with the one above it, and their
// names durable.
func makeDir(dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return nil
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	up := filepath.Dir(dir)
	return errors.Join(syncDir(up), syncDir(filepath.Dir(up)))
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

// Get returns a blob's bytes, as [keep.Blobs] says.
func (s *Store) Get(id keep.BlobID) ([]byte, error) {
	f, err := os.Open(s.path(id))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("blob %s: %w", id, keep.ErrNoBlob)
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := keep.ReadBlob(f)
	if err == nil {
		err = keep.CheckBlob(id, data)
	}
	if err != nil {
		return nil, fmt.Errorf("read blob %s: %w", id, err)
	}
	return data, nil
}

// Has reports whether the blob is there, without reading it.
func (s *Store) Has(id keep.BlobID) (bool, error) {
	_, err := os.Stat(s.path(id))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

// Drop removes a blob, as [keep.Blobs] says.
func (s *Store) Drop(id keep.BlobID) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	var errs []error
	for _, path := range []string{s.path(id), s.partPath(id)} {
		if err := os.Remove(path); err == nil {
			errs = append(errs, syncDir(filepath.Dir(path)))
		} else if !errors.Is(err, fs.ErrNotExist) {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// List returns what is there, by name.
func (s *Store) List() ([]keep.Blob, error) {
	var list []keep.Blob
	firsts, err := namesIn(s.dir)
	if err != nil {
		return nil, err
	}
	for _, first := range firsts {
		if len(first) != 2 {
			continue // the parts, or not ours
		}
		rests, err := namesIn(filepath.Join(s.dir, first))
		if err != nil {
			return nil, err
		}
		for _, rest := range rests {
			id, err := keep.ParseBlobID(first + rest)
			if err != nil {
				continue // not ours
			}
			info, err := os.Stat(s.path(id))
			if errors.Is(err, fs.ErrNotExist) {
				continue // dropped meanwhile
			}
			if err != nil {
				return nil, err
			}
			list = append(list, keep.Blob{ID: id, Size: info.Size()})
		}
	}
	return list, nil
}

// Part adds to a blob that comes in parts, as [keep.Blobs] says.
func (s *Store) Part(id keep.BlobID, offset int64, data []byte) (int64, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	have := int64(0)
	if info, err := os.Stat(s.partPath(id)); err == nil {
		have = info.Size()
	} else if !errors.Is(err, fs.ErrNotExist) {
		return 0, err
	}
	next, err := keep.NextPart(id, have, offset, data)
	if err != nil || len(next) == 0 {
		return have, err
	}
	if err := makeDir(filepath.Join(s.dir, partFolder)); err != nil {
		return have, err
	}
	f, err := os.OpenFile(s.partPath(id), os.O_WRONLY|os.O_CREATE|os.O_APPEND, 0o600)
	if err != nil {
		return have, err
	}
	n, err := f.Write(next)
	if err := errors.Join(err, f.Close()); err != nil {
		return have + int64(n), fmt.Errorf("store part of blob %s: %w", id, err)
	}
	return have + int64(n), nil
}

// Done makes a blob of its parts, as [keep.Blobs] says.
func (s *Store) Done(id keep.BlobID) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	data, err := os.ReadFile(s.partPath(id))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("read the parts of blob %s: %w", id, err)
	}
	bad := keep.CheckBlob(id, data)
	if bad == nil {
		if err := s.put(id, data); err != nil {
			return err
		}
	}
	if err := os.Remove(s.partPath(id)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return errors.Join(bad, err)
	}
	return bad
}
