package idb

import (
	"bytes"
	"crypto/sha256"
	"strings"
	"syscall/js"
	"testing"

	"ampwright/model"
	"ampwright/sync/keep"
	"ampwright/sync/keep/keeptest"

	"github.com/stretchr/testify/require"
)

func openBlobs(t *testing.T, name string) *Blobs {
	t.Helper()
	b := NewBlobs(name)
	b.Close() // nothing yet
	_, err := b.List()
	require.NoError(t, err)
	t.Cleanup(b.Close)
	return b
}

func TestBlobs(t *testing.T) {
	keeptest.RunBlobs(t, func(t *testing.T) (keep.Blobs, func() keep.Blobs, func(keep.BlobID)) {
		name := fresh()
		b := openBlobs(t, name)
		return b, func() keep.Blobs { b.Close(); b = openBlobs(t, name); return b }, func(id keep.BlobID) { damage(t, b, id) }
	})
}

// damage changes the first byte of a blob behind the store's back.
func damage(t *testing.T, b *Blobs, id keep.BlobID) {
	var values, keys js.Value
	require.NoError(t, b.db.transact("look", "readonly", func(store js.Value) {
		values, keys = store.Call("getAll", wholeSpan(id)), store.Call("getAllKeys", wholeSpan(id))
	}))
	data := bytesOf(values.Get("result").Index(0))
	data[0] ^= 1
	require.NoError(t, b.db.transact("damage", "readwrite", func(store js.Value) {
		store.Call("put", arrayOf(data), keys.Get("result").Index(0))
	}))
}

// A phone without room says so in words, and the photo is not there, whole or in
// part.
func TestNoRoomForBlobs(t *testing.T) {
	b := openBlobs(t, fresh())
	store := js.Global().Get("IDBObjectStore").Get("prototype")
	put := store.Get("put")
	store.Set("put", js.Global().Get("Function").New("throw new DOMException('full', 'QuotaExceededError')"))
	_, err := b.Put(strings.NewReader("abc"))
	_, perr := b.Part(sha256.Sum256([]byte("abc")), 0, []byte("ab"))
	store.Set("put", put)
	for _, err := range []error{err, perr} {
		require.ErrorContains(t, err, "keep a photo or file: the browser gives this page no more room, nothing was written")
	}
	list, err := b.List()
	require.NoError(t, err)
	require.Empty(t, list)
	have, err := b.Part(sha256.Sum256([]byte("abc")), 0, nil)
	require.NoError(t, err)
	require.Zero(t, have)
	_, err = b.Put(strings.NewReader("abc"))
	require.NoError(t, err)
}

// A connection that the browser has closed is opened again.
func TestDeadBlobs(t *testing.T) {
	b := openBlobs(t, fresh())
	b.db.handle.Call("close")
	id, err := b.Put(strings.NewReader("abc"))
	require.NoError(t, err)
	b.db.handle.Call("close")
	data, err := b.Get(id)
	require.NoError(t, err)
	require.Equal(t, "abc", string(data))
}

// Two tabs have the same photos.
func TestBlobsOfTwoTabs(t *testing.T) {
	name := fresh()
	a, b := openBlobs(t, name), openBlobs(t, name)
	data := bytes.Repeat([]byte("jpeg"), 10_000)
	id := keep.BlobID(sha256.Sum256(data))
	_, err := a.Part(id, 0, data[:100])
	require.NoError(t, err)
	have, err := b.Part(id, 100, data[100:])
	require.NoError(t, err)
	require.EqualValues(t, len(data), have)
	require.NoError(t, a.Done(id))
	got, err := b.Get(id)
	require.NoError(t, err)
	require.Equal(t, data, got)
}

// A logbook of the version before there were photos is there with all it holds,
// and the tab with the older program writes on.
func TestBlobsBesideOlderLogbook(t *testing.T) {
	name := fresh()
	raws := chain(t, 2)
	old := &database{name: name, version: 2, store: "runs", options: map[string]any{"autoIncrement": true}}
	require.NoError(t, old.open())
	t.Cleanup(old.close)
	run, err := model.PackRun(raws)
	require.NoError(t, err)
	at, err := model.SpanOf(run)
	require.NoError(t, err)
	key := keep.Span{Span: at, Name: model.IDOf(raws[0])}.Key()
	add := func(store js.Value) { store.Call("add", arrayOf(key[:], run)) }
	require.NoError(t, old.transact("write", "readwrite", add))
	require.NoError(t, WriteDevice(name, []byte("phone")))

	b := openBlobs(t, name)
	id, err := b.Put(strings.NewReader("abc"))
	require.NoError(t, err)
	require.Equal(t, 2, count(t, open(t, name)))
	device, err := ReadDevice(name)
	require.NoError(t, err)
	require.Equal(t, "phone", string(device))
	require.NoError(t, old.transact("write", "readwrite", func(js.Value) {}))
	has, err := b.Has(id)
	require.NoError(t, err)
	require.True(t, has)
}
