package pair

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/model/plan"
	"ampwright/server/socket"
	"ampwright/server/web"
	"ampwright/sync/book"
	"ampwright/sync/keep"
	"ampwright/sync/link"
	"ampwright/sync/session"

	"github.com/google/uuid"
	"github.com/gorilla/websocket"
	"github.com/stretchr/testify/require"
)

// A garageKit is a garage whose local network is loopback.
type garageKit struct {
	*Desk
	t       *testing.T
	dir     string
	book    *replica
	laptop  http.Handler // the laptop's own pages
	said    []string     // names announced now
	mu      sync.Mutex
	reports []link.Report
	log     *lockedBuffer
}

// A lockedBuffer is what was logged.
type lockedBuffer struct {
	mu sync.Mutex
	bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.Write(p)
}

func (b *lockedBuffer) text() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.Buffer.String()
}

const laptopHost = "127.0.0.1:7341"

// A replica is a book with its key.
type replica struct {
	*book.Book
	name   uuid.UUID
	key    ed25519.PrivateKey
	secret []byte // of an invitation
}

func newReplica(t *testing.T) *replica {
	_, key, err := ed25519.GenerateKey(nil)
	require.NoError(t, err)
	r := &replica{name: uuid.New(), key: key}
	r.Book, err = book.Open(keep.NewMemory(), book.Config{
		Replica: r.name, Key: r.public(), Sign: r.sign, Device: "a device", Person: "Robin", Now: time.Now, NewID: uuid.New, Plans: plan.Builtin,
	})
	require.NoError(t, err)
	return r
}

func (r *replica) public() ed25519.PublicKey { return r.key.Public().(ed25519.PublicKey) }

func (r *replica) sign(m []byte) []byte { return ed25519.Sign(r.key, m) }

func (r *replica) config(dials bool) link.Config {
	c := link.Config{
		Session: session.Config{Replica: r.name, Key: r.public(), Sign: r.sign, Program: "a test", Dials: dials, Secret: r.secret},
		Book:    r.Book, Now: time.Now, After: time.After,
	}
	rand.Read(c.Session.Nonce[:])
	return c
}

func newGarage(t *testing.T) *garageKit {
	return openGarage(t, t.TempDir(), newReplica(t))
}

func openGarage(t *testing.T, dir string, r *replica) *garageKit {
	k := &garageKit{t: t, dir: dir, book: r, log: new(lockedBuffer)}
	log := web.Sparing(slog.NewTextHandler(k.log, nil), time.Now)
	invitations := new(socket.Invitations)
	site, err := pages.New(pages.Config{Book: r.Book, Plans: plan.Editions(), Once: uuid.NewString})
	require.NoError(t, err)
	k.Desk, err = Open(Config{
		Dir: dir, Host: "127.0.0.1", Person: "Robin", Log: log,
		Addresses: func() []netip.Addr { return addresses([]string{"192.168.1.20"}) },
		Announce: func(name string, own func() []netip.Addr) (func(), error) {
			k.said = append(k.said, name)
			return func() { k.said = nil }, nil
		},
		Invite: func() string {
			text, _ := invitations.Open(time.Now())
			return text
		},
		Handler: func(p Place) (http.Handler, io.Closer, error) {
			links := socket.NewServer(socket.Config{
				Link: func() link.Config { return r.config(false) }, Invitations: invitations, Origins: p.Origins, Browsers: true,
				Enter: func(req *http.Request, replica uuid.UUID) error {
					phone, _ := From(req.Context())
					return k.Phones().Bind(phone.ID, replica)
				},
				Tell: func(r link.Report) { k.mu.Lock(); defer k.mu.Unlock(); k.reports = append(k.reports, r) },
			})
			return web.New(web.Config{Site: site, Book: r.Book, Hosts: p.Hosts, Origins: p.Origins, Link: links, Gate: k.Gate, Pair: k.Phone(), Log: log}), links, nil
		},
	})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, k.Close()) })
	k.laptop = web.New(web.Config{Site: site, Book: r.Book, Hosts: []string{laptopHost}, Pair: k.Laptop("")})
	return k
}

