package bolt

import (
	"crypto/ed25519"
	"path/filepath"
	"slices"
	"testing"

	"ampwright/model"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"
)

// A writer is a replica that seals what it writes.
type writer struct {
	pen model.Pen
	key ed25519.PrivateKey
}

func newWriter(n byte) *writer {
	return &writer{model.Pen{Replica: uuid.UUID{n, 15: 1}}, ed25519.NewKeyFromSeed(append(make([]byte, 31), n))}
}

// write returns a commit of n entries and its seals. The first entry of a writer
// opens its chain.
func (w *writer) write(t testing.TB, n int) ([][]byte, []model.Seal) {
	drafts := make([]model.Draft, n)
	for i := range drafts {
		drafts[i].Body = &model.Note{Text: "checked once more"}
	}
	if w.pen.Head.Seq == 0 {
		drafts[0].Body = &model.Replica{Key: w.key.Public().(ed25519.PublicKey)}
	}
	raws, err := w.pen.Write(drafts, 1_780_000_000_000<<16)
	require.NoError(t, err)
	seals, err := model.SealCommit(raws, func(m []byte) []byte { return ed25519.Sign(w.key, m) })
	require.NoError(t, err)
	return raws, seals
}

// sealedBook makes a closed logbook of two sealed chains, packed and loose, and
// returns its entries and those of its seals that are left.
func sealedBook(t testing.TB) (dir string, raws [][]byte, seals []model.Seal) {
	dir = t.TempDir()
	s := open(t, dir)
	for i, w := range []*writer{newWriter(1), newWriter(2)} {
		for range 40 - 28*i { // loose runs that few are not packed at Close
			more, fresh := w.write(t, 10*(i+1))
			require.NoError(t, s.Append(more, fresh...))
			raws = append(raws, more...)
		}
		if i == 0 {
			require.NoError(t, s.Pack())
		}
	}
	seals = sealsIn(t, s)
	require.Len(t, seals, 2+12, "one of the first window and the last; all that are loose")
	require.NoError(t, s.Close())
	return dir, raws, seals
}

func sealsIn(t testing.TB, s *Store) (seals []model.Seal) {
	require.NoError(t, s.Seals(func(seal model.Seal) error { seals = append(seals, seal); return nil }))
	return seals
}

// A file from before there were seals opens, gets a place for them and is whole
// before and after.
func TestSchemaOne(t *testing.T) {
	for _, cut := range []string{"whole", "bloated"} {
		t.Run(cut, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, dataFile)
			s := open(t, dir)
			w := newWriter(1)
			raws, seals := w.write(t, 30)
			require.NoError(t, s.Append(raws))
			require.NoError(t, s.Close())
			edit(t, path, func(tx *bbolt.Tx) error {
				require.NoError(t, tx.DeleteBucket(sealsBucket))
				return tx.Bucket(aboutBucket).Put(schemaKey, []byte("1"))
			})
			if cut == "bloated" {
				bloat(t, path)
			}
			r := requireWhole(t, dir)
			require.Equal(t, 1, r.Schema)
			require.Equal(t, 30, r.Entries)

			s = open(t, dir)
			require.Empty(t, sealsIn(t, s))
			require.Len(t, names(t, s), 30)
			require.NoError(t, s.Append(nil, seals...))
			require.NoError(t, s.Close())
			r = requireWhole(t, dir)
			require.Equal(t, []int{2, 30, 1}, []int{r.Schema, r.Entries, r.Seals})
		})
	}
}

// Verify says which seal is of no entry, or of another key, or gone.
func TestReportOfSeals(t *testing.T) {
	dir, _, seals := sealedBook(t)
	path := filepath.Join(dir, dataFile)
	require.Equal(t, len(seals), requireWhole(t, dir).Seals)
	nowhere := seals[3]
	nowhere.Head.ID[0] ^= 1
	edit(t, path, func(tx *bbolt.Tx) error {
		bad, loose := keep.SealKey(seals[1]), tx.Bucket(looseBucket)
		require.NoError(t, tx.Bucket(sealsBucket).Put(bad[:], seals[0].Sig[:]))
		require.NoError(t, loose.Delete(looseSeal(seals[2])))
		require.NoError(t, loose.Put(looseSeal(nowhere), seals[3].Sig[:]))
		return loose.SetSequence(loose.Sequence() + 1)
	})
	r, err := Verify(path)
	require.NoError(t, err)
	require.Len(t, r.Damage, 3, "%v", r.Damage)
	const gone = `bucket "loose" holds 252 entries and seals that read, want 253` // 12 runs of 20, and their seals
	require.Equal(t, gone, r.Damage[0].String())
	require.Equal(t, Damage{Replica: seals[1].Replica, From: seals[1].Head.Seq, To: seals[1].Head.Seq, What: "the seal was not made with the key in that replica's first entry"}, r.Damage[2])
	require.Equal(t, nowhere.Head.Seq, r.Damage[1].From)
	require.Contains(t, r.Damage[1].What, "there is no entry with the name "+nowhere.Head.ID.String())
	_, err = Open(dir, Config{})
	require.ErrorContains(t, err, gone)
}

// What is healed has its seals, those of the damaged file and of the helper, but
// none that does not verify.
func TestHealKeepsSeals(t *testing.T) {
	dir, raws, seals := sealedBook(t)
	path := filepath.Join(dir, dataFile)
	flip(t, path, looseBucket)
	forged := seals[len(seals)-1]
	edit(t, path, func(tx *bbolt.Tx) error {
		forged.Sig[0] ^= 1
		return tx.Bucket(looseBucket).Put(looseSeal(forged), forged.Sig[:])
	})
	_, err := Heal(dir, raws, Config{}, seals[:1]...)
	require.NoError(t, err)
	r := requireWhole(t, dir)
	require.Equal(t, len(raws), r.Entries)
	s := open(t, dir)
	got := sealsIn(t, s)
	require.NotContains(t, got, forged)
	want := map[uuid.UUID]model.Head{} // the last that verifies of each chain
	for _, seal := range seals[:len(seals)-1] {
		want[seal.Replica] = seal.Head
	}
	for _, seal := range got {
		if seal.Head == want[seal.Replica] {
			delete(want, seal.Replica)
		}
	}
	require.Empty(t, want)
	require.NoError(t, s.Close())

	require.NoError(t, open(t, dir).Close())
	edit(t, path, func(tx *bbolt.Tx) error {
		require.NoError(t, tx.DeleteBucket(sealsBucket))
		_, err := tx.CreateBucket(sealsBucket)
		return err
	})
	_, err = Heal(dir, nil, Config{}, append(slices.Clone(seals), forged)...)
	require.NoError(t, err)
	s = open(t, dir)
	require.Contains(t, sealsIn(t, s), seals[len(seals)-1])
	require.NoError(t, s.Close())
	requireWhole(t, dir)
}

// A file that is written anew keeps its seals.
func TestCompactKeepsSeals(t *testing.T) {
	dir, _, seals := sealedBook(t)
	bloat(t, filepath.Join(dir, dataFile))
	s := open(t, dir)
	require.Subset(t, seals, sealsIn(t, s))
	require.NotEmpty(t, sealsIn(t, s))
	before := sealsIn(t, s)
	require.NoError(t, s.Close())
	s = open(t, dir)
	require.Equal(t, before, sealsIn(t, s))
	require.NoError(t, s.Close())
	requireWhole(t, dir)
}
