package app

import (
	"bytes"
	"slices"

	"ampwright/sync/keep"
	"ampwright/sync/link"
)

// linkPhotos is what a link knows of photos, and of the pieces of kept files.
type linkPhotos struct {
	there  map[keep.BlobID]bool // the laptop has said that it holds them: photos and pieces
	wanted map[keep.BlobID]bool // a page waits for them
	lacks  map[keep.BlobID]bool // of those: the laptop has said that it does not hold them
	link   *link.Link           // the one that runs, or ran last; nil before the first
}

// readLinkPhotos reads what bytes writes. What does not read is left aside: it is
// told again.
func readLinkPhotos(data []byte) linkPhotos {
	p := linkPhotos{there: map[keep.BlobID]bool{}, wanted: map[keep.BlobID]bool{}, lacks: map[keep.BlobID]bool{}}
	for id := range slices.Chunk(data, len(keep.BlobID{})) {
		if len(id) == len(keep.BlobID{}) {
			p.there[keep.BlobID(id)] = true
		}
	}
	return p
}

// bytes writes which photos and pieces the laptop holds: their names one after another.
func (p *linkPhotos) bytes() []byte {
	var all [][]byte
	for id := range p.there {
		all = append(all, slices.Clone(id[:]))
	}
	slices.SortFunc(all, bytes.Compare)
	return bytes.Join(all, nil)
}

// hasBlob reports whether the laptop has acknowledged a photo or a piece.
func (l *Link) hasBlob(id keep.BlobID) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.photos.there[id]
}

// blobThere notes that the laptop holds a photo or a piece.
func (l *Link) blobThere(id keep.BlobID) {
	if l.hasBlob(id) {
		return
	}
	var data []byte
	l.change(func() {
		l.photos.there[id] = true
		data = l.photos.bytes()
	})
	l.cfg.KeepPhotos(data)
	if twice, ok := l.app.cfg.Blobs.(interface{ Elsewhere(keep.BlobID) }); ok {
		go twice.Elsewhere(id)
	}
}

// want has a photo or a piece of a file fetched that a page waits for, and returns
// in words where what it belongs to is.
func (l *Link) want(id keep.BlobID, what string) string {
	l.mu.Lock()
	linked, running, lacks, now := l.standing.Linked, l.running, l.photos.lacks[id], l.photos.link
	if running {
		l.photos.wanted[id] = true
	}
	l.mu.Unlock()
	if lacks {
		return what + " is not on this device, and not on the laptop"
	}
	switch {
	case !running:
		l.cfg.PassPhoto(id.String())
	case now != nil:
		now.Want(id)
	}
	asked := what + " is not on this device yet: the laptop is asked for it"
	if linked {
		return asked
	}
	return asked + " once it is in reach"
}

// made takes a new link up: it is asked for all photos that are still waited for.
func (l *Link) made(now *link.Link) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.photos.link = now
	clear(l.photos.lacks)
	for id := range l.photos.wanted {
		now.Want(id)
	}
}

// WantPhoto is what another tab passes on that waits for a photo.
func (l *Link) WantPhoto(name string) {
	id, err := keep.ParseBlobID(name)
	if err != nil || !l.Running() {
		return
	}
	l.want(id, "")
	l.mu.Lock()
	lacks := l.photos.lacks[id]
	l.mu.Unlock()
	if lacks {
		l.cfg.Arrived(name, false)
	}
}

// TakePhoto notes what another tab has told that it heard of a photo.
func (l *Link) TakePhoto(name string, here bool) {
	if id, err := keep.ParseBlobID(name); err == nil {
		l.mu.Lock()
		l.photos.lacks[id] = !here
		l.mu.Unlock()
	}
}

// arrived tells who waits for a photo what came of it.
func (l *Link) arrived(id keep.BlobID, here bool) {
	l.mu.Lock()
	waits := l.photos.wanted[id]
	if here {
		delete(l.photos.wanted, id)
		delete(l.photos.lacks, id)
	} else {
		l.photos.lacks[id] = true
	}
	l.mu.Unlock()
	if here {
		l.blobThere(id) // that is where it came from
	}
	if waits {
		l.cfg.Arrived(id.String(), here)
	}
}
