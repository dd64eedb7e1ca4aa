package session

import (
	"crypto/ed25519"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
)

// Config is what a Session needs. Replica, Key, Sign and Nonce are required.
type Config struct {
	Replica uuid.UUID
	Key     ed25519.PublicKey
	Sign    func(message []byte) []byte // with the private half of Key
	Nonce   [32]byte                    // random, used for one session only
	Dials   bool                        // this side opened the connection

	Program string // name and version, shown to the other side
	Secret  []byte // of the invitation that is open or was taken up: at least 16 bytes; nil for none

	// Admit says whether a peer may come in whose key is proven. It is asked
	// after the session's own rule: the logbook knows the peer under this key,
	// or the one it continues, or the peer knows the Secret. The error is told to the peer's person. Nil
	// admits all.
	Admit func(Peer) error

	Credit int // bytes of entries and blobs that may be on their way here; 0 for 1 MiB, at least 512 KiB
}

// A Log is what a session asks of the logbook; [*model.Logbook] is one. It must
// not change while a Step runs. The maps it returns are the session's to change.
type Log interface {
	Vector() model.Vector
	Has(model.ID) bool
	Missing(have model.Vector, max int) (portions []model.Portion, rest bool)
	Ladder(replica uuid.UUID) []model.Head
	KeyOf(replica uuid.UUID) (ed25519.PublicKey, bool)
	Digest() uint64
	Vouchers(replica uuid.UUID) []model.Voucher
	Introduced(replica uuid.UUID, key ed25519.PublicKey, line []model.Voucher) (uuid.UUID, error)
}

// A Peer is what is known of the other side.
type Peer struct {
	Replica uuid.UUID
	Key     ed25519.PublicKey
	Program string
	Known   bool      // the logbook has the replica under this key
	Invited bool      // it knows the Secret
	Was     uuid.UUID // the replica known here that it continues, if that lets it in; else zero
	Tried   bool      // it has shown that it knows one, ours or not

	Vector   model.Vector  // what it has told or confirmed to hold
	Took     int           // entries it has confirmed to hold since the session began
	InFlight int           // batches sent and not yet answered
	Offset   time.Duration // its clock minus ours
	Seen     time.Time     // when its last frame came
}

var _ Log = (*model.Logbook)(nil)
