package pair

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ampwright/server/socket"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// Nothing listens and nothing is announced until a person asks, nor once the last
// phone is gone; with a phone, from the start.
func TestListens(t *testing.T) {
	k := newGarage(t)
	require.NoError(t, k.Resume())
	require.Nil(t, k.lan)
	require.Nil(t, k.authority)
	require.Contains(t, k.at(), "Nothing outside this laptop can reach the garage now")

	k.at("do", "add", "by", "name")
	require.Equal(t, []string{k.authority.Name}, k.said)
	closed := func(address string) {
		t.Helper()
		c, err := net.Dial("tcp", address)
		if err == nil {
			c.Close()
		}
		require.ErrorContains(t, err, "refused")
	}
	lan, setup := k.lanPort(), "127.0.0.1:"+k.setupAt
	require.Equal(t, http.StatusOK, k.handset().get("/pair"))
	k.at("do", "stop")
	closed(lan)
	closed(setup)
	require.Empty(t, k.said)

	h := k.handset()
	h.pair()
	require.Equal(t, lan, k.lanPort())
	closed("127.0.0.1:" + k.setupAt) // its work is done
	require.Equal(t, http.StatusOK, h.get("/"))
	require.NoError(t, k.Close())
	closed(lan)
	require.ErrorContains(t, k.Add(false), "the server ends")

	again := openGarage(t, k.dir, k.book)
	require.NoError(t, again.Resume())
	require.Equal(t, []string{k.authority.Name}, again.said)
	require.Nil(t, again.setup)
	h.k = again
	require.Equal(t, lan, again.lanPort())
	require.Equal(t, http.StatusOK, h.get("/"))
	again.at("do", "drop", "id", again.Phones().List()[0].ID)
	closed(lan)
	require.Empty(t, again.said)
}

// ASVS 5.0, 4.1.2 and 4.4.1: TLS, and no way round it.
func TestTLSOnly(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	h := k.handset()
	for version, want := range map[uint16]bool{tls.VersionTLS10: false, tls.VersionTLS12: false, tls.VersionTLS13: true} {
		c, err := tls.Dial("tcp", k.lanPort(), &tls.Config{RootCAs: h.tls.RootCAs, ServerName: k.authority.Name, MinVersion: tls.VersionTLS10, MaxVersion: version})
		require.Equal(t, want, err == nil, "%x: %v", version, err)
		if err == nil {
			require.Equal(t, uint16(tls.VersionTLS13), c.ConnectionState().Version)
			c.Close()
		}
	}
	_, err := tls.Dial("tcp", k.lanPort(), &tls.Config{RootCAs: h.tls.RootCAs, ServerName: "example.com"})
	require.ErrorContains(t, err, "certificate is valid for "+k.authority.Name)

	direct := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	for _, path := range []string{"/", "/pair", "/link"} {
		resp, err := direct.Get("http://" + k.lanPort() + path)
		require.NoError(t, err)
		resp.Body.Close()
		require.Equal(t, http.StatusBadRequest, resp.StatusCode)
		require.Empty(t, resp.Header.Get("Location"))
	}
	// A recorded departure: HSTS would lock a phone out of what it has not sent when
	// a certificate lapses.
	resp, err := h.http.Get(k.origin() + "/pair")
	require.NoError(t, err)
	resp.Body.Close()
	require.Empty(t, resp.Header.Get("Strict-Transport-Security"))
	require.Contains(t, resp.Header.Get("Content-Security-Policy"), "default-src 'none'; script-src 'self'")
}

// The one page on plain http hands out the authority, by the laptop's fingerprint.
func TestSetup(t *testing.T) {
	k := newGarage(t)
	page := k.at("do", "add", "by", "name")
	require.Contains(t, page, k.authority.Fingerprint())
	require.Contains(t, page, "http://192.168.1.20:"+k.setupAt+"/")
	get := func(host, path string) (int, string, http.Header) {
		req, err := http.NewRequest("GET", "http://127.0.0.1:"+k.setupAt+path, nil)
		require.NoError(t, err)
		req.Host = host
		resp, err := http.DefaultTransport.RoundTrip(req)
		require.NoError(t, err)
		defer resp.Body.Close()
		b, err := io.ReadAll(resp.Body)
		require.NoError(t, err)
		return resp.StatusCode, string(b), resp.Header
	}
	host := "192.168.1.20:" + k.setupAt
	status, text, head := get(host, "/")
	require.Equal(t, http.StatusOK, status)
	require.Empty(t, head.Get("Location"))
	for _, word := range []string{k.authority.Fingerprint(), "Android", "iOS", "Certificate trust settings", "while the laptop is on and near", k.origin() + "/pair"} {
		require.Contains(t, text, word)
	}
	v := k.window.View(time.Now())
	require.NotContains(t, text, v.Picture)
	require.NotContains(t, text, v.Typed)
	status, text, head = get(host, "/authority.crt")
	require.Equal(t, http.StatusOK, status)
	require.Equal(t, "application/x-x509-ca-cert", head.Get("Content-Type")) // the type browsers take it by: from memory
	c, err := x509.ParseCertificate([]byte(text))
	require.NoError(t, err)
	require.Equal(t, k.authority.Root(), c.Raw)
	for _, path := range []string{"/pair", "/b/", "/link", "/phone/", "/authority.json"} {
		status, _, _ = get(host, path)
		require.Equal(t, http.StatusNotFound, status, path)
	}
	for _, foreign := range []string{"evil.example:" + k.setupAt, "127.0.0.1:" + k.setupAt, "192.168.1.20", k.host()} {
		status, text, _ = get(foreign, "/authority.crt")
		require.Equal(t, http.StatusMisdirectedRequest, status, foreign)
		require.NotContains(t, text, string(k.authority.Root()))
	}
}

