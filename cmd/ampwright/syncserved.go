package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"

	"ampwright/server/garage"
	"ampwright/server/socket"
)

// A spokenError ends a command whose words were said already.
type spokenError struct{ code int }

func (e *spokenError) Error() string { return fmt.Sprintf("exit code %d", e.code) }

// syncThrough has the process that serves this garage make the exchange.
func (p *program) syncThrough(ctx context.Context, busy *garage.BusyError, address *url.URL, invited, stay bool) error {
	dir, err := p.place()
	if err != nil {
		return err
	}
	r, err := garage.Attach(dir, p.now().Location())
	if err != nil {
		busy.Err = err
		return busy
	}
	ask := garage.SyncAsk{Address: address.String(), Stay: stay, JSON: p.json}
	if invited {
		if err := p.mayMerge(r); err != nil {
			return err
		}
		if ask.Invitation, err = p.readInvitation(); err != nil {
			return err
		}
	}
	bar := p.newProgress()
	code, err := r.Sync(ctx, ask, func(e garage.SyncEvent) {
		fmt.Fprint(p.out, e.Out)
		bar.pass(e.Talk)
	})
	switch {
	case ctx.Err() != nil && stay && errors.Is(context.Cause(ctx), errTold):
		return nil
	case ctx.Err() != nil:
		return context.Cause(ctx)
	case err != nil:
		return err
	case code != exitDone:
		return &spokenError{code}
	}
	return nil
}

// pass says on what another process says of an exchange. How far it is shows as a
// bar here, where there is a terminal.
func (b *progress) pass(talk string) {
	var at progressJSON
	if terminal(b.p.err) && !b.p.json && json.Unmarshal([]byte(talk), &at) == nil {
		b.at.Got, b.at.Want = at.In, at.Want
		b.show(at.Out)
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.clear()
	fmt.Fprint(b.p.err, talk)
}

// syncsFor makes exchanges of the garage for commands that cannot open it
// themselves, until serving is done.
func (p *program) syncsFor(serving context.Context, g *garage.Garage) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var ask garage.SyncAsk
		if err := json.NewDecoder(r.Body).Decode(&ask); err != nil {
			http.Error(w, fmt.Sprintf("what is asked does not read: %v", err), http.StatusBadRequest)
			return
		}
		io.Copy(io.Discard, r.Body) // to its end: from there on the server sees when the other side goes
		c := http.NewResponseController(w)
		if err := errors.Join(c.SetReadDeadline(time.Time{}), c.SetWriteDeadline(time.Time{})); err != nil { // it may take a day
			http.Error(w, err.Error(), http.StatusInternalServerError)
			return
		}
		ctx, end := context.WithCancelCause(r.Context())
		defer end(nil)
		defer context.AfterFunc(serving, func() { end(context.Cause(serving)) })()
		s := &sayer{json: json.NewEncoder(w), flush: c.Flush}
		q := &program{
			in: strings.NewReader(""), now: g.Now, json: ask.JSON, noInput: true,
			out: said(func(text string) { s.say(garage.SyncEvent{Out: text}) }),
			err: said(func(text string) { s.say(garage.SyncEvent{Talk: text}) }),
		}
		code := q.exit(ctx, "ampwright sync", q.syncAs(ctx, g, ask))
		s.say(garage.SyncEvent{Exit: &code})
	}
}

// syncAs makes one exchange as it is asked for.
func (p *program) syncAs(ctx context.Context, g *garage.Garage, ask garage.SyncAsk) error {
	s := &syncing{p: p, garage: g}
	var err error
	if s.address, err = socket.ParseAddress(ask.Address); err != nil {
		return wrong("", "%v", err)
	}
	if ask.Invitation != "" {
		if err := s.invite(ask.Invitation); err != nil {
			return err
		}
	}
	if ask.Stay {
		return s.stay(ctx)
	}
	return s.once(ctx)
}

// A sayer sends events as they happen.
type sayer struct {
	mu    sync.Mutex
	json  *json.Encoder
	flush func() error
}

// say sends an event. Whoever is gone does not hear it: its request is over then.
func (s *sayer) say(e garage.SyncEvent) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.json.Encode(e) == nil {
		s.flush()
	}
}

// said is a writer whose texts are said.
type said func(text string)

func (s said) Write(b []byte) (int, error) {
	s(string(b))
	return len(b), nil
}