// at asks the laptop's own page; with form pairs, it posts them.
func (k *garageKit) at(pairs ...string) string {
	k.t.Helper()
	form := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	r := httptest.NewRequest("GET", "/pair", nil)
	if len(pairs) > 0 {
		r = httptest.NewRequest("POST", "/pair", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.Host = laptopHost
	w := httptest.NewRecorder()
	k.laptop.ServeHTTP(w, r)
	if w.Code == http.StatusSeeOther {
		return k.at()
	}
	require.Equal(k.t, http.StatusOK, w.Code, w.Body.String())
	return w.Body.String()
}

func find(t *testing.T, text, pattern string) string {
	t.Helper()
	m := regexp.MustCompile(pattern).FindStringSubmatch(text)
	require.NotNil(t, m, "%s in\n%s", pattern, text)
	return m[1]
}

func (k *garageKit) host() string { return fmt.Sprintf("%s:%d", k.authority.Name, k.authority.Port) }

func (k *garageKit) origin() string { return "https://" + k.host() }

// lanPort is where the local network's listener is, on this computer.
func (k *garageKit) lanPort() string { return fmt.Sprintf("127.0.0.1:%d", k.authority.Port) }

// A handset is a browser on a phone, so far as the server can tell.
type handset struct {
	t    *testing.T
	k    *garageKit
	http *http.Client
	tls  *tls.Config
}

// handset returns one that trusts the garage's authority and finds its name.
func (k *garageKit) handset() *handset {
	roots := x509.NewCertPool()
	root, err := x509.ParseCertificate(k.authority.Root())
	require.NoError(k.t, err)
	roots.AddCert(root)
	jar, err := cookiejar.New(nil)
	require.NoError(k.t, err)
	h := &handset{t: k.t, k: k, tls: &tls.Config{RootCAs: roots}}
	h.http = &http.Client{Jar: jar, Transport: &http.Transport{TLSClientConfig: h.tls, DialContext: h.dial}}
	k.t.Cleanup(h.http.CloseIdleConnections)
	return h
}

func (h *handset) dial(ctx context.Context, network, _ string) (net.Conn, error) {
	return new(net.Dialer).DialContext(ctx, network, h.k.lanPort())
}

func (h *handset) post(path string, in any) (int, map[string]string) {
	h.t.Helper()
	body, err := json.Marshal(in)
	require.NoError(h.t, err)
	req, err := http.NewRequest("POST", h.k.origin()+path, bytes.NewReader(body))
	require.NoError(h.t, err)
	req.Header.Set("Origin", h.k.origin())
	resp, err := h.http.Do(req)
	require.NoError(h.t, err)
	defer resp.Body.Close()
	out := map[string]string{}
	require.NoError(h.t, json.NewDecoder(resp.Body).Decode(&out))
	return resp.StatusCode, out
}

func (h *handset) get(path string) int {
	h.t.Helper()
	resp, err := h.http.Get(h.k.origin() + path)
	require.NoError(h.t, err)
	resp.Body.Close()
	return resp.StatusCode
}

// knock says that it knows a secret and returns its name and its six digits.
func (h *handset) knock(secret string) (status int, id, code string) {
	h.t.Helper()
	nonce := make([]byte, nonceSize)
	rand.Read(nonce)
	status, out := h.post("/pair/knock", map[string]string{"name": "pocket phone", "nonce": hex.EncodeToString(nonce), "proof": hex.EncodeToString(Proof(secret, nonce))})
	answer, err := hex.DecodeString(out["nonce"])
	require.NoError(h.t, err)
	return status, out["id"], Code(secret, nonce, answer)
}

// pair goes all the way, with a person at the laptop who looks; it returns the
// text of the invitation.
func (h *handset) pair() string {
	h.t.Helper()
	typed := find(h.t, h.k.at("do", "add", "by", "name"), `type <b class="num">([A-Z2-7]{10})</b>`)
	status, id, code := h.knock(typed)
	require.Equal(h.t, http.StatusOK, status)
	page := h.k.at()
	require.Equal(h.t, code, find(h.t, page, `<b>(\d{6})</b>`))
	require.Contains(h.t, page, "<b>pocket phone</b>")
	require.NotContains(h.t, page, typed)
	status, _ = h.post("/pair/wait", map[string]string{"id": id})
	require.Equal(h.t, http.StatusAccepted, status)
	require.Equal(h.t, http.StatusUnauthorized, h.get("/"))
	h.k.at("do", "same", "id", find(h.t, page, `name="id" value="(\w+)"`))
	status, out := h.post("/pair/wait", map[string]string{"id": id})
	require.Equal(h.t, http.StatusOK, status)
	return out["invitation"]
}

// token returns the cookie's value.
func (h *handset) token() string {
	u, err := url.Parse(h.k.origin())
	require.NoError(h.t, err)
	list := h.http.Jar.Cookies(u)
	require.Len(h.t, list, 1)
	return list[0].Value
}

// socket opens a websocket.
func (h *handset) socket() (*websocket.Conn, error) {
	d := websocket.Dialer{TLSClientConfig: h.tls, NetDialContext: h.dial, Jar: h.http.Jar, Subprotocols: []string{socket.Protocol}}
	ws, _, err := d.Dial("wss://"+h.k.host()+"/link", http.Header{"Origin": {h.k.origin()}})
	if err == nil {
		h.t.Cleanup(func() { ws.Close() })
	}
	return ws, err
}

// A frames is [link.Conn] over a websocket.
type frames struct{ *websocket.Conn }

func (f frames) ReadFrame() ([]byte, error) { _, b, err := f.ReadMessage(); return b, err }

func (f frames) WriteFrame(b []byte) error { return f.WriteMessage(websocket.BinaryMessage, b) }

// link starts a link of a phone's logbook.
func (h *handset) link(r *replica) (*link.Link, chan link.Report) {
	h.t.Helper()
	ws, err := h.socket()
	require.NoError(h.t, err)
	l, err := link.New(frames{ws}, r.config(true))
	require.NoError(h.t, err)
	over := make(chan link.Report, 1)
	go func() { over <- l.Run(context.Background()) }()
	require.Eventually(h.t, func() bool { return l.Peer().Vector != nil }, 10*time.Second, time.Millisecond)
	return l, over
}
