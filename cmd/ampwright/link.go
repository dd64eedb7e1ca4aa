package main

import (
	"crypto/ed25519"
	"crypto/rand"
	"fmt"
	"time"

	"ampwright/model"
	"ampwright/server/garage"
	"ampwright/sync/link"
	"ampwright/sync/session"

	"github.com/google/uuid"
)

// linkConfig returns what the next link of a garage needs. The side that answers
// notes the meeting down.
func linkConfig(g *garage.Garage, dials bool) link.Config {
	d := g.Device()
	c := link.Config{
		Session: session.Config{
			Replica: d.Replica, Key: d.Key.Public().(ed25519.PublicKey), Program: version(), Dials: dials,
			Sign: func(m []byte) []byte { return ed25519.Sign(d.Key, m) },
		},
		Book: g.Book, Now: g.Now, After: time.After, Rename: g.Rename, Heard: g.Heard, Meet: !dials,
		Blobs: g.Blobs, Fetch: true,
	}
	rand.Read(c.Session.Nonce[:]) // never fails
	return c
}

// answering returns what the link to a device that has connected needs.
func (p *program) answering(g *garage.Garage) link.Config {
	c := linkConfig(g, false)
	c.Tell = func(e session.Effect) {
		if text := linkNotice(e); text != "" {
			p.talk("note: %s", text)
		}
	}
	return c
}

// parted says that a link to this server is over, where somebody should know.
func (p *program) parted(r link.Report) {
	if r.Met || r.End.Code == 0 || r.End.Theirs {
		return
	}
	p.talk("note: a device that calls itself %s was sent away: %s", r.Peer.Replica, r.End.Text)
}

// deviceName returns what a device is called.
func deviceName(l *model.Logbook, replica uuid.UUID) string {
	_, devices := l.Garage()
	return model.Label(devices, replica)
}

// linkNotice puts what a person should hear of a link into words; "" for nothing.
func linkNotice(e session.Effect) string {
	switch e := e.(type) {
	case session.Diverged:
		return fmt.Sprintf("both sides hold the same entries and make different things of them (%016x here, %016x there): that is an error in a program", e.Ours, e.Theirs)
	case session.Refused:
		who := "the other side did not take"
		if e.Ours {
			who = "this side did not take"
		}
		what := "what came"
		if !e.Ours {
			what = "what was sent"
		}
		if e.Held.Replica != uuid.Nil {
			what = fmt.Sprintf("entries of replica %s from number %d on", e.Held.Replica, e.Held.Seq)
		}
		return fmt.Sprintf("%s %s: %s", who, what, e.Held.Reason)
	}
	return ""
}
