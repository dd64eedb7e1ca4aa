package idb

import (
	"crypto/sha256"
	"fmt"
	"io"
	"sync"
	"syscall/js"

	"ampwright/sync/keep"
)

// Blobs are [keep.Blobs] in IndexedDB.
type Blobs struct {
	mu     sync.Mutex
	db     *database
	second *second
}

var _ keep.Blobs = (*Blobs)(nil)

const (
	keepBlob = "keep a photo or file"
	readBlob = "read a photo or file"
)

// partKey stands in the key of a part where a whole blob's has its size. In
// IndexedDB every text comes behind every number.
const partKey = "part"

// NewBlobs returns what is kept beside the logbook called name. It is opened, or
// made, the first time something is asked of it.
func NewBlobs(name string) *Blobs {
	return &Blobs{
		db:     &database{name: name + "-blobs", version: 1, store: "blobs", options: map[string]any{}},
		second: secondOf(name),
	}
}

// Close lets go of the database.
func (b *Blobs) Close() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.db.close()
}

func (b *Blobs) transact(doing, mode string, f func(store js.Value)) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.db.transact(doing, mode, f)
}

// keyRange is the range of keys from one to another, both included.
func keyRange(from, to []any) js.Value {
	return js.Global().Get("IDBKeyRange").Call("bound", from, to)
}

func wholeSpan(id keep.BlobID) js.Value {
	return keyRange([]any{id.String(), 0}, []any{id.String(), keep.MaxBlob})
}

func partSpan(id keep.BlobID) js.Value {
	return keyRange([]any{id.String(), partKey, 0}, []any{id.String(), partKey, keep.MaxBlob})
}

// Put stores a blob, as [keep.Blobs] says.
func (b *Blobs) Put(r io.Reader) (keep.BlobID, error) {
	data, err := keep.ReadBlob(r)
	if err != nil {
		return keep.BlobID{}, fmt.Errorf("%s: %w", keepBlob, err)
	}
	id := keep.BlobID(sha256.Sum256(data))
	record := arrayOf(data)
	err = b.transact(keepBlob, "readwrite", func(store js.Value) {
		store.Call("put", record, []any{id.String(), len(data)})
	})
	if err == nil {
		b.second.do(put(id.String(), record))
	}
	return id, err
}

// Elsewhere drops the second copy of a blob, which the laptop holds too.
func (b *Blobs) Elsewhere(id keep.BlobID) { b.second.do(drop(id.String())) }

// Get returns a blob's bytes, as [keep.Blobs] says.
func (b *Blobs) Get(id keep.BlobID) ([]byte, error) {
	var values js.Value
	err := b.transact(readBlob, "readonly", func(store js.Value) { values = store.Call("getAll", wholeSpan(id)) })
	if err != nil {
		return nil, err
	}
	if values = values.Get("result"); values.Length() == 0 {
		return nil, fmt.Errorf("blob %s: %w", id, keep.ErrNoBlob)
	}
	data := bytesOf(values.Index(0))
	return data, keep.CheckBlob(id, data)
}

// Has reports whether the blob is there.
func (b *Blobs) Has(id keep.BlobID) (bool, error) {
	var count js.Value
	err := b.transact(readBlob, "readonly", func(store js.Value) { count = store.Call("count", wholeSpan(id)) })
	return err == nil && count.Get("result").Int() > 0, err
}

// Drop removes a blob.
func (b *Blobs) Drop(id keep.BlobID) error {
	b.second.do(drop(id.String()))
	return b.transact("drop a photo or file", "readwrite", func(store js.Value) {
		store.Call("delete", wholeSpan(id))
		store.Call("delete", partSpan(id))
	})
}

// List returns what is there, by name. It reads keys alone.
func (b *Blobs) List() ([]keep.Blob, error) {
	var keys js.Value
	err := b.transact(readBlob, "readonly", func(store js.Value) { keys = store.Call("getAllKeys") })
	if err != nil {
		return nil, err
	}
	keys = keys.Get("result")
	var list []keep.Blob
	for i := range keys.Length() {
		key := keys.Index(i)
		if key.Index(1).Type() != js.TypeNumber {
			continue
		}
		id, err := keep.ParseBlobID(key.Index(0).String())
		if err != nil {
			return nil, fmt.Errorf("the photos and files on this device are damaged: %w", err)
		}
		list = append(list, keep.Blob{ID: id, Size: int64(key.Index(1).Int())})
	}
	return list, nil
}

// Part adds to a blob that comes in parts, as [keep.Blobs] says.
func (b *Blobs) Part(id keep.BlobID, offset int64, data []byte) (int64, error) {
	var have int64
	var wrong, thrown error
	var add js.Func
	defer func() { add.Release() }()
	err := b.transact(keepBlob, "readwrite", func(store js.Value) {
		have, wrong, thrown = 0, nil, nil
		last := store.Call("openKeyCursor", partSpan(id), "prev")
		add.Release()
		add = js.FuncOf(func(js.Value, []js.Value) any {
			if cursor := last.Get("result"); cursor.Truthy() {
				have = int64(cursor.Get("key").Index(2).Int())
			}
			var next []byte
			if next, wrong = keep.NextPart(id, have, offset, data); wrong != nil || len(next) == 0 {
				return nil
			}
			have += int64(len(next))
			thrown = try(keepBlob, func() { store.Call("put", arrayOf(next), []any{id.String(), partKey, have}) })
			if thrown != nil {
				store.Get("transaction").Call("abort")
			}
			return nil
		})
		last.Set("onsuccess", add)
	})
	if thrown != nil {
		err = thrown
	}
	if err != nil {
		return 0, err
	}
	return have, wrong
}

// Done makes a blob of its parts, as [keep.Blobs] says.
func (b *Blobs) Done(id keep.BlobID) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	var values js.Value
	err := b.db.transact(readBlob, "readonly", func(store js.Value) { values = store.Call("getAll", partSpan(id)) })
	if err != nil {
		return err
	}
	values = values.Get("result")
	var data []byte
	for i := range values.Length() {
		data = append(data, bytesOf(values.Index(i))...)
	}
	bad := keep.CheckBlob(id, data)
	record := arrayOf(data)
	err = b.db.transact(keepBlob, "readwrite", func(store js.Value) {
		if bad == nil {
			store.Call("put", record, []any{id.String(), len(data)})
		}
		store.Call("delete", partSpan(id))
	})
	if bad != nil && err == nil {
		err = bad
	}
	return err
}
