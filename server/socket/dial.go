package socket

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/netip"
	"net/url"
	"strings"

	"ampwright/sync/link"

	"github.com/gorilla/websocket"
)

// Path is where a server answers links.
const Path = "/link"

// An AddressError says why an address cannot be dialled.
type AddressError struct{ Address, Why string }

func (e *AddressError) Error() string {
	return fmt.Sprintf("address %q: %s: want 127.0.0.1:7341 for a garage served on this computer, or wss://HOST:PORT for another", e.Address, e.Why)
}

// ParseAddress reads where to dial: host and port, with or without ws:// or
// wss:// before them. A link carries the whole logbook, so an address without
// TLS must be a loopback one by number. The error is an [*AddressError].
func ParseAddress(text string) (*url.URL, error) {
	wrong := func(why string) (*url.URL, error) { return nil, &AddressError{text, why} }
	full := text
	if !strings.Contains(text, "://") {
		full = "ws://" + text
	}
	u, err := url.Parse(full)
	switch {
	case err != nil:
		return wrong("it does not read")
	case u.Scheme != "ws" && u.Scheme != "wss":
		return wrong(fmt.Sprintf("links go over ws or wss, not over %s", u.Scheme))
	case u.User != nil || u.RawQuery != "" || u.Fragment != "" || u.Path != "" && u.Path != "/" && u.Path != Path:
		return wrong("there is more in it than a host and a port")
	case u.Hostname() == "" || u.Port() == "":
		return wrong("host or port is missing")
	}
	if a, err := netip.ParseAddrPort(u.Host); u.Scheme == "ws" && (err != nil || !a.Addr().IsLoopback()) {
		return wrong("without TLS a link stays on this computer: others on the way could read and change it")
	}
	u.Path = Path
	return u, nil
}

// Dial connects to the server at an address that [ParseAddress] has read. With
// TLS its authority must be one of pins, or one that this computer trusts.
func Dial(ctx context.Context, address *url.URL, pins ...Pin) (link.Conn, error) {
	ctx, cancel := context.WithTimeout(ctx, dialTime)
	defer cancel()
	d := websocket.Dialer{
		HandshakeTimeout: dialTime,
		Subprotocols:     []string{Protocol},
		WriteBufferSize:  writeBuffer,
		WriteBufferPool:  pool,
		TLSClientConfig:  pinned(address.Hostname(), pins),
	} // without a proxy: a link goes where it is sent
	ws, resp, err := d.DialContext(ctx, address.String(), nil)
	if err != nil {
		return nil, fmt.Errorf("connect to %s: %w", address.Host, answered(resp, err))
	}
	if ws.Subprotocol() != Protocol {
		ws.Close()
		return nil, fmt.Errorf("connect to %s: it does not speak %s", address.Host, Protocol)
	}
	return newConn(ws), nil
}

// answered says what a server answered that did not take the connection.
func answered(resp *http.Response, err error) error {
	if resp == nil || !errors.Is(err, websocket.ErrBadHandshake) {
		return err
	}
	text, _ := io.ReadAll(io.LimitReader(resp.Body, 200))
	if line, _, _ := strings.Cut(strings.TrimSpace(string(text)), "\n"); line != "" {
		return fmt.Errorf("it answers %s: %q", resp.Status, line)
	}
	return fmt.Errorf("it answers %s", resp.Status)
}
