package socket_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"ampwright/server/socket"
	"ampwright/sync/keep"
	"ampwright/sync/link"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"
)

// Who may open a socket at all. ASVS 5.0, 4.4.2: the Origin of a handshake is
// held against a list; a native program sends none.
func TestUpgrade(t *testing.T) {
	r := newReplica(t, keep.NewMemory())
	s := socket.NewServer(socket.Config{Link: func() link.Config { return r.config(false) }, Origins: []string{"http://127.0.0.1:7341"}})
	h := httptest.NewServer(s)
	t.Cleanup(func() { require.NoError(t, s.Close()); h.Close() })
	for _, tt := range []struct {
		name     string
		origins  []string
		protocol string
		want     int
	}{
		{"a native program", nil, socket.Protocol, http.StatusSwitchingProtocols},
		{"the server's own page", []string{"http://127.0.0.1:7341"}, socket.Protocol, http.StatusSwitchingProtocols},
		{"one of several protocols", nil, "chat, " + socket.Protocol, http.StatusSwitchingProtocols},
		{"a foreign page", []string{"http://example.net"}, socket.Protocol, http.StatusForbidden},
		{"the same host by another port", []string{"http://127.0.0.1:80"}, socket.Protocol, http.StatusForbidden},
		{"the same place over TLS", []string{"https://127.0.0.1:7341"}, socket.Protocol, http.StatusForbidden},
		{"a page without an origin", []string{"null"}, socket.Protocol, http.StatusForbidden},
		{"an empty origin", []string{""}, socket.Protocol, http.StatusForbidden},
		{"two origins", []string{"http://127.0.0.1:7341", "http://example.net"}, socket.Protocol, http.StatusForbidden},
		{"another protocol", nil, "chat", http.StatusBadRequest},
		{"no protocol", nil, "", http.StatusBadRequest},
	} {
		t.Run(tt.name, func(t *testing.T) {
			req, err := http.NewRequest("GET", h.URL+socket.Path, nil)
			require.NoError(t, err)
			req.Header = http.Header{
				"Connection": {"Upgrade"}, "Upgrade": {"websocket"}, "Sec-Websocket-Version": {"13"}, "Sec-Websocket-Key": {"dGhlIHNhbXBsZSBub25jZQ=="}, // RFC 6455, 1.2
			}
			if tt.protocol != "" {
				req.Header.Set("Sec-Websocket-Protocol", tt.protocol)
			}
			if tt.origins != nil {
				req.Header["Origin"] = tt.origins
			}
			resp, err := http.DefaultTransport.RoundTrip(req)
			require.NoError(t, err)
			defer resp.Body.Close()
			require.Equal(t, tt.want, resp.StatusCode)
			if tt.want == http.StatusSwitchingProtocols {
				require.Equal(t, "s3pPLMBiTxaQ9kYGzzhZRbK+xOo=", resp.Header.Get("Sec-Websocket-Accept")) // RFC 6455, 1.3
				require.Equal(t, socket.Protocol, resp.Header.Get("Sec-Websocket-Protocol"))
			}
		})
	}
}

// raw connects without a session.
func raw(t *testing.T, d *desk) *websocket.Conn {
	ws, _, err := (&websocket.Dialer{Subprotocols: []string{socket.Protocol}}).Dial(d.address.String(), nil)
	require.NoError(t, err)
	t.Cleanup(func() { ws.Close() })
	return ws
}

// What is no frame ends the link, before anybody has said who he is.
func TestNoFrames(t *testing.T) {
	d := serve(t, newReplica(t, keep.NewMemory()))
	for _, tt := range []struct {
		name string
		kind int
		data []byte
	}{
		{"text", websocket.TextMessage, []byte("hello")},
		{"too large", websocket.BinaryMessage, make([]byte, wire.MaxFrame+1)},
		{"nonsense", websocket.BinaryMessage, []byte{0xff}},
		{"nothing", websocket.BinaryMessage, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			ws := raw(t, d)
			require.NoError(t, ws.WriteMessage(tt.kind, tt.data))
			require.NoError(t, ws.SetReadDeadline(time.Now().Add(10*time.Second)))
			var end error
			for end == nil {
				_, _, end = ws.ReadMessage()
			}
			require.NotContains(t, end.Error(), "timeout")
		})
	}
}

