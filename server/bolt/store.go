package bolt

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"go.etcd.io/bbolt"
)

// Config is what a Store needs. Zero fields take the default named.
type Config struct {
	Program string           // what others are told has the logbook open; default "ampwright"
	Now     func() time.Time // default time.Now
}

// A Store is a [keep.Log] in a bbolt file. Close it, or the next program is told
// of a holder that is gone.
type Store struct {
	dir string

	mu     sync.RWMutex
	db     file
	chains keep.Chains
	loose  map[keep.Key]int // entries in each loose run
	bytes  int              // in loose runs
	mark   Mark
	holder Holder
	failed error // of the first write that went wrong
}

var _ keep.LinkedLog = (*Store)(nil)

// Open opens the logbook in a folder; both are made where they do not exist. The
// folder is closed to other users, whatever the umask. The error is a
// [*HeldError], within a second, if another program has the logbook open, and a
// [*DamagedError] if its file is not whole. A file with more than half of its
// pages free is written anew.
func Open(dir string, cfg Config) (*Store, error) {
	if cfg.Program == "" {
		cfg.Program = "ampwright"
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	path := filepath.Join(dir, dataFile)
	if err := prepare(dir, cfg.Program); err != nil {
		return nil, fmt.Errorf("open logbook in %s: %w", dir, err)
	}
	bloated, err := inspect(path)
	if err != nil {
		return nil, err
	}
	db, err := openFile(path, false)
	if err != nil {
		return nil, err
	}
	s := &Store{dir: dir, db: db, loose: map[keep.Key]int{}}
	s.holder = Holder{PID: os.Getpid(), Program: cfg.Program, Since: cfg.Now().Truncate(time.Second)}
	err = os.Chmod(path, 0o600)
	if err == nil {
		err = writeHolder(dir, s.holder)
	}
	if err == nil {
		err = guard(func() error { return db.View(checkSchema) })
	}
	if err == nil && bloated {
		s.db, err = compact(db, path)
	}
	if err == nil {
		err = guard(func() error { return s.db.View(s.readSpans) })
	}
	if err == nil {
		err = s.upgrade()
	}
	if err == nil && s.mark == (Mark{}) { // made before there were marks
		_, err = s.Remark()
	}
	if err == nil && len(s.loose) >= fewRuns {
		err = s.pack()
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open logbook in %s: %w", dir, err), s.release())
	}
	return s, nil
}

func checkSchema(tx *bbolt.Tx) error {
	about := tx.Bucket(aboutBucket)
	if about == nil {
		return errors.New("the file is a bbolt file, but no logbook")
	}
	got := string(about.Get(schemaKey))
	n, err := strconv.Atoi(got)
	switch {
	case err != nil || n < 1:
		return fmt.Errorf("the file has schema %q, want a number from 1 to %d", got, schema)
	case n > schema:
		return newerError(n, string(about.Get(madeByKey)))
	case tx.Bucket(looseBucket) == nil || tx.Bucket(packedBucket) == nil || n > 1 && tx.Bucket(sealsBucket) == nil:
		return errors.New("the file has no place for entries or seals: it is damaged")
	}
	return nil
}

func newerError(got int, madeBy string) error {
	return fmt.Errorf("the file has schema %d and was made by %q, this program reads schema %d: use a newer one", got, madeBy, schema)
}

// readSpans learns from the file which runs there are. A page that was never
// written may hold what stood there before and read well: then there are fewer
// entries than the bucket says.
func (s *Store) readSpans(tx *bbolt.Tx) error {
	about := tx.Bucket(aboutBucket)
	copy(s.mark[:], about.Get(markKey))
	if value := about.Get(turnKey); value != nil { // else made before turns were noted
		if err := turn(value, uint64(tx.ID())); err != nil {
			return &DamagedError{s.path(), err.Error()}
		}
	}
	for _, bucket := range [][]byte{packedBucket, looseBucket, sealsBucket} {
		if tx.Bucket(bucket) == nil { // of schema 1, which has no seals
			continue
		}
		found, pack := uint64(0), []byte(nil)
		err := tx.Bucket(bucket).ForEach(func(key, run []byte) error {
			if bytes.Equal(key, packKey) {
				pack = run
				return nil
			}
			if _, ok, err := sealIn(bucket, key, run); err != nil {
				return &DamagedError{s.path(), err.Error()}
			} else if ok {
				found++
				return nil
			}
			span, err := keep.SpanOf(key, run)
			if err != nil {
				return &DamagedError{s.path(), err.Error()}
			}
			s.chains.Set(span)
			found += uint64(span.Count)
			if &bucket[0] == &looseBucket[0] {
				s.loose[span.Key()] = span.Count
				s.bytes += len(run)
			}
			return nil
		})
		if err != nil {
			return err
		}
		if err := checkCount(bucket, tx.Bucket(bucket).Sequence(), found, pack); err != nil {
			return &DamagedError{s.path(), err.Error()}
		}
	}
	return nil
}

// Append stores entries and seals, as [keep.Log] says, in one transaction. After
// an error of the disk the store takes no more until it is opened again: what a
// second attempt then finds in the system's memory may never reach the disk.
func (s *Store) Append(raws [][]byte, seals ...model.Seal) error {
	links, err := keep.Links(raws)
	if err != nil {
		return fmt.Errorf("append %w", err)
	}
	return s.AppendLinked(raws, links, seals...)
}

// AppendLinked is Append for entries whose places are known, as
// [keep.LinkedLog] says.
func (s *Store) AppendLinked(raws [][]byte, links []model.Link, seals ...model.Seal) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	runs, err := s.chains.Plan(raws, links, seals, s.load)
	if err != nil {
		return err
	}
	if len(runs) == 0 {
		if all, err := s.sealed(seals); all || err != nil {
			return err
		}
	}
	values := make([][]byte, len(runs))
	count := 0
	for i, r := range runs {
		if values[i], err = r.Pack(); err != nil {
			return err
		}
		count += r.Count
	}
	err = s.update(func(tx *bbolt.Tx) error {
		b := tx.Bucket(looseBucket)
		for i, r := range runs {
			key := r.Key()
			if err := b.Put(key[:], values[i]); err != nil {
				return err
			}
		}
		fresh, err := putSeals(tx, seals)
		return errors.Join(err, b.SetSequence(b.Sequence()+uint64(count+fresh)))
	})
	if err != nil {
		return err
	}
	for i, r := range runs {
		s.chains.Set(r.Span)
		s.loose[r.Key()] = r.Count
		s.bytes += len(values[i])
	}
	if len(s.loose) >= manyRuns || s.bytes >= manyBytes {
		s.pack() // an error is for the next Append: these entries are durable
	}
	return nil
}

