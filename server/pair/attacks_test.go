package pair

import (
	"bufio"
	"cmp"
	"crypto/tls"
	"fmt"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"

	"ampwright/sync/wire"

	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"
)

// ask sends one request as it stands, over TLS, and returns the status.
func (h *handset) ask(lines ...string) int {
	h.t.Helper()
	c, err := tls.Dial("tcp", h.k.lanPort(), &tls.Config{RootCAs: h.tls.RootCAs, ServerName: h.k.authority.Name})
	require.NoError(h.t, err)
	defer c.Close()
	require.NoError(h.t, c.SetDeadline(time.Now().Add(20*time.Second)))
	_, err = fmt.Fprintf(c, "%s\r\n\r\n", strings.Join(lines, "\r\n"))
	require.NoError(h.t, err)
	resp, err := http.ReadResponse(bufio.NewReader(c), nil)
	require.NoError(h.t, err)
	return resp.StatusCode
}

// upgrade is what a browser sends to open a websocket (RFC 6455, 1.3).
var upgrade = []string{
	"Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13", "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
	"Sec-WebSocket-Protocol: ampwright-link.1",
}

// The list of hosts comes first on every route, the exact origin on all that is
// sent and every upgrade, with the phone's own cookie on each request. ASVS 5.0,
// 3.5.1 to 3.5.3 and 4.4.2. Three of the rows were measured against the usual
// libraries' defaults and got through there: rebinding, where Host and Origin are
// both the attacker's (an upgrade got 101, a POST 200); an upgrade without Origin
// (101); a page of another port of the same host, with the cookie.
func TestAttacks(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	h := k.handset()
	h.pair()
	own, host := k.origin(), k.host()
	otherPort := strings.Replace(own, fmt.Sprint(k.authority.Port), "8443", 1)
	cookie := "Cookie: __Host-phone=" + h.token()

	routes := []string{"GET /", "POST /", "GET /link", "GET /pair", "POST /pair/knock", "POST /pair/wait", "GET /pair/pair.js", "GET /phone/", "GET /phone/sw.js", "GET /static/look.css", "GET /api/lines", "POST /api/wish", "GET /nothing"}
	for _, route := range routes {
		for _, foreign := range []string{"evil.example", "evil.example:7342", "localhost", "127.0.0.1", k.lanPort(), k.authority.Name, k.authority.Name + ":1", "x." + host, host + ".evil.example", "192.168.1.20:7342", strings.ToUpper(host)} {
			require.Equal(t, http.StatusMisdirectedRequest, h.ask(route+" HTTP/1.1", "Host: "+foreign, "Origin: https://"+foreign, cookie, "Content-Length: 0"), "%s %s", route, foreign)
			require.Equal(t, http.StatusMisdirectedRequest, h.ask(append([]string{route + " HTTP/1.1", "Host: " + foreign, "Origin: https://" + foreign, cookie}, upgrade...)...), "%s %s", route, foreign)
		}
		if strings.HasPrefix(route, "POST") {
			for _, origin := range []string{"", "Origin: https://evil.example", "Origin: null", "Origin: " + otherPort, "Origin: http://" + host, "Origin: " + own + "\r\nOrigin: https://evil.example", "Origin: "} {
				require.Equal(t, http.StatusForbidden, h.ask(route+" HTTP/1.1", "Host: "+host, cookie, "Content-Length: 0\r\n"+origin), "%s %s", route, origin)
			}
		}
		for _, site := range []string{"cross-site", "same-site"} {
			if strings.HasPrefix(route, "POST") {
				require.Equal(t, http.StatusForbidden, h.ask(route+" HTTP/1.1", "Host: "+host, cookie, "Content-Length: 0", "Sec-Fetch-Site: "+site, "Origin: "+otherPort), "%s %s", route, site)
			}
		}
		for _, origin := range []string{"", "Origin: https://evil.example", "Origin: null", "Origin: " + otherPort, "Origin: http://" + host, "Origin: " + strings.ToUpper(own), "Sec-Fetch-Site: same-origin"} {
			require.Equal(t, http.StatusForbidden, h.ask(append([]string{route + " HTTP/1.1", "Host: " + host, cookie, cmp.Or(origin, "X-Nothing: 1")}, upgrade...)...), "%s %s", route, origin)
		}
	}

	// What a browser sends of itself goes through.
	require.Equal(t, http.StatusSwitchingProtocols, h.ask(append([]string{"GET /link HTTP/1.1", "Host: " + host, "Origin: " + own, cookie}, upgrade...)...))
	require.Equal(t, http.StatusOK, h.ask("GET / HTTP/1.1", "Host: "+host, cookie))
	require.Equal(t, http.StatusUnsupportedMediaType, h.ask("POST / HTTP/1.1", "Host: "+host, cookie, "Origin: null", "Sec-Fetch-Site: same-origin", "Content-Length: 0")) // a form's way, to the pages

	// Without the token, or with another, there is no logbook.
	for _, c := range []string{"X-Nothing: 1", "Cookie: __Host-phone=", "Cookie: __Host-phone=" + strings.Repeat("A", 43), "Cookie: phone=" + h.token(), "Authorization: Bearer " + h.token()} {
		require.Equal(t, http.StatusUnauthorized, h.ask("GET / HTTP/1.1", "Host: "+host, c), c)
		require.Equal(t, http.StatusUnauthorized, h.ask(append([]string{"GET /link HTTP/1.1", "Host: " + host, "Origin: " + own, c}, upgrade...)...), c)
	}
	// The command line's way in is not on the network at all.
	require.Equal(t, http.StatusNotFound, h.ask("GET /api/lines HTTP/1.1", "Host: "+host, cookie))
	require.Equal(t, http.StatusNotFound, h.ask("POST /api/invitation HTTP/1.1", "Host: "+host, cookie, "Origin: "+own, "Content-Length: 0"))
}