func TestExchange(t *testing.T) {
	hub, phone := newReplica(t, onDisk(t)), newReplica(t, onDisk(t))
	hub.note(300)
	phone.note(20)
	d := serve(t, hub)
	d.invite(t, phone)
	r := exchange(t, d.address, phone)
	require.Equal(t, []int{301, 21}, []int{r.In, r.Out})
	requireSame(t, hub, phone)

	// Now it is known.
	phone.secret = nil
	phone.note(1)
	require.Equal(t, 1, exchange(t, d.address, phone).Out)
	requireSame(t, hub, phone)
}

// ends returns how a link to a desk ends that is not let in.
func ends(t *testing.T, d *desk, r *replica) session.End {
	c := connect(t, d.address, r.config(true))
	defer c.end()
	report := <-c.over
	require.NoError(t, report.Err)
	return report.End
}

func TestInvitation(t *testing.T) {
	d := serve(t, newReplica(t, keep.NewMemory()))
	first, second, third := newReplica(t, keep.NewMemory()), newReplica(t, keep.NewMemory()), newReplica(t, keep.NewMemory())
	require.Equal(t, wire.CodeUnknown, ends(t, d, first).Code)

	// It is for one device, which may come back.
	d.invite(t, first)
	second.secret = first.secret
	exchange(t, d.address, first)
	exchange(t, d.address, first)
	end := ends(t, d, second)
	require.Equal(t, wire.CodeRefused, end.Code)
	require.Equal(t, "another device has taken up the invitation", end.Text)

	// A new one takes the place of the old.
	d.invite(t, third)
	require.Equal(t, wire.CodeUnknown, ends(t, d, second).Code)
	second.secret = third.secret
	exchange(t, d.address, second)

	// Five wrong attempts close it. Who shows none does no harm.
	d.invite(t, third)
	good := third.secret
	for range 8 {
		third.secret = nil
		require.Equal(t, wire.CodeUnknown, ends(t, d, third).Code)
	}
	for range socket.InvitationTries {
		require.NotNil(t, d.invitations.Secret(time.Now()))
		third.secret = []byte("sixteen bytes ..")
		require.Equal(t, wire.CodeUnknown, ends(t, d, third).Code)
	}
	require.Eventually(t, func() bool { return d.invitations.Secret(time.Now()) == nil }, 5*time.Second, time.Millisecond)
	third.secret = good
	require.Equal(t, wire.CodeUnknown, ends(t, d, third).Code)
}

func TestInvitationEnds(t *testing.T) {
	var v socket.Invitations
	now := time.Date(2026, 9, 5, 18, 0, 0, 0, time.UTC)
	require.Nil(t, v.Secret(now))
	text, until := v.Open(now)
	require.Equal(t, now.Add(5*time.Minute), until)
	secret := v.Secret(until.Add(-time.Nanosecond))
	require.Len(t, secret, 16)
	require.NoError(t, v.Take(session.Peer{Key: make([]byte, 32)}, secret, until.Add(-time.Nanosecond)))
	require.EqualError(t, v.Take(session.Peer{Key: make([]byte, 32)}, secret, until), "the invitation is no longer good")
	require.Nil(t, v.Secret(until))
	require.Len(t, text, 26)
	again, _ := v.Open(now)
	require.NotEqual(t, text, again)
}

// An attempt that is counted late is counted where it was made: links end some
// time after they failed, when another invitation may be open.
func TestInvitationFailsLate(t *testing.T) {
	var v socket.Invitations
	now := time.Date(2026, 9, 5, 18, 0, 0, 0, time.UTC)
	v.Open(now)
	before := v.Secret(now)
	v.Open(now)
	secret := v.Secret(now)
	for range socket.InvitationTries {
		v.Failed(before)
		v.Failed(nil)
	}
	for range socket.InvitationTries {
		require.Equal(t, secret, v.Secret(now))
		v.Failed(secret)
	}
	require.Nil(t, v.Secret(now))
	v.Failed(nil) // with none open
}

