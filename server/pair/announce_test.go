package pair

import (
	"net/netip"
	"testing"

	"github.com/miekg/dns"
	"github.com/stretchr/testify/require"
)

// Only the one name is answered for, and only with addresses: to all (RFC 6762, 6),
// to the asker alone where it wants that (5.4), and as plain DNS to who asks from
// another port (6.7: the query's ID and question, at most 10 s, no flush bit).
// Names are compared without regard to case (16).
func TestZone(t *testing.T) {
	own := addresses([]string{"192.168.1.20", "10.0.0.7"})
	z := zone{"garage-k3x7q2.local.", func() []netip.Addr { return own }}
	query := func(name string, kind, class uint16) *dns.Msg {
		return &dns.Msg{MsgHdr: dns.MsgHdr{Id: 77}, Question: []dns.Question{{Name: "printer.local.", Qtype: dns.TypeA, Qclass: 1}, {Name: name, Qtype: kind, Qclass: class}}}
	}
	for _, tt := range []struct {
		name        string
		kind, class uint16
		port        int
		alone       bool
		id          uint16
		ttl         uint32
		answered    uint16
	}{
		{"garage-k3x7q2.local.", dns.TypeA, 1, 5353, false, 0, 120, 0x8001},
		{"GARAGE-k3x7q2.Local.", dns.TypeA, 1, 5353, false, 0, 120, 0x8001},
		{"garage-k3x7q2.local.", dns.TypeANY, 1, 5353, false, 0, 120, 0x8001},
		{"garage-k3x7q2.local.", dns.TypeA, 0x8001, 5353, true, 0, 120, 0x8001},
		{"garage-k3x7q2.local.", dns.TypeA, 1, 40123, true, 77, 10, 1},
	} {
		m, alone := z.answer(query(tt.name, tt.kind, tt.class), tt.port)
		require.NotNil(t, m, tt)
		require.Equal(t, tt.alone, alone)
		require.Equal(t, tt.id, m.Id)
		require.Equal(t, tt.id != 0, len(m.Question) == 1)
		wire, err := m.Pack()
		require.NoError(t, err)
		require.NoError(t, m.Unpack(wire))
		var got []string
		for _, r := range m.Answer {
			require.Equal(t, []any{"garage-k3x7q2.local.", tt.ttl, tt.answered}, []any{r.Header().Name, r.Header().Ttl, r.Header().Class})
			got = append(got, r.(*dns.A).A.String())
		}
		require.Equal(t, []string{"192.168.1.20", "10.0.0.7"}, got)
	}
	for name, kind := range map[string]uint16{
		"garage-k3x7q2.local.": dns.TypeAAAA, "garage-k3x7q.local.": dns.TypeA, "_https._tcp.local.": dns.TypePTR,
		"_services._dns-sd._udp.local.": dns.TypePTR, "x.garage-k3x7q2.local.": dns.TypeA,
	} {
		m, _ := z.answer(query(name, kind, 1), 5353)
		require.Nil(t, m, name)
	}
	said := query("garage-k3x7q2.local.", dns.TypeA, 1)
	said.Response = true
	m, _ := z.answer(said, 5353)
	require.Nil(t, m)
	own = nil
	m, _ = z.answer(query("garage-k3x7q2.local.", dns.TypeA, 1), 5353)
	require.Nil(t, m)
}