// More than eight sockets of one phone, more than 32 connections of one caller:
// the rest waits outside.
func TestFlood(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	h := k.handset()
	h.pair()
	h.http.CloseIdleConnections()
	for range maxSockets {
		_, err := h.socket()
		require.NoError(t, err)
	}
	_, err := h.socket()
	require.ErrorIs(t, err, websocket.ErrBadHandshake)

	stands := make(chan bool)
	for range 2 * maxCaller {
		c, err := net.Dial("tcp", k.lanPort())
		require.NoError(t, err)
		defer c.Close()
		require.NoError(t, c.SetReadDeadline(time.Now().Add(time.Second)))
		go func() {
			_, err := c.Read(make([]byte, 1))
			stands <- strings.Contains(err.Error(), "timeout") // nothing is said, but it is open
		}()
	}
	in := 0
	for range 2 * maxCaller {
		if <-stands {
			in++
		}
	}
	require.LessOrEqual(t, in, maxCaller-maxSockets)
	require.GreaterOrEqual(t, in, maxCaller-maxSockets-2) // connections of before may not be gone yet
}

// Whoever says nothing, or slowly, is sent away: no connection lasts for it.
func TestSlow(t *testing.T) {
	t.Parallel()
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	h := k.handset()
	secure := func() net.Conn {
		c, err := tls.Dial("tcp", k.lanPort(), &tls.Config{RootCAs: h.tls.RootCAs, ServerName: k.authority.Name})
		require.NoError(t, err)
		return c
	}
	plain := func(address string) net.Conn {
		c, err := net.Dial("tcp", address)
		require.NoError(t, err)
		return c
	}
	over := make(chan error)
	cases := []struct {
		c    net.Conn
		said string
	}{
		{plain(k.lanPort()), ""}, {plain("127.0.0.1:" + k.setupAt), "GET / HTTP/1.1\r\n"}, {secure(), ""}, {secure(), "GET / HTTP/1.1\r\nHost: " + k.host() + "\r\nX-Slow: "},
	}
	for _, tt := range cases {
		go func() {
			defer tt.c.Close()
			tt.c.Write([]byte(tt.said))
			tt.c.SetReadDeadline(time.Now().Add(20 * time.Second))
			for {
				if _, err := tt.c.Read(make([]byte, 1000)); err != nil {
					over <- err
					return
				}
			}
		}()
	}
	for range cases {
		require.NotContains(t, (<-over).Error(), "timeout")
	}
}

func TestGiants(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	h := k.handset()
	h.pair()
	host, cookie := "Host: "+k.host(), "Cookie: __Host-phone="+h.token()
	require.Equal(t, http.StatusRequestHeaderFieldsTooLarge, h.ask("GET / HTTP/1.1", host, "X-Large: "+strings.Repeat("x", 64<<10)))
	form := "text=" + strings.Repeat("x", 1<<20)
	require.Equal(t, http.StatusRequestEntityTooLarge, h.ask("POST / HTTP/1.1", host, cookie, "Origin: "+k.origin(), "Content-Type: application/x-www-form-urlencoded",
		fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(form), form)))

	ws, err := h.socket()
	require.NoError(t, err)
	require.NoError(t, ws.WriteMessage(websocket.BinaryMessage, make([]byte, wire.MaxFrame+1)))
	require.NoError(t, ws.SetReadDeadline(time.Now().Add(10*time.Second)))
	for err == nil {
		_, _, err = ws.ReadMessage()
	}
	require.True(t, websocket.IsCloseError(err, websocket.CloseMessageTooBig) || !strings.Contains(err.Error(), "timeout"), err) // RFC 6455, 7.4.1
}

func TestNearby(t *testing.T) {
	for _, tt := range []struct {
		address string
		want    bool
	}{
		{"192.168.1.5", true}, {"10.1.2.3", true}, {"172.16.0.1", true}, {"169.254.3.4", true}, {"127.0.0.1", true}, {"fd00::5", true}, {"fe80::1", true},
		{"93.184.215.14", false}, {"172.32.0.1", false}, {"100.64.0.1", false}, {"2606:2800:21f::1", false}, {"0.0.0.0", false}, {"224.0.0.1", false},
	} {
		require.Equal(t, tt.want, nearby(addresses([]string{tt.address})[0]), tt.address)
	}
}