func (s *Store) path() string { return filepath.Join(s.dir, dataFile) }

// update runs f in a transaction and returns when it is on the disk.
func (s *Store) update(f func(*bbolt.Tx) error) error {
	if s.failed != nil {
		return fmt.Errorf("nothing is stored since a write went wrong, until the logbook is opened again: %w", s.failed)
	}
	err := guard(func() error {
		return commit(s.db.DB, func(tx *bbolt.Tx) error {
			s.db.AllocSize = max(allocSize, int(tx.Size()/4))
			return f(tx)
		})
	})
	if err != nil {
		s.failed = fmt.Errorf("write %s: %w", s.path(), err)
		return s.failed
	}
	return nil
}

// load returns a run of the store.
func (s *Store) load(span keep.Span) (run []byte, err error) {
	key := span.Key()
	err = guard(func() error {
		return s.db.View(func(tx *bbolt.Tx) error {
			run = bytes.Clone(get(tx, key))
			return nil
		})
	})
	if err == nil && run == nil {
		err = fmt.Errorf("the run of replica %s from %d on is gone", span.Replica, span.First)
	}
	return run, err
}

// get returns the run under key, valid within tx, or nil.
func get(tx *bbolt.Tx, key keep.Key) []byte {
	if run := tx.Bucket(looseBucket).Get(key[:]); run != nil {
		return run
	}
	return tx.Bucket(packedBucket).Get(key[:])
}

// Runs calls f with all that was stored when it was called, as [keep.Log] says.
// An append may have to wait until it returns.
func (s *Store) Runs(f func(run []byte) error) error {
	tx, err := s.db.Begin(false)
	if err != nil {
		return fmt.Errorf("read %s: %w", s.path(), err)
	}
	defer tx.Rollback()
	for _, bucket := range [][]byte{packedBucket, looseBucket} {
		c := tx.Bucket(bucket).Cursor()
		next := c.First
		for {
			var key, run []byte
			err := guard(func() error {
				k, value := next()
				key, run = bytes.Clone(k), bytes.Clone(value)
				return nil
			})
			if err != nil {
				return fmt.Errorf("read %s: %w", s.path(), err)
			}
			if run == nil {
				break
			}
			next = c.Next
			if len(key) != len(keep.Key{}) {
				continue // a seal, or packKey
			}
			if err := f(run); err != nil {
				return err
			}
		}
	}
	return nil
}

// Heads returns the last entries of every chain.
func (s *Store) Heads() (map[uuid.UUID][]model.Head, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.chains.Heads(), nil
}

// Close packs what is loose and lets go of the file.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	var err error
	if s.failed == nil && len(s.loose) >= fewRuns {
		err = s.pack()
	}
	return errors.Join(err, s.release())
}

// release gives up the lock, and first the note that says who has it.
func (s *Store) release() error {
	err := os.Remove(filepath.Join(s.dir, heldFile))
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return errors.Join(err, s.db.Close())
}
