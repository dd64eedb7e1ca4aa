package idb

import (
	"crypto/ed25519"
	"fmt"
	"syscall/js"
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/keep"
	"ampwright/sync/keep/keeptest"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var names int

func fresh() string { names++; return fmt.Sprintf("test-%d", names) }

func open(t *testing.T, name string) *Store {
	t.Helper()
	s, err := Open(name, func() {})
	require.NoError(t, err)
	t.Cleanup(func() { s.db.close() })
	return s
}

func TestStore(t *testing.T) {
	keeptest.Run(t, func(t *testing.T) (keep.Log, func() keep.Log) {
		name := fresh()
		s := open(t, name)
		return s, func() keep.Log {
			require.NoError(t, s.Close())
			s = open(t, name)
			return s
		}
	})
}

func count(t *testing.T, s *Store) (n int) {
	t.Helper()
	require.NoError(t, s.Runs(func(run []byte) error {
		return model.UnpackRun(run, func(string, model.ID) error { n++; return nil })
	}))
	return n
}

// chain returns n entries of one replica.
func chain(t *testing.T, n int) [][]byte {
	pen := model.Pen{Replica: uuid.UUID{1}}
	drafts := make([]model.Draft, n)
	for i := range drafts {
		drafts[i].Body = &model.Note{Text: fmt.Sprint(i)}
	}
	raws, err := pen.Write(drafts, 1_780_000_000_000<<16)
	require.NoError(t, err)
	return raws
}

// sealed returns a chain of n entries and a seal for each.
func sealed(t *testing.T, n int) (raws [][]byte, seals []model.Seal) {
	key := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	raws = chain(t, n)
	for i := range raws {
		one, err := model.SealCommit(raws[i:i+1], func(m []byte) []byte { return ed25519.Sign(key, m) })
		require.NoError(t, err)
		seals = append(seals, one[0])
	}
	return raws, seals
}

// Two tabs write in turn: neither writes on what it has not read, and each
// hears of the other.
func TestTwoTabs(t *testing.T) {
	name := fresh()
	a, b := open(t, name), open(t, name)
	raws := chain(t, 300)
	for i, raw := range raws {
		require.NoError(t, []*Store{a, b}[i%2].Append([][]byte{raw}), i)
	}
	require.Equal(t, 300, count(t, a))
	require.Less(t, a.Records(), 2*manyRecords, "runs are joined")
	_, _, err := a.News()
	require.NoError(t, err)
	ha, err := a.Heads()
	require.NoError(t, err)
	_, _, err = b.News()
	require.NoError(t, err)
	hb, err := b.Heads()
	require.NoError(t, err)
	require.Equal(t, ha, hb)
	require.Len(t, ha[uuid.UUID{1}], 1)

	known := map[model.ID]bool{}
	other := open(t, name)
	more := modeltest.Garage(50, 1)
	require.NoError(t, a.Append(more))
	runs, _, err := other.News()
	require.NoError(t, err)
	for _, run := range runs {
		require.NoError(t, model.UnpackRun(run, func(_ string, id model.ID) error { known[id] = true; return nil }))
	}
	for _, raw := range more {
		require.True(t, known[model.IDOf(raw)])
	}
	runs, _, err = other.News()
	require.NoError(t, err)
	require.Empty(t, runs, "news are told once")
}

// Seals that one tab stores reach the other, each once, and are thinned when
// records are joined.
func TestTwoTabsSeals(t *testing.T) {
	name := fresh()
	a, b := open(t, name), open(t, name)
	raws, seals := sealed(t, 300)
	for i := range raws {
		require.NoError(t, a.Append(raws[i:i+1], seals[i]))
		if i == 20 {
			require.NoError(t, b.Append(raws[:20], seals[:20]...), "already there")
			_, told, err := b.News()
			require.NoError(t, err)
			require.Equal(t, seals[:21], told)
		}
	}
	require.Less(t, a.Records(), 2*manyRecords)
	var left, read []model.Seal
	require.NoError(t, a.Seals(func(s model.Seal) error { left = append(left, s); return nil }))
	require.Contains(t, left, seals[255], "the last of its window")
	require.Contains(t, left, seals[299])
	require.LessOrEqual(t, len(left), manyRecords+2)
	_, told, err := b.News()
	require.NoError(t, err)
	require.Subset(t, told, left[1:], "but for what b had")
	require.NoError(t, b.Seals(func(s model.Seal) error { read = append(read, s); return nil }))
	require.Equal(t, left, read)
}

// A logbook of the version before there were seals opens.
func TestVersion1(t *testing.T) {
	name := fresh()
	raws := chain(t, 3)
	old := &database{name: name, version: 1, store: "runs", options: map[string]any{"autoIncrement": true}}
	require.NoError(t, old.open())
	run, err := model.PackRun(raws[:2])
	require.NoError(t, err)
	span, err := model.SpanOf(run)
	require.NoError(t, err)
	key := keep.Span{Span: span, Name: model.IDOf(raws[0])}.Key()
	require.NoError(t, old.transact("write", "readwrite", func(store js.Value) { store.Call("add", arrayOf(key[:], run)) }))
	s := open(t, name) // closes the older one, which a tab with the older program holds
	require.Equal(t, 2, count(t, s))
	require.NoError(t, s.Append(raws[2:]))
	require.ErrorIs(t, old.transact("write", "readwrite", func(js.Value) {}), errNewer)
	require.ErrorContains(t, old.open(), "a newer version of this program")
}

// A BroadcastChannel tells the other tab.
func TestHeard(t *testing.T) {
	name := fresh()
	heard := make(chan bool, 9)
	b, err := Open(name, func() { heard <- true })
	require.NoError(t, err)
	defer b.Close()
	a := open(t, name)
	require.NoError(t, a.Append(chain(t, 1)))
	<-heard
}

// One tab at a time is in a Hold.
func TestHold(t *testing.T) {
	name := fresh()
	a, b := open(t, name), open(t, name)
	inside, most := 0, 0
	done := make(chan error)
	for i := range 20 {
		go func() {
			done <- []*Store{a, b}[i%2].Hold(func() error {
				inside++
				most = max(most, inside)
				_, _, err := a.News() // waits, so that others get their turn to break in
				inside--
				return err
			})
		}()
	}
	for range 20 {
		require.NoError(t, <-done)
	}
	require.Equal(t, 1, most)
}

// A connection that the browser has closed is opened again.
func TestDeadHandle(t *testing.T) {
	s := open(t, fresh())
	raws := chain(t, 3)
	require.NoError(t, s.Append(raws[:1]))
	s.db.handle.Call("close")
	require.NoError(t, s.Append(raws[1:2]))
	s.db.handle.Call("close")
	require.Equal(t, 2, count(t, s))
	require.NoError(t, s.Append(raws[2:]))
	require.Equal(t, 3, count(t, s))
}

// A phone without room says so in words, and what was not acknowledged is not
// there.
func TestNoRoom(t *testing.T) {
	s := open(t, fresh())
	raws := chain(t, 2)
	require.NoError(t, s.Append(raws[:1]))
	store := js.Global().Get("IDBObjectStore").Get("prototype")
	add := store.Get("add")
	full := js.Global().Get("Function").New("throw new DOMException('full', 'QuotaExceededError')")
	store.Set("add", full)
	err := s.Append(raws[1:])
	store.Set("add", add)
	require.ErrorContains(t, err, "no more room, nothing was written")
	require.Equal(t, 1, count(t, s))
	require.NoError(t, s.Append(raws[1:]))
	require.Equal(t, 2, count(t, s))
}

// Storage that is emptied under the open logbook is noticed before anything is
// written on it.
func TestWiped(t *testing.T) {
	name := fresh()
	s := open(t, name)
	raws := chain(t, 2)
	require.NoError(t, s.Append(raws[:1]))
	gone := js.Global().Get("indexedDB").Call("deleteDatabase", name)
	require.Equal(t, "success", first(gone, "success", "error", "blocked")())
	require.ErrorIs(t, s.Append(raws[1:]), ErrWiped)
	_, _, err := s.News()
	require.ErrorIs(t, err, ErrWiped)
}

// Who this device is and what others hold are kept apart, and each replaced whole.
func TestBeside(t *testing.T) {
	name := fresh()
	for _, one := range []struct {
		read  func(string) ([]byte, error)
		write func(string, []byte) error
	}{{ReadDevice, WriteDevice}, {ReadPeers, WritePeers}, {ReadPhotos, WritePhotos}} {
		data, err := one.read(name)
		require.NoError(t, err)
		require.Nil(t, data)
		for _, want := range []string{"phone", "tablet"} {
			require.NoError(t, one.write(name, []byte(want)))
			data, err = one.read(name)
			require.NoError(t, err)
			require.Equal(t, want, string(data))
		}
	}
	beside.by[name].handle.Call("close") // as a browser may at any time
	data, err := ReadDevice(name)
	require.NoError(t, err)
	require.Equal(t, "tablet", string(data))
}

// One tab leads; the next one does when it is gone, or gives its turn back.
func TestLead(t *testing.T) {
	name := fresh()
	release, err := Lead(name)
	require.NoError(t, err)
	leads := make(chan error, 1)
	go func() {
		_, err := Lead(name)
		leads <- err
	}()
	_, err = ReadDevice(name) // lets the other one try
	require.NoError(t, err)
	require.Empty(t, leads)
	release()
	require.NoError(t, <-leads)
}
