package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"ampwright/model"
	"ampwright/sync/link"
	"ampwright/sync/session"
)

// A stayJSON is a line of what --stay says with --json.
type stayJSON struct {
	Schema  string    `json:"schema"` // "ampwright/sync-stay/1"
	At      time.Time `json:"at"`
	Event   string    `json:"event"` // linked, came, parted
	With    string    `json:"with"`
	Device  string    `json:"device"`
	In      int       `json:"in"`      // entries that came since they were linked
	Out     int       `json:"out"`     // that went, once parted
	Why     string    `json:"why"`     // why they parted
	Seconds float64   `json:"seconds"` // until the next attempt
}

// stay keeps the link until ctx is done.
func (s *syncing) stay(ctx context.Context) error {
	err := link.Stay(ctx, link.Redial{
		Dial: s.dial, Now: time.Now, After: time.After, Random: rand.Uint64,
		Config: func() link.Config {
			c := s.config()
			c.Tell = s.heard
			return c
		},
		Tell: s.parted,
	})
	if err == nil && !errors.Is(context.Cause(ctx), errTold) {
		err = context.Cause(ctx)
	}
	return err
}

func (s *syncing) heard(e session.Effect) {
	switch e := e.(type) {
	case session.Met:
		name := ""
		s.garage.Book.Read(func(l *model.Logbook) { name = deviceName(l, e.Peer.Replica) })
		s.say(stayJSON{Event: "linked", With: e.Peer.Replica.String(), Device: name}, "linked with "+name)
	case session.Progress:
		if s.p.json && e.Got > 0 {
			s.say(stayJSON{Event: "came", In: e.Got}, "")
		}
	case session.Rename:
		s.p.talk("note: %s: this copy takes a new name", e.Why)
	default:
		if text := linkNotice(e); text != "" {
			s.p.talk("note: %s", text)
		}
	}
}

func (s *syncing) parted(r link.Report, err error, wait time.Duration) {
	if err == nil {
		err = parting(r)
	}
	s.say(
		stayJSON{Event: "parted", With: replicaName(r.Peer.Replica), In: r.In, Out: r.Out, Why: err.Error(), Seconds: wait.Seconds()},
		fmt.Sprintf("%v; again in %.1f s", err, wait.Seconds()),
	)
}

// say writes one event.
func (s *syncing) say(j stayJSON, words string) {
	if !s.p.json {
		s.p.talk("%s", oneLine(words))
		return
	}
	j.Schema, j.At = "ampwright/sync-stay/1", s.p.now().Truncate(time.Second)
	if line, err := json.Marshal(j); err == nil { // made of texts and numbers
		fmt.Fprintf(s.p.out, "%s\n", line)
	}
}
