package sim_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"
)

// shelf is the blobs on a disk: whole ones, and what came of others. Its bytes are
// never written over, so a copy may share them.
type shelf struct {
	whole, parts map[wire.Hash][]byte
}

func newShelf() shelf {
	return shelf{map[wire.Hash][]byte{}, map[wire.Hash][]byte{}}
}

// picture puts a photo on d's disk and makes the entry that names it. Few are
// larger than one part.
func (w *world) picture(d *device, dr draft) draft {
	size := 1 + w.rng.IntN(300)
	if w.rng.IntN(12) == 0 {
		size = wire.MaxPart - 1 + w.rng.IntN(2*wire.MaxPart)
	}
	blob := bytes.Repeat([]byte{byte(w.rng.Uint32()), byte(w.rng.Uint32()), byte(w.rng.Uint32()), byte(w.rng.Uint32())}, size/4+1)[:size]
	hash := sha256.Sum256(blob)
	d.disk.blobs.whole[hash] = blob
	dr.body = &model.Photo{At: w.when(d), Hash: hash[:], Bytes: int64(size), Type: "image/jpeg"}
	return dr
}

// look asks for the photos that d lacks and that this connection was not asked
// for, as a link does.
func (w *world) look(e *end) {
	if w.sabotage.lazy {
		return
	}
	all := e.dev.fold.Photos()
	from := min(e.looked, len(all))
	e.looked = len(all)
	for _, hash := range all[from:] {
		if _, ok := e.dev.disk.blobs.whole[hash]; !ok {
			have := len(e.dev.disk.blobs.parts[hash])
			w.step(e, session.WantBlob{Hash: hash, From: int64(max(have-1, 0))})
		}
	}
}

func (w *world) readBlob(e *end, r session.ReadBlob) {
	blob := e.dev.disk.blobs.whole[r.Hash]
	size := int64(len(blob))
	from := min(r.Offset, size)
	w.step(e, session.BlobRead{Bytes: blob[from:min(from+int64(r.Max), size)], Size: size})
}

var errHash = errors.New("another hash")

// writeBlob stores a part, as [keep.Blobs] says.
func (w *world) writeBlob(e *end, p session.WriteBlob) {
	k, on := session.BlobKept{Hash: p.Hash}, &e.dev.disk.blobs
	have := on.parts[p.Hash]
	switch offset := int(p.Offset); {
	case w.hit(fullDisk):
		k.Err = errFull
	case offset > len(have):
		k.Err = errors.New("a hole")
	case offset+len(p.Bytes) > len(have):
		have = append(have[:len(have):len(have)], p.Bytes[len(have)-offset:]...)
		on.parts[p.Hash] = have
	}
	if k.Err == nil && p.Last {
		delete(on.parts, p.Hash)
		if sha256.Sum256(have) != p.Hash {
			k.Err = errHash
		} else {
			on.whole[p.Hash] = have
			w.blobs++
		}
	}
	w.step(e, k)
	if k.Err == errHash && !e.anew[p.Hash] { // what came of it before was wrong: from its beginning, once
		if e.anew == nil {
			e.anew = map[wire.Hash]bool{}
		}
		e.anew[p.Hash] = true
		w.step(e, session.WantBlob{Hash: p.Hash})
	}
}

// meetForBlobs connects the devices anew until all have all photos that any has:
// what one did not have when it was asked, it is asked for by the next connection.
// A device that was struck off is turned away, and comes back under a new name.
func (w *world) meetForBlobs() {
	for round := 0; w.lacksBlob() != nil; round++ {
		if round == 3 {
			w.fail("%v", w.lacksBlob())
		}
		w.sparse = false
		for _, d := range w.devices {
			w.drop(d)
		}
		for again := 0; !w.meetAll(); again++ {
			if again == 8 {
				w.fail("not the same on all devices after they met anew: %s", w.differ())
			}
		}
	}
}

// lacksBlob says who lacks a photo that another device has.
func (w *world) lacksBlob() error {
	for _, hash := range w.devices[0].fold.Photos() {
		var has, lacks *device
		for _, d := range w.devices {
			if _, ok := d.disk.blobs.whole[hash]; ok {
				has = d
			} else {
				lacks = d
			}
		}
		if has != nil && lacks != nil {
			return fmt.Errorf("device %d lacks the photo %x that device %d has", lacks.n, hash[:4], has.n)
		}
	}
	return nil
}

// sameBlobs is I8.
func (w *world) sameBlobs() {
	if err := w.lacksBlob(); err != nil {
		w.fail("%v", err)
	}
	for _, d := range w.devices {
		for hash, blob := range d.disk.blobs.whole {
			if sha256.Sum256(blob) != hash {
				w.fail("device %d has other bytes under %x", d.n, hash[:4])
			}
		}
	}
}
