package wire

import (
	"time"

	"ampwright/model"

	"github.com/google/uuid"
)

// Version is the number of the protocol described here.
const Version = 1

// A Hash names a blob: the SHA-256 of its bytes.
type Hash [32]byte

// A Message is what one frame holds: a pointer to one of the types below.
type Message interface {
	kind() int64
	limit() int // bytes of its frame
	fields(*codec)
}

type (
	// A Greeting is how a side introduces itself.
	Greeting struct {
		Versions []int64 // of the protocol; in a welcome the one chosen
		Replica  uuid.UUID
		Key      []byte          // Ed25519
		Nonce    []byte          // 32 bytes
		Wall     int64           // its clock, ms since 1970
		Credit   int64           // bytes of entries and parts it takes before it grants more
		Program  string          // for people
		Line     []model.Voucher // who vouches for the name, see [model.Logbook.Vouchers]
	}

	// Hello is the first frame, from the side that dialled.
	Hello struct{ Greeting }

	// Welcome is the answer to Hello.
	Welcome struct{ Greeting }

	// Prove shows that a side holds its private key and, with Mac, that it knows
	// the secret of an invitation.
	Prove struct {
		Sig []byte // Ed25519 over the statement
		Mac []byte // HMAC-SHA256 of the statement, or nothing
	}

	// Have says what a side holds.
	Have struct {
		Schema int64
		Digest uint64
		Vector model.Vector
	}

	// Entries are portions of chains, at most one of each branch.
	Entries struct {
		Batch    uint64 // 1, 2, 3, ... on this connection
		Portions []model.Portion
	}

	// Kept answers Entries: these heads are durable. A chain of the batch that is
	// not among them was named by Held before.
	Kept struct {
		Batch uint64
		Heads model.Vector
	}

	// Held says that entries of a batch were not taken: those of a replica from
	// number Seq on. With no replica, it answers the batch in place of Kept:
	// nothing was.
	Held struct {
		Batch   uint64
		Replica uuid.UUID
		Seq     uint64
		Reason  Reason
	}

	// Ladder is some entries of a chain, for the other side to find the highest
	// that both have.
	Ladder struct {
		Replica uuid.UUID
		Rungs   []model.Head
	}

	// BlobHave says that a side holds a blob whole.
	BlobHave struct{ Hash Hash }

	// BlobWant asks for at most Max bytes of a blob.
	BlobWant struct {
		Hash   Hash
		Offset int64
		Max    int64
	}

	// BlobPart answers BlobWant. A Size of 0 says that the blob is not here.
	BlobPart struct {
		Hash   Hash
		Offset int64
		Size   int64 // of the whole
		Bytes  []byte
	}

	// Credit grants more bytes of entries and parts.
	Credit struct{ Bytes int64 }

	// Beat asks for a BeatOK with the same number.
	Beat struct{ Number, Wall int64 }

	// BeatOK answers Beat.
	BeatOK struct{ Number, Wall int64 }

	// Bye is the last frame of a side.
	Bye struct {
		Code  Code
		Text  string // for people
		Retry time.Duration
	}

	// Unknown is a frame of a later version that may be passed over.
	Unknown struct{ Kind int64 }
)

// A Code says why a session ended.
type Code int64

// Codes.
const (
	CodeStopped  Code = 1 + iota // one side ends it in order
	CodeProtocol                 // a frame that makes no sense, or not here
	CodeVersion                  // no common version
	CodeUnknown                  // the peer is not known and has no invitation
	CodeKey                      // the peer's name is known under another key
	CodeProof                    // the peer did not prove its key
	CodeRefused                  // the peer is not admitted
	CodeTimeout                  // nothing came in time
	CodeBusy                     // try again later
)

// A Reason says why entries were not taken.
type Reason int64

// Reasons.
const (
	ReasonGap  Reason = 1 + iota // the entry before them is not there
	ReasonFork                   // the chain would have more than MaxHeads ends
	ReasonSeal                   // the seal is wrong, or the name is taken by another key
	ReasonFull                   // they could not be stored
)

func (r Reason) String() string {
	switch r {
	case ReasonGap:
		return "the entry before them is not there"
	case ReasonFork:
		return "the chain has too many branches"
	case ReasonSeal:
		return "the seal does not fit the replica's key"
	case ReasonFull:
		return "they could not be stored"
	}
	return "a reason this version does not know"
}

// Limits of frames and of what is in them.
const (
	MaxFrame = 256 << 10 // bytes of any frame
	MaxHeads = 8         // of one replica
	MaxRungs = 320       // of a ladder
	MaxNames = 1024      // replicas in a vector
	MaxPart  = 64 << 10  // bytes of a blob in one frame
	MaxBlob  = 12 << 20  // bytes of a blob

	MaxProgram = 256 // bytes of what a greeting says of the program
	MaxText    = 512 // bytes of the text of a Bye
	MaxRetry   = 24 * time.Hour
)
