package main

import (
	"io"
	"log/slog"
	"net/http"
	"time"

	"ampwright/model"
	"ampwright/server/garage"
	"ampwright/server/pair"
	"ampwright/server/socket"
	"ampwright/server/web"
	"ampwright/sync/link"

	"github.com/google/uuid"
)

// desk returns what adds phones to a garage that is served. It listens nowhere yet.
func (p *program) desk(dir string, g *garage.Garage, daily *dailyBackup, invitations *socket.Invitations, log *slog.Logger, now func() time.Time) (*pair.Desk, error) {
	site, err := newSite(g, "", "", daily)
	if err != nil {
		return nil, err
	}
	var desk *pair.Desk
	desk, err = pair.Open(pair.Config{
		Dir: dir, Person: g.Book.Person(), Log: log,
		Called: func(replica uuid.UUID) (name string) {
			g.Book.Read(func(l *model.Logbook) { name = deviceName(l, replica) })
			return name
		},
		State: func() (state string) {
			g.Book.Read(func(l *model.Logbook) { state = model.DigestText(l.Digest()) })
			return state
		},
		Invite: func() string {
			text, _ := invitations.Open(time.Now())
			return text
		},
		Handler: func(at pair.Place) (http.Handler, io.Closer, error) {
			links := socket.NewServer(socket.Config{
				Link: func() link.Config { return p.answering(g) }, Invitations: invitations, Origins: at.Origins, Browsers: true, Tell: p.parted,
				Enter: func(r *http.Request, replica uuid.UUID) error {
					phone, _ := pair.From(r.Context())
					return desk.Phones().Bind(phone.ID, replica)
				},
			})
			laptops := socket.NewServer(socket.Config{Link: func() link.Config { return p.answering(g) }, Invitations: invitations, Tell: p.parted})
			phones := dated(web.New(web.Config{
				Site: site, Book: g.Book, Hosts: at.Hosts, Origins: at.Origins, Link: links, Gate: desk.Gate, Pair: desk.Phone(),
				Blobs: g.Blobs, Log: log,
			}), now)
			return forLaptops(desk, laptops, phones), closers{links, laptops}, nil
		},
	})
	return desk, err
}

// phones serves those that are paired, adds one if that is wished (page is where
// that goes on), and takes off
// the list whoever is struck off the garage's, until stop is called.
func (p *program) phones(desk *pair.Desk, g *garage.Garage, add bool, page string) (stop func()) {
	p.struckOff(desk, g)
	if err := desk.Resume(); err != nil {
		p.talk("note: no phone can reach this garage: %v", err)
	}
	if add {
		if err := desk.Add(desk.ByAddress()); err != nil {
			p.talk("note: no phone can be added: %v", err)
		} else {
			p.talk("to add a phone, open %s here", page)
		}
	}
	grew, end, over := make(chan struct{}, 1), make(chan struct{}), make(chan struct{})
	deaf := g.Book.Watch(grew)
	go func() {
		defer close(over)
		for {
			select {
			case <-grew:
				p.struckOff(desk, g)
			case <-end:
				return
			}
		}
	}()
	return func() { deaf(); close(end); <-over }
}

func (p *program) struckOff(desk *pair.Desk, g *garage.Garage) {
	off := map[uuid.UUID]bool{}
	phones := desk.Phones().List()
	g.Book.Read(func(l *model.Logbook) {
		for _, f := range phones {
			_, off[f.Replica] = l.Closed(f.Replica)
		}
	})
	n, err := desk.StruckOff(func(replica uuid.UUID) bool { return off[replica] })
	if err != nil {
		p.talk("note: %v", err)
	}
	if n > 0 {
		p.talk("note: phones that were struck off the list and can reach this garage no more: %d", n)
	}
}
