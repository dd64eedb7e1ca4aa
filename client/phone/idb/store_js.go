package idb

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"sync"
	"syscall/js"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// manyRuns is the number of records at which those that can be are joined.
const manyRuns = 64

// ErrWiped says that what was stored is gone from under the open logbook.
var ErrWiped = errors.New("the browser has emptied this page's storage while the logbook was open: what is still shown can be saved as a file on the page about this device; nothing more can be written here until the page is loaded again")

// A Store is a [keep.Log] in IndexedDB.
type Store struct {
	mu     sync.Mutex
	db     *database
	news   js.Value // BroadcastChannel
	heard  js.Func
	chains keep.Chains
	runs   map[int]keep.Span // by their keys in the object store
	at     map[keep.Key]int
	last   int      // highest key that was read
	unread [][]byte // runs that other tabs wrote
}

var _ keep.Log = (*Store)(nil)

// Open opens the logbook called name in this origin's storage, or makes it.
// heard is called whenever another tab has written; it must not wait for anything.
func Open(name string, heard func()) (*Store, error) {
	s := &Store{
		db:   &database{name: name, store: "runs", options: map[string]any{"autoIncrement": true}},
		runs: map[int]keep.Span{}, at: map[keep.Key]int{},
	}
	if err := s.db.open(); err != nil {
		return nil, err
	}
	s.news = js.Global().Get("BroadcastChannel").New(name)
	s.heard = js.FuncOf(func(js.Value, []js.Value) any { heard(); return nil })
	s.news.Set("onmessage", s.heard)
	err := s.catchUp()
	if err == nil {
		s.unread = nil // the caller reads all anyway
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
	if len(there) == 0 && len(s.runs) > 0 || len(there) > 0 && there[len(there)-1] < s.last {
		return ErrWiped
	}
	for n, span := range s.runs {
		if _, found := slices.BinarySearch(there, n); !found {
			s.forget(n, span)
		}
	}
	fresh := there[len(there)-values.Length():]
	for i, n := range fresh {
		record := bytesOf(values.Index(i))
		span, err := spanOf(record)
		if err != nil {
			return err
		}
		s.know(n, span)
		s.unread = append(s.unread, record[len(keep.Key{}):])
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

// Append stores entries, as [keep.Log] says, in one transaction.
func (s *Store) Append(raws [][]byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for looked := false; ; {
		runs, err := s.chains.Plan(raws, s.load)
		if errors.As(err, new(*keep.GapError)) && !looked { // perhaps another tab has filled it
			looked = true
			if err := s.catchUp(); err != nil {
				return err
			}
			continue
		}
		if err != nil || len(runs) == 0 {
			return err
		}
		records := make([]js.Value, len(runs))
		for i, r := range runs {
			run, err := r.Pack()
			if err != nil {
				return err
			}
			key := r.Key()
			records[i] = arrayOf(key[:], run)
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
		s.news.Call("postMessage", "wrote")
		if len(s.runs) >= manyRuns {
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
	var put js.Func
	defer func() { put.Release() }()
	err := s.db.transact(doing, "readwrite", func(store js.Value) {
		keys, thrown = nil, nil
		newest := store.Call("openKeyCursor", js.Null(), "prev")
		put.Release()
		put = js.FuncOf(func(js.Value, []js.Value) any {
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
		newest.Set("onsuccess", put)
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
	return keys, nil
}

// join puts one record in the place of several whose runs follow one another.
func (s *Store) join() error {
	var out []int
	var in []js.Value
	var spans []keep.Span
	records, err := s.all()
	if err != nil {
		return err
	}
	for _, group := range s.chains.Joins() {
		if len(group) == 1 {
			continue
		}
		runs := make([][]byte, len(group))
		for i, span := range group {
			key := span.Key()
			record := records[key]
			if record == nil {
				return nil // another tab has joined them
			}
			runs[i] = record[len(key):]
			out = append(out, s.at[key])
		}
		run, err := model.JoinRuns(runs)
		if err != nil {
			return err
		}
		key := group[0].Key()
		span, err := keep.SpanOf(key[:], run)
		if last := group[len(group)-1]; err == nil && (span.End() != last.End() || span.Last != last.Last) {
			err = fmt.Errorf("runs of replica %s from %d on end with entry %d, want %d", span.Replica, span.First, span.End(), last.End())
		}
		if err != nil {
			return err
		}
		in, spans = append(in, arrayOf(key[:], run)), append(spans, span)
	}
	if len(in) == 0 {
		return nil
	}
	keys, err := s.write(out, in)
	if err != nil || keys == nil {
		return err
	}
	for _, n := range out {
		s.forget(n, s.runs[n])
	}
	for i, n := range keys {
		s.know(n, spans[i])
	}
	return nil
}

// all reads all records.
func (s *Store) all() (map[keep.Key][]byte, error) {
	var values js.Value
	err := s.db.transact("read the logbook", "readonly", func(store js.Value) { values = store.Call("getAll") })
	if err != nil {
		return nil, err
	}
	values = values.Get("result")
	records := make(map[keep.Key][]byte, values.Length())
	for i := range values.Length() {
		record := bytesOf(values.Index(i))
		span, err := spanOf(record)
		if err != nil {
			return nil, err
		}
		records[span.Key()] = record
	}
	return records, nil
}

// load returns a run of the store.
func (s *Store) load(span keep.Span) ([]byte, error) {
	var value js.Value
	err := s.db.transact("read the logbook", "readonly", func(store js.Value) { value = store.Call("get", s.at[span.Key()]) })
	if err != nil {
		return nil, err
	}
	if value = value.Get("result"); !value.Truthy() {
		return nil, fmt.Errorf("the run of replica %s from %d on is gone", span.Replica, span.First)
	}
	return bytesOf(value)[len(keep.Key{}):], nil
}

// Runs calls f with all that is stored, as [keep.Log] says.
func (s *Store) Runs(f func(run []byte) error) error {
	s.mu.Lock()
	records, err := s.all()
	s.mu.Unlock()
	if err != nil {
		return err
	}
	keys := make([]keep.Key, 0, len(records))
	for key := range records {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b keep.Key) int { return bytes.Compare(a[:], b[:]) })
	for _, key := range keys {
		if err := f(records[key][len(key):]); err != nil {
			return err
		}
	}
	return nil
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
	return len(s.runs)
}

// News returns the runs that other tabs have written since Open or the last
// call. They may hold entries that were there before.
func (s *Store) News() ([][]byte, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.catchUp()
	runs := s.unread
	s.unread = nil
	return runs, err
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
