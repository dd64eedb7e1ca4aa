package idb

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"syscall/js"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// manyRecords is how many records may gather before those that can be are joined.
const manyRecords = 64

// ErrWiped says that what was stored is gone from under the open logbook.
var ErrWiped = errors.New("the browser has emptied this page's storage while the logbook was open: what is still shown can be saved as a file on the page about this device; nothing more can be written here until the page is loaded again")

// A Store is a [keep.Log] in IndexedDB.
type Store struct {
	Restored bool // at Open the browser had lost it, and what is here comes from the second copy

	mu     sync.Mutex
	db     *database
	second *second
	news   js.Value // BroadcastChannel
	heard  js.Func
	chains keep.Chains
	runs   map[int]keep.Span // by their keys in the object store
	at     map[keep.Key]int
	seals  map[int][]model.Seal // by the key of their record
	sealed map[keep.Key]bool    // by [keep.SealKey]
	last   int                  // highest key that was read
	joined int                  // records there were after the last join
	unread struct {             // what other tabs wrote
		runs  [][]byte
		seals []model.Seal
	}
}

var _ keep.LinkedLog = (*Store)(nil)

// Open opens the logbook called name in this origin's storage, or makes it.
// heard is called whenever another tab has written; it must not wait for anything.
func Open(name string, heard func()) (*Store, error) {
	s := &Store{
		db:     &database{name: name, version: 2, store: "runs", options: map[string]any{"autoIncrement": true}},
		second: secondOf(name),
		runs:   map[int]keep.Span{}, at: map[keep.Key]int{}, seals: map[int][]model.Seal{}, sealed: map[keep.Key]bool{},
	}
	if err := s.db.open(); err != nil {
		return nil, err
	}
	s.news = js.Global().Get("BroadcastChannel").New(name)
	s.heard = js.FuncOf(func(js.Value, []js.Value) any { heard(); return nil })
	s.news.Set("onmessage", s.heard)
	err := s.catchUp()
	if err == nil {
		err = s.level()
	}
	if err == nil {
		s.unread.runs, s.unread.seals = nil, nil // the caller reads all anyway
		err = s.join()
	}
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// catchUp reads what other tabs have written since.
func (s *Store) catchUp() error {
	var keys, values js.Value
	err := s.db.transact("read the logbook", "readonly", func(store js.Value) {
		keys = store.Call("getAllKeys")
		values = store.Call("getAll", js.Global().Get("IDBKeyRange").Call("lowerBound", s.last, true))
	})
	if err != nil {
		return err
	}
	keys, values = keys.Get("result"), values.Get("result")
	there := make([]int, keys.Length())
	for i := range there {
		there[i] = keys.Index(i).Int()
	}
	if len(there) == 0 && s.records() > 0 || len(there) > 0 && there[len(there)-1] < s.last {
		return ErrWiped
	}
	for n, span := range s.runs {
		if _, found := slices.BinarySearch(there, n); !found {
			s.forget(n, span)
		}
	}
	for n := range s.seals {
		if _, found := slices.BinarySearch(there, n); !found {
			s.forgetSeals(n)
		}
	}
	fresh := there[len(there)-values.Length():]
	for i, n := range fresh {
		record := bytesOf(values.Index(i))
		if seals, ok, err := sealsOf(record); err != nil {
			return err
		} else if ok {
			s.knowSeals(n, seals)
			s.unread.seals = append(s.unread.seals, seals...)
			continue
		}
		span, err := spanOf(record)
		if err != nil {
			return err
		}
		s.know(n, span)
		s.unread.runs = append(s.unread.runs, record[len(keep.Key{}):])
	}
	return nil
}

func spanOf(record []byte) (keep.Span, error) {
	n := min(len(record), len(keep.Key{}))
	span, err := keep.SpanOf(record[:n], record[n:])
	if err != nil {
		return span, fmt.Errorf("the logbook on this device is damaged: %w", err)
	}
	return span, nil
}

func (s *Store) know(n int, span keep.Span) {
	s.runs[n], s.at[span.Key()], s.last = span, n, max(s.last, n)
	s.chains.Set(span)
}

func (s *Store) forget(n int, span keep.Span) {
	delete(s.runs, n)
	delete(s.at, span.Key())
	s.chains.Delete(span)
}

// Append stores entries and seals, as [keep.Log] says, in one transaction.
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
	for looked := false; ; {
		runs, err := s.chains.Plan(raws, links, seals, s.load)
		if err != nil && !looked { // perhaps another tab has filled the gap, or joined the run that was wanted
			looked = true
			if err := s.catchUp(); err != nil {
				return err
			}
			continue
		}
		fresh := s.unsealed(seals)
		if err != nil || len(runs)+len(fresh) == 0 {
			return err
		}
		records := make([]js.Value, len(runs), len(runs)+1)
		for i, r := range runs {
			run, err := r.Pack()
			if err != nil {
				return err
			}
			key := r.Key()
			records[i] = arrayOf(key[:], run)
		}
		if len(fresh) > 0 {
			records = append(records, sealsRecord(fresh))
		}
		keys, err := s.write(nil, records)
		if err != nil {
			return err
		}
		if keys == nil { // another tab has written
			if err := s.catchUp(); err != nil {
				return err
			}
			continue
		}
		for i, r := range runs {
			s.know(keys[i], r.Span)
		}
		if len(fresh) > 0 {
			s.knowSeals(keys[len(runs)], fresh)
		}
		if s.records() >= s.joined+manyRecords {
			s.join() // an error is for the next Append: these entries are durable
		}
		return nil
	}
}