// By address: the certificate names it, and the page's origin is at it.
func TestByAddress(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	byName := k.authority
	page := k.at("do", "add", "by", "address")
	require.Equal(t, []any{byName.Name, byName.Port}, []any{k.authority.Name, k.authority.Port})
	require.NotEqual(t, byName.Fingerprint(), k.authority.Fingerprint())
	require.Contains(t, page, "https://192.168.1.20:")
	h := k.handset()
	for _, host := range []string{k.authority.Name, "192.168.1.20"} {
		resp, err := h.http.Get("https://" + net.JoinHostPort(host, k.lanPort()[len("127.0.0.1:"):]) + "/pair")
		require.NoError(t, err)
		resp.Body.Close()
		require.Equal(t, http.StatusOK, resp.StatusCode)
	}
	k.cfg.Addresses = func() []netip.Addr { return nil }
	require.NoError(t, k.choose(true)) // it has one already
	require.NoError(t, k.choose(false))
	require.ErrorContains(t, k.choose(true), "no private IPv4 address")
}

// From nothing to entries that both sides hold.
func TestPairAndSync(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	h := k.handset()
	for _, path := range []string{"/", "/link", "/settings"} {
		require.Equal(t, http.StatusUnauthorized, h.get(path), path)
	}
	require.Equal(t, http.StatusOK, h.get("/pair/pair.js"))

	phone := newReplica(t)
	var err error
	phone.secret, err = socket.ParseInvitation(h.pair())
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, h.get("/"))
	require.Equal(t, "pocket phone", k.Phones().List()[0].Name)
	l, over := h.link(phone)
	require.Equal(t, k.book.name, l.Peer().Replica)
	require.Eventually(t, func() bool { return k.Phones().List()[0].Replica == phone.name }, 10*time.Second, time.Millisecond)

	// Struck off the garage's list, it loses its token, and all at once.
	n, err := k.StruckOff(func(r uuid.UUID) bool { return r == uuid.New() })
	require.NoError(t, err)
	require.Zero(t, n)
	began := time.Now()
	n, err = k.StruckOff(func(r uuid.UUID) bool { return r == phone.name })
	require.NoError(t, err)
	require.Equal(t, 1, n)
	select {
	case <-over:
		t.Logf("the link was over after %v", time.Since(began))
	case <-time.After(10 * time.Second):
		t.Fatal("the link goes on")
	}
	require.Nil(t, k.lan) // it was the last
}

// What a phone has open ends when it is taken off, whatever another one does.
func TestDrop(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	lost, kept := k.handset(), k.handset()
	lost.pair()
	kept.pair()
	first, err := lost.socket()
	require.NoError(t, err)
	second, err := kept.socket()
	require.NoError(t, err)
	require.NotEqual(t, lost.token(), kept.token())
	id := k.Phones().List()[1].ID
	began := time.Now()
	k.at("do", "drop", "id", id)
	require.NoError(t, first.SetReadDeadline(time.Now().Add(10*time.Second)))
	for err == nil {
		_, _, err = first.ReadMessage()
	}
	require.NotContains(t, err.Error(), "timeout")
	t.Logf("the socket was over after %v", time.Since(began))
	require.Equal(t, http.StatusUnauthorized, lost.get("/"))
	_, err = lost.socket()
	require.ErrorContains(t, err, "bad handshake")

	require.Equal(t, http.StatusOK, kept.get("/"))
	require.NoError(t, second.SetReadDeadline(time.Now().Add(100*time.Millisecond)))
	for err = nil; err == nil; {
		_, _, err = second.ReadMessage()
	}
	require.ErrorContains(t, err, "timeout") // it stands
}

