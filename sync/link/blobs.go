package link

import (
	"errors"
	"slices"
	"sync"

	"ampwright/model"
	"ampwright/sync/keep"
	"ampwright/sync/session"
	"ampwright/sync/wire"
)

// blobs is what a link does with what lies beside the logbook. Jobs that wait for
// a store are done one after another, while the link goes on.
type blobs struct {
	jobs   []func() session.Event // the first is being done
	done   chan session.Event     // what came of it
	looked [2]int                 // photos and files of the logbook that were looked for
	wanted map[keep.BlobID]bool   // asked for and not come
	told   map[keep.BlobID]bool   // the other side knows that this one has them
	anew   map[keep.BlobID]bool   // asked for twice
	open   keep.BlobID            // the blob that parts were last read of, and its bytes: for jobs alone
	bytes  []byte

	mu    sync.Mutex
	asked []keep.BlobID // by Want, and not taken up yet
	wake  chan struct{} // has a value when there are some
}

func newBlobs() *blobs {
	return &blobs{
		done: make(chan session.Event, 1), wake: make(chan struct{}, 1),
		wanted: map[keep.BlobID]bool{}, told: map[keep.BlobID]bool{}, anew: map[keep.BlobID]bool{},
	}
}

// Want has the link fetch a blob that is not here, once both sides have met. It
// may be called at any time. Config's Came hears of it if it comes, Tell of a
// [session.NoBlob] if the other side does not have it either.
func (l *Link) Want(id keep.BlobID) {
	b := l.blobs
	b.mu.Lock()
	defer b.mu.Unlock()
	b.asked = append(b.asked, id)
	select {
	case b.wake <- struct{}{}:
	default:
	}
}

// takeUp fetches what Want was called for.
func (l *Link) takeUp() {
	b := l.blobs
	if !l.report.Met || l.cfg.Blobs == nil {
		return
	}
	b.mu.Lock()
	asked := b.asked
	b.asked = nil
	b.mu.Unlock()
	for _, id := range asked {
		l.later(func() session.Event { return l.lacking(id) })
	}
}

// afterStep goes on with blobs once all that a step asked for is under way, so
// that they stay behind the entries.
func (l *Link) afterStep(ev session.Event, effects []session.Effect) {
	if slices.ContainsFunc(effects, func(e session.Effect) bool { _, met := e.(session.Met); return met }) {
		l.metBlobs()
		l.look()
		return
	}
	switch ev.(type) {
	case session.Grew, session.Kept:
		l.look()
	}
}

// metBlobs says what this side has and the other may not know of, and takes up
// what was asked for before.
func (l *Link) metBlobs() {
	if l.cfg.Blobs == nil {
		return
	}
	if l.cfg.Offer != nil {
		for _, id := range l.cfg.Offer() {
			l.tellOf(id)
		}
	}
	l.takeUp()
}

// look fetches the photos and files that entries name and that are not here. It does not
// wait its turn behind other jobs: who ends a session once all is exchanged must
// know what is still to come.
func (l *Link) look() {
	if !l.cfg.Fetch || l.cfg.Blobs == nil || !l.report.Met {
		return
	}
	var fresh [][32]byte
	l.cfg.Book.Read(func(log *model.Logbook) {
		for i, all := range [][][32]byte{log.Photos(), log.Files()} {
			fresh = append(fresh, all[min(l.blobs.looked[i], len(all)):]...)
			l.blobs.looked[i] = len(all)
		}
	})
	for _, hash := range fresh {
		if ev := l.lacking(hash); ev != nil {
			l.want(ev)
		}
	}
}

// lacking asks for a blob if it is not here: from the last byte on that is, which
// comes once more, so that even one of which all parts are here is completed. A
// store that cannot say is asked again with the next link.
func (l *Link) lacking(id keep.BlobID) session.Event {
	if has, err := l.cfg.Blobs.Has(id); has || err != nil {
		return nil
	}
	have, err := l.cfg.Blobs.Part(id, 0, nil)
	if err != nil {
		return nil
	}
	return session.WantBlob{Hash: wire.Hash(id), From: max(have-1, 0)}
}

func (l *Link) want(ev session.Event) {
	if w, ok := ev.(session.WantBlob); ok {
		l.blobs.wanted[keep.BlobID(w.Hash)] = true
	}
	l.step(ev)
}

// tellOf tells the other side, once, that a blob is here.
func (l *Link) tellOf(id keep.BlobID) {
	if !l.blobs.told[id] {
		l.blobs.told[id] = true
		l.step(session.HaveBlob{Hash: wire.Hash(id)})
	}
}

