package socket_test

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"fmt"
	"net/http/httptest"
	"net/url"
	"sync/atomic"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/model/plan"
	"ampwright/server/bolt"
	"ampwright/server/socket"
	"ampwright/sync/book"
	"ampwright/sync/keep"
	"ampwright/sync/link"
	"ampwright/sync/session"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// sealed returns n entries as they are in a garage, written again under names
// whose keys are known, with a seal for every hundred.
func sealed(b testing.TB, n int) (raws [][]byte, seals []model.Seal) {
	keys := map[uuid.UUID]ed25519.PrivateKey{}
	pens := map[uuid.UUID]*model.Pen{}
	since := map[uuid.UUID]int{}
	for i, raw := range modeltest.Garage(n, 1) {
		e, err := model.Decode(raw)
		require.NoError(b, err)
		pen := pens[e.Replica]
		if pen == nil {
			pub, key, err := ed25519.GenerateKey(nil)
			require.NoError(b, err)
			pen = &model.Pen{Replica: e.Replica}
			keys[e.Replica], pens[e.Replica] = key, pen
			e.Body = &model.Replica{Key: pub, Device: "laptop"}
		}
		again, err := pen.Write([]model.Draft{{Build: e.Build, Author: e.Author, Body: e.Body}}, e.Stamp)
		require.NoError(b, err)
		raws = append(raws, again...)
		if since[e.Replica]++; since[e.Replica] == 100 || i > n-200 {
			s, err := model.SealCommit(again, func(m []byte) []byte { return ed25519.Sign(keys[e.Replica], m) })
			require.NoError(b, err)
			seals = append(seals, s...)
			since[e.Replica] = 0
		}
	}
	return raws, seals
}

// A replica is a book with its key.
type replica struct {
	book   *book.Book
	name   uuid.UUID
	key    ed25519.PrivateKey
	secret []byte // of an invitation it was given
	blobs  keep.Blobs
}

func newReplica(b testing.TB, log keep.Log) *replica {
	_, key, err := ed25519.GenerateKey(nil)
	require.NoError(b, err)
	r := &replica{name: uuid.New(), key: key}
	r.book, err = book.Open(log, book.Config{
		Replica: r.name, Key: r.public(), Sign: r.sign, Device: "a device", Person: "Robin", Now: time.Now, NewID: uuid.New, Plans: plan.Builtin,
	})
	require.NoError(b, err)
	return r
}

func (r *replica) public() ed25519.PublicKey { return r.key.Public().(ed25519.PublicKey) }

func (r *replica) sign(m []byte) []byte { return ed25519.Sign(r.key, m) }

// note writes n notes in one commit and returns the name of the last.
func (r *replica) note(n int) model.ID {
	drafts := make([]model.Draft, n)
	for i := range drafts {
		drafts[i].Body = &model.Note{Text: fmt.Sprint("drum brake ", i)}
	}
	ids, err := r.book.Write(drafts)
	if err != nil {
		panic(err) // may be called from any goroutine
	}
	return ids[n-1]
}

func onDisk(b testing.TB) keep.Log {
	s, err := bolt.Open(b.TempDir(), bolt.Config{})
	require.NoError(b, err)
	b.Cleanup(func() { s.Close() })
	return s
}

func requireSame(t testing.TB, a, b *replica) {
	t.Helper()
	var av, bv model.Vector
	var ad, bd uint64
	a.book.Read(func(l *model.Logbook) { av, ad = l.Vector(), l.Digest() })
	b.book.Read(func(l *model.Logbook) { bv, bd = l.Vector(), l.Digest() })
	require.Equal(t, av, bv)
	require.Equal(t, ad, bd)
}

func (r *replica) config(dials bool) link.Config {
	c := link.Config{
		Session: session.Config{Replica: r.name, Key: r.public(), Sign: r.sign, Program: "a test", Dials: dials, Secret: r.secret},
		Book:    r.book, Now: time.Now, After: time.After, Blobs: r.blobs,
	}
	rand.Read(c.Session.Nonce[:])
	return c
}

// A desk is a replica that answers links; serve starts one.
type desk struct {
	*replica
	server      *socket.Server
	invitations *socket.Invitations
	address     *url.URL
}

func serve(b testing.TB, r *replica) *desk {
	d := &desk{replica: r, invitations: new(socket.Invitations)}
	d.server = socket.NewServer(socket.Config{Link: func() link.Config { return r.config(false) }, Invitations: d.invitations})
	h := httptest.NewServer(d.server)
	b.Cleanup(func() { require.NoError(b, d.server.Close()); h.Close() })
	d.address = addressOf(b, h)
	return d
}

// invite gives a replica an invitation.
func (d *desk) invite(b testing.TB, r *replica) {
	text, _ := d.invitations.Open(time.Now())
	var err error
	r.secret, err = socket.ParseInvitation(text)
	require.NoError(b, err)
}

func addressOf(b testing.TB, h *httptest.Server) *url.URL {
	u, err := socket.ParseAddress(h.Listener.Addr().String())
	require.NoError(b, err)
	return u
}

// A running is a link under way.
type running struct {
	*link.Link
	end  context.CancelFunc
	over chan link.Report
	conn *counted
}

// A counted connection counts the bytes of its frames.
type counted struct {
	link.Conn
	bytes atomic.Int64
}

func (c *counted) ReadFrame() ([]byte, error) {
	frame, err := c.Conn.ReadFrame()
	c.bytes.Add(int64(len(frame)))
	return frame, err
}

func (c *counted) WriteFrame(frame []byte) error {
	c.bytes.Add(int64(len(frame)))
	return c.Conn.WriteFrame(frame)
}

// traffic returns the bytes that went either way so far.
func (r *running) traffic() int64 { return r.conn.bytes.Load() }

func connect(b testing.TB, to *url.URL, cfg link.Config) *running {
	ws, err := socket.Dial(context.Background(), to)
	require.NoError(b, err)
	conn := &counted{Conn: ws}
	l, err := link.New(conn, cfg)
	require.NoError(b, err)
	ctx, cancel := context.WithCancel(context.Background())
	r := &running{l, cancel, make(chan link.Report, 1), conn}
	go func() { r.over <- l.Run(ctx) }()
	return r
}

// stands connects until a link stands: the server counts a link as ended only a
// moment after its other side has left.
func stands(t testing.TB, to *url.URL, cfg func() link.Config) *running {
	for range 200 {
		c := connect(t, to, cfg())
		for c.Peer().Vector == nil {
			select {
			case <-c.over:
				time.Sleep(25 * time.Millisecond)
			case <-time.After(time.Millisecond):
				continue
			}
			break
		}
		if c.Peer().Vector != nil {
			return c
		}
	}
	require.Fail(t, "no link stands after 200 tries")
	return nil
}

// exchange connects until all is exchanged.
func exchange(b testing.TB, to *url.URL, r *replica) link.Report {
	cfg := r.config(true)
	cfg.Once = true
	c := connect(b, to, cfg)
	defer c.end()
	report := <-c.over
	require.NoError(b, report.Err)
	require.Equal(b, "all is exchanged", report.End.Text)
	return report
}
