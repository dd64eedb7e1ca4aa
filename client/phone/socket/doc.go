// Package socket carries the frames of a link over the browser's WebSocket (the
// WHATWG's "WebSockets" standard), in a page or a worker: one binary message is
// one frame.
package socket

// Path and Protocol are where the laptop answers links and the subprotocol that
// both sides must name; ampwright/server/socket says the same.
const (
	Path     = "/link"
	Protocol = "ampwright-link.1"
)
