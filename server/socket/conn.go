// Package socket carries the frames of links over websockets (RFC 6455): one
// binary message is one frame.
package socket

import (
	"bytes"
	"fmt"
	"sync"
	"time"

	"ampwright/sync/link"
	"ampwright/sync/wire"

	"github.com/gorilla/websocket"
)

// Protocol is the subprotocol both sides must name.
const Protocol = "ampwright-link.1"

// Times of a connection. A session says something every 20 s (a beat, if there
// is nothing else), so pings of the socket's own would add nothing.
const (
	dialTime  = 10 * time.Second
	readTime  = 60 * time.Second // without a frame
	writeTime = 20 * time.Second // for a frame: whoever takes longer does not read
)

// pool holds the buffers that frames are written through: a connection at rest
// has none.
var pool = new(sync.Pool)

const writeBuffer = 32 << 10

// A conn is [link.Conn] over a websocket.
type conn struct {
	ws  *websocket.Conn
	buf bytes.Buffer // the frame that is being read

	pace *pace // of reading; nil for as fast as they come
}

var _ link.Conn = (*conn)(nil)

func newConn(ws *websocket.Conn) *conn {
	ws.SetReadLimit(wire.MaxFrame)
	return &conn{ws: ws}
}

func (c *conn) ReadFrame() ([]byte, error) {
	if c.pace != nil {
		time.Sleep(c.pace.wait(time.Now()))
	}
	if err := c.ws.SetReadDeadline(time.Now().Add(readTime)); err != nil {
		return nil, err
	}
	kind, r, err := c.ws.NextReader()
	if err != nil {
		return nil, err
	}
	if kind != websocket.BinaryMessage {
		return nil, fmt.Errorf("a message of kind %d came, want binary ones (%d)", kind, websocket.BinaryMessage)
	}
	c.buf.Reset()
	if _, err := c.buf.ReadFrom(r); err != nil {
		return nil, err
	}
	frame := bytes.Clone(c.buf.Bytes())
	if c.buf.Cap() > keepBuffer {
		c.buf = bytes.Buffer{}
	}
	return frame, nil
}

// keepBuffer is how large a buffer for reading a connection keeps.
const keepBuffer = 16 << 10

func (c *conn) WriteFrame(frame []byte) error {
	if err := c.ws.SetWriteDeadline(time.Now().Add(writeTime)); err != nil {
		return err
	}
	return c.ws.WriteMessage(websocket.BinaryMessage, frame)
}

func (c *conn) Close() error { return c.ws.Close() }
