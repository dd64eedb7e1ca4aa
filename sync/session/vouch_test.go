package session_test

import (
	"crypto/ed25519"
	"crypto/sha256"
	"testing"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// renamed gives a device another name, for which the one before vouches.
func (d *device) renamed(nth byte) {
	seed := sha256.Sum256([]byte{nth})
	was, old := d.name, d.key
	d.name, d.key = uuid.UUID{nth, 15: 1}, ed25519.NewKeyFromSeed(seed[:])
	d.cfg.Replica, d.cfg.Key = d.name, d.key.Public().(ed25519.PublicKey)
	d.write(&model.Replica{Key: d.cfg.Key, Device: d.cfg.Program, Person: "Robin", Was: was, Vouch: model.Vouch(was, old, d.name, d.cfg.Key)})
}

// A device that took new names with nobody about is let in for the one it had,
// whichever side dials.
func TestNewNameIsLetIn(t *testing.T) {
	for _, dials := range []bool{true, false} {
		a, b := known(t)
		old := a.name
		a.notes("written with nobody about ", 3)
		a.renamed(11)
		a.notes("and after that ", 2)
		a.renamed(12)
		p := &pair{t: t, a: b, b: a, now: start}
		if dials {
			p.a, p.b = a, b
		}
		p.open()
		p.requireSame()
		peer := of[session.Met](b)[0].Peer
		require.Equal(t, old, peer.Was)
		require.False(t, peer.Known || peer.Invited)
		p.open()
		require.True(t, of[session.Met](b)[0].Peer.Known, "now it is known by itself")
	}
}

// A copy of a device's folder has its key: one new name comes in for it, and none
// once the device was struck off.
func TestNewNameIsTurnedAway(t *testing.T) {
	turnedAway := func(a, b *device, why string) {
		t.Helper()
		dial(t, a, b)
		require.Equal(t, wire.CodeUnknown, ended(a).Code)
		require.Contains(t, ended(a).Text, "is not known here and shows no invitation that is open; "+why)
		require.False(t, b.log.Has(a.log.Vector()[a.name][0].ID))
	}
	t.Run("a copy of a device that took a new name", func(t *testing.T) {
		a, b := known(t)
		c := a.copy()
		a.renamed(11)
		c.renamed(12)
		dial(t, a, b).requireSame()
		turnedAway(c, b, "it continues replica 01000000-0000-0000-0000-000000000001, which replica 0b000000-0000-0000-0000-000000000001 continues already: there are two copies of that device")
		invited(b, c)
		dial(t, c, b).requireSame()
	})
	t.Run("struck off", func(t *testing.T) {
		a, b := known(t)
		a.renamed(11)
		a.renamed(12)
		b.write(&model.ReplicaClose{At: model.WhenOf(start), Replica: uuid.UUID{1, 15: 1}, Upto: b.log.Vector()[uuid.UUID{1, 15: 1}][0].ID, Reason: "stolen"})
		turnedAway(a, b, "it continues replica 01000000-0000-0000-0000-000000000001, which was struck off")
	})
	t.Run("another signature", func(t *testing.T) {
		a, b := known(t)
		seed := sha256.Sum256([]byte{11})
		was := a.name
		a.name, a.key = uuid.UUID{11, 15: 1}, ed25519.NewKeyFromSeed(seed[:])
		a.cfg.Replica, a.cfg.Key = a.name, a.key.Public().(ed25519.PublicKey)
		a.write(&model.Replica{Key: a.cfg.Key, Was: was, Vouch: model.Vouch(was, a.key, a.name, a.cfg.Key)})
		turnedAway(a, b, "it continues replica 01000000-0000-0000-0000-000000000001, which is known here under another key")
	})
	t.Run("a line of strangers", func(t *testing.T) {
		_, b := known(t)
		c := newDevice(t, 3)
		c.renamed(13)
		turnedAway(c, b, "it continues none that is known here")
	})
}
