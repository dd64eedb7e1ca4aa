package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"strings"
	"time"

	"ampwright/model"
	"ampwright/server/bolt"
	"ampwright/server/garage"
	"ampwright/server/socket"
	"ampwright/sync/link"
	"ampwright/sync/wire"

	"github.com/spf13/cobra"
)

type syncJSON struct {
	Schema   string  `json:"schema"`
	Address  string  `json:"address"`
	With     string  `json:"with"` // the other side's replica
	Device   string  `json:"device"`
	Entries  int     `json:"entries"`  // that are here now
	In       int     `json:"in"`       // entries that came
	Out      int     `json:"out"`      // entries that went
	BytesIn  int64   `json:"bytesIn"`  // on the connection
	BytesOut int64   `json:"bytesOut"` //
	Seconds  float64 `json:"seconds"`
	Photos   int     `json:"photos"`     // that came, with pieces of files that are kept
	NoPhotos int     `json:"photosAway"` // that are not there either
	Lacking  int     `json:"lacking"`    // chains of which the other side has more and could not hand it over
	Unsealed int     `json:"unsealed"`   // entries here that nobody sealed, so that they stay here

	files bool // are kept in this garage beside photos
}

func (p *program) sync() *cobra.Command {
	c := &cobra.Command{
		Use: "sync ADDRESS", Short: "exchange entries with another copy of the garage",
		Long: `Connects to a copy of this garage that ampwright serve shows and exchanges
entries until each side has what the other had; then says what came and went.
With --stay it keeps the connection, so that entries go over as they are written,
and makes it again when it breaks, until it is interrupted.

The two know each other by their keys. The first time the other has to invite this
one, and after this one had to take a new name if its old key is lost: give
--invitation, and on being asked, or as the first line of the standard input, what
ampwright invite printed there. An empty folder joins that garage so. A logbook
with builds of its own and the other's become one for good: that needs a yes.

ADDRESS is a host and a port. Without TLS (wss://) it must be one of this
computer alone, such as 127.0.0.1:7341: others on the way could read and change
the entries. Another laptop on the local network is at wss://HOST:PORT, as
ampwright invite --network says there; its invitation tells this one whom to
trust. Where ampwright serve shows this garage already, it makes the exchange.`,
		Example: "  ampwright sync 127.0.0.1:7341\n  ampwright sync 127.0.0.1:7341 --stay\n  ampwright sync 127.0.0.1:7341 --garage ./phone --invitation\n  ampwright sync wss://192.168.1.20:7342",
		Args:    exactly(1, "ADDRESS"),
	}
	stay := c.Flags().Bool("stay", false, "keep the connection until interrupted")
	invited := c.Flags().Bool("invitation", false, "this copy is not known there: ask for, or read, an invitation")
	c.RunE = func(c *cobra.Command, args []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		address, err := socket.ParseAddress(args[0])
		if err != nil {
			return wrong("", "%v", err)
		}
		s, err := p.syncing(c.Context(), address, *invited)
		if busy := new(garage.BusyError); errors.As(err, &busy) && busy.Held.Holder.Address != "" {
			return p.syncThrough(c.Context(), busy, address, *invited, *stay)
		}
		if err != nil {
			return err
		}
		exchange := s.once
		if *stay {
			exchange = s.stay
		}
		return closing(exchange(c.Context()), s.garage)
	}
	return c
}

// A syncing is a garage on its way to an exchange.
type syncing struct {
	p       *program
	address *url.URL
	secret  []byte
	pin     *socket.Pin // of the invitation, until it is kept in the garage
	garage  *garage.Garage
	first   link.Conn // made before the garage was, if that is new
}

