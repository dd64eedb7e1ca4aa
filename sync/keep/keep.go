// Package keep says what a store of the logbook owes its callers, and holds the
// one that lives in memory. The others (a bbolt file on the laptop, IndexedDB on
// the phone) pass the same suite, [ampwright/sync/keep/keeptest].
package keep

import (
	"fmt"

	"ampwright/model"

	"github.com/google/uuid"
)

// A Log keeps the entries of one garage. It is safe for concurrent use. No
// method shows a position in the whole: entries are known by their names and
// chains by their heads, so no store needs to number what it holds.
type Log interface {
	// Append stores entries and seals, all or none, and returns once they are
	// durable.
	// Entries of one replica come in the order of their numbers; each must
	// follow an entry that is in the store or earlier in raws, else the error is
	// a [*GapError]. Entries that are already there are passed over. A second
	// entry under a name that is taken (a fork) is kept beside the first. The
	// store keeps no hold on raws.
	//
	// A seal must be of an entry that is in the store or in raws; the caller has
	// verified it. One of an entry that is sealed already is passed over.
	Append(raws [][]byte, seals ...model.Seal) error

	// Runs calls f with all that is stored, as runs (see [model.UnpackRun]):
	// every entry once and after the one before it. f may keep run, but must
	// not call the Log. An error of f ends the walk and is returned.
	Runs(f func(run []byte) error) error

	// Seals calls f with the seals by replica, number and name; a store may have
	// forgotten those that [Thin] names. f must not call the Log. An error of f
	// ends the walk and is returned.
	Seals(f func(model.Seal) error) error

	// Heads returns the last entries of every chain, in the order of their
	// numbers, then names: one each, more where a chain forks.
	Heads() (map[uuid.UUID][]model.Head, error)

	// Close lets go of the store. Nothing may be called after it.
	Close() error
}

// A LinkedLog is a Log that is spared reading entries to find their places.
type LinkedLog interface {
	Log

	// AppendLinked is Append with the entries' places as [model.LinkOf] returned
	// them.
	AppendLinked(raws [][]byte, links []model.Link, seals ...model.Seal) error
}

// A GapError says that an entry could not be stored because the one before it is
// not there.
type GapError struct {
	Link model.Link
}

func (e *GapError) Error() string {
	l := e.Link
	return fmt.Sprintf("entry %d of replica %s follows entry %d with the name %s, which is not here: want a chain without holes", l.Seq, l.Replica, l.Seq-1, l.Prev)
}
