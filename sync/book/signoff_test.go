package book_test

import (
	"crypto/ed25519"
	"errors"
	"testing"

	"ampwright/model"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
)

// A device with a key for sign-offs signs them in the same commit; where the key
// cannot be used nothing is written.
func TestSignOff(t *testing.T) {
	key := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	broken := error(nil)
	cfg := config()
	cfg.SignOff = &model.SignOffKey{Alg: model.EdDSA, Key: key.Public().(ed25519.PublicKey), Sign: func(m []byte) ([]byte, error) {
		return ed25519.Sign(key, m), broken
	}}
	b, err := book.Open(keep.NewMemory(), cfg)
	require.NoError(t, err)
	id := start(t, b)
	_, err = b.Do(id, wish("read", "check", "pedal-returns", "value", "yes"), "")
	require.NoError(t, err)
	for _, who := range []string{"", "Ina"} {
		out, err := b.Do(id, wish("release", "point", "pedal-returns"), who)
		require.NoError(t, err)
		require.Len(t, out.Entries, 2)
		build, err := b.Build(id)
		require.NoError(t, err)
		r := build.Releases[len(build.Releases)-1]
		require.Empty(t, r.Changed)
		require.Equal(t, out.Entries[0], r.Signed.Of)
		require.Equal(t, out.Entries[1], r.Signed.ID)
	}

	broken = errors.New("it is gone")
	before := entries(b)
	_, err = b.Do(id, wish("release", "point", "pedal-returns"), "")
	require.EqualError(t, err, "nothing was written: the key for sign-offs of this device cannot be used: it is gone")
	require.Equal(t, before, entries(b))
	_, err = b.Do(id, wish("note", "text", "anything else is written as ever"), "")
	require.NoError(t, err)
}

func entries(b *book.Book) (n int) {
	b.Read(func(l *model.Logbook) { n = l.Len() })
	return n
}