// RFC 6265bis, 4.1.3.2; ASVS 5.0, 3.3: what keeps a token where it belongs.
func TestCookie(t *testing.T) {
	k := newGarage(t)
	typed := find(t, k.at("do", "add", "by", "name"), `type <b class="num">([A-Z2-7]{10})</b>`)
	h := k.handset()
	_, id, _ := h.knock(typed)
	require.NoError(t, k.window.Answer(id, true, time.Now()))
	req, err := http.NewRequest("POST", k.origin()+"/pair/wait", strings.NewReader(`{"id":"`+id+`"}`))
	require.NoError(t, err)
	req.Header.Set("Origin", k.origin())
	resp, err := h.http.Do(req)
	require.NoError(t, err)
	resp.Body.Close()
	c := resp.Cookies()[0]
	require.Equal(t, []any{"__Host-phone", "/", "", true, true, http.SameSiteStrictMode}, []any{c.Name, c.Path, c.Domain, c.Secure, c.HttpOnly, c.SameSite})
	require.Equal(t, "no-store", resp.Header.Get("Cache-Control"))

	// In no file stands the token, nor the code.
	files, err := filepath.Glob(filepath.Join(k.dir, "*"))
	require.NoError(t, err)
	require.Len(t, files, 2)
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, secret := range []string{c.Value, typed, id} {
			require.NotContains(t, string(data), secret)
		}
	}
	// The same request again gets nothing.
	status, out := h.post("/pair/wait", map[string]string{"id": id})
	require.Equal(t, http.StatusForbidden, status)
	require.Contains(t, out["error"], "nobody is adding a phone now")
}

// Wrong codes from the network shut the window for everybody; two phones as well.
func TestGuesses(t *testing.T) {
	k := newGarage(t)
	typed := find(t, k.at("do", "add", "by", "name"), `type <b class="num">([A-Z2-7]{10})</b>`)
	h := k.handset()
	for range WindowTries {
		status, _, _ := h.knock("AAAAAAAAAA")
		require.Equal(t, http.StatusForbidden, status)
	}
	status, _, _ := h.knock(typed)
	require.Equal(t, http.StatusForbidden, status)
	require.Contains(t, k.at(), "5 attempts were made with a wrong code")

	typed = find(t, k.at("do", "add", "by", "name"), `type <b class="num">([A-Z2-7]{10})</b>`)
	status, first, _ := h.knock(typed)
	require.Equal(t, http.StatusOK, status)
	status, _, _ = k.handset().knock(typed)
	require.Equal(t, http.StatusForbidden, status)
	status, out := h.post("/pair/wait", map[string]string{"id": first})
	require.Equal(t, http.StatusForbidden, status)
	require.Contains(t, out["error"], "two phones used the same code")
	require.Empty(t, k.Phones().List())

	for body, want := range map[string]string{
		`{`: "want a JSON object of texts", `{"nonce":"xyz"}`: "a nonce of 3 characters, want 32 hexadecimal digits",
		`{"nonce":"` + hex.EncodeToString(count(0)) + `"}`: "a proof of 0 characters, want 64 hexadecimal digits",
		`{"name":"` + strings.Repeat("x", maxSaid) + `"}`:  "want a JSON object of texts",
	} {
		req, err := http.NewRequest("POST", k.origin()+"/pair/knock", strings.NewReader(body))
		require.NoError(t, err)
		req.Header.Set("Origin", k.origin())
		resp, err := h.http.Do(req)
		require.NoError(t, err)
		text, err := io.ReadAll(resp.Body)
		require.NoError(t, err)
		resp.Body.Close()
		require.Equal(t, http.StatusBadRequest, resp.StatusCode)
		require.Contains(t, string(text), want)
	}
}

// The laptop's page is the laptop's: its forms are refused from other sites, and
// what it does not know it says.
func TestLaptopPage(t *testing.T) {
	k := newGarage(t)
	for _, tt := range []struct {
		host, origin, form string
		want               int
	}{
		{"evil.example:7341", "", "do=add", http.StatusMisdirectedRequest},
		{laptopHost, "http://evil.example", "do=add", http.StatusForbidden},
		{laptopHost, "http://" + laptopHost, "do=all", http.StatusUnprocessableEntity},
		{laptopHost, "http://" + laptopHost, "do=same&id=x", http.StatusUnprocessableEntity},
	} {
		r, err := http.NewRequest("POST", "http://"+tt.host+"/pair", strings.NewReader(tt.form))
		require.NoError(t, err)
		r.Header = http.Header{"Content-Type": {"application/x-www-form-urlencoded"}}
		if tt.origin != "" {
			r.Header.Set("Origin", tt.origin)
		}
		w := httptest.NewRecorder()
		k.laptop.ServeHTTP(w, r)
		require.Equal(t, tt.want, w.Code, tt)
		require.Nil(t, k.lan)
	}
	k.at("do", "add", "by", "name")
	page := k.at()
	require.Contains(t, page, "<svg")
	require.NotContains(t, page, "<script")
	_, err := url.Parse(find(t, page, `Or open <b>(\S+)</b>`))
	require.NoError(t, err)
}
