package sim_test

import (
	"crypto/ed25519"
	"maps"
	"time"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
)

// A device is a computer with a copy of the logbook.
type device struct {
	n    int // which device; a clone is another
	name uuid.UUID
	key  ed25519.PrivateKey
	disk *disk
	fold *model.Logbook
	skew time.Duration // its clock minus the true time
	ends []*end        // its connections, oldest first
	old  []image       // old copies of its folder

	was     uuid.UUID            // the name before, if it had to take a new one
	vouch   []byte               // what that one's key says of this name
	renames bool                 // it must take a new name before it writes
	told    map[model.ID]bool    // what it has said to anyone, person or device, to have stored
	cursors map[int]model.Vector // by device: what a sabotage remembers
}

// An image is a copy of a device's folder, with the world's note of what the
// device had told by then.
type image struct {
	name uuid.UUID
	key  ed25519.PrivateKey
	disk *disk
	told map[model.ID]bool
}

func (d *device) image() image {
	return image{d.name, d.key, d.disk.copy(), maps.Clone(d.told)}
}

func (d *device) sign(message []byte) []byte { return ed25519.Sign(d.key, message) }

// live returns the device's open connections.
func (d *device) live() []*end {
	kept := d.ends[:0]
	for _, e := range d.ends {
		if !e.done {
			kept = append(kept, e)
		}
	}
	d.ends = kept
	return kept
}

// An end is one side of a connection: a session, and the frames on their way to
// it, in order.
type end struct {
	dev    *device
	peer   *end
	s      *session.Session
	in     [][]byte
	dials  bool
	credit int // bytes of entries that may be on their way here

	done     bool // no Step follows
	closing  bool // the other side has ended: done once all is read
	finishes bool // it is to end when all is exchanged
	theirs   int  // how many entries the other side had when that was asked for

	quiet   bool              // nothing was meddled with on this connection
	failed  bool              // a write of this session went wrong
	barred  bool              // the two have no invitation in common
	stalled int               // deliveries to let pass
	sent    map[model.ID]bool // entries, in a world that is strict
	greets  *greeting         // nil where both sides speak the same versions
	looked  int               // photos of the fold that were looked for
	anew    map[wire.Hash]bool
}

// A greeting is what passed when one side dialled that speaks other versions as
// well: its session, which knows one, has sent hello; spoken is what came.
type greeting struct {
	versions               []int64
	hello, spoken, welcome []byte
}
