package socket

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"syscall/js"
	"time"

	"ampwright/sync/link"
	"ampwright/sync/wire"
)

const (
	dialTime  = 10 * time.Second
	writeTime = 20 * time.Second      // for what waits: whoever takes longer does not read
	most      = 512 << 10             // bytes that may wait in the browser to be sent
	look      = 20 * time.Millisecond // between looks whether they are sent: no event says so
)

// A conn is [link.Conn] over a WebSocket.
type conn struct {
	ws     js.Value
	heard  js.Func
	opened chan struct{}
	over   chan struct{} // closed with it
	news   chan struct{} // has a value when a frame has come

	mu     sync.Mutex
	frames [][]byte
	err    error // why it is closed
}

var _ link.Conn = (*conn)(nil)

// Dial connects to [Path] of the site at origin, "http://127.0.0.1:7341", until
// ctx is done.
func Dial(ctx context.Context, origin string) (link.Conn, error) {
	ctx, cancel := context.WithTimeout(ctx, dialTime)
	defer cancel()
	address := "ws" + strings.TrimPrefix(origin, "http") + Path // https becomes wss
	c := &conn{opened: make(chan struct{}), over: make(chan struct{}), news: make(chan struct{}, 1)}
	if err := thrown(func() { c.ws = js.Global().Get("WebSocket").New(address, Protocol) }); err != nil {
		return nil, err
	}
	c.ws.Set("binaryType", "arraybuffer")
	c.heard = js.FuncOf(func(_ js.Value, args []js.Value) any { c.hear(args[0]); return nil })
	for _, event := range []string{"onopen", "onmessage", "onerror", "onclose"} {
		c.ws.Set(event, c.heard)
	}
	select {
	case <-c.opened:
		return c, nil
	case <-c.over:
		return nil, errors.New("the laptop does not answer")
	case <-ctx.Done():
		c.Close()
		return nil, fmt.Errorf("the laptop does not answer: %w", ctx.Err())
	}
}

// hear takes an event. It must not wait for anything.
func (c *conn) hear(event js.Value) {
	switch event.Get("type").String() {
	case "open":
		close(c.opened)
	case "message":
		c.take(event.Get("data"))
	case "close":
		c.shut(fmt.Errorf("closed with code %d", event.Get("code").Int())) // RFC 6455, section 7.4
	} // an error says nothing, and is followed by a close
}

func (c *conn) take(data js.Value) {
	if data.Type() != js.TypeObject {
		c.shut(errors.New("a text came, want binary messages"))
		return
	}
	array := js.Global().Get("Uint8Array").New(data)
	if n := array.Get("length").Int(); n > wire.MaxFrame {
		c.shut(fmt.Errorf("a frame of %d bytes came, want at most %d", n, wire.MaxFrame))
		return
	}
	frame := make([]byte, array.Get("length").Int())
	js.CopyBytesToGo(frame, array)
	c.mu.Lock()
	c.frames = append(c.frames, frame) // no more than the session has granted
	c.mu.Unlock()
	select {
	case c.news <- struct{}{}:
	default:
	}
}

// shut ends it for the reason err, once.
func (c *conn) shut(err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.err != nil {
		return
	}
	c.err = err
	for _, event := range []string{"onopen", "onmessage", "onerror", "onclose"} {
		c.ws.Set(event, js.Null())
	}
	c.heard.Release()
	c.ws.Call("close")
	close(c.over)
}

func (c *conn) ReadFrame() ([]byte, error) {
	for {
		c.mu.Lock()
		if len(c.frames) > 0 {
			frame := c.frames[0]
			c.frames[0] = nil
			c.frames = c.frames[1:]
			c.mu.Unlock()
			return frame, nil
		}
		err := c.err
		c.mu.Unlock()
		if err != nil {
			return nil, err
		}
		select {
		case <-c.news:
		case <-c.over:
		}
	}
}

func (c *conn) WriteFrame(frame []byte) error {
	for waited := time.Duration(0); c.ws.Get("bufferedAmount").Int() > most; waited += look {
		if waited >= writeTime {
			return fmt.Errorf("the laptop has read nothing for %v", writeTime)
		}
		select {
		case <-time.NewTimer(look).C:
		case <-c.over:
		}
		if err := c.ended(); err != nil {
			return err
		}
	}
	if err := c.ended(); err != nil {
		return err
	}
	array := js.Global().Get("Uint8Array").New(len(frame))
	js.CopyBytesToJS(array, frame)
	return thrown(func() { c.ws.Call("send", array) })
}

func (c *conn) ended() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.err
}

// Close closes the connection. Frames that have come can still be read.
func (c *conn) Close() error {
	c.shut(errors.New("closed here"))
	return nil
}

// thrown calls f and returns what JavaScript throws in it as an error.
func thrown(f func()) (err error) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case js.Error:
			err = r
		default:
			panic(r)
		}
	}()
	f()
	return nil
}