// there hears that the other side has a blob: this one says so too if it has it,
// else it fetches it.
func (l *Link) there(id keep.BlobID) {
	if l.cfg.Blobs == nil || l.blobs.told[id] {
		return
	}
	l.later(func() session.Event {
		if has, err := l.cfg.Blobs.Has(id); err == nil && has {
			return session.HaveBlob{Hash: wire.Hash(id)}
		}
		if l.cfg.Fetch {
			return l.lacking(id)
		}
		return nil
	})
}

// later does a job when those before it are done.
func (l *Link) later(job func() session.Event) {
	b := l.blobs
	if b.jobs = append(b.jobs, job); len(b.jobs) == 1 {
		go func() { b.done <- job() }()
	}
}

// jobDone goes on after a job.
func (l *Link) jobDone(ev session.Event) {
	b := l.blobs
	if b.jobs = b.jobs[1:]; len(b.jobs) > 0 {
		next := b.jobs[0]
		go func() { b.done <- next() }()
	}
	switch ev := ev.(type) {
	case session.HaveBlob:
		l.tellOf(keep.BlobID(ev.Hash))
	case session.WantBlob:
		l.want(ev)
	case blobCame:
		id := keep.BlobID(ev.Hash)
		b.told[id] = true // the session says so
		delete(b.wanted, id)
		l.report.BlobsIn++
		if l.cfg.Came != nil {
			l.cfg.Came(id, len(b.wanted))
		}
		l.step(ev.BlobKept)
	case session.BlobKept:
		l.step(ev)
		if ev.Err != nil {
			l.notCame(keep.BlobID(ev.Hash), ev.Err)
		}
	case blobRead:
		if ev.Size > 0 {
			b.told[ev.id] = true
		}
		l.step(ev.BlobRead)
	}
}

// notCame goes on after a part that was not stored. If all have come and are other
// bytes, one that came through an earlier link may have been wrong: all are asked
// for once more.
func (l *Link) notCame(id keep.BlobID, err error) {
	b := l.blobs
	delete(b.wanted, id)
	var bad *keep.BadBlobError
	switch {
	case errors.Is(err, errHere):
		l.tellOf(id)
	case errors.As(err, &bad) && !b.anew[id]:
		b.anew[id] = true
		l.want(session.WantBlob{Hash: wire.Hash(id)})
	}
}

// endJobs waits for what is still to be stored: a part that came need not come
// again.
func (l *Link) endJobs() {
	for len(l.blobs.jobs) > 0 {
		l.jobDone(<-l.blobs.done)
	}
}

// A blobCame is the BlobKept of a blob's last part.
type blobCame struct{ session.BlobKept }

// A blobRead is the BlobRead of a part of a blob.
type blobRead struct {
	session.BlobRead
	id keep.BlobID
}

// read reads a part. The blob is checked once, with its first part, and kept at
// hand until another is read.
func (l *Link) read(e session.ReadBlob) session.Event {
	b, id := l.blobs, keep.BlobID(e.Hash)
	if l.cfg.Blobs == nil {
		return blobRead{id: id}
	}
	if b.open != id || b.bytes == nil {
		b.open, b.bytes = id, nil
		data, err := l.cfg.Blobs.Get(id)
		if err != nil { // damaged, or not here: it is had from somebody else
			return blobRead{id: id}
		}
		b.bytes = data
	}
	size := int64(len(b.bytes))
	from := min(e.Offset, size)
	part := b.bytes[from:min(from+int64(e.Max), size)]
	if from+int64(len(part)) == size {
		b.bytes = nil
	}
	return blobRead{session.BlobRead{Bytes: part, Size: size}, id}
}

// errHere says that a blob has come another way meanwhile.
var errHere = errors.New("the blob is here already")

// write stores a part.
func (l *Link) write(e session.WriteBlob) session.Event {
	id, kept := keep.BlobID(e.Hash), session.BlobKept{Hash: e.Hash}
	if l.cfg.Blobs == nil {
		kept.Err = errors.New("nothing is stored here")
		return kept
	}
	if has, err := l.cfg.Blobs.Has(id); err == nil && has {
		kept.Err = errHere
		return kept
	}
	if _, kept.Err = l.cfg.Blobs.Part(id, e.Offset, e.Bytes); kept.Err != nil || !e.Last {
		return kept
	}
	if kept.Err = l.cfg.Blobs.Done(id); kept.Err != nil {
		return kept
	}
	return blobCame{kept}
}
