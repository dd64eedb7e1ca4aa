package bolt

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"
)

// digest folds a store: equal on two that hold the same in the same standing.
func digest(t testing.TB, log keep.Log) uint64 {
	t.Helper()
	l := model.NewLogbook()
	require.NoError(t, log.Runs(l.AddRun))
	return l.Digest()
}

// twins makes two folders that hold the same, as after a meeting, and returns
// them with their entries and digest.
func twins(t testing.TB) (dir, peer string, raws [][]byte, want uint64) {
	dir, peer, raws = t.TempDir(), t.TempDir(), modeltest.Garage(600, 8)
	for _, d := range []string{dir, peer} {
		s := open(t, d)
		require.NoError(t, s.Append(raws[:500]))
		require.NoError(t, s.Pack())
		for part := range slices.Chunk(raws[500:], 20) {
			require.NoError(t, s.Append(part))
		}
		want = digest(t, s)
		require.NoError(t, s.Close())
	}
	return dir, peer, raws, want
}

// flip changes a bit in the middle of the first run of a bucket.
func flip(t testing.TB, path string, bucket []byte) {
	edit(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucket)
		key, run := b.Cursor().First()
		bad := slices.Clone(run)
		bad[len(bad)/2] ^= 4
		return b.Put(slices.Clone(key), bad)
	})
}

// A bit flips in a run, verify finds it, the entries come again from another
// device, and all is as it was.
func TestHeal(t *testing.T) {
	for _, bucket := range [][]byte{packedBucket, looseBucket} {
		t.Run(string(bucket), func(t *testing.T) {
			dir, peer, raws, want := twins(t)
			path := filepath.Join(dir, dataFile)
			flip(t, path, bucket)
			damaged, err := os.ReadFile(path)
			require.NoError(t, err)
			r, err := Verify(path)
			require.NoError(t, err)
			require.NotEmpty(t, r.Damage)
			require.Positive(t, r.Damage[0].From, "it says which entries: %v", r.Damage)

			there, none, err := Salvage(filepath.Join(peer, dataFile))
			require.NoError(t, err)
			require.Empty(t, none)
			require.Len(t, there, len(raws))
			h, err := Heal(dir, there, Config{Now: func() time.Time { return time.Date(2026, 11, 21, 9, 0, 0, 0, time.UTC) }})
			require.NoError(t, err)
			require.Equal(t, Healed{Entries: len(raws), Kept: r.Entries, Aside: path + ".damaged-20261121T090000Z"}, h)
			aside, err := os.ReadFile(h.Aside)
			require.NoError(t, err)
			require.Equal(t, damaged, aside)

			require.Equal(t, len(raws), requireWhole(t, dir).Entries)
			s := open(t, dir)
			require.Equal(t, want, digest(t, s))
			more := model.Pen{Replica: uuid.UUID{9}}
			note, err := more.Write([]model.Draft{{Body: &model.Note{Text: "on"}}}, 1<<40)
			require.NoError(t, err)
			require.NoError(t, s.Append(note))
			require.NoError(t, s.Close())
			left, err := os.ReadDir(dir)
			require.NoError(t, err)
			require.Len(t, left, 2, "the logbook, and the damaged one aside")
		})
	}
}

// Without anybody to ask, what follows the hole waits in the file set aside, and
// comes back once the missing entries are there.
func TestHealInTwoSteps(t *testing.T) {
	dir, peer, raws, want := twins(t)
	path := filepath.Join(dir, dataFile)
	flip(t, path, packedBucket)
	now := Config{Now: func() time.Time { return time.Date(2026, 11, 21, 9, 0, 0, 0, time.UTC) }}
	first, err := Heal(dir, nil, now)
	require.NoError(t, err)
	require.Positive(t, first.Left)
	require.Less(t, first.Entries, len(raws))
	require.Equal(t, first.Entries, requireWhole(t, dir).Entries)

	aside, _, err := Salvage(first.Aside)
	require.NoError(t, err)
	require.Len(t, aside, first.Kept+first.Left)
	missing, _, err := Salvage(filepath.Join(peer, dataFile))
	require.NoError(t, err)
	here := map[model.ID]bool{}
	for _, raw := range aside {
		here[model.IDOf(raw)] = true
	}
	missing = slices.DeleteFunc(missing, func(raw []byte) bool { return here[model.IDOf(raw)] })
	require.Len(t, missing, len(raws)-len(aside))
	second, err := Heal(dir, slices.Concat(aside, missing), now)
	require.NoError(t, err)
	require.Equal(t, Healed{Entries: len(raws), Kept: first.Entries, Aside: first.Aside + "-2"}, second)
	s := open(t, dir)
	require.Equal(t, want, digest(t, s))
	require.NoError(t, s.Close())
}

// Whatever byte of the file changes, another device's entries heal it.
func TestHealAnyDamage(t *testing.T) {
	dir, _, raws, want := twins(t)
	path := filepath.Join(dir, dataFile)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	r := rand.New(rand.NewPCG(6, 7))
	var spoilt [][]byte
	for range 25 {
		bad := slices.Clone(whole)
		bad[r.IntN(len(bad))] ^= 1 << r.IntN(8)
		spoilt = append(spoilt, bad)
	}
	metas := slices.Clone(whole)
	clear(metas[:2*os.Getpagesize()])
	spoilt = append(spoilt, metas, whole[:len(whole)/2], nil, []byte("not a logbook\n"))
	for i, bad := range spoilt {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, dataFile), bad, 0o600))
		h, err := Heal(dir, raws, Config{})
		require.NoError(t, err, i)
		require.Equal(t, len(raws), h.Entries, i)
		require.Zero(t, h.Left, i)
		requireWhole(t, dir)
		s := open(t, dir)
		require.Equal(t, want, digest(t, s), i)
		require.NoError(t, s.Close())
	}
}

func TestHealRefuses(t *testing.T) {
	dir := t.TempDir()
	_, err := Heal(dir, nil, Config{})
	require.ErrorIs(t, err, os.ErrNotExist)
	s := open(t, dir)
	var held *HeldError
	_, err = Heal(dir, nil, Config{})
	require.ErrorAs(t, err, &held)
	require.NoError(t, s.Append(modeltest.Garage(5, 1)))
	require.NoError(t, s.Close())
	before, err := os.ReadFile(filepath.Join(dir, dataFile))
	require.NoError(t, err)
	_, err = Heal(dir, [][]byte{[]byte("no entry")}, Config{})
	require.Error(t, err)
	after, err := os.ReadFile(filepath.Join(dir, dataFile))
	require.NoError(t, err)
	require.Equal(t, before, after)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 1)
}

// The mark stays with the file, and is another after each Remark and Heal.
func TestMark(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	first := s.Mark()
	require.NotZero(t, first)
	require.NoError(t, s.Close())
	s = open(t, dir)
	require.Equal(t, first, s.Mark())
	second, err := s.Remark()
	require.NoError(t, err)
	require.NotEqual(t, first, second)
	require.NoError(t, s.Close())
	s = open(t, dir)
	require.Equal(t, second, s.Mark())
	require.NoError(t, s.Close())
	requireWhole(t, dir)
	_, err = Heal(dir, nil, Config{})
	require.NoError(t, err)
	s = open(t, dir)
	require.NotEqual(t, second, s.Mark())
	require.NoError(t, s.Close())

	edit(t, filepath.Join(dir, dataFile), func(tx *bbolt.Tx) error { return tx.Bucket(aboutBucket).Delete(markKey) })
	s = open(t, dir) // as of a time before marks
	require.NotZero(t, s.Mark())
	require.NoError(t, s.Close())
	requireWhole(t, dir)
}
