package bolt

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"time"

	"go.etcd.io/bbolt"
	berrors "go.etcd.io/bbolt/errors"
)

const (
	dataFile = "logbook.db"
	schema   = 2

	lockWait  = 400 * time.Millisecond // for the lock; Open may wait for it twice
	allocSize = 1 << 20                // the file grows by this, or a quarter
)

var (
	aboutBucket  = []byte("about")
	looseBucket  = []byte("loose")
	packedBucket = []byte("packed")
	sealsBucket  = []byte("seals")
	schemaKey    = []byte("schema")
	madeByKey    = []byte("made by")
	markKey      = []byte("mark")
	turnKey      = []byte("turn")
	schemaText   = strconv.AppendInt(nil, schema, 10)
)

// A DamagedError says that a logbook's file is not whole.
type DamagedError struct {
	Path string
	What string // the first damage found
}

func (e *DamagedError) Error() string {
	return fmt.Sprintf("%s is damaged: %s: verify it, then restore a backup or fetch the entries from another device", e.Path, e.What)
}

// prepare makes the folder and a new logbook in it where there is none yet.
func prepare(dir, madeBy string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		return err
	}
	path := filepath.Join(dir, dataFile)
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	// bbolt writes a new file in steps, and a power cut between them leaves one
	// that does not open. So it is made under another name.
	f, err := os.CreateTemp(dir, dataFile+".new-*") // mode 0600
	if err != nil {
		return err
	}
	f.Close()
	defer os.Remove(f.Name())
	db, err := bbolt.Open(f.Name(), 0o600, options(false))
	if err != nil {
		return err
	}
	err = commit(db, func(tx *bbolt.Tx) error {
		for _, name := range [][]byte{aboutBucket, looseBucket, packedBucket, sealsBucket} {
			if _, err := tx.CreateBucket(name); err != nil {
				return err
			}
		}
		about, mark := tx.Bucket(aboutBucket), newMark()
		return errors.Join(about.Put(schemaKey, schemaText), about.Put(madeByKey, []byte(madeBy)), about.Put(markKey, mark[:]))
	})
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	// A link, unlike a rename, does not replace the file that another program
	// may have made meanwhile. Not every file system has links.
	if err := os.Link(f.Name(), path); errors.Is(err, fs.ErrExist) {
		return nil
	} else if err != nil {
		if err := os.Rename(f.Name(), path); err != nil {
			return err
		}
	}
	return syncDir(dir)
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

func options(readOnly bool) *bbolt.Options {
	return &bbolt.Options{
		Timeout:        lockWait,
		ReadOnly:       readOnly,
		NoFreelistSync: true, // one page less to write; found again at open
		FreelistType:   bbolt.FreelistMapType,
		NoStatistics:   true,
	}
}

// commit runs f in a transaction and notes in it which one it is: see [turn].
func commit(db *bbolt.DB, f func(*bbolt.Tx) error) error {
	return db.Update(func(tx *bbolt.Tx) error {
		if err := f(tx); err != nil {
			return err
		}
		return tx.Bucket(aboutBucket).Put(turnKey, binary.BigEndian.AppendUint64(nil, uint64(tx.ID())))
	})
}

// turn makes sure that the pages are of the same transaction as the meta page
// that leads to them. Were the root page never written, an older one in its
// place would show the logbook as it was, whole and without the last entries.
func turn(value []byte, tx uint64) error {
	if len(value) == 8 && binary.BigEndian.Uint64(value) == tx {
		return nil
	}
	return fmt.Errorf("the pages are not of transaction %d, as the meta page says, but of %x: the last append did not reach the disk", tx, value)
}

// A file is an open bbolt file together with the handle below it.
type file struct {
	*bbolt.DB
	handle *os.File
}