// syncing opens the garage, or makes one once the other side answers.
func (p *program) syncing(ctx context.Context, address *url.URL, invited bool) (s *syncing, err error) {
	dir, err := p.place()
	if err != nil {
		return nil, err
	}
	here := garage.Here(dir)
	if !here && !invited {
		return nil, &adviceError{fmt.Errorf("there is no logbook in %s", dir), inviteHint}
	}
	s = &syncing{p: p, address: address}
	if here {
		if err := s.open(dir); err != nil {
			return nil, err
		}
		if invited {
			err = p.mayMerge(s.garage)
		}
	}
	if err == nil && invited {
		var text string
		if text, err = p.readInvitation(); err == nil {
			err = s.invite(text)
		}
	}
	if err == nil && !here {
		if s.first, err = socket.Dial(ctx, address, s.pins(nil)...); err == nil {
			err = s.open(dir)
		}
	}
	if err != nil && s.garage != nil {
		err = closing(err, s.garage)
	}
	if err != nil && s.first != nil {
		s.first.Close()
	}
	return s, err
}

const inviteHint = "ask for an invitation there (ampwright invite), and give it here: ampwright sync ADDRESS --invitation"

func (s *syncing) open(dir string) error {
	g, err := garage.Open(dir, garage.Config{Now: s.p.now, Person: s.p.by, Program: "ampwright sync"})
	var held *bolt.HeldError
	if errors.As(err, &held) {
		return &garage.BusyError{Held: held}
	}
	if err == nil && g.Notice != "" {
		s.p.talk("note: %s", g.Notice)
	}
	s.garage = g
	return err
}

// mayMerge asks before a logbook with builds of its own joins another garage.
func (p *program) mayMerge(h garage.Home) error {
	n := 0
	err := h.Read(func(l *model.Logbook) error { n = len(l.BuildIDs()); return nil })
	if err != nil || n == 0 || p.yes {
		return err
	}
	what := fmt.Sprintf("this logbook holds %d %s already", n, plural(n, "build", "builds"))
	if yes, asked := p.ask(what + ", and becomes one with the other for good. Go on?"); yes {
		return nil
	} else if asked {
		return errors.New("nothing was exchanged")
	}
	return &adviceError{errors.New(what + ", and would become one with the other for good"), "--yes does it; if the two have met before, leave --invitation out"}
}

// readInvitation reads the text of an invitation, which is a secret, from a person
// or the standard input.
func (p *program) readInvitation() (string, error) {
	if in, ok := p.in.(*ctxReader); ok && !p.noInput && terminal(in.r) && terminal(p.err) {
		fmt.Fprint(p.err, "the invitation: ")
	}
	line, err := bufio.NewReader(p.in).ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return "", err
	}
	if strings.TrimSpace(line) == "" {
		return "", wrong("ampwright invite prints one, on the other side", "no invitation on the standard input")
	}
	return line, nil
}

// invite takes up an invitation.
func (s *syncing) invite(text string) (err error) {
	if s.secret, s.pin, err = socket.ParsePinned(text); err != nil {
		return wrong("ampwright invite prints one, on the other side", "%v", err)
	}
	return nil
}

// dial connects. Only the first connection may be there already. An authority
// that came with an invitation is trusted from then on.
func (s *syncing) dial(ctx context.Context) (link.Conn, error) {
	kept, err := s.garage.Trusted()
	if err != nil {
		return nil, err
	}
	conn := s.first
	if s.first = nil; conn == nil {
		if conn, err = socket.Dial(ctx, s.address, s.pins(kept)...); err != nil {
			return nil, err
		}
	}
	if s.pin != nil {
		if err := s.garage.Trust(*s.pin); err != nil {
			conn.Close()
			return nil, err
		}
		s.pin = nil
	}
	return conn, nil
}

// pins returns the authorities that are trusted beside this computer's own.
func (s *syncing) pins(kept []socket.Pin) []socket.Pin {
	if s.pin != nil {
		kept = append(kept, *s.pin)
	}
	return kept
}

func (s *syncing) config() link.Config {
	c := linkConfig(s.garage, true)
	c.Session.Secret = s.secret
	return c
}