// write takes records out and puts others in, in one transaction, and returns
// the keys of those; nil and no error if another tab has written meanwhile.
func (s *Store) write(out []int, in []js.Value) ([]int, error) {
	const doing = "write to the logbook"
	var keys []int
	var thrown error
	requests := make([]js.Value, len(in))
	var add js.Func
	defer func() { add.Release() }()
	err := s.db.transact(doing, "readwrite", func(store js.Value) {
		keys, thrown = nil, nil
		newest := store.Call("openKeyCursor", js.Null(), "prev")
		add.Release()
		add = js.FuncOf(func(js.Value, []js.Value) any {
			there := 0
			if cursor := newest.Get("result"); cursor.Truthy() {
				there = cursor.Get("key").Int()
			}
			if there != s.last {
				return nil
			}
			keys = make([]int, len(in))
			thrown = try(doing, func() {
				for _, n := range out {
					store.Call("delete", n)
				}
				for i, record := range in {
					requests[i] = store.Call("add", record)
				}
			})
			if thrown != nil {
				store.Get("transaction").Call("abort")
			}
			return nil
		})
		newest.Set("onsuccess", add)
	})
	if thrown != nil {
		return nil, thrown
	}
	if err != nil || keys == nil {
		return nil, err
	}
	for i, r := range requests {
		keys[i] = r.Get("result").Int()
	}
	if len(out) == 0 { // what is joined is no news
		s.news.Call("postMessage", "wrote")
	}
	puts, drops := make([]order, len(in)), make([]order, len(out))
	for i, n := range keys {
		puts[i] = put(strconv.Itoa(n), in[i])
	}
	for i, n := range out {
		drops[i] = drop(strconv.Itoa(n))
	}
	s.second.do(puts...)
	s.second.do(drops...)
	return keys, nil
}

// load returns a run of the store.
func (s *Store) load(span keep.Span) ([]byte, error) {
	runs, err := s.get([]int{s.at[span.Key()]})
	if err != nil {
		return nil, err
	}
	if runs[0] == nil {
		return nil, fmt.Errorf("the run of replica %s from %d on is gone", span.Replica, span.First)
	}
	return runs[0], nil
}

// Runs calls f with all that is stored, as [keep.Log] says.
func (s *Store) Runs(f func(run []byte) error) error {
	s.mu.Lock()
	records, err := s.all()
	s.mu.Unlock()
	if err != nil {
		return err
	}
	for _, record := range records {
		if err := f(record[len(keep.Key{}):]); err != nil {
			return err
		}
	}
	return nil
}

// all reads all runs' records, in the order of their keys.
func (s *Store) all() ([][]byte, error) {
	var values js.Value
	err := s.db.transact("read the logbook", "readonly", func(store js.Value) { values = store.Call("getAll") })
	if err != nil {
		return nil, err
	}
	values = values.Get("result")
	records := make([][]byte, 0, values.Length())
	for i := range values.Length() {
		record := bytesOf(values.Index(i))
		if _, ok, err := sealsOf(record); err != nil {
			return nil, err
		} else if ok {
			continue
		}
		if _, err := spanOf(record); err != nil {
			return nil, err
		}
		records = append(records, record)
	}
	slices.SortFunc(records, func(a, b []byte) int { return bytes.Compare(a[:len(keep.Key{})], b[:len(keep.Key{})]) })
	return records, nil
}

// Heads returns the last entries of every chain.
func (s *Store) Heads() (map[uuid.UUID][]model.Head, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.chains.Heads(), nil
}

// Records returns how many records hold the logbook.
func (s *Store) Records() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.records()
}

func (s *Store) records() int { return len(s.runs) + len(s.seals) }

// News returns the runs and seals that other tabs have written since Open or the
// last call. Some of them may have been there before.
func (s *Store) News() (runs [][]byte, seals []model.Seal, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	err = s.catchUp()
	runs, seals = s.unread.runs, s.unread.seals
	s.unread.runs, s.unread.seals = nil, nil
	return runs, seals, err
}

// Close lets go of the database.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.news.Set("onmessage", js.Null())
	s.news.Call("close")
	s.heard.Release()
	s.db.close()
	return nil
}
