package keep

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"maps"
	"slices"
	"sync"
)

// MemoryBlobs are Blobs that are gone when the program ends.
type MemoryBlobs struct {
	mu    sync.Mutex
	whole map[BlobID][]byte
	parts map[BlobID][]byte
}

// NewMemoryBlobs returns an empty store.
func NewMemoryBlobs() *MemoryBlobs {
	return &MemoryBlobs{whole: map[BlobID][]byte{}, parts: map[BlobID][]byte{}}
}

var _ Blobs = (*MemoryBlobs)(nil)

// Put stores a blob, as [Blobs] says.
func (m *MemoryBlobs) Put(r io.Reader) (BlobID, error) {
	data, err := ReadBlob(r)
	if err != nil {
		return BlobID{}, fmt.Errorf("store blob: %w", err)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	id := BlobID(sha256.Sum256(data))
	m.whole[id] = data
	return id, nil
}

// Get returns a blob's bytes, as [Blobs] says.
func (m *MemoryBlobs) Get(id BlobID) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	data, ok := m.whole[id]
	if !ok {
		return nil, fmt.Errorf("blob %s: %w", id, ErrNoBlob)
	}
	return bytes.Clone(data), CheckBlob(id, data)
}

// Has reports whether the blob is there.
func (m *MemoryBlobs) Has(id BlobID) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	_, ok := m.whole[id]
	return ok, nil
}

// Drop removes a blob.
func (m *MemoryBlobs) Drop(id BlobID) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.whole, id)
	delete(m.parts, id)
	return nil
}

// List returns what is there, by name.
func (m *MemoryBlobs) List() ([]Blob, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	var list []Blob
	for _, id := range slices.SortedFunc(maps.Keys(m.whole), BlobID.Compare) {
		list = append(list, Blob{id, int64(len(m.whole[id]))})
	}
	return list, nil
}

// Part adds to a blob that comes in parts, as [Blobs] says.
func (m *MemoryBlobs) Part(id BlobID, offset int64, data []byte) (int64, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	have := m.parts[id]
	next, err := NextPart(id, int64(len(have)), offset, data)
	if err == nil && len(next) > 0 {
		have = append(have, next...)
		m.parts[id] = have
	}
	return int64(len(have)), err
}

// Done makes a blob of its parts, as [Blobs] says.
func (m *MemoryBlobs) Done(id BlobID) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	data := m.parts[id]
	delete(m.parts, id)
	if err := CheckBlob(id, data); err != nil {
		return err
	}
	m.whole[id] = data
	return nil
}
