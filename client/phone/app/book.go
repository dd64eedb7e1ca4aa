package app

import (
	"cmp"
	"errors"
	"slices"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/ahead"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
)

// A Store is a log that several tabs share, see ampwright/client/phone/idb.
type Store interface {
	keep.Log

	// Hold calls f while no other tab is in a Hold.
	Hold(f func() error) error

	// News returns the runs and seals that other tabs have written since the last
	// call. Some of it may have been there before.
	News() ([][]byte, []model.Seal, error)
}

// A shared is a book of which every tab has one, over one store.
type shared struct {
	*book.Book
	writer string // who writes, if it is not who kept the device at first
	store  Store
	failed error // of the last Do, if it was not the person's fault
	other  error // why this tab can't go on, since another one did something

	soon   uuid.UUID          // the build whose forecast the last page did without
	lacked bool               // that page is the one that shows
	looked map[uuid.UUID]bool // builds whose forecast was asked for since the start
	made   int                // forecasts made by makeSoon
}

var errRenamed = errors.New("in another tab this device has taken a new name: load this page again")

// Person returns who writes here.
func (s *shared) Person() string { return cmp.Or(s.writer, s.Book.Person()) }

// Outlook returns the forecast of a build. Where it is asked for the first time it
// says [pages.ErrLater], once: to work it out of nothing takes longer than all the
// rest of the first page, and makeSoon does it.
func (s *shared) Outlook(id uuid.UUID) (*ahead.Outlook, error) {
	if !s.looked[id] {
		s.soon, s.looked[id], s.lacked = id, true, true
		return nil, pages.ErrLater
	}
	s.soon = uuid.Nil
	return s.Book.Outlook(id)
}

// makeSoon works out the forecast that was put off. What goes wrong is said where
// the page is asked for again.
func (s *shared) makeSoon() {
	defer func() { recover() }()
	if s.soon == uuid.Nil {
		return
	}
	s.made++
	s.Outlook(s.soon)
}

// Do writes down what is wished when it is this tab's turn, on all that the
// others wrote before.
func (s *shared) Do(build uuid.UUID, w model.Wish, person string) (out book.Outcome, err error) {
	err = s.store.Hold(func() error {
		if _, err := s.catchUp(); err != nil {
			return err
		}
		out, err = s.Book.Do(build, w, cmp.Or(person, s.writer))
		return err
	})
	s.failed = nil
	if err != nil && !errors.As(err, new(*model.WishError)) && !errors.Is(err, model.ErrNoBuild) {
		s.failed = err
	}
	return out, err
}

// add stores entries of other replicas when it is this tab's turn.
func (s *shared) add(raws [][]byte, seals ...model.Seal) (n int, err error) {
	err = s.store.Hold(func() error {
		if _, err := s.catchUp(); err != nil {
			return err
		}
		n, err = s.Book.Add(raws, seals...)
		return err
	})
	return n, err
}

// rename goes on under a new name.
func (s *shared) rename(why string) error {
	return s.store.Hold(func() error {
		if _, err := s.catchUp(); err != nil {
			return err
		}
		return s.Book.Become(why)
	})
}

// catchUp folds in what other tabs have written, and returns how many entries
// that was.
func (s *shared) catchUp() (int, error) {
	if s.other != nil {
		return 0, s.other
	}
	runs, seals, err := s.store.News()
	if err != nil || len(runs)+len(seals) == 0 {
		return 0, err
	}
	var raws [][]byte
	for _, run := range runs {
		err := model.UnpackRun(run, func(raw string, _ model.ID) error {
			raws = append(raws, []byte(raw))
			return nil
		})
		if err != nil {
			return 0, err
		}
	}
	n, err := s.Book.Follow(raws, seals...)
	if err != nil || n == 0 {
		return n, err
	}
	s.Book.Read(func(l *model.Logbook) {
		_, devices := l.Garage()
		if slices.ContainsFunc(devices, func(d model.Device) bool { return d.Was == s.Book.Replica() }) {
			s.other = errRenamed
		}
	})
	return n, s.other
}
