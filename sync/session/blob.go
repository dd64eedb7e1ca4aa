package session

import (
	"slices"

	"ampwright/sync/wire"
)

const (
	maxAsked  = 4  // parts asked for and not come
	maxServed = 16 // parts the other side may ask for at once
)

// blobs is which blobs this side wants, and which parts the other one does.
type blobs struct {
	wants   []want // in the order they are fetched
	asked   int    // parts asked for and not come
	serving []wire.BlobWant
	reading bool
}

// A want is a blob that is being fetched.
type want struct {
	hash  wire.Hash
	asked int64 // parts up to here have been asked for
	next  int64 // parts up to here have come
	size  int64 // 0 until the first part
	parts []int // bytes of frames whose parts are being stored
}

// want puts a blob on the list of those to fetch.
func (s *Session) want(ev WantBlob) {
	if s.wanted(ev.Hash) < 0 {
		s.blobs.wants = append(s.blobs.wants, want{hash: ev.Hash, asked: ev.From, next: ev.From})
	}
}

// wanted returns the place of a blob among those to fetch, -1 if it has none.
func (s *Session) wanted(h wire.Hash) int {
	return slices.IndexFunc(s.blobs.wants, func(w want) bool { return w.hash == h })
}

// ask asks for parts of the blobs wanted, one blob after another. The next one is
// asked for while the last parts of the one before are on their way: a side that
// waits until all is exchanged sees that there is more.
func (s *Session) ask() {
	b := &s.blobs
	for i := range b.wants {
		for w := &b.wants[i]; w.size == 0 || w.asked < w.size; w.asked += wire.MaxPart {
			if s.state != live || b.asked >= maxAsked || w.size == 0 && w.asked > w.next {
				return
			}
			s.send(&wire.BlobWant{Hash: w.hash, Offset: w.asked, Max: wire.MaxPart})
			b.asked++
		}
	}
}

// blobPart takes a part in. Parts come in the order they were asked for.
func (s *Session) blobPart(m *wire.BlobPart, frame int) {
	if !s.spend(frame) {
		return
	}
	s.blobs.asked = max(s.blobs.asked-1, 0)
	i := s.wanted(m.Hash)
	if i < 0 {
		s.in.owed += frame // of a blob that was given up
		return
	}
	w := &s.blobs.wants[i]
	n := int64(len(m.Bytes))
	if m.Size > wire.MaxBlob || m.Offset != w.next || m.Offset+n > m.Size || n == 0 {
		s.in.owed += frame
		s.dropWant(i)
		s.do(NoBlob{m.Hash})
		return
	}
	w.size, w.next = m.Size, w.next+n
	w.parts = append(w.parts, frame)
	s.do(WriteBlob{Hash: m.Hash, Offset: m.Offset, Bytes: m.Bytes, Last: w.next == w.size})
}

// blobKept goes on once a part is stored.
func (s *Session) blobKept(ev BlobKept) {
	i := s.wanted(ev.Hash)
	if i < 0 || len(s.blobs.wants[i].parts) == 0 {
		return
	}
	w := &s.blobs.wants[i]
	s.in.owed += w.parts[0]
	w.parts = w.parts[1:]
	switch {
	case ev.Err != nil:
		s.dropWant(i)
	case w.next == w.size && len(w.parts) == 0:
		s.dropWant(i)
		s.haveBlob(ev.Hash)
	}
}

// dropWant takes a blob off the list of those to fetch.
func (s *Session) dropWant(i int) {
	for _, frame := range s.blobs.wants[i].parts {
		s.in.owed += frame
	}
	s.blobs.wants = slices.Delete(s.blobs.wants, i, i+1)
}

// haveBlob says that a blob is here whole.
func (s *Session) haveBlob(h wire.Hash) {
	if s.state == live {
		s.send(&wire.BlobHave{Hash: h})
	}
}

// blobWant puts a part on the list of those to send.
func (s *Session) blobWant(m *wire.BlobWant) {
	if len(s.blobs.serving) >= maxServed {
		s.end(wire.CodeProtocol, "too many parts asked for at once", 0)
		return
	}
	s.blobs.serving = append(s.blobs.serving, *m)
}

// serve has the next part read, behind all entries and with credit that they do
// not need. It waits for no more than half of the credit at first: the other side
// need not grant any before it has done with half.
func (s *Session) serve() {
	b := &s.blobs
	enough := min(wire.MaxFrame+wire.MaxPart, s.theirs.Credit/2)
	if s.state != live || b.reading || len(b.serving) == 0 || s.out.changed || s.out.credit < enough {
		return
	}
	b.reading = true
	m := b.serving[0]
	s.do(ReadBlob{Hash: m.Hash, Offset: m.Offset, Max: int(min(m.Max, wire.MaxPart))})
}

// blobRead sends a part.
func (s *Session) blobRead(ev BlobRead) {
	b := &s.blobs
	if s.state != live || !b.reading {
		return
	}
	m := b.serving[0]
	b.serving, b.reading = b.serving[1:], false
	frame, err := wire.Encode(&wire.BlobPart{Hash: m.Hash, Offset: m.Offset, Size: ev.Size, Bytes: ev.Bytes})
	if err != nil {
		s.fault(err)
		return
	}
	s.out.credit -= int64(len(frame))
	s.sendFrame(frame)
}
