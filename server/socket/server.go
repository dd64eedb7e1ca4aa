package socket

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"sync"
	"time"

	"ampwright/sync/link"
	"ampwright/sync/session"

	"github.com/google/uuid"
	"github.com/gorilla/websocket"
)

const (
	maxLinks  = 64 // at once
	maxDevice = 8  // of one replica
)

// Config is what a Server needs. Link is required.
type Config struct {
	// Link returns the config of the link to a side that has connected. The Server
	// sets the Secret and Admit of its session.
	Link func() link.Config

	Invitations *Invitations // default none, ever

	// Origins are the sites whose pages may open links: "http://localhost:7341".
	// What sends no Origin is no browser, and proves who it is by its key; so
	// does a page, but a foreign one shall not even ask.
	Origins []string

	// Browsers says that all who come are pages of Origins: what sends no Origin is
	// refused, and no more than 100 frames a second are read.
	Browsers bool

	// Enter hears which replica has been admitted by a request, and may refuse it.
	// The default lets all in.
	Enter func(r *http.Request, replica uuid.UUID) error

	Watch func(*link.Link)  // hears of every link that begins
	Tell  func(link.Report) // and of every one that is over
}

// A Server answers links. Close it before the logbook is closed.
type Server struct {
	cfg     Config
	ctx     context.Context
	cancel  context.CancelFunc
	upgrade websocket.Upgrader

	mu      sync.Mutex
	closed  bool
	links   sync.WaitGroup
	open    int
	devices map[uuid.UUID]int
}

// NewServer returns a Server that answers at [Path].
func NewServer(cfg Config) *Server {
	if cfg.Invitations == nil {
		cfg.Invitations = new(Invitations)
	}
	s := &Server{cfg: cfg, devices: map[uuid.UUID]int{}}
	s.ctx, s.cancel = context.WithCancel(context.Background())
	s.upgrade = websocket.Upgrader{
		HandshakeTimeout: dialTime,
		Subprotocols:     []string{Protocol},
		WriteBufferSize:  writeBuffer,
		WriteBufferPool:  pool,
		CheckOrigin: func(r *http.Request) bool {
			origins := r.Header["Origin"]
			return len(origins) == 0 && !cfg.Browsers || len(origins) == 1 && slices.Contains(cfg.Origins, origins[0])
		},
	}
	return s
}

// ServeHTTP makes a link of a request and runs it to its end, or to that of the
// request's context.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if !slices.Contains(websocket.Subprotocols(r), Protocol) {
		http.Error(w, "a websocket with the subprotocol "+Protocol+" is wanted here", http.StatusBadRequest)
		return
	}
	if !s.enter() {
		w.Header().Set("Retry-After", "30")
		http.Error(w, "there are too many links, or the server ends", http.StatusServiceUnavailable)
		return
	}
	defer s.leave()
	ws, err := s.upgrade.Upgrade(w, r, nil)
	if err != nil {
		return // it has answered
	}
	c := newConn(ws)
	if s.cfg.Browsers {
		c.pace = &pace{}
	}
	report := s.run(c, r)
	if s.cfg.Tell != nil {
		s.cfg.Tell(report)
	}
}

func (s *Server) enter() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed || s.open == maxLinks {
		return false
	}
	s.open++
	s.links.Add(1)
	return true
}

func (s *Server) leave() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.open--
	s.links.Done()
}

// run runs one link.
func (s *Server) run(c *conn, r *http.Request) link.Report {
	ctx, end := context.WithCancel(s.ctx)
	defer end()
	defer context.AfterFunc(r.Context(), end)()
	cfg, counted := s.cfg.Link(), uuid.Nil
	cfg.Session.Secret = s.cfg.Invitations.Secret(time.Now())
	cfg.Session.Admit = func(p session.Peer) error {
		if !p.Known && p.Was == uuid.Nil {
			if err := s.cfg.Invitations.Take(p, cfg.Session.Secret, time.Now()); err != nil {
				return err
			}
		}
		if s.cfg.Enter != nil {
			if err := s.cfg.Enter(r, p.Replica); err != nil {
				return err
			}
		}
		if err := s.count(p.Replica, 1); err != nil {
			return err
		}
		counted = p.Replica
		return nil
	}
	l, err := link.New(c, cfg)
	if err != nil {
		c.Close()
		return link.Report{Err: err}
	}
	if s.cfg.Watch != nil {
		s.cfg.Watch(l)
	}
	report := l.Run(ctx)
	if counted != uuid.Nil {
		s.count(counted, -1)
	}
	if p := report.Peer; p.Tried && !p.Known && !p.Invited {
		s.cfg.Invitations.Failed(cfg.Session.Secret)
	}
	return report
}

// count notes that a device has one link more, or less.
func (s *Server) count(replica uuid.UUID, by int) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := s.devices[replica] + by
	if n > maxDevice {
		return fmt.Errorf("%d links of this device stand already, at most %d are possible", maxDevice, maxDevice)
	}
	s.devices[replica] = n
	if n == 0 {
		delete(s.devices, replica)
	}
	return nil
}

// Close ends all links in order. It returns when they are over.
func (s *Server) Close() error {
	s.mu.Lock()
	s.closed = true
	s.mu.Unlock()
	s.cancel()
	over := make(chan struct{})
	go func() { s.links.Wait(); close(over) }()
	select {
	case <-over:
		return nil
	case <-time.After(closeTime):
		return errors.New("links did not end in time")
	}
}

const closeTime = 10 * time.Second
