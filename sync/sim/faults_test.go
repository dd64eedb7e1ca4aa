package sim_test

// A fault is harm that the scheduler can do: in a step of its own, see chances,
// or where there is an occasion, see weight.
type fault int

const (
	cutLink      fault = iota // a connection ends, frames on their way are lost
	cutMidBatch               // the same while entries were on their way
	dropFrame                 // one frame is lost, the connection goes on
	repeatFrame               // one frame comes twice
	corruptFrame              // one bit of a frame is flipped
	lateFrame                 // a frame of an earlier connection of the two comes in this one
	stallLink                 // nothing moves on a connection for a while
	strangeFrame              // a frame of a kind from a later version
	otherVersion              // one side speaks other protocol numbers as well
	wrongVersion              // one side speaks only other protocol numbers
	badSecret                 // an invitation with the wrong secret
	fullDisk                  // a write fails, nothing of it is stored
	crashIdle                 // a device loses what it had in memory
	crashBefore               // a device dies before a local write is stored
	crashAfter                // a device dies once a local write is stored, before anyone is told
	unsyncedLoss              // a crash loses writes that were not finished
	unsyncedKept              // a crash keeps a write that was not finished, nobody was told
	clockJump                 // a clock is moved by up to some days, either way
	cloneDevice               // a copy of a device, with its name and key, goes on beside it
	restoreNew                // a device is set back to an old copy and takes a new name
	restoreOld                // an old copy of the folder comes back with its name
	closeDevice               // a device is struck off
	unknownKind               // an entry of a kind from a newer version
	largeCommit               // a commit of several hundred entries
	faultCount
)

var faultNames = [faultCount]string{
	"cut", "cut mid batch", "frame lost", "frame twice", "bit flipped", "late frame", "stall", "strange frame",
	"other version too", "other version only", "wrong secret", "disk full", "crash", "crash before commit",
	"crash after commit", "unsynced lost", "unsynced kept", "clock jump", "clone", "restore, new name",
	"restore, old name", "device struck off", "unknown kind", "large commit",
}
