package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/server/bolt"
	"ampwright/server/garage"
	"ampwright/server/socket"
	"ampwright/sync/link"

	"github.com/stretchr/testify/require"
)

// confirmed remembers what another side has confirmed to hold.
type confirmed map[model.ID]bool

// write writes notes in g until the link says no more, and remembers what the
// other side confirmed.
func (c confirmed) write(g *garage.Garage, peer func() (model.Vector, bool)) {
	for {
		v, ok := peer()
		for _, heads := range v {
			for _, h := range heads {
				c[h.ID] = true
			}
		}
		if !ok {
			return
		}
		if _, err := g.Do(demo.Build, model.Wish{Name: "note", Values: map[string][]string{"text": {"said"}}}, ""); err != nil {
			panic(err)
		}
	}
}

// require requires that the garage in dir is whole and holds all that its program
// has confirmed.
func (c confirmed) require(t *testing.T, round int, dir string) {
	t.Helper()
	report, err := bolt.Verify(filepath.Join(dir, "logbook.db"))
	require.NoError(t, err)
	require.Empty(t, report.Damage, "round %d", round)
	g, err := garage.Open(dir, garage.Config{})
	require.NoError(t, err)
	require.Empty(t, g.Notice, "round %d: a killed program is no reason for a new name", round)
	require.NoError(t, g.Read(func(l *model.Logbook) error {
		for id := range c {
			require.True(t, l.Has(id), "round %d: entry %s was confirmed and is lost", round, id)
		}
		return nil
	}))
	require.NoError(t, g.Close())
}

// A teller is a client of a server's wishes that remembers what was answered for.
type teller struct {
	address, token string
	client         http.Client
	answered       chan<- model.ID
}

// tellerOf returns a client of the process that serves the garage in dir.
func tellerOf(t *testing.T, dir string, answered chan<- model.ID) *teller {
	t.Helper()
	h, err := bolt.ReadHolder(dir)
	require.NoError(t, err)
	return &teller{h.Address, h.Token, http.Client{Timeout: 20 * time.Second}, answered}
}

// write has notes written down until there is no answer.
func (c *teller) write() {
	body := fmt.Sprintf(`{"build":%q,"wish":"note","values":{"text":["said"]}}`, demo.Build)
	for {
		req, err := http.NewRequest(http.MethodPost, "http://"+c.address+"/api/wish", strings.NewReader(body))
		if err != nil {
			return
		}
		req.Header.Set("Authorization", "Bearer "+c.token)
		resp, err := c.client.Do(req)
		if err != nil {
			return
		}
		var answer struct{ Entries []string }
		err = json.NewDecoder(resp.Body).Decode(&answer)
		resp.Body.Close()
		if err != nil || len(answer.Entries) != 1 {
			return
		}
		id, err := model.ParseID(answer.Entries[0])
		if err != nil {
			return
		}
		c.answered <- id
	}
}

// The server is killed at any moment, again and again, while one client has it
// write and another copy of the garage exchanges entries with it: what it has
// answered for and what it has confirmed is there when it starts again. (As in
// the store's own test this sees a missing commit, not a missing flush.)
func TestServeKilled(t *testing.T) {
	t.Parallel() // it waits for other processes most of the time
	dir := heron(t)
	server := served(t, dir)
	phone := joined(t, dir, server.address)
	g, err := garage.Open(phone, garage.Config{})
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(9, 10))
	c, answers := confirmed{}, 0
	for round := range 60 {
		address, err := socket.ParseAddress(server.address)
		require.NoError(t, err)
		conn, err := socket.Dial(t.Context(), address)
		require.NoError(t, err)
		l, err := link.New(conn, linkConfig(g, true))
		require.NoError(t, err)
		var over atomic.Bool
		report := make(chan link.Report, 1)
		go func() { report <- l.Run(context.Background()); over.Store(true) }()
		answered, told, done := make(chan model.ID, 1), []model.ID{}, make(chan struct{})
		teller := tellerOf(t, dir, answered)
		go func() { teller.write(); close(answered) }()
		go func() {
			defer close(done)
			for last, after := 1+r.IntN(5), time.Duration(r.IntN(8_000))*time.Microsecond; ; {
				id, ok := <-answered
				if !ok {
					break
				}
				if told = append(told, id); len(told) == last {
					time.AfterFunc(after, func() { server.Process.Kill() })
				}
			}
			server.Process.Kill() // if it has stopped to answer
		}()
		c.write(g, func() (model.Vector, bool) { return l.Peer().Vector, !over.Load() })
		require.Error(t, (<-report).Err, "round %d: the server was not killed", round)
		<-done
		server.Wait()
		require.NotEmpty(t, told, "round %d: the server answered nothing: %s", round, &server.talk)
		for _, id := range told {
			c[id] = true
		}
		answers += len(told)
		c.require(t, round, dir)
		server = served(t, dir)
	}
	require.NoError(t, g.Close())
	code, _, talk := syncs(t, "", server.address, "--garage", phone)
	require.Equal(t, exitDone, code, talk)
	server.end(t, os.Interrupt, exitInterrupted)
	requireSameGarage(t, dir, phone)
	require.Greater(t, len(c), answers+20, "what was confirmed over the link")
	t.Logf("%d entries were answered for, %d heads confirmed, and are there", answers, len(c)-answers)
}

// The side that dials is killed likewise.
func TestSyncKilled(t *testing.T) {
	t.Parallel() // it waits for other processes most of the time
	dir := heron(t)
	server := served(t, dir)
	phone := joined(t, dir, server.address)
	server.end(t, os.Interrupt, exitInterrupted)
	g, err := garage.Open(dir, garage.Config{})
	require.NoError(t, err)
	own := g.Device().Replica
	r := rand.New(rand.NewPCG(11, 12))
	c := confirmed{}
	var now atomic.Pointer[link.Link]
	links := socket.NewServer(socket.Config{Link: func() link.Config { return linkConfig(g, false) }, Tell: func(link.Report) { now.Store(nil) }, Watch: func(l *link.Link) { now.Store(l) }})
	h := httptest.NewServer(links)
	defer h.Close()
	for round := range 10 {
		stay := another(t, "sync", h.Listener.Addr().String(), "--garage", phone, "--stay")
		require.NoError(t, stay.Start())
		require.Eventually(t, func() bool { l := now.Load(); return l != nil && l.Peer().Vector != nil }, 20*time.Second, time.Millisecond)
		time.AfterFunc(time.Duration(30+r.IntN(120))*time.Millisecond, func() { stay.Process.Kill() })
		c.write(g, func() (model.Vector, bool) {
			l := now.Load()
			if l == nil {
				return nil, false
			}
			return model.Vector{own: l.Peer().Vector[own]}, true
		})
		stay.Wait()
		c.require(t, round, phone)
	}
	require.NoError(t, errors.Join(links.Close(), g.Close()))
	server = served(t, dir)
	code, _, talk := syncs(t, "", server.address, "--garage", phone)
	require.Equal(t, exitDone, code, talk)
	server.end(t, os.Interrupt, exitInterrupted)
	requireSameGarage(t, dir, phone)
	t.Logf("%d heads were confirmed and are there", len(c))
}
