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
//	was      UUID of the replica it continues, where it took a new name
//	vouch    base64, what that one signed of it, where its key was still here
//	mark     32 hexadecimal digits, which logbook.db holds too
//
// A replica's entries are numbered, so no two copies may write under one name.
// Whose mark differs from the logbook's takes a new name at the opening: one of
// the two files was made anew or brought from elsewhere, or the name was given
// up since. A folder copied whole, or one whose logbook.db was set back to an
// earlier copy of itself, cannot be told by its mark; where it meets the entries
// it lacks, it takes a new name then ([Garage.Rename]).
//
// Beside them stand the folder blobs (see [ampwright/server/blobs]); peers.json,
// what other devices were last heard to hold; and daily.json, where a backup is
// made each day ([Daily]), if that was asked for.
//
// One program at a time has the folder open. Another one reaches the logbook
// through it, over loopback, if it serves: [Enter] goes whichever way is open.
package garage

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"time"

	"ampwright/model"
	"ampwright/model/plan"
	"ampwright/server/blobs"
	"ampwright/server/bolt"
	"ampwright/sync/book"
	"ampwright/sync/peers"

	"github.com/google/uuid"
)

const logbookFile = "logbook.db"

// Config is what opening a garage needs. Zero fields take the default named.
type Config struct {
	Now     func() time.Time // default time.Now
	Program string           // what others are told has the logbook open; default "ampwright"
	Device  string           // name of this device, for a new replica; default the host's
	Person  string           // who keeps it, for a new replica; default the user's name
	Was     uuid.UUID        // the replica that a new one continues; default none
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
	Blobs  *blobs.Store
	Notice string // what a person should hear about the opening; mostly ""
	dir    string
	store  *bolt.Store

	mu      sync.Mutex
	device  Device
	renamed string // what a person should hear about a new name taken since

	peers        *peers.Peers
	peersWriting sync.Mutex
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
	g := &Garage{dir: dir, store: store, Blobs: blobs.In(dir), peers: ReadPeers(dir)} // the store's lock covers the other files too
	if err := g.identify(cfg); err != nil {
		return nil, errors.Join(err, store.Close())
	}
	g.Blobs.Sweep() // what it cannot remove is in nobody's way
	d := g.device
	g.Book, err = book.Open(store, book.Config{
		Replica: d.Replica, Key: d.public(), Was: d.Was, Device: d.Name, Person: d.Person,
		Sign: g.sign, Renew: g.renew, Vouch: g.vouch, Now: cfg.Now, NewID: uuid.New, Plans: plan.Builtin, ReadPlan: plan.Load,
	})
	if err != nil {
		return nil, errors.Join(err, store.Close())
	}
	g.Notice, g.renamed = g.renamed, ""
	return g, nil
}

// identify takes up the identity kept in the folder, or a new one where there is
// none or the one there is must not write on.
func (g *Garage) identify(cfg Config) error {
	heads, err := g.store.Heads()
	if err != nil {
		return err
	}
	old, err := ReadDevice(g.dir)
	if errors.Is(err, fs.ErrNotExist) {
		g.device = Device{Replica: cfg.Was, Name: cfg.Device, Person: cfg.Person}
		why := ""
		if len(heads) > 0 {
			why = deviceFile + " was missing"
		}
		_, _, err = g.renew(why)
		return err
	}
	if err != nil {
		return err
	}
	g.device = old
	marked, ends := old.Mark == g.store.Mark(), len(heads[old.Replica])
	switch {
	case marked && ends < 2: // none: it has not written its opening entry yet
		return nil
	case ends == 0:
		_, _, err = g.renew(fmt.Sprintf("the logbook holds nothing of replica %s, which %s names", old.Replica, deviceFile))
	case ends > 1:
		_, _, err = g.renew(fmt.Sprintf("replica %s has %d ends: this logbook was copied or restored", old.Replica, ends))
	default:
		_, _, err = g.renew(fmt.Sprintf("%s and %s do not belong together: one of them was put back or came from elsewhere", deviceFile, logbookFile))
	}
	return err
}

// renew keeps a new identity in the folder, durably. A crash before its opening
// entry is written leaves that to the next opening.
func (g *Garage) renew(why string) (uuid.UUID, []byte, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	d, err := g.device.renamed()
	if err != nil {
		return uuid.Nil, nil, err
	}
	// First the mark: from now on the old device.json does not open this
	// logbook under its name.
	if d.Mark, err = g.store.Remark(); err != nil {
		return uuid.Nil, nil, err
	}
	if err := d.write(g.dir); err != nil {
		return uuid.Nil, nil, err
	}
	g.device = d
	if why != "" {
		g.renamed = fmt.Sprintf("%s: this copy goes on as the new replica %s, and what was written before stands as it was", why, d.Replica)
	}
	return d.Replica, d.public(), nil
}

// sign signs with the key of the name that the garage writes under now.
func (g *Garage) sign(message []byte) []byte {
	g.mu.Lock()
	defer g.mu.Unlock()
	return ed25519.Sign(g.device.Key, message)
}

// vouch returns what the replica before says of the one that is written under now.
func (g *Garage) vouch() []byte {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.device.Vouch
}

// Rename makes this copy go on under a new replica name, for the reason why:
// another copy of it is about, say. The new identity is durable before its
// opening entry is, and both are when Rename returns. What is written at the
// same time stands under the old name or the new one.
func (g *Garage) Rename(why string) error { return g.Book.Become(why) }

// Renamed returns what a person should hear about a new name taken since the
// opening; "" if none was.
func (g *Garage) Renamed() string {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.renamed
}

// Device returns the identity that the garage writes under now.
func (g *Garage) Device() Device {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.device
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

// Import stores entries and their seals, which the caller has verified, all or
// none, and returns how many entries were new. Where they show that another copy
// of this replica is about, this one takes a new name.
func (g *Garage) Import(raws [][]byte, seals ...model.Seal) (int, error) {
	return g.Book.Add(raws, seals...)
}

// Now returns the moment by the garage's clock.
func (g *Garage) Now() time.Time { return g.Book.Now() }

// Close lets go of the folder.
func (g *Garage) Close() error { return g.Book.Close() }
