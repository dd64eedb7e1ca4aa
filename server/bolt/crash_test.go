package bolt

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// A cut is a file before and after one transaction, and its content.
type cut struct {
	before, after []byte
	old, new      map[model.ID]string
}

// commits records n transactions of a store: single entries, batches, most of
// them sealed, seals alone, packing.
func commits(t *testing.T, n int) []cut {
	dir := t.TempDir()
	s := open(t, dir)
	defer s.Close()
	w := newWriter(11)
	r := rand.New(rand.NewPCG(8, 9))
	file := func() []byte {
		data, err := os.ReadFile(s.path())
		require.NoError(t, err)
		return data
	}
	var all []cut
	for i := range n {
		c := cut{before: file(), old: content(t, s)}
		switch {
		case i%10 == 9:
			require.NoError(t, s.Pack())
		default:
			raws, seals := w.write(t, []int{1, 1, 3, 40}[r.IntN(4)])
			if r.IntN(4) == 0 {
				seals = nil
			}
			require.NoError(t, s.Append(raws, seals...))
			if i%10 == 5 {
				raws, seals = w.write(t, 2)
				require.NoError(t, s.Append(raws))
				c.before, c.old = file(), content(t, s)
				require.NoError(t, s.Append(nil, seals...))
			}
		}
		c.after, c.new = file(), content(t, s)
		all = append(all, c)
	}
	return all
}

// read returns what a store holds: entries by name, with their seals.
func read(s *Store) (map[model.ID]string, error) {
	got := map[model.ID]string{}
	err := s.Runs(func(run []byte) error {
		return model.UnpackRun(run, func(raw string, id model.ID) error {
			got[id] = raw
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	return got, s.Seals(func(seal model.Seal) error {
		got[seal.Head.ID] += " sealed " + string(seal.Sig[:])
		return nil
	})
}

func content(t testing.TB, s *Store) map[model.ID]string {
	got, err := read(s)
	require.NoError(t, err)
	return got
}

// pages returns which data pages of the file a commit wrote, and which meta page.
func (c cut) pages(t *testing.T, size int) (data []int, meta int) {
	meta = -1
	for i := 0; i*size < len(c.after); i++ {
		new := c.after[i*size : (i+1)*size]
		if i*size < len(c.before) && bytes.Equal(new, c.before[i*size:(i+1)*size]) {
			continue
		}
		if i > 1 {
			data = append(data, i)
			continue
		}
		require.Equal(t, -1, meta, "one meta page a commit")
		meta = i
	}
	require.NotEqual(t, -1, meta)
	require.NotEmpty(t, data)
	return data, meta
}

// image is the file before the commit, as long as the one after it, with some
// of its pages.
func (c cut) image(size int, pages ...int) []byte {
	img := make([]byte, max(len(c.before), len(c.after)))
	copy(img, c.before)
	for _, p := range pages {
		copy(img[p*size:(p+1)*size], c.after[p*size:])
	}
	return img
}

// opened returns what a file holds for one who opens and reads it, or why it
// does not open or read. It fails the test if that takes 20 s.
func opened(t *testing.T, image []byte) (map[model.ID]string, error) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, dataFile), image, 0o600))
	type result struct {
		entries map[model.ID]string
		err     error
	}
	done := make(chan result, 1)
	go func() {
		s, err := Open(dir, Config{})
		if err != nil {
			done <- result{nil, err}
			return
		}
		defer s.Close()
		got, err := read(s)
		done <- result{got, err}
	}()
	select {
	case r := <-done:
		return r.entries, r.err
	case <-time.After(20 * time.Second):
		require.Fail(t, "it hangs")
		return nil, nil
	}
}

// TestCrashImages makes the files a power cut could leave: bbolt writes data
// pages, syncs, writes one meta page, syncs. Before the first sync any of the
// data pages may be there and the meta page is old; before the second, all data
// pages are there and the meta page may be torn: inside a sector, or at 512 or
// 4096 bytes, the sectors of disks (common practice, no published source). Each
// opens as it was before or after.
func TestCrashImages(t *testing.T) {
	size := os.Getpagesize()
	r := rand.New(rand.NewPCG(10, 11))
	images, before, after := 0, 0, 0
	for i, c := range commits(t, 40) {
		data, meta := c.pages(t, size)
		for range 5 {
			some := slices.DeleteFunc(slices.Clone(data), func(int) bool { return r.IntN(2) == 0 })
			got, err := opened(t, c.image(size, some...))
			require.NoError(t, err, "commit %d, data pages %v of %v", i, some, data)
			require.Equal(t, c.old, got, "commit %d, data pages %v of %v", i, some, data)
			images++
		}
		for _, n := range []int{0, 16, 40, 64, 80, 512, 4096} {
			img := c.image(size, data...)
			copy(img[meta*size:meta*size+min(n, size)], c.after[meta*size:])
			got, err := opened(t, img)
			require.NoError(t, err, "commit %d, meta torn at %d", i, n)
			want := c.old
			if n >= pageHead+metaSize { // all of it is there
				want = c.new
				after++
			} else {
				before++
			}
			require.Equal(t, want, got, "commit %d, meta torn at %d", i, n)
			images++
		}
	}
	require.Positive(t, before)
	require.Positive(t, after)
	t.Logf("%d images opened; with the meta page torn %d as before the commit, %d as after it", images, before, after)
}

// TestPageNeverWritten is a disk that says a page is synced when it is not: the
// meta page is new, one data page as before. It must be noticed when the logbook
// is opened and read, or all must be there (only free bytes of the page differ).
func TestPageNeverWritten(t *testing.T) {
	size := os.Getpagesize()
	images, noticed := 0, 0
	for i, c := range commits(t, 40) {
		data, meta := c.pages(t, size)
		for _, lost := range data {
			some := append(slices.DeleteFunc(slices.Clone(data), func(p int) bool { return p == lost }), meta)
			got, err := opened(t, c.image(size, some...))
			if err != nil {
				noticed++
			} else {
				require.Equal(t, c.new, got, "commit %d without page %d", i, lost)
			}
			images++
		}
	}
	require.Positive(t, noticed)
	t.Logf("%d of %d noticed, the others lack nothing", noticed, images)
}
