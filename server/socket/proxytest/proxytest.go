// Package proxytest is a proxy that does harm to the connections through it, for
// tests of links.
package proxytest

import (
	"bytes"
	"io"
	"net"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Faults is what happens to one connection. Zero fields do no harm.
type Faults struct {
	Latency time.Duration // each piece comes so much later
	Cut     int64         // after so many bytes, both ways together, it is cut
	Stall   int64         // after so many bytes nothing passes any more, and nobody is told
	Rate    int           // bytes a second, each way
}

// A Proxy passes connections on to a server. In the first bytes from the side that
// dialled it writes the server's address for its own, by which the server does
// not go.
type Proxy struct {
	Address string

	target string
	faults func(n int) Faults
	made   atomic.Int64
	hurt   atomic.Int64
	mu     sync.Mutex
	open   map[net.Conn]bool
}

// Start returns a proxy to the server at target. The connections, counted from 1,
// have the faults that faults returns.
func Start(t testing.TB, target string, faults func(n int) Faults) *Proxy {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	p := &Proxy{Address: l.Addr().String(), target: target, faults: faults, open: map[net.Conn]bool{}}
	go Serve(l, p.pass)
	t.Cleanup(func() {
		l.Close()
		p.CutAll()
	})
	return p
}

// Serve hands every connection to pass until l is closed.
func Serve(l net.Listener, pass func(net.Conn)) {
	for {
		c, err := l.Accept()
		if err != nil {
			return
		}
		go pass(c)
	}
}

// Made returns how many connections there were, Hurt how many were cut or
// stalled.
func (p *Proxy) Made() int { return int(p.made.Load()) }
func (p *Proxy) Hurt() int { return int(p.hurt.Load()) }

// CutAll cuts the connections that stand.
func (p *Proxy) CutAll() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c := range p.open {
		c.Close()
	}
}

func (p *Proxy) pass(in net.Conn) {
	f := p.faults(int(p.made.Add(1)))
	out, err := net.Dial("tcp", p.target)
	if err != nil {
		in.Close()
		return
	}
	p.keep(in, out, true)
	defer p.keep(in, out, false)
	passed, hurt := new(atomic.Int64), new(sync.Once)
	var both sync.WaitGroup
	both.Go(func() { p.copy(out, in, f, passed, hurt, true) })
	both.Go(func() { p.copy(in, out, f, passed, hurt, false) })
	both.Wait()
}

func (p *Proxy) keep(in, out net.Conn, open bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, c := range []net.Conn{in, out} {
		if open {
			p.open[c] = true
			continue
		}
		delete(p.open, c)
		c.Close()
	}
}

// copy passes one direction on, byte by byte exact up to the fault.
func (p *Proxy) copy(to, from net.Conn, f Faults, passed *atomic.Int64, hurt *sync.Once, rename bool) {
	defer to.Close()
	defer from.Close()
	space := make([]byte, 4<<10)
	for {
		n, err := from.Read(space)
		if n > 0 {
			buf := space[:n]
			if rename {
				buf, rename = bytes.Replace(buf, []byte(p.Address), []byte(p.target), 1), false
				n = len(buf)
			}
			time.Sleep(f.Latency)
			if f.Rate > 0 {
				time.Sleep(time.Duration(n) * time.Second / time.Duration(f.Rate))
			}
			before := passed.Add(int64(n)) - int64(n)
			left := int64(n)
			if limit := f.Cut + f.Stall; limit > 0 {
				left = min(left, max(0, limit-before))
			}
			if _, err := to.Write(buf[:left]); err != nil {
				return
			}
			if left < int64(n) {
				hurt.Do(func() { p.hurt.Add(1) })
				if f.Cut > 0 {
					return
				}
				io.Copy(io.Discard, from) // takes everything and passes nothing on
				return
			}
		}
		if err != nil {
			return
		}
	}
}
