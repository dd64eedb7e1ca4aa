package pair

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strings"
	"sync"
	"time"

	"github.com/miekg/dns"
)

// Multicast DNS (RFC 6762) over IPv4: its group and port, how long an address may
// be kept (section 10), and how long by who asks from another port (6.7).
var mdnsGroup = &net.UDPAddr{IP: net.IPv4(224, 0, 0, 251), Port: 5353}

const (
	keepTime   = 120 // seconds
	keepLegacy = 10
	flush      = 1 << 15 // in the class: what was kept before is void (10.2), or a question to be answered to its asker alone (5.4)
)

// Announce tells the local network this computer's addresses under a name, and
// whoever asks for it, until stop is called. It announces no service, and does
// not ask first whether another has the name: it is random.
func Announce(name string, own func() []netip.Addr) (stop func(), err error) {
	z := zone{dns.Fqdn(name), own}
	var list []*net.UDPConn
	for _, i := range interfaces() {
		c, failed := net.ListenMulticastUDP("udp4", i, mdnsGroup)
		if failed != nil {
			err = errors.Join(err, failed)
			continue
		}
		list = append(list, c)
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("announce %s: %w", name, err)
	}
	end := make(chan struct{})
	var all sync.WaitGroup
	for _, c := range list {
		all.Go(func() { z.listen(c) })
		all.Go(func() { // twice, a second apart (8.3)
			z.tell(c, keepTime)
			select {
			case <-time.After(time.Second):
				z.tell(c, keepTime)
			case <-end:
			}
		})
	}
	return sync.OnceFunc(func() {
		close(end)
		for _, c := range list {
			z.tell(c, 0) // goodbye (10.1)
			c.Close()
		}
		all.Wait()
	}), nil
}

// interfaces returns those with a private address, or the system's choice (nil).
func interfaces() (list []*net.Interface) {
	all, _ := net.Interfaces()
	for _, i := range all {
		if i.Flags&net.FlagUp == 0 || i.Flags&net.FlagMulticast == 0 || i.Flags&net.FlagLoopback != 0 {
			continue
		}
		addrs, _ := i.Addrs()
		for _, a := range addrs {
			if p, err := netip.ParsePrefix(a.String()); err == nil && p.Addr().Is4() && p.Addr().IsPrivate() {
				list = append(list, &i)
				break
			}
		}
	}
	if len(list) == 0 {
		return []*net.Interface{nil}
	}
	return list
}

// A zone knows one name.
type zone struct {
	name string // with the dot at its end
	own  func() []netip.Addr
}

// listen answers until the connection is closed.
func (z zone) listen(c *net.UDPConn) {
	buf := make([]byte, 9000) // the most a message may have (17)
	for {
		n, from, err := c.ReadFromUDP(buf)
		if errors.Is(err, net.ErrClosed) {
			return
		}
		if err != nil || !nearby(from.AddrPort().Addr().Unmap()) && !sameNet(from.IP) {
			continue
		}
		var q dns.Msg
		if q.Unpack(buf[:n]) != nil {
			continue
		}
		if m, alone := z.answer(&q, from.Port); m != nil {
			to := mdnsGroup
			if alone {
				to = from
			}
			send(c, m, to)
		}
	}
}

// sameNet reports whether an address is in a network that this computer is in.
func sameNet(ip net.IP) bool {
	all, _ := net.InterfaceAddrs()
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.Contains(ip) {
			return true
		}
	}
	return false
}

// tell sends the addresses without being asked.
func (z zone) tell(c *net.UDPConn, ttl uint32) {
	m := &dns.Msg{MsgHdr: dns.MsgHdr{Response: true, Authoritative: true}, Answer: z.records(ttl, dns.ClassINET|flush)}
	if len(m.Answer) > 0 {
		send(c, m, mdnsGroup)
	}
}

// send tries: a message that is lost is asked for again.
func send(c *net.UDPConn, m *dns.Msg, to *net.UDPAddr) {
	if b, err := m.Pack(); err == nil {
		c.WriteToUDP(b, to)
	}
}

// answer returns what there is to say to a query from a port, nil for nothing, and
// whether to its asker alone.
func (z zone) answer(q *dns.Msg, port int) (m *dns.Msg, alone bool) {
	if q.Response || q.Opcode != dns.OpcodeQuery {
		return nil, false
	}
	for _, one := range q.Question {
		if !strings.EqualFold(one.Name, z.name) || one.Qtype != dns.TypeA && one.Qtype != dns.TypeANY || one.Qclass&^flush != dns.ClassINET {
			continue
		}
		m = &dns.Msg{MsgHdr: dns.MsgHdr{Response: true, Authoritative: true}}
		if port != mdnsGroup.Port { // an asker of plain DNS (6.7)
			m.Id, m.Question, m.Answer = q.Id, []dns.Question{one}, z.records(keepLegacy, dns.ClassINET)
			alone = true
		} else {
			m.Answer, alone = z.records(keepTime, dns.ClassINET|flush), one.Qclass&flush != 0
		}
		if len(m.Answer) == 0 {
			return nil, false
		}
		return m, alone
	}
	return nil, false
}

func (z zone) records(ttl uint32, class uint16) (list []dns.RR) {
	for _, ip := range z.own() {
		list = append(list, &dns.A{Hdr: dns.RR_Header{Name: z.name, Rrtype: dns.TypeA, Class: class, Ttl: ttl}, A: ip.AsSlice()})
	}
	return list
}
