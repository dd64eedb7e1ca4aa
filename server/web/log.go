package web

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"
)

// Refusals are what is sent away before any page is asked for.
type refusals struct{ log *slog.Logger }

// note logs that a request was refused for its host, its origin, its site or its
// token, and from which address. Nothing of the request itself is logged: a stranger
// chose its words, and a token may be among them.
func (no refusals) note(r *http.Request, what string) { NoteRefusal(no.log, r, what) }

// NoteRefusal is that for what stands behind this package: what is a fixed word.
func NoteRefusal(log *slog.Logger, r *http.Request, what string) {
	if log == nil {
		return
	}
	from, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		from = "unknown"
	}
	log.Warn("refused", "for", what, "from", from)
}

// sites guards against pages of other sites (net/http's own protection), with its
// refusals noted.
func (no refusals) sites() *http.CrossOriginProtection {
	guard := http.NewCrossOriginProtection()
	guard.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		no.note(r, "site")
		http.Error(w, "another site's page may send nothing here", http.StatusForbidden)
	}))
	return guard
}

// perMinute is how many lines of warning a log takes in a minute.
const perMinute = 30

// A sparing handler lets through so many warnings a minute, so that no stranger
// fills a disk; how many were left out stands on the first after them.
type sparing struct {
	slog.Handler
	now   func() time.Time
	state *spared
}

type spared struct {
	mu      sync.Mutex
	minute  int64
	lines   int
	leftOut int
}

// Sparing returns a log that writes by h, at most 30 warnings a minute.
func Sparing(h slog.Handler, now func() time.Time) *slog.Logger {
	return slog.New(&sparing{h, now, new(spared)})
}

// Handle writes a record, if there is room in this minute.
func (s *sparing) Handle(ctx context.Context, r slog.Record) error {
	if r.Level >= slog.LevelWarn {
		s.state.mu.Lock()
		defer s.state.mu.Unlock()
		if m := s.now().Unix() / 60; m != s.state.minute {
			s.state.minute, s.state.lines = m, 0
		}
		if s.state.lines++; s.state.lines > perMinute {
			s.state.leftOut++
			return nil
		}
		if s.state.leftOut > 0 {
			r.AddAttrs(slog.Int("left out before", s.state.leftOut))
			s.state.leftOut = 0
		}
	}
	return s.Handler.Handle(ctx, r)
}
