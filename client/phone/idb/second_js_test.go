package idb

import (
	"slices"
	"strconv"
	"strings"
	"syscall/js"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// lose deletes all that IndexedDB has of a logbook.
func lose(t *testing.T, name string) {
	t.Helper()
	for _, database := range []string{name, name + "-device", name + "-blobs"} {
		gone := js.Global().Get("indexedDB").Call("deleteDatabase", database)
		require.Equal(t, "success", first(gone, "success", "error", "blocked")())
	}
}

// numbers are the keys of the records in the store, and in the second copy.
func (s *Store) numbers() (here, second []int) {
	for n := 1; n <= s.last; n++ {
		if s.has(n) {
			here = append(here, n)
		}
	}
	for _, key := range s.second.keys() {
		if n, err := strconv.Atoi(key); err == nil {
			second = append(second, n)
		}
	}
	slices.Sort(second)
	return here, second
}

// What the browser loses is put back: entries, their seals, who this device is, what
// it heard and the photos that are nowhere else.
func TestSecondCopy(t *testing.T) {
	name := fresh()
	s := open(t, name)
	require.False(t, s.Restored)
	raws, seals := sealed(t, 300)
	for i := range raws { // joined now and then
		require.NoError(t, s.Append(raws[i:i+1], seals[i]))
	}
	here, second := s.numbers()
	require.Equal(t, here, second)
	heads, err := s.Heads()
	require.NoError(t, err)
	var wanted []model.Seal
	require.NoError(t, s.Seals(func(s model.Seal) error { wanted = append(wanted, s); return nil }))
	require.NoError(t, WriteDevice(name, []byte("one")))
	require.NoError(t, WriteDevice(name, []byte("two")))
	require.NoError(t, WritePeers(name, []byte("laptop")))
	blobs := openBlobs(t, name)
	alone, err := blobs.Put(strings.NewReader("a photo"))
	require.NoError(t, err)
	there, err := blobs.Put(strings.NewReader("a photo that the laptop holds"))
	require.NoError(t, err)
	dropped, err := blobs.Put(strings.NewReader("a photo that was dropped"))
	require.NoError(t, err)
	require.NoError(t, blobs.Drop(dropped))
	blobs.Elsewhere(there)

	for range 2 {
		require.NoError(t, s.Close())
		lose(t, name)
		s = open(t, name)
		require.True(t, s.Restored)
		require.Equal(t, 300, count(t, s))
		again, err := s.Heads()
		require.NoError(t, err)
		require.Equal(t, heads, again)
		var read []model.Seal
		require.NoError(t, s.Seals(func(s model.Seal) error { read = append(read, s); return nil }))
		require.Equal(t, wanted, read)
		runs, _, err := s.News()
		require.NoError(t, err)
		require.Empty(t, runs)
		self, err := ReadDevice(name)
		require.NoError(t, err)
		require.Equal(t, "two", string(self))
		peers, err := ReadPeers(name)
		require.NoError(t, err)
		require.Equal(t, "laptop", string(peers))
		list, err := blobs.List()
		require.NoError(t, err)
		require.Equal(t, []keep.Blob{{ID: alone, Size: 7}}, list)
		here, second = s.numbers()
		require.Equal(t, here, second, "the old ones are gone")
	}
	require.NoError(t, s.Close())
	s = open(t, name)
	require.False(t, s.Restored)
	require.Equal(t, 300, count(t, s))
}

// Two tabs that open at once put it back once, and what one has dropped meanwhile is
// no error to the other.
func TestSecondCopyOfTwoTabs(t *testing.T) {
	name := fresh()
	s := open(t, name)
	raws, seals := sealed(t, 20)
	for i := range raws {
		require.NoError(t, s.Append(raws[i:i+1], seals[i]))
	}
	require.NoError(t, s.Close())
	lose(t, name)
	errs := make(chan error, 4)
	for range cap(errs) {
		go func() {
			tab, err := Open(name, func() {})
			if err == nil {
				err = tab.Close()
			}
			errs <- err
		}()
	}
	for range cap(errs) {
		require.NoError(t, <-errs)
	}
	s = open(t, name)
	require.Equal(t, 20, count(t, s))
	heads, err := s.Heads()
	require.NoError(t, err)
	require.Len(t, heads[uuid.UUID{1}], 1)
	require.Nil(t, s.second.get("1000"))
	here, second := s.numbers()
	require.Subset(t, second, here)
}

// The next start completes a second copy that lacks something, and takes out what
// was joined.
func TestSecondCopyLevels(t *testing.T) {
	name := fresh()
	s := open(t, name)
	raws, seals := sealed(t, 4)
	require.NoError(t, s.Append(raws[:2], seals[1]))
	require.NoError(t, s.Append(raws[2:], seals[3]))
	s.second.do(drop("1"))
	s.second.do(put("99", arrayOf([]byte("of another tab, which has written since"))))
	require.NoError(t, s.Close())
	s = open(t, name) // joins
	here, second := s.numbers()
	require.Equal(t, append(here, 99), second)
	s.second.do(drop("99"))
	s.second.do(put("1", arrayOf([]byte("joined long since"))))
	require.NoError(t, s.Close())
	s = open(t, name)
	here, second = s.numbers()
	require.Equal(t, here, second)

	gone, err := await("delete", func() js.Value { return js.Global().Get("caches").Call("delete", s.second.name) })
	require.NoError(t, err)
	require.True(t, gone.Bool())
	s.second.cache = js.Undefined() // as after a start
	require.NoError(t, s.Close())
	s = open(t, name)
	_, second = s.numbers()
	require.Equal(t, here, second)
	require.NoError(t, s.Close())
	lose(t, name)
	s = open(t, name)
	require.True(t, s.Restored)
	require.Equal(t, 4, count(t, s))
}

// Of a second copy with damage all is taken that does not hang on what is lost.
func TestSecondCopyDamaged(t *testing.T) {
	name := fresh()
	s := open(t, name)
	raws, seals := sealed(t, 6)
	for i := 0; i < 6; i += 2 {
		require.NoError(t, s.Append(raws[i:i+2], seals[i+1])) // two records
	}
	pen := model.Pen{Replica: uuid.UUID{2}}
	other, err := pen.Write([]model.Draft{{Body: &model.Note{Text: "of another device"}}}, 1_780_000_000_000<<16)
	require.NoError(t, err)
	require.NoError(t, s.Append(other))
	s.second.do(put("3", arrayOf([]byte("what once was a run of two entries, of the middle"))))
	require.NoError(t, s.Close())
	lose(t, name)
	s = open(t, name)
	require.True(t, s.Restored)
	require.Equal(t, 3, count(t, s))
	heads, err := s.Heads()
	require.NoError(t, err)
	require.Len(t, heads, 2)
	n := 0
	require.NoError(t, s.Seals(func(model.Seal) error { n++; return nil }))
	require.Equal(t, 1, n)
}

// A browser without Cache Storage keeps the first copy alone.
func TestNoSecondCopy(t *testing.T) {
	caches := js.Global().Get("caches")
	name := fresh()
	js.Global().Get("Object").Call("defineProperty", js.Global(), "caches", map[string]any{"value": js.Undefined(), "configurable": true})
	defer js.Global().Get("Object").Call("defineProperty", js.Global(), "caches", map[string]any{"value": caches, "configurable": true})
	s := open(t, name)
	require.NoError(t, s.Append(chain(t, 2)))
	require.NoError(t, WriteDevice(name, []byte("one")))
	require.NoError(t, s.Close())
	s = open(t, name)
	require.Equal(t, 2, count(t, s))
}

// One that does not answer keeps the first copy waiting once, and not for ever.
func TestSecondCopyHangs(t *testing.T) {
	was := patience
	patience = 50 * time.Millisecond
	defer func() { patience = was }()
	name := fresh()
	s := open(t, name)
	raws := chain(t, 6)
	require.NoError(t, s.Append(raws[:1]))
	never := js.Global().Get("Function").New("return new Promise(() => {})")
	hung := js.Global().Get("Object").New()
	for _, method := range []string{"put", "delete", "match", "keys"} {
		hung.Set(method, never)
	}
	whole := s.second.cache
	s.second.cache = hung
	for i := range raws[1:] {
		require.NoError(t, s.Append(raws[1+i:2+i]))
		require.True(t, s.second.late)
	}
	require.NoError(t, s.Close())
	s = open(t, name)
	require.Equal(t, 6, count(t, s))
	s.second.cache, s.second.late = whole, false // as after a start
	require.NoError(t, s.Close())
	s = open(t, name)
	here, second := s.numbers()
	require.Equal(t, here, second)
}
