package garage

import (
	"errors"
	"fmt"
	"time"

	"ampwright/model"
	"ampwright/server/bolt"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// A Home is where a logbook is open: in this process (a [*Garage]) or in
// another one on this computer (a [*Remote]).
type Home interface {
	// Do writes down what is wished; the entries are durable when it returns.
	Do(build uuid.UUID, w model.Wish, person string) (book.Outcome, error)

	// Read calls f with the logbook, which f must not keep.
	Read(f func(*model.Logbook) error) error

	// Import stores entries and their seals, which the caller has verified, all
	// or none, and returns how many entries were new.
	Import(raws [][]byte, seals ...model.Seal) (int, error)

	// Now returns the moment by the logbook's clock.
	Now() time.Time

	Close() error
}

var _, _ Home = (*Garage)(nil), (*Remote)(nil)

// A BusyError says that another process has the garage open and cannot be
// reached.
type BusyError struct {
	Held *bolt.HeldError
	Err  error // what came of the attempt to reach it; nil if it serves nobody
}

func (e *BusyError) Error() string {
	text := "the logbook is busy: " + e.Held.Error()
	if e.Err != nil {
		text += fmt.Sprintf("; %v", e.Err)
	}
	return text
}

func (e *BusyError) Unwrap() error { return e.Held }

// Enter opens the garage in dir, or reaches the process that has it open. The
// error is a [*BusyError], within about a second, if neither can be done.
func Enter(dir string, cfg Config) (Home, error) {
	g, err := Open(dir, cfg)
	if err == nil {
		return g, nil
	}
	var held *bolt.HeldError
	if !errors.As(err, &held) {
		return nil, err
	}
	if held.Holder.Address == "" {
		return nil, &BusyError{Held: held}
	}
	r, err := Attach(dir, cfg.withDefaults().Now().Location())
	if err != nil {
		return nil, &BusyError{held, err}
	}
	return r, nil
}
