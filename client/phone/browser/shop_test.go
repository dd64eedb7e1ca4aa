//go:build browser

package browser

import (
	"crypto/ed25519"
	"crypto/rand"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/client/static"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/garage"
	"ampwright/server/socket"
	"ampwright/server/web"
	"ampwright/sync/link"
	"ampwright/sync/peers"
	"ampwright/sync/session"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A shop is a laptop with a garage on its disk that phones keep in step with.
type shop struct {
	t       testing.TB
	dir     string
	addr    string
	garage  *garage.Garage
	invited *socket.Invitations
	links   *socket.Server
	server  *http.Server
	heard   peers.Peers
}

func newShop(t testing.TB) *shop {
	s := &shop{t: t, dir: t.TempDir(), addr: "127.0.0.1:0"}
	s.start()
	raws := heron(t)
	seals, err := demo.Seals(raws)
	require.NoError(t, err)
	_, err = s.garage.Import(raws, seals...)
	require.NoError(t, err)
	t.Cleanup(s.stop)
	return s
}

func (s *shop) start() {
	s.open()
	s.serve()
}

func (s *shop) open() {
	var err error
	s.garage, err = garage.Open(s.dir, garage.Config{Person: "builder", Device: "laptop"})
	require.NoError(s.t, err)
}

// serve lets phones in to the garage that is open.
func (s *shop) serve() {
	g := s.garage
	listener, err := net.Listen("tcp", s.addr)
	require.NoError(s.t, err)
	s.addr = listener.Addr().String()
	site, err := pages.New(pages.Config{Book: g.Book, Plans: plan.Editions(), Once: uuid.NewString, Asset: func(name string) string { return "/static/" + static.Name(name) }})
	require.NoError(s.t, err)
	s.invited = new(socket.Invitations)
	s.links = socket.NewServer(socket.Config{
		Origins: []string{"http://" + s.addr}, Invitations: s.invited,
		Link: func() link.Config {
			d := g.Device()
			c := link.Config{
				Session: session.Config{Replica: d.Replica, Key: d.Key.Public().(ed25519.PublicKey), Sign: func(m []byte) []byte { return ed25519.Sign(d.Key, m) }},
				Book:    g.Book, Now: g.Now, After: time.After, Rename: g.Rename, Meet: true, Heard: s.heard.Heard,
				Blobs: g.Blobs, Fetch: true,
			}
			rand.Read(c.Session.Nonce[:])
			return c
		},
	})
	s.server = web.Server(web.New(web.Config{Site: site, Book: g.Book, Hosts: []string{s.addr}, Link: s.links}))
	go s.server.Serve(listener)
}

func (s *shop) stop() {
	if s.server == nil {
		return
	}
	s.server.Close()
	s.links.Close()
	s.garage.Close()
	s.server = nil
}

// read returns how many entries the laptop has, and the digest of what they say.
func (s *shop) read() (entries int, state string) {
	s.garage.Book.Read(func(l *model.Logbook) { entries, state = l.Len(), model.DigestText(l.Digest()) })
	return entries, state
}

// holds returns the most entries that a phone has acknowledged.
func (s *shop) holds() (most int) {
	peers := s.heard.All()
	s.garage.Book.Read(func(l *model.Logbook) {
		for _, p := range peers {
			most = max(most, l.Len()-l.Lacks(p.Vector))
		}
	})
	return most
}

// note writes a note on the laptop.
func (s *shop) note(text string) {
	s.t.Helper()
	_, err := s.garage.Do(demo.Build, model.Wish{Name: "note", Values: map[string][]string{"text": {text}}}, "")
	require.NoError(s.t, err)
}

// page returns a page of the laptop's own.
func (s *shop) page(path string) string {
	s.t.Helper()
	resp, err := http.Get("http://" + s.addr + path)
	require.NoError(s.t, err)
	return body(s.t, resp)
}

// join opens the program on a phone that takes an invitation up, and waits until
// the demo is there.
func (s *shop) join(p *phone) *tab {
	s.t.Helper()
	invitation, _ := s.invited.Open(time.Now())
	tab := p.open("http://" + s.addr + "/phone/#invite=" + invitation)
	require.NotContains(s.t, tab.text("at()"), invitation)
	tab.step(s)
	tab.wait(`navigator.serviceWorker.controller?.state === "activated"`)
	tab.tap(bench)
	return tab
}

// facts reads the page about this device.
func (tab *tab) facts() (entries int, state, alone string) {
	tab.p.t.Helper()
	tab.tap("/phone/this")
	facts := map[string]string{}
	tab.eval(`Object.fromEntries([...document.querySelectorAll("dl.facts div")].map(d => [d.children[0].innerText, d.children[1].innerText]))`, &facts)
	var text string
	_, err := fmt.Sscanf(facts["entries"], "%d here;", &entries)
	require.NoError(tab.p.t, err, facts["entries"])
	text = facts["entries"][len(strconv.Itoa(entries))+len(" here; "):]
	return entries, facts["state"], text
}

// step waits until the phone and the laptop have the same entries, say the same
// of them, and the phone knows that all it has is on the laptop too.
func (tab *tab) step(s *shop) {
	tab.p.t.Helper()
	var here, there, said string
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		entries, state, alone := tab.facts()
		n, digest := s.read()
		here, there, said = fmt.Sprint(entries, " ", state), fmt.Sprint(n, " ", digest), alone
		if here == there && alone == "no entry is on this device only" {
			return
		}
	}
	require.Equal(tab.p.t, there, here, "entries and state")
	require.Equal(tab.p.t, "no entry is on this device only", said)
}

// block is the title block's field for what is on this device only.
func (tab *tab) block() string {
	tab.p.t.Helper()
	return tab.text(`[...document.querySelectorAll(".title-block div")].find(d => d.innerText.toLowerCase().includes("on this device only")).querySelector("dd").innerText`)
}
