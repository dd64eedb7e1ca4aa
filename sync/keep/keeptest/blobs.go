package keeptest

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"slices"
	"sync"
	"testing"

	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A BlobOpener opens a new, empty store of blobs. For a store that outlives the
// program, reopen opens it again; for others it is nil. damage changes a byte of
// a blob that is there behind the store's back.
type BlobOpener func(t *testing.T) (blobs keep.Blobs, reopen func() keep.Blobs, damage func(keep.BlobID))

// RunBlobs runs every check against stores from open.
func RunBlobs(t *testing.T, open BlobOpener) {
	for _, c := range []struct {
		name  string
		check func(*testing.T, BlobOpener)
	}{
		{"what was put comes back", putAndGet},
		{"too large", tooLarge},
		{"a reader that fails", readerFails},
		{"parts", parts},
		{"parts of something else", wrongParts},
		{"parts out of place", placeOfParts},
		{"damage is noticed and mended", mended},
		{"at the same time", blobsTogether},
		{"like a map", likeMap},
	} {
		t.Run(c.name, func(t *testing.T) { c.check(t, open) })
	}
}

func put(t require.TestingT, blobs keep.Blobs, data []byte) keep.BlobID {
	id, err := blobs.Put(bytes.NewReader(data))
	require.NoError(t, err)
	require.Equal(t, keep.BlobID(sha256.Sum256(data)), id)
	return id
}

func requireBlob(t require.TestingT, blobs keep.Blobs, data []byte) {
	id := keep.BlobID(sha256.Sum256(data))
	has, err := blobs.Has(id)
	require.NoError(t, err)
	require.True(t, has)
	got, err := blobs.Get(id)
	require.NoError(t, err)
	require.True(t, bytes.Equal(data, got))
}

func requireNoBlob(t require.TestingT, blobs keep.Blobs, id keep.BlobID) {
	has, err := blobs.Has(id)
	require.NoError(t, err)
	require.False(t, has)
	_, err = blobs.Get(id)
	require.ErrorIs(t, err, keep.ErrNoBlob)
}

func requireList(t require.TestingT, blobs keep.Blobs, want ...[]byte) {
	var list []keep.Blob
	for _, data := range want {
		list = append(list, keep.Blob{ID: sha256.Sum256(data), Size: int64(len(data))})
	}
	slices.SortFunc(list, func(a, b keep.Blob) int { return a.ID.Compare(b.ID) })
	got, err := blobs.List()
	require.NoError(t, err)
	require.Equal(t, list, got)
}

// pattern returns n bytes that differ from one n and one mark to the next.
func pattern(n int, mark byte) []byte {
	data := make([]byte, n)
	for i := range data {
		data[i] = byte(i*7+i>>8) ^ mark
	}
	return data
}

func putAndGet(t *testing.T, open BlobOpener) {
	blobs, reopen, _ := open(t)
	requireList(t, blobs)
	a, b := []byte("abc"), pattern(100_000, 1)
	id := put(t, blobs, a)
	// FIPS 180-2, appendix B.1: the digest of "abc".
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", id.String())
	put(t, blobs, nil)
	put(t, blobs, b)
	put(t, blobs, b)
	if reopen != nil {
		blobs = reopen()
	}
	requireBlob(t, blobs, a)
	requireBlob(t, blobs, []byte{})
	requireBlob(t, blobs, b)
	requireList(t, blobs, a, nil, b)
	got, err := blobs.Get(id)
	require.NoError(t, err)
	clear(got) // the caller's own
	requireBlob(t, blobs, a)

	require.NoError(t, blobs.Drop(id))
	require.NoError(t, blobs.Drop(id))
	requireNoBlob(t, blobs, id)
	if reopen != nil {
		blobs = reopen()
		requireNoBlob(t, blobs, id)
	}
	requireList(t, blobs, nil, b)
}

func tooLarge(t *testing.T, open BlobOpener) {
	blobs, _, _ := open(t)
	most := pattern(keep.MaxBlob, 3)
	put(t, blobs, most)
	requireBlob(t, blobs, most)
	_, err := blobs.Put(bytes.NewReader(append(most, 0)))
	require.ErrorContains(t, err, "more than 12582912 bytes")
	requireList(t, blobs, most)
}

