// Package garage is a garage's folder on disk: the logbook, and who this copy of
// it is.
//
// The folder is closed to other users and holds logbook.db and held.json (see
// [ampwright/server/bolt]) and device.json, mode 0600:
//
//	format   "ampwright-device/1"
//	replica  UUID of this copy
//	seed     base64, the 32 bytes its Ed25519 key is made from
//	device   what the device is called
//	person   who keeps it
//
// One program at a time has the folder open. Another one reaches the logbook
// through it, over loopback, if it serves: [Enter] goes whichever way is open.
package garage

import (
	"crypto/ed25519"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/server/bolt"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

const logbookFile = "logbook.db"

// Config is what opening a garage needs. Zero fields take the default named.
type Config struct {
	Now     func() time.Time // default time.Now
	Program string           // what others are told has the logbook open; default "ampwright"
	Device  string           // name of this device, for a new replica; default the host's
	Person  string           // who keeps it, for a new replica; default the user's name
}

func (c Config) withDefaults() Config {
	device, person := ownNames()
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Program == "" {
		c.Program = "ampwright"
	}
	if c.Device == "" {
		c.Device = device
	}
	if c.Person == "" {
		c.Person = person
	}
	return c
}

// A Garage is a garage folder that this process has open. It is safe for
// concurrent use.
type Garage struct {
	Book   *book.Book
	Device Device
	Notice string // what a person should hear about the opening; mostly ""
	store  *bolt.Store
}

// Here reports whether dir holds a logbook.
func Here(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, logbookFile))
	return err == nil
}

// Open opens the garage in dir, or makes one there. The error is a
// [*bolt.HeldError] if another process has it open.
func Open(dir string, cfg Config) (*Garage, error) {
	cfg = cfg.withDefaults()
	store, err := bolt.Open(dir, bolt.Config{Program: cfg.Program, Now: cfg.Now})
	if err != nil {
		return nil, err
	}
	g := &Garage{store: store} // the store's lock covers device.json too
	if err := g.identify(dir, cfg); err != nil {
		return nil, errors.Join(err, store.Close())
	}
	g.Book, err = book.Open(store, book.Config{
		Replica: g.Device.Replica, Key: g.Device.Key.Public().(ed25519.PublicKey), Device: g.Device.Name, Person: g.Device.Person,
		Now: cfg.Now, NewID: uuid.New, Plans: plan.Builtin,
	})
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	return g, nil
}

// identify takes up the identity kept in dir. A new one is made where there is
// none, and where the one there is must not write on: its chain is not in this
// logbook, or has more than one end, so a copy of it may be about.
func (g *Garage) identify(dir string, cfg Config) error {
	heads, err := g.store.Heads()
	if err != nil {
		return err
	}
	old, err := ReadDevice(dir)
	switch ends := len(heads[old.Replica]); {
	case errors.Is(err, fs.ErrNotExist):
		if len(heads) > 0 {
			g.Notice = deviceFile + " was missing"
		}
	case err != nil:
		return err
	case ends == 1:
		g.Device = old
		return nil
	case ends == 0:
		g.Notice = fmt.Sprintf("the logbook holds nothing of replica %s, which %s names", old.Replica, deviceFile)
		cfg.Device, cfg.Person = old.Name, old.Person
	default:
		g.Notice = fmt.Sprintf("replica %s has %d ends: this logbook was copied or restored", old.Replica, ends)
		cfg.Device, cfg.Person = old.Name, old.Person
	}
	if g.Device, err = newDevice(cfg.Device, cfg.Person, rand.Reader); err != nil {
		return err
	}
	if g.Notice != "" {
		g.Notice += ": this copy goes on as the new replica " + g.Device.Replica.String() + ", and what was written before stands as it was"
	}
	return g.Device.write(dir)
}

// Serving tells other processes that this one serves the garage at a loopback
// address, to whoever brings the token.
func (g *Garage) Serving(address, token string) error {
	return g.store.SetHolder(bolt.Holder{Address: address, Token: token})
}

// Do writes down what is wished, as [book.Book.Do] says.
func (g *Garage) Do(build uuid.UUID, w model.Wish, person string) (book.Outcome, error) {
	return g.Book.Do(build, w, person)
}

// Read calls f with the logbook, which f must not keep.
func (g *Garage) Read(f func(*model.Logbook) error) (err error) {
	g.Book.Read(func(l *model.Logbook) { err = f(l) })
	return err
}

// Import stores entries, all or none, and returns how many were new. Where they
// give this replica's own chain a second end, it was copied or restored: they
// are stored, and the error says that the garage must be opened again.
func (g *Garage) Import(raws [][]byte) (int, error) {
	n, err := g.Book.Add(raws)
	if err == nil {
		return n, nil
	}
	if heads, headsErr := g.store.Heads(); headsErr == nil && len(heads[g.Device.Replica]) > 1 {
		return n, fmt.Errorf("%w: the %d new entries are stored, but another copy of this replica is about; open the logbook again and this copy takes a new name", err, n)
	}
	return n, err
}

// Now returns the moment by the garage's clock.
func (g *Garage) Now() time.Time { return g.Book.Now() }

// Close lets go of the folder.
func (g *Garage) Close() error { return g.Book.Close() }
