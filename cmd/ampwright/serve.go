package main

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"ampwright/client/pages"
	"ampwright/client/static"
	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/server/bolt"
	"ampwright/server/garage"
	"ampwright/server/socket"
	"ampwright/server/web"
	"ampwright/sync/keep"
	"ampwright/sync/link"

	"github.com/spf13/cobra"
)

const usualAddress = "127.0.0.1:7341"

func (p *program) serve() *cobra.Command {
	c := &cobra.Command{
		Use: "serve", Short: "show the garage in a browser on this computer",
		Long: `Serves the garage's pages on this computer alone, until it is interrupted, and
prints the address as soon as it listens; the word at its end is a key that other
users of the computer do not have. Meanwhile all other commands go through
it, and other copies of the garage exchange entries with it (ampwright sync); a
new one is let in by ampwright invite. Phones that are paired are answered on the
local network, by https; --phone begins to add one, as does the button under
settings. Where ampwright backup --daily asked for it, a backup is made once a day.
With --clock its clock starts at that moment, to look at the demo as of its end.`,
		Example: "  ampwright serve\n  ampwright serve --phone\n  ampwright serve --addr 127.0.0.1:8000\n  ampwright serve --garage ./heron --clock 2026-11-20T19:30:00+01:00",
		Args:    atMost(0),
	}
	addr := c.Flags().String("addr", usualAddress, "the `address` to listen on; port 0 for any")
	clock := c.Flags().String("clock", "", "start the clock at this `time`")
	phone := c.Flags().Bool("phone", false, "begin to add a phone, on the local network")
	c.RunE = func(c *cobra.Command, _ []string) error {
		if p.asOf != "" {
			return wrong("--clock starts a clock at that moment", "--as-of %q is for looking only", p.asOf)
		}
		if err := garage.CheckLoopback(*addr); err != nil {
			return wrong("ampwright serve --addr "+usualAddress, "--addr %v", err)
		}
		now, err := p.startClock(*clock)
		if err != nil {
			return err
		}
		return p.serveAt(c.Context(), *addr, *phone, now)
	}
	return c
}

// startClock returns a clock that stands at the moment typed now and runs from
// there; the program's own if nothing was typed.
func (p *program) startClock(text string) (func() time.Time, error) {
	if text == "" {
		return p.now, nil
	}
	at, err := moment("clock", text, p.now())
	if err != nil {
		return nil, err
	}
	began := time.Now()
	return func() time.Time { return at.Add(time.Since(began)) }, nil
}

// notes are what the garage has to say on every page.
func notes(g *garage.Garage) []string {
	if note := cmp.Or(g.Renamed(), g.Notice); note != "" {
		return []string{note}
	}
	return nil
}

// newSite is the pages as the laptop shows them under base, or with base "" as a
// phone does: backups are made on the laptop alone.
func newSite(g *garage.Garage, base, addPhone string, daily *dailyBackup) (*pages.Site, error) {
	backups := ""
	if base != "" {
		backups = base + web.BackupPath
	}
	return pages.New(pages.Config{
		Book: g.Book, Plans: plan.Editions(), Once: newToken, Version: strings.TrimPrefix(version(), "ampwright "), Peers: g.Peers, Backup: backups, PDF: true,
		Notes: func() []string { return append(notes(g), daily.notes()...) },
		Asset: func(name string) string { return "/static/" + static.Name(name) },
		Raw:   func(s model.Bring, w io.Writer) error { return keep.GetRaw(g.Blobs, s.Pieces, s.Hash, w) },
		Keep:  func(data []byte) ([]string, error) { return keepRaw(g.Blobs, data) },
		Base:  base, AddPhone: addPhone,
		HasPhoto: func(hash [32]byte) bool { has, err := g.Blobs.Has(hash); return has && err == nil },
	})
}

func (p *program) serveAt(ctx context.Context, addr string, phone bool, now func() time.Time) (err error) {
	dir, err := p.place()
	if err != nil {
		return err
	}
	g, err := garage.Open(dir, garage.Config{Now: now, Person: p.by, Program: "ampwright serve"})
	var held *bolt.HeldError
	if errors.As(err, &held) {
		return &garage.BusyError{Held: held}
	}
	if err != nil {
		return err
	}
	defer func() { err = closing(err, g) }()
	if g.Notice != "" {
		p.talk("note: %s", g.Notice)
	}
	var daily dailyBackup
	key := newToken()
	site, err := newSite(g, "/"+key, "/"+key+"/pair", &daily)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return &adviceError{err, "ampwright serve --addr 127.0.0.1:0 takes any free port"}
	}
	address, token := l.Addr().String(), newToken()
	invitations := new(socket.Invitations)
	links := socket.NewServer(socket.Config{
		Link: func() link.Config { return p.answering(g) }, Invitations: invitations, Origins: origins(address), Tell: p.parted,
	})
	log := web.Sparing(slog.NewTextHandler(p.err, nil), time.Now) // refusals and phones, nothing of what they say
	desk, err := p.desk(dir, g, &daily, invitations, log, now)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	handler := web.New(web.Config{
		Site: site, Book: g.Book, Hosts: hosts(address), Token: token, Link: links, Key: key, Pair: desk.Laptop("/" + key),
		Blobs: g.Blobs, Log: log,
		Invite: func() (string, time.Time) { return invitations.Open(time.Now()) },
		Sync:   p.syncsFor(ctx, g), Network: network(desk, invitations),
		Backup: func(folder string) (string, error) { return p.backupInto(folder, g, dir) },
	})
	if err := g.Serving(address, token); err != nil {
		return errors.Join(err, l.Close())
	}
	home := fmt.Sprintf("http://%s/%s/", address, key)
	fmt.Fprintln(p.out, home)
	defer daily.run(ctx, p, g, dir)()
	stop := p.phones(desk, g, phone, home+"pair")
	err = serveUntil(ctx, l, dated(handler, now))
	stop()
	err = errors.Join(err, desk.Close(), links.Close())
	if renamed := g.Renamed(); renamed != "" {
		p.talk("note: %s", renamed)
	}
	return err
}

// newToken returns 128 bits that nobody can guess, in the letters of a URL.
func newToken() string {
	b := make([]byte, 16)
	rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// hosts returns the names by which a browser may call the address.
func hosts(address string) []string {
	_, port, _ := net.SplitHostPort(address)
	return []string{address, "localhost:" + port}
}

// origins returns what a browser says of a page that came from the address.
func origins(address string) []string {
	var list []string
	for _, h := range hosts(address) {
		list = append(list, "http://"+h)
	}
	return list
}

// dated makes the Date of every answer the garage's own moment, from which
// other commands take theirs.
func dated(h http.Handler, now func() time.Time) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Date", now().UTC().Format(http.TimeFormat))
		h.ServeHTTP(w, r)
	})
}

// serveUntil answers requests until ctx is done, and lets those that are under
// way come to their end.
func serveUntil(ctx context.Context, l net.Listener, h http.Handler) error {
	s := web.Server(h)
	served := make(chan error, 1)
	go func() { served <- s.Serve(l) }()
	select {
	case err := <-served:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := s.Shutdown(end); err != nil {
		return errors.Join(err, s.Close())
	}
	if cause := context.Cause(ctx); !errors.Is(cause, errTold) {
		return cause
	}
	return nil
}