func readerFails(t *testing.T, open BlobOpener) {
	blobs, _, _ := open(t)
	gone := errors.New("the camera is gone")
	_, err := blobs.Put(io.MultiReader(bytes.NewReader(pattern(1000, 1)), failing{gone}))
	require.ErrorIs(t, err, gone)
	requireList(t, blobs)
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// parts fetches a blob in parts, with repeats and a restart in between.
func parts(t *testing.T, open BlobOpener) {
	blobs, reopen, _ := open(t)
	data := pattern(200_000, 5)
	id := keep.BlobID(sha256.Sum256(data))
	have, err := blobs.Part(id, 0, nil)
	require.NoError(t, err)
	require.Zero(t, have)
	for _, p := range []struct{ from, to, have int64 }{
		{0, 65_536, 65_536}, {0, 65_536, 65_536}, {65_536, 100_000, 100_000}, {80_000, 120_000, 120_000}, {10, 20, 120_000},
	} {
		have, err := blobs.Part(id, p.from, data[p.from:p.to])
		require.NoError(t, err)
		require.Equal(t, p.have, have)
	}
	requireNoBlob(t, blobs, id)
	requireList(t, blobs)
	if reopen != nil {
		blobs = reopen()
	}
	have, err = blobs.Part(id, 0, nil)
	require.NoError(t, err)
	require.EqualValues(t, 120_000, have)
	_, err = blobs.Part(id, have, data[have:])
	require.NoError(t, err)
	require.NoError(t, blobs.Done(id))
	requireBlob(t, blobs, data)
	if reopen != nil {
		blobs = reopen()
		requireBlob(t, blobs, data)
	}
	have, err = blobs.Part(id, 0, nil)
	require.NoError(t, err)
	require.Zero(t, have, "the parts are used up")
}

func wrongParts(t *testing.T, open BlobOpener) {
	blobs, _, _ := open(t)
	data := pattern(5000, 6)
	id := keep.BlobID(sha256.Sum256(data))
	var bad *keep.BadBlobError
	require.ErrorAs(t, blobs.Done(id), &bad, "no part at all")
	for name, sent := range map[string][]byte{"short": data[:4999], "long": append(slices.Clone(data), 0), "another": pattern(5000, 7)} {
		_, err := blobs.Part(id, 0, sent)
		require.NoError(t, err)
		require.ErrorAs(t, blobs.Done(id), &bad, name)
		require.Equal(t, keep.BadBlobError{Want: id, Got: sha256.Sum256(sent)}, *bad)
		requireNoBlob(t, blobs, id)
		have, err := blobs.Part(id, 0, nil)
		require.NoError(t, err)
		require.Zero(t, have, name)
	}
	_, err := blobs.Part(id, 0, data[:100])
	require.NoError(t, err)
	require.NoError(t, blobs.Drop(id))
	have, err := blobs.Part(id, 0, nil)
	require.NoError(t, err)
	require.Zero(t, have)
}

func placeOfParts(t *testing.T, open BlobOpener) {
	blobs, _, _ := open(t)
	id := keep.BlobID{1}
	_, err := blobs.Part(id, 0, pattern(100, 1))
	require.NoError(t, err)
	for _, p := range []struct {
		offset int64
		size   int
		want   string
	}{
		{101, 5, "want one from byte 100 on"},
		{-1, 5, "from byte -1 to 4: want 0 to 12582912"},
		{keep.MaxBlob - 4, 5, "to 12582913: want 0 to 12582912"},
		{1 << 62, 5, "want 0 to 12582912"},
	} {
		have, err := blobs.Part(id, p.offset, make([]byte, p.size))
		require.ErrorContains(t, err, p.want)
		require.EqualValues(t, 100, have)
	}
}

func mended(t *testing.T, open BlobOpener) {
	blobs, _, damage := open(t)
	data := pattern(5000, 2)
	id := put(t, blobs, data)
	damage(id)
	var bad *keep.BadBlobError
	_, err := blobs.Get(id)
	require.ErrorAs(t, err, &bad)
	require.Equal(t, id, bad.Want)
	put(t, blobs, data)
	requireBlob(t, blobs, data)
	damage(id)
	_, err = blobs.Part(id, 0, data)
	require.NoError(t, err)
	require.NoError(t, blobs.Done(id))
	requireBlob(t, blobs, data)
}

func blobsTogether(t *testing.T, open BlobOpener) {
	blobs, _, _ := open(t)
	data := pattern(50_000, 9)
	id := keep.BlobID(sha256.Sum256(data))
	errs := make(chan error, 200)
	var wg sync.WaitGroup
	for i := range 4 {
		wg.Go(func() {
			for n := range 5 {
				_, err := blobs.Put(bytes.NewReader(data))
				errs <- err
				_, err = blobs.Put(bytes.NewReader(pattern(1000+n, byte(i))))
				errs <- err
				got, err := blobs.Get(id)
				if err == nil && !bytes.Equal(data, got) {
					err = errors.New("other bytes")
				}
				errs <- err
				_, err = blobs.List()
				errs <- err
			}
		})
	}
	wg.Wait()
	close(errs)
	for err := range errs {
		require.NoError(t, err)
	}
	list, err := blobs.List()
	require.NoError(t, err)
	require.Len(t, list, 1+4*5)
}

// likeMap draws puts, parts and drops: what is there must be what a map holds.
func likeMap(t *testing.T, open BlobOpener) {
	rapid.Check(t, func(rt *rapid.T) {
		blobs, reopen, _ := open(t)
		whole, coming := map[keep.BlobID][]byte{}, map[keep.BlobID]int64{}
		for range rapid.IntRange(1, 20).Draw(rt, "steps") {
			data := pattern(rapid.IntRange(0, 300).Draw(rt, "size"), byte(rapid.IntRange(0, 1).Draw(rt, "mark")))
			id := keep.BlobID(sha256.Sum256(data))
			switch rapid.IntRange(0, 3).Draw(rt, "do") {
			case 0:
				put(rt, blobs, data)
				whole[id] = data
			case 1:
				require.NoError(rt, blobs.Drop(id))
				delete(whole, id)
				delete(coming, id)
			case 2:
				from := rapid.Int64Range(0, int64(len(data))).Draw(rt, "from")
				have, err := blobs.Part(id, from, data[from:])
				if from <= coming[id] || from == int64(len(data)) {
					require.NoError(rt, err)
				} else {
					require.Error(rt, err)
				}
				if err == nil && from < int64(len(data)) {
					coming[id] = int64(len(data))
				}
				require.Equal(rt, coming[id], have)
			case 3:
				err := blobs.Done(id)
				if coming[id] == int64(len(data)) {
					require.NoError(rt, err)
					whole[id] = data
				} else {
					require.Error(rt, err)
				}
				delete(coming, id)
			}
			if reopen != nil && rapid.IntRange(0, 5).Draw(rt, "reopen") == 0 {
				blobs = reopen()
			}
		}
		var want [][]byte
		for _, data := range whole {
			want = append(want, data)
			requireBlob(rt, blobs, data)
		}
		requireList(rt, blobs, want...)
	})
}
