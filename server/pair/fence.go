package pair

import (
	"net"
	"net/netip"
	"sync"
)

// A listener lets in so many connections at once: of one caller, of all.
const (
	maxCaller = 32
	maxAll    = 128
)

// A fence is a listener for callers nearby: those with a private, link-local or
// loopback address. It closes what is too many at once.
type fence struct {
	net.Listener

	mu  sync.Mutex
	all int
	of  map[netip.Addr]int
}

func newFence(l net.Listener) *fence { return &fence{Listener: l, of: map[netip.Addr]int{}} }

func nearby(a netip.Addr) bool { return a.IsPrivate() || a.IsLinkLocalUnicast() || a.IsLoopback() }

// Accept returns the next connection that may come in.
func (f *fence) Accept() (net.Conn, error) {
	for {
		c, err := f.Listener.Accept()
		if err != nil {
			return nil, err
		}
		at, err := netip.ParseAddrPort(c.RemoteAddr().String())
		from := at.Addr().Unmap().WithZone("")
		if err != nil || !nearby(from) || !f.count(from, 1) {
			c.Close()
			continue
		}
		return &counted{Conn: c, leave: sync.OnceFunc(func() { f.count(from, -1) })}, nil
	}
}

// count notes that a caller has one connection more, or less.
func (f *fence) count(from netip.Addr, by int) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.of[from]+by > maxCaller || f.all+by > maxAll {
		return false
	}
	f.of[from] += by
	f.all += by
	if f.of[from] == 0 {
		delete(f.of, from)
	}
	return true
}

type counted struct {
	net.Conn
	leave func()
}

func (c *counted) Close() error {
	c.leave()
	return c.Conn.Close()
}
