package bolt

import (
	"bytes"
	"errors"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"
)

// sample makes a closed logbook with packed and loose runs, a fork and an
// unknown kind, and returns its file and its entries.
func sample(t testing.TB) (path string, entries map[model.ID]string) {
	dir := t.TempDir()
	s := open(t, dir)
	raws := modeltest.Garage(260, 5)
	require.NoError(t, s.Append(raws[:200]))
	require.NoError(t, s.Pack())
	fork := model.Pen{Replica: uuid.UUID{7}}
	trunk, err := fork.Write([]model.Draft{{Body: &model.Note{Text: "trunk"}}, {Body: &model.Unknown{Name: "x-later", CBOR: "\xa1\x01\x02"}}}, 1<<40)
	require.NoError(t, err)
	twin := fork
	a, err := fork.Write([]model.Draft{{Body: &model.Note{Text: "a"}}}, 1<<40)
	require.NoError(t, err)
	b, err := twin.Write([]model.Draft{{Body: &model.Note{Text: "b"}}}, 1<<40)
	require.NoError(t, err)
	require.NoError(t, s.Append(append(trunk, a...)))
	require.NoError(t, s.Append(b))
	for i := 200; i < 260; i += 10 {
		require.NoError(t, s.Append(raws[i:i+10]))
	}
	entries = names(t, s)
	require.Len(t, entries, 264)
	require.NoError(t, s.Close())
	return filepath.Join(dir, dataFile), entries
}

func TestReport(t *testing.T) {
	path, entries := sample(t)
	r, err := Verify(path)
	require.NoError(t, err)
	require.Empty(t, r.Damage)
	require.Equal(t, len(entries), r.Entries)
	require.Equal(t, 1, r.Unknown)
	require.Equal(t, 2, r.Schema)
	require.Equal(t, "store test", r.MadeBy)
	require.Len(t, r.Replicas, 3)
	for _, c := range r.Replicas {
		require.Zero(t, c.Holes)
		if c.Replica == (uuid.UUID{7}) {
			require.Equal(t, 4, c.Entries)
			require.Equal(t, 1, c.Forks)
			require.Len(t, c.Heads, 2)
		} else {
			require.Zero(t, c.Forks)
			require.Len(t, c.Heads, 1)
			require.EqualValues(t, c.Entries, c.Heads[0].Seq)
		}
	}
}

func TestReportOfMissingRuns(t *testing.T) {
	path, entries := sample(t)
	var gone, end keep.Span // of one chain: the loose run in the middle, and the last
	edit(t, path, func(tx *bbolt.Tx) error {
		b := tx.Bucket(looseBucket)
		var spans []keep.Span
		err := b.ForEach(func(k, v []byte) error {
			if bytes.Equal(k, packKey) {
				return nil
			}
			s, err := keep.SpanOf(k, v)
			if s.Replica != (uuid.UUID{7}) && (len(spans) == 0 || spans[0].Replica == s.Replica) {
				spans = append(spans, s)
			}
			return err
		})
		gone, end = spans[1], spans[len(spans)-1]
		key, last := gone.Key(), end.Key()
		return errors.Join(err, b.Delete(key[:]), b.Delete(last[:]))
	})
	r, err := Verify(path)
	require.NoError(t, err)
	require.Equal(t, len(entries)-gone.Count-end.Count, r.Entries)
	require.Len(t, r.Damage, 2, "%v", r.Damage)
	require.Contains(t, r.Damage[0].What, `bucket "loose" holds`) // nothing else shows that the last run is gone
	hole := r.Damage[1]
	require.Equal(t, []any{gone.Replica, gone.First, gone.End()}, []any{hole.Replica, hole.From, hole.To})
	holes := 0
	for _, c := range r.Replicas {
		holes += c.Holes
	}
	require.Equal(t, 1, holes)
}

func TestReportOfDamagedRuns(t *testing.T) {
	path, entries := sample(t)
	var spoilt []keep.Span
	edit(t, path, func(tx *bbolt.Tx) error {
		for _, name := range [][]byte{packedBucket, looseBucket} {
			b := tx.Bucket(name)
			key, run := b.Cursor().First()
			s, err := keep.SpanOf(key, run)
			if err != nil {
				return err
			}
			spoilt = append(spoilt, s)
			bad := append([]byte(nil), run...)
			bad[len(bad)-3] ^= 1
			if err := b.Put(append([]byte(nil), key...), bad); err != nil {
				return err
			}
		}
		return nil
	})
	r, err := Verify(path)
	require.NoError(t, err)
	require.Equal(t, len(entries)-spoilt[0].Count-spoilt[1].Count, r.Entries)
	for _, s := range spoilt { // both, not only the first
		found := false
		for _, d := range r.Damage {
			found = found || d.Replica == s.Replica && d.From == s.First && d.To == s.End()
		}
		require.True(t, found, "entries %d to %d of %s in %v", s.First, s.End(), s.Replica, r.Damage)
	}
}

func TestVerifyNoFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), dataFile)
	_, err := Verify(path)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoFileExists(t, path)
}

// TestBitFlips changes one byte at a time, at every place where the tree of
// pages is described and at many others. Where Verify finds no damage the
// entries must be the same, and nothing may panic. bbolt's own check passes most
// such files.
func TestBitFlips(t *testing.T) {
	path, entries := sample(t)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	m, damage, err := readMeta(readerAt(whole))
	require.NoError(t, err)
	require.Empty(t, damage)
	w := walk{f: readerAt(whole), meta: m, damage: func(what string) { t.Error(what) }, bucket: func([]byte, uint64) {}, item: func(_, _, _ []byte) {}}
	w.run()

	r := rand.New(rand.NewPCG(3, 4))
	var places []int64
	for _, id := range slices.Sorted(maps.Keys(w.seen)) {
		at := int64(id) * m.pageSize
		for i := range int64(pageHead + metaSize) { // page head, meta or elements
			places = append(places, at+i)
		}
		for range 40 {
			places = append(places, at+r.Int64N(m.pageSize))
		}
	}
	dir := t.TempDir()
	flipped := filepath.Join(dir, dataFile)
	require.NoError(t, os.WriteFile(flipped, whole, 0o600))
	f, err := os.OpenFile(flipped, os.O_RDWR, 0)
	require.NoError(t, err)
	defer f.Close()
	noticed := 0
	for i, at := range places {
		b := []byte{whole[at] ^ byte(1+r.IntN(255))}
		_, err := f.WriteAt(b, at)
		require.NoError(t, err)
		report, err := Verify(flipped)
		switch {
		case err != nil || len(report.Damage) > 0:
			noticed++
		default:
			require.Equal(t, len(entries), report.Entries)
			require.Equal(t, entries, rawNames(t, flipped), "byte %d from %#x to %#x went unnoticed", at, whole[at], b[0])
		}
		if i%10 == 0 { // the same file in the hands of Open: refused or opened, but no panic
			other := t.TempDir()
			spoilt, err := os.ReadFile(flipped)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(other, dataFile), spoilt, 0o600))
			if s, err := Open(other, Config{}); err == nil {
				s.Runs(func(run []byte) error { return model.UnpackRun(run, func(string, model.ID) error { return nil }) })
				s.Close()
			}
		}
		_, err = f.WriteAt(whole[at:at+1], at)
		require.NoError(t, err)
	}
	t.Logf("%d of %d flips noticed, the others left every entry as it was", noticed, len(places))
	require.Greater(t, noticed, len(places)/2)
}

// rawNames reads the entries of a file with bbolt alone.
func rawNames(t testing.TB, path string) map[model.ID]string {
	db, err := bbolt.Open(path, 0o600, &bbolt.Options{ReadOnly: true})
	require.NoError(t, err)
	defer db.Close()
	got := map[model.ID]string{}
	require.NoError(t, db.View(func(tx *bbolt.Tx) error {
		for _, name := range [][]byte{packedBucket, looseBucket} {
			err := tx.Bucket(name).ForEach(func(key, run []byte) error {
				if bytes.Equal(key, packKey) {
					return nil
				}
				return model.UnpackRun(run, func(raw string, id model.ID) error {
					got[id] = raw
					return nil
				})
			})
			if err != nil {
				return err
			}
		}
		return nil
	}))
	return got
}

type readerAt []byte

func (b readerAt) ReadAt(p []byte, at int64) (int, error) {
	if at < 0 || at+int64(len(p)) > int64(len(b)) {
		return 0, errors.New("outside the file")
	}
	return copy(p, b[at:]), nil
}

func TestTruncatedFile(t *testing.T) {
	path, _ := sample(t)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	m, _, err := readMeta(readerAt(whole))
	require.NoError(t, err)
	for pages := range m.pages {
		dir := t.TempDir()
		cut := filepath.Join(dir, dataFile)
		require.NoError(t, os.WriteFile(cut, whole[:int64(pages)*m.pageSize], 0o600))
		r, err := Verify(cut)
		require.NoError(t, err)
		if len(r.Damage) == 0 { // only free pages were lost
			require.Len(t, rawNames(t, cut), r.Entries)
			require.Equal(t, 264, r.Entries)
		}
		if s, err := Open(dir, Config{}); err == nil {
			require.NoError(t, s.Close())
		}
	}
}
