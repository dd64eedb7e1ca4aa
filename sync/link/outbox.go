package link

import "sync"

// maxWaiting is how many bytes may wait for a side that reads slowly: more than
// all that a session sends before it is answered. Each frame counts a little
// more than its bytes, for small ones take room too.
const (
	maxWaiting = 4 << 20
	frameRoom  = 64
)

// An outbox holds frames until they are written.
type outbox struct {
	wake chan struct{} // has a value when there is something to do

	mu     sync.Mutex
	frames [][]byte
	bytes  int
	closed bool
}

func newOutbox() *outbox { return &outbox{wake: make(chan struct{}, 1)} }

// put adds a frame, and reports whether there was room.
func (o *outbox) put(frame []byte) bool {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.bytes+len(frame)+frameRoom > maxWaiting {
		return false
	}
	o.frames, o.bytes = append(o.frames, frame), o.bytes+len(frame)+frameRoom
	o.ring()
	return true
}

// close has send return once all is written.
func (o *outbox) close() {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.closed = true
	o.ring()
}

func (o *outbox) ring() {
	select {
	case o.wake <- struct{}{}:
	default:
	}
}

// take returns the next frame; none if it must wait, or is over.
func (o *outbox) take() (frame []byte, over bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.frames) == 0 {
		o.frames = nil // lets go of the array
		return nil, o.closed
	}
	frame, o.frames[0] = o.frames[0], nil
	o.frames, o.bytes = o.frames[1:], o.bytes-len(frame)-frameRoom
	return frame, false
}

// send writes frames as they come, until one cannot be.
func (o *outbox) send(conn Conn, unsent chan<- error) {
	for {
		frame, over := o.take()
		switch {
		case over:
			return
		case frame == nil:
			<-o.wake
			continue
		}
		if err := conn.WriteFrame(frame); err != nil {
			unsent <- err
			return
		}
	}
}