// openFile opens path and takes its lock, shared if readOnly. The error is a
// [*HeldError] if another program has it.
func openFile(path string, readOnly bool) (f file, err error) {
	for range 10 {
		o := options(readOnly)
		if h, err := ReadHolder(filepath.Dir(path)); err == nil && h.Address != "" && runs(h.PID) {
			o.Timeout = time.Millisecond // one attempt: a server does not let go soon
		}
		o.OpenFile = func(name string, flag int, mode os.FileMode) (*os.File, error) {
			f.handle, err = os.OpenFile(name, flag&^os.O_CREATE, mode)
			return f.handle, err
		}
		err = guard(func() error {
			f.DB, err = bbolt.Open(path, 0o600, o)
			return err
		})
		if errors.Is(err, berrors.ErrTimeout) {
			held := &HeldError{Path: path}
			if h, err := ReadHolder(filepath.Dir(path)); err == nil {
				held.Holder = h
			}
			return f, held
		}
		if err != nil {
			if f.handle != nil {
				f.handle.Close() // still open if bbolt panicked
			}
			return f, fmt.Errorf("open %s: %w", path, err)
		}
		f.AllocSize = allocSize
		// The file may have been replaced (see compact) while we waited for the
		// lock on the old one.
		opened, err1 := f.handle.Stat()
		named, err2 := os.Stat(path)
		if err := errors.Join(err1, err2); err != nil {
			return f, errors.Join(fmt.Errorf("open %s: %w", path, err), f.Close())
		}
		if os.SameFile(opened, named) {
			return f, nil
		}
		f.Close()
	}
	return f, fmt.Errorf("open %s: it is replaced again and again by another program", path)
}

// guard calls f and makes an error of a panic or a memory fault in it: bbolt
// panics on damaged pages, and a page that the disk no longer reads is a fault.
func guard(f func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the file does not read: %v", r)
		}
	}()
	return f()
}

// inspect walks the pages of the file at path without trusting them. It returns
// whether most of the file is free pages, and an error if any page is damaged.
func inspect(path string) (bloated bool, err error) {
	f, err := openFile(path, true)
	if err != nil {
		if cannotLook(err) {
			return false, err
		}
		return false, &DamagedError{path, err.Error()}
	}
	defer f.Close()
	m, _, err := readMeta(f.handle) // one bad meta page is no reason to stop work
	if err != nil {
		return false, &DamagedError{path, err.Error()}
	}
	first := ""
	w := walk{
		f: f.handle, meta: m,
		damage: func(what string) {
			if first == "" {
				first = what
			}
		},
		bucket: func([]byte, uint64) {},
		item:   func(_, _, _ []byte) {},
	}
	w.run()
	if first != "" {
		return false, &DamagedError{path, first}
	}
	used := uint64(len(w.seen))
	return m.pages*uint64(m.pageSize) > 1<<20 && m.pages-used > m.pages/2, nil
}

// compact puts a copy of the file without its free pages in its place and
// returns that, open. Where no copy can be made, the disk being full perhaps, it
// returns the old file, which is as good.
func compact(old file, path string) (file, error) {
	temp := path + ".compact"
	if err := copyUsed(temp, old); err != nil {
		os.Remove(temp)
		return old, nil
	}
	if runtime.GOOS == "windows" { // which does not replace an open file
		old.Close()
	}
	err := os.Rename(temp, path)
	if err == nil {
		err = syncDir(filepath.Dir(path))
	}
	old.Close() // only now: whoever waits for this lock finds the file replaced
	if err != nil {
		return old, fmt.Errorf("compact %s: %w", path, err)
	}
	return openFile(path, false)
}

// copyUsed writes the content of a file to path and reads it back.
func copyUsed(path string, from file) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	db, err := bbolt.Open(path, 0o600, options(false))
	if err != nil {
		return err
	}
	db.AllocSize = 64 << 10
	err = guard(func() error { return bbolt.Compact(db, from.DB, 16<<20) })
	if err == nil {
		err = commit(db, func(*bbolt.Tx) error { return nil })
	}
	if err := errors.Join(err, db.Close(), os.Chmod(path, 0o600)); err != nil {
		return err
	}
	return sameContent(path, from)
}

// sameContent makes sure that the copy at path is whole and holds as many
// entries and seals as the original says it does.
func sameContent(path string, original file) error {
	r, err := Verify(path)
	if err != nil {
		return err
	}
	if len(r.Damage) > 0 {
		return &DamagedError{path, r.Damage[0].String()}
	}
	var want uint64
	err = original.View(func(tx *bbolt.Tx) error {
		for _, bucket := range [][]byte{looseBucket, packedBucket, sealsBucket} {
			if b := tx.Bucket(bucket); b != nil { // schema 1 has no seals
				want += count(b.Sequence())
			}
		}
		return nil
	})
	if got := uint64(r.Entries + r.Seals); err == nil && got != want {
		err = fmt.Errorf("the copy holds %d entries and seals, want %d", got, want)
	}
	return err
}