func TestParseInvitation(t *testing.T) {
	// Made with another program: base32 of coreutils 9, padding cut off.
	want := []byte("0123456789abcdef")
	for _, text := range []string{"GAYTEMZUGU3DOOBZMFRGGZDFMY", " gayt-emzu-gu3d-oobz-mfrg-gzdf-my \n", "GAYTEMZUGU 3DOOBZ MFRGGZDFMY"} {
		got, err := socket.ParseInvitation(text)
		require.NoError(t, err)
		require.Equal(t, want, got)
	}
	for text, why := range map[string]string{
		"":                           "invitation of 0 characters, want 26",
		"GAYTEMZUGU3DOOBZMFRGGZDFM":  "invitation of 25 characters, want 26",
		"GAYTEMZUGU3DOOBZMFRGGZDFM1": "invitation with other characters than letters and the digits 2 to 7",
	} {
		_, err := socket.ParseInvitation(text)
		require.EqualError(t, err, why)
		if text != "" {
			require.NotContains(t, err.Error(), text)
		}
	}
}

// One device has at most eight links, and all have 64.
func TestMany(t *testing.T) {
	d := serve(t, newReplica(t, keep.NewMemory()))
	phone := newReplica(t, keep.NewMemory())
	d.invite(t, phone)
	exchange(t, d.address, phone)
	var links []*running
	for range 8 {
		links = append(links, stands(t, d.address, func() link.Config { return phone.config(true) }))
	}
	end := ends(t, d, phone)
	require.Equal(t, wire.CodeRefused, end.Code)
	require.Equal(t, "8 links of this device stand already, at most 8 are possible", end.Text)
	links[0].end()
	require.NoError(t, (<-links[0].over).Err)
	links[0] = stands(t, d.address, func() link.Config { return phone.config(true) }) // there is room again

	for range 64 - 8 {
		raw(t, d)
	}
	_, err := socket.Dial(context.Background(), d.address)
	require.ErrorContains(t, err, `it answers 503 Service Unavailable: "there are too many links, or the server ends"`)

	// A server that ends says so.
	require.NoError(t, d.server.Close())
	for _, c := range links {
		report := <-c.over
		require.Equal(t, session.End{Code: wire.CodeStopped, Text: "the other side ends its work", Theirs: true}, report.End)
	}
	_, err = socket.Dial(context.Background(), d.address)
	require.ErrorContains(t, err, "503")
}

func TestParseAddress(t *testing.T) {
	for text, want := range map[string]string{
		"127.0.0.1:7341":           "ws://127.0.0.1:7341/link",
		"[::1]:7341":               "ws://[::1]:7341/link",
		"ws://127.0.0.1:7341":      "ws://127.0.0.1:7341/link",
		"ws://127.0.0.1:7341/link": "ws://127.0.0.1:7341/link",
		"wss://garage.local:7342":  "wss://garage.local:7342/link",
		"wss://192.168.1.20:7342/": "wss://192.168.1.20:7342/link",
	} {
		u, err := socket.ParseAddress(text)
		require.NoError(t, err, text)
		require.Equal(t, want, u.String())
	}
	for text, why := range map[string]string{
		"192.168.1.20:7341":           "without TLS a link stays on this computer",
		"ws://192.168.1.20:7341":      "without TLS a link stays on this computer",
		"localhost:7341":              "without TLS a link stays on this computer", // a name may come to mean another
		"garage.local:7341":           "without TLS a link stays on this computer",
		"[::]:7341":                   "without TLS a link stays on this computer",
		"http://127.0.0.1:7341":       "links go over ws or wss, not over http",
		"127.0.0.1":                   "host or port is missing",
		"wss://garage.local":          "host or port is missing",
		":7341":                       "host or port is missing",
		"":                            "host or port is missing",
		"127.0.0.1:7341/api":          "there is more in it than a host and a port",
		"ws://x:y@127.0.0.1:7341":     "there is more in it than a host and a port",
		"ws://127.0.0.1:7341?a=b":     "there is more in it than a host and a port",
		"127.0.0.1:seven":             "it does not read",
		"ws://127.0.0.1:7341/link#up": "there is more in it than a host and a port",
	} {
		_, err := socket.ParseAddress(text)
		require.ErrorContains(t, err, why, text)
		require.True(t, strings.HasPrefix(err.Error(), `address "`+text+`": `), err)
		require.Contains(t, err.Error(), "want 127.0.0.1:7341")
	}
}

func TestDialNobody(t *testing.T) {
	h := httptest.NewServer(http.NotFoundHandler())
	u := addressOf(t, h)
	_, err := socket.Dial(context.Background(), u)
	require.ErrorContains(t, err, `it answers 404 Not Found: "404 page not found"`)
	h.Close()
	_, err = socket.Dial(context.Background(), u)
	require.ErrorContains(t, err, "connection refused")
}
