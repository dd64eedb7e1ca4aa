package session

import "ampwright/sync/wire"

const (
	maxAsked  = 4  // parts asked for and not come
	maxServed = 16 // parts the other side may ask for at once
)

// blobs is which blobs this side wants, and which parts the other one does.
type blobs struct {
	wants   []want // the first is being fetched
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

// ask asks for parts of the first blob wanted.
func (s *Session) ask() {
	if s.state != live || len(s.blobs.wants) == 0 {
		return
	}
	w := &s.blobs.wants[0]
	for asked := (w.asked - w.next + wire.MaxPart - 1) / wire.MaxPart; asked < maxAsked; asked++ {
		if w.size == 0 && asked > 0 || w.size > 0 && w.asked >= w.size {
			return
		}
		s.send(&wire.BlobWant{Hash: w.hash, Offset: w.asked, Max: wire.MaxPart})
		w.asked += wire.MaxPart
	}
}

// blobPart takes a part in. Parts come in the order they were asked for.
func (s *Session) blobPart(m *wire.BlobPart, frame int) {
	if !s.spend(frame) {
		return
	}
	if len(s.blobs.wants) == 0 || s.blobs.wants[0].hash != m.Hash {
		s.in.owed += frame // of a blob that was given up
		return
	}
	w := &s.blobs.wants[0]
	n := int64(len(m.Bytes))
	if m.Size > wire.MaxBlob || m.Offset != w.next || m.Offset+n > m.Size || n == 0 {
		s.in.owed += frame
		s.dropWant()
		s.do(NoBlob{m.Hash})
		return
	}
	w.size, w.next = m.Size, w.next+n
	w.parts = append(w.parts, frame)
	s.do(WriteBlob{Hash: m.Hash, Offset: m.Offset, Bytes: m.Bytes, Last: w.next == w.size})
}

// blobKept goes on once a part is stored.
func (s *Session) blobKept(ev BlobKept) {
	if len(s.blobs.wants) == 0 || s.blobs.wants[0].hash != ev.Hash || len(s.blobs.wants[0].parts) == 0 {
		return
	}
	w := &s.blobs.wants[0]
	s.in.owed += w.parts[0]
	w.parts = w.parts[1:]
	switch {
	case ev.Err != nil:
		s.dropWant()
	case w.next == w.size && len(w.parts) == 0:
		s.dropWant()
		if s.state == live {
			s.send(&wire.BlobHave{Hash: ev.Hash})
		}
	}
}

// dropWant goes on to the next blob.
func (s *Session) dropWant() {
	for _, frame := range s.blobs.wants[0].parts {
		s.in.owed += frame
	}
	s.blobs.wants = s.blobs.wants[1:]
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
// not need.
func (s *Session) serve() {
	b := &s.blobs
	if s.state != live || b.reading || len(b.serving) == 0 || s.out.changed || s.out.credit < wire.MaxFrame+wire.MaxPart {
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