// once exchanges all there is.
func (s *syncing) once(ctx context.Context) error {
	began := time.Now()
	conn, err := s.dial(ctx)
	if err != nil {
		return &adviceError{err, "is ampwright serve running there?"}
	}
	bar := s.p.newProgress()
	c := s.config()
	c.Once, c.Tell, c.Came = true, bar.tell, bar.came
	l, err := link.New(conn, c)
	if err != nil {
		conn.Close()
		return err
	}
	stop := bar.follow(l)
	r := l.Run(ctx)
	stop()
	switch {
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case r.Err != nil:
		return &adviceError{r.Err, "what came until then is kept; the same command goes on from there"}
	case r.End.Text != exchanged || r.End.Code != wire.CodeStopped || r.End.Theirs:
		return parting(r)
	}
	if note := s.garage.Renamed(); note != "" {
		s.p.talk("note: %s", note)
	}
	body := s.result(r, time.Since(began))
	if err := s.p.answer(body, body.words); err != nil {
		return err
	}
	if bar.refused > 0 {
		return errors.New("not all was taken, see above")
	}
	return nil
}

// exchanged is how an exchange ends that came to its end.
const exchanged = "all is exchanged"

// parting puts the end of a link into words that was not ours to choose.
func parting(r link.Report) error {
	who := "this side ended the link"
	if r.End.Theirs {
		who = "the other side ended the link"
	}
	err := fmt.Errorf("%s: %s", who, oneLine(r.End.Text))
	if r.End.Code == wire.CodeUnknown {
		return &adviceError{err, inviteHint}
	}
	return err
}

func (s *syncing) result(r link.Report, took time.Duration) syncJSON {
	j := syncJSON{
		Schema: "ampwright/sync/1", Address: s.address.Host, With: r.Peer.Replica.String(), In: r.In, Out: r.Out,
		BytesIn: r.BytesIn, BytesOut: r.BytesOut, Seconds: took.Round(time.Millisecond).Seconds(),
		Photos: r.BlobsIn, NoPhotos: r.BlobsNot,
	}
	s.garage.Book.Read(func(l *model.Logbook) {
		j.Device, j.Entries, j.files = deviceName(l, r.Peer.Replica), l.Len(), len(l.Files()) > 0
		for _, n := range l.Unsealed() {
			j.Unsealed += n
		}
		for _, heads := range r.Peer.Vector {
			for _, h := range heads {
				if !l.Has(h.ID) {
					j.Lacking++
				}
			}
		}
	})
	return j
}

func (j syncJSON) words(pg *page) {
	pg.line("exchanged with %s: %d %s in, %d out, %s, %.2f s", j.Device, j.In, plural(j.In, "entry", "entries"), j.Out, kilobytes(j.BytesIn+j.BytesOut), j.Seconds)
	one, many := "photo", "photos"
	if j.files {
		one, many = "photo or piece of a file", "photos and pieces of files"
	}
	if j.Photos > 0 {
		pg.line("%d %s came", j.Photos, plural(j.Photos, one, many))
	}
	if n := j.NoPhotos; n > 0 {
		pg.line("%d %s %s not there either: the next sync asks again", n, plural(n, one, many), plural(n, "is", "are"))
	}
	if n := j.Lacking; n > 0 {
		pg.line("the other side holds more of %d %s, without a seal: bring it as a file (ampwright export there, ampwright import here)", n, plural(n, "device", "devices"))
	}
	if n := j.Unsealed; n > 0 {
		pg.line("%d %s here %s no seal and %s passed on only as a file (ampwright export here, ampwright import there)", n, plural(n, "entry", "entries"), plural(n, "has", "have"), plural(n, "is", "are"))
	}
}

// kilobytes writes a number of bytes for people: "14.2 kB".
func kilobytes(n int64) string { return fmt.Sprintf("%.1f kB", float64(n)/1000) }
