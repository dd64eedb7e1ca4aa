package book_test

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"testing"

	"ampwright/model"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func keyNo(n byte) ed25519.PrivateKey { return ed25519.NewKeyFromSeed(append(make([]byte, 31), n)) }

func public(k ed25519.PrivateKey) ed25519.PublicKey { return k.Public().(ed25519.PublicKey) }

// sealing is the config of a replica that seals, and takes the name and key
// given when it must take another.
func sealing(key *ed25519.PrivateKey, next uuid.UUID, nextKey ed25519.PrivateKey) book.Config {
	cfg := config()
	cfg.Key = public(*key)
	cfg.Sign = func(m []byte) []byte { return ed25519.Sign(*key, m) }
	cfg.Renew = func(string) (uuid.UUID, []byte, error) {
		*key = nextKey
		return next, public(nextKey), nil
	}
	return cfg
}

// requireSealed requires that the store and the fold have a good seal of a
// replica's last entry, and that all its entries can be passed on.
func requireSealed(t *testing.T, b *book.Book, log keep.Log, replica uuid.UUID) {
	t.Helper()
	b.Read(func(l *model.Logbook) {
		key, ok := l.KeyOf(replica)
		require.True(t, ok)
		heads := l.Vector()[replica]
		require.Len(t, heads, 1)
		seals := l.Seals(replica)
		require.NotEmpty(t, seals)
		last := seals[len(seals)-1]
		require.Equal(t, heads[0], last.Head)
		stored := map[model.Head]bool{}
		require.NoError(t, log.Seals(func(s model.Seal) error { stored[s.Head] = true; return nil }))
		for _, s := range seals {
			require.True(t, s.Verify(key))
			require.True(t, stored[s.Head])
		}
		n := uint64(0)
		portions, _ := l.Missing(nil, 1<<30)
		for _, p := range portions {
			if p.Seal.Replica == replica {
				n += uint64(len(p.Raws))
			}
		}
		require.Equal(t, heads[0].Seq, n)
	})
}

// Every commit is sealed, also under a new name, and stays so when the book is
// opened again.
func TestCommitsAreSealed(t *testing.T) {
	log := keep.NewMemory()
	key, second := keyNo(1), uuid.UUID{15: 2}
	cfg := sealing(&key, second, keyNo(2))
	b, err := book.Open(log, cfg)
	require.NoError(t, err)
	requireSealed(t, b, log, laptop)
	id := start(t, b)
	requireSealed(t, b, log, laptop)
	_, err = b.Write(make([]model.Draft, 0))
	require.NoError(t, err)
	drafts := make([]model.Draft, 700)
	for i := range drafts {
		drafts[i] = model.Draft{Build: id, Body: &model.Note{Text: fmt.Sprint(i)}}
	}
	_, err = b.Write(drafts)
	require.NoError(t, err)
	requireSealed(t, b, log, laptop)
	seals := 0
	require.NoError(t, log.Seals(func(model.Seal) error { seals++; return nil }))
	require.Equal(t, 2+3, seals, "of the opening, the start, and 256, 512 and 700 notes")

	require.NoError(t, b.Become("a test"))
	_, err = b.Do(id, wish("note", "text", "seen"), "")
	require.NoError(t, err)
	requireSealed(t, b, log, laptop)
	requireSealed(t, b, log, second)

	cfg.Replica, cfg.Key = second, public(key)
	b, err = book.Open(log, cfg)
	require.NoError(t, err)
	requireSealed(t, b, log, laptop)
	requireSealed(t, b, log, second)
}

// What a replica wrote before there were seals is sealed when it is opened.
func TestOldEntriesAreSealed(t *testing.T) {
	log := keep.NewMemory()
	key := keyNo(1)
	cfg := sealing(&key, uuid.UUID{15: 2}, keyNo(2))
	sign := cfg.Sign
	cfg.Sign = nil
	b, err := book.Open(log, cfg)
	require.NoError(t, err)
	id := start(t, b)
	for range 600 {
		_, err = b.Write([]model.Draft{{Build: id, Body: &model.Note{Text: "seen"}}})
		require.NoError(t, err)
	}
	require.NoError(t, log.Seals(func(model.Seal) error { return errors.New("sealed") }))

	cfg.Sign = sign
	b, err = book.Open(log, cfg)
	require.NoError(t, err)
	requireSealed(t, b, log, laptop)
	var at []uint64
	require.NoError(t, log.Seals(func(s model.Seal) error { at = append(at, s.Head.Seq); return nil }))
	require.Equal(t, []uint64{256, 512}, at[:2])
	require.Len(t, at, 3)
	require.Equal(t, laptop, b.Replica())
}

// A replica whose chain begins with another key cannot seal it, and takes a new
// name.
func TestAnotherKey(t *testing.T) {
	log := keep.NewMemory()
	key, second := keyNo(1), uuid.UUID{15: 2}
	_, err := book.Open(log, sealing(&key, second, keyNo(2)))
	require.NoError(t, err)
	key = keyNo(3)
	b, err := book.Open(log, sealing(&key, second, keyNo(2)))
	require.NoError(t, err)
	require.Equal(t, second, b.Replica())
	requireSealed(t, b, log, second)
}

// Entries of others bring their seals, or get them later; one of an entry that
// is not there is refused with all that came with it.
func TestAddSeals(t *testing.T) {
	theirs := keep.NewMemory()
	key := keyNo(1)
	phone := sealing(&key, uuid.UUID{15: 9}, keyNo(9))
	phone.Replica = uuid.UUID{15: 3}
	p, err := book.Open(theirs, phone)
	require.NoError(t, err)
	start(t, p)
	var raws [][]byte
	var seals []model.Seal
	p.Read(func(l *model.Logbook) {
		require.NoError(t, l.All(func(raw []byte) error { raws = append(raws, raw); return nil }))
		seals = l.Seals(phone.Replica)
	})

	log := keep.NewMemory()
	b := open(t, log)
	_, err = b.Add(raws[:1], seals...)
	require.ErrorContains(t, err, "want one of an entry that is here")
	b.Read(func(l *model.Logbook) { require.Equal(t, 1, l.Len()) })
	n, err := b.Add(raws)
	require.NoError(t, err)
	require.Equal(t, len(raws), n)
	n, err = b.Add(raws, seals...)
	require.NoError(t, err)
	require.Zero(t, n)
	requireSealed(t, b, log, phone.Replica)
	b = open(t, log)
	requireSealed(t, b, log, phone.Replica)
}

// BenchmarkWrite writes single entries to a store in memory, with and without a
// seal, and signs alone.
func BenchmarkWrite(b *testing.B) {
	key := keyNo(1)
	cfg := sealing(&key, uuid.UUID{15: 2}, keyNo(2))
	sign := cfg.Sign
	draft := []model.Draft{{Body: &model.Note{Text: "checked once more"}}}
	for _, sealed := range []bool{false, true} {
		b.Run(map[bool]string{false: "bare", true: "sealed"}[sealed], func(b *testing.B) {
			cfg.Sign = nil
			if sealed {
				cfg.Sign = sign
			}
			book, err := book.Open(keep.NewMemory(), cfg)
			require.NoError(b, err)
			for b.Loop() {
				if _, err := book.Write(draft); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("signature", func(b *testing.B) {
		for b.Loop() {
			sign(make([]byte, 56))
		}
	})
}
