package link_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"math/rand/v2"
	"testing"
	"testing/synctest"

	"ampwright/model"
	"ampwright/sync/keep"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/stretchr/testify/require"
)

// noise returns n bytes that are the same in every run.
func noise(n int) []byte {
	r := rand.New(rand.NewPCG(uint64(n), 7))
	data := make([]byte, n)
	for i := range data {
		data[i] = byte(r.Uint32())
	}
	return data
}

// photo puts a photo into a device's store and has an entry name it.
func (d *device) photo(data []byte) keep.BlobID {
	id, err := d.cfg.Blobs.Put(bytes.NewReader(data))
	require.NoError(d.t, err)
	d.names(id)
	return id
}

func (d *device) names(id keep.BlobID) {
	_, err := d.book.Write([]model.Draft{{Body: &model.Photo{Hash: id[:]}}})
	require.NoError(d.t, err)
}

func (d *device) holds(id keep.BlobID) bool {
	has, err := d.cfg.Blobs.Has(id)
	require.NoError(d.t, err)
	return has
}

// newPair returns a laptop, which fetches all photos, and a phone, which fetches
// those that it is asked for.
func newPair(t *testing.T) (laptop, phone *device) {
	laptop, phone = newDevice(t, 1), newDevice(t, 2)
	laptop.cfg.Blobs, phone.cfg.Blobs = keep.NewMemoryBlobs(), keep.NewMemoryBlobs()
	laptop.cfg.Fetch = true
	return laptop, phone
}

// Who ends when all is exchanged waits for the photos as well, on either side.
func TestPhotosOnce(t *testing.T) {
	for _, phoneDials := range []bool{true, false} {
		synctest.Test(t, func(t *testing.T) {
			laptop, phone := newPair(t)
			phone.notes(30)
			var ids []keep.BlobID
			for _, n := range []int{1, 900, wire.MaxPart, 200_000} {
				ids = append(ids, phone.photo(noise(n)))
			}
			gone := keep.BlobID{9}
			phone.names(gone)
			mine := laptop.photo(noise(77))
			var came []keep.BlobID
			laptop.cfg.Came = func(id keep.BlobID, left int) { came = append(came, id) }
			var there []wire.Hash
			phone.cfg.Tell = func(e session.Effect) {
				if b, ok := e.(session.BlobThere); ok {
					there = append(there, b.Hash)
				}
			}
			at, of := phone, laptop
			if !phoneDials {
				at, of = laptop, phone
			}
			ra, rb := meet(t, at, of)
			require.Equal(t, "all is exchanged", ra.End.Text)
			if phoneDials {
				ra, rb = rb, ra
			}
			requireSame(t, laptop, phone)
			require.Equal(t, ids, came)
			require.Equal(t, []int{4, 1, 0, 0}, []int{ra.BlobsIn, ra.BlobsNot, rb.BlobsIn, rb.BlobsNot})
			var all []wire.Hash
			for _, id := range ids {
				require.True(t, laptop.holds(id))
				all = append(all, wire.Hash(id))
			}
			if phoneDials { // it may have gone while the last ones were being stored; a link that stays tells it of them
				require.LessOrEqual(t, len(there), len(all))
				require.Equal(t, all[:len(there)], append([]wire.Hash{}, there...))
				phone.cfg.Offer = func() []keep.BlobID { return ids[len(there):] }
				x, y := newPipe()
				s, c := run(t, y, laptop.config(false)), run(t, x, phone.config(true))
				synctest.Wait()
				c.end()
				require.Zero(t, c.wait().BlobsIn+s.wait().BlobsIn, "nothing goes over twice")
				phone.cfg.Offer = nil
			}
			require.Equal(t, all, there)
			require.False(t, laptop.holds(gone))
			require.False(t, phone.holds(mine), "a phone fetches what it is asked for")

			// What was not there is asked for again by the next link.
			_, err := phone.cfg.Blobs.Put(bytes.NewReader(nil))
			require.NoError(t, err)
			ra, rb = meet(t, at, of)
			require.Equal(t, 1, ra.BlobsNot+rb.BlobsNot)
			require.Zero(t, ra.BlobsIn+rb.BlobsIn)
		})
	}
}

// A photo that is written down while a link stands is fetched at once; a phone
// gets one when it wants it.
func TestPhotosLive(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newPair(t)
		var not []session.NoBlob
		var came []keep.BlobID
		phone.cfg.Came = func(id keep.BlobID, left int) { came = append(came, id) }
		phone.cfg.Tell = func(e session.Effect) {
			if b, ok := e.(session.NoBlob); ok {
				not = append(not, b)
			}
		}
		x, y := newPipe()
		s, c := run(t, y, laptop.config(false)), run(t, x, phone.config(true))
		early := laptop.photo(noise(3))
		c.Want(early) // before both sides have met, maybe
		synctest.Wait()
		id := phone.photo(noise(150_000))
		synctest.Wait()
		require.True(t, laptop.holds(id))
		mine := laptop.photo(noise(4))
		synctest.Wait()
		require.False(t, phone.holds(mine))
		c.Want(mine)
		c.Want(mine)
		c.Want(keep.BlobID{1})
		c.Want(id) // it is here
		synctest.Wait()
		require.Equal(t, []keep.BlobID{early, mine}, came)
		require.Equal(t, []session.NoBlob{{Hash: wire.Hash{1}}}, not)
		c.end()
		require.Equal(t, 2, c.wait().BlobsIn)
		s.wait()
	})
}

// A file that was kept when it was brought in goes to every laptop, behind the
// photos; a phone need not carry it.
func TestFilesAreFetched(t *testing.T) {
	for _, phone := range []bool{false, true} {
		synctest.Test(t, func(t *testing.T) {
			laptop, other := newPair(t)
			other.cfg.Fetch = !phone
			var pieces []string
			var ids []keep.BlobID
			for _, n := range []int{wire.MaxPart + 1, 10} {
				id, err := laptop.cfg.Blobs.Put(bytes.NewReader(noise(n)))
				require.NoError(t, err)
				ids, pieces = append(ids, id), append(pieces, id.String())
			}
			_, err := laptop.book.Write([]model.Draft{{Body: &model.Bring{File: "ride.csv", Pieces: pieces}}})
			require.NoError(t, err)
			ids = append([]keep.BlobID{laptop.photo(noise(20))}, ids...)
			var came []keep.BlobID
			other.cfg.Came = func(id keep.BlobID, _ int) { came = append(came, id) }
			report, _ := meet(t, other, laptop)
			require.Equal(t, "all is exchanged", report.End.Text)
			if phone {
				require.Empty(t, came)
				return
			}
			require.Equal(t, ids, came)
			for _, id := range ids {
				require.True(t, other.holds(id))
			}
		})
	}
}

// A phone that does not know whether the laptop has a photo learns it, whether
// the laptop has it already or fetches it then.
func TestOffer(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newPair(t)
		id := phone.photo(noise(10))
		meet(t, phone, laptop) // and what the phone heard is lost
		late, err := phone.cfg.Blobs.Put(bytes.NewReader(noise(11)))
		require.NoError(t, err)
		phone.cfg.Offer = func() []keep.BlobID { return []keep.BlobID{id, late} }
		var there []wire.Hash
		phone.cfg.Tell = func(e session.Effect) {
			if b, ok := e.(session.BlobThere); ok {
				there = append(there, b.Hash)
			}
		}
		x, y := newPipe()
		s, c := run(t, y, laptop.config(false)), run(t, x, phone.config(true))
		synctest.Wait()
		require.Equal(t, []wire.Hash{wire.Hash(id), wire.Hash(late)}, there)
		require.True(t, laptop.holds(late))
		c.end()
		c.wait()
		s.wait()
	})
}

// lying is a store whose blobs are other bytes than their names say.
type lying struct{ *keep.MemoryBlobs }

func (l lying) Get(id keep.BlobID) ([]byte, error) {
	data, err := l.MemoryBlobs.Get(id)
	if err == nil {
		data[len(data)-1]++
	}
	return data, err
}

// Bytes that are not those of the hash are not kept; the next link fetches them
// from their beginning.
func TestWrongBytes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		laptop, phone := newPair(t)
		honest := keep.NewMemoryBlobs()
		phone.cfg.Blobs = lying{honest}
		id := phone.photo(noise(100_000))
		ra, rb := meet(t, phone, laptop)
		require.Equal(t, "all is exchanged", ra.End.Text)
		require.Zero(t, rb.BlobsIn)
		require.False(t, laptop.holds(id))
		_, err := laptop.cfg.Blobs.Get(id)
		require.ErrorIs(t, err, keep.ErrNoBlob)
		have, err := laptop.cfg.Blobs.Part(id, 0, nil)
		require.NoError(t, err)
		require.Zero(t, have)
		phone.cfg.Blobs = honest
		_, rb = meet(t, phone, laptop)
		require.Equal(t, 1, rb.BlobsIn)
		require.True(t, laptop.holds(id))
	})
}

// A cut in the middle of a large photo, at any frame, costs at most the parts
// that were on their way: each byte that was stored goes once over the wire, but
// for the last one, which the next link asks for again.
func TestPhotoCut(t *testing.T) {
	for limit := 6; limit < 48; limit += 7 {
		synctest.Test(t, func(t *testing.T) {
			laptop, phone := newPair(t)
			meet(t, phone, laptop)
			blob := noise(3_000_000)
			id := phone.photo(blob)
			x, y := newPipe()
			x.limit = limit
			s, c := run(t, y, laptop.config(false)), run(t, x, phone.config(true))
			synctest.Wait()
			rb := s.wait()
			require.Error(t, rb.Err)
			c.wait()
			have, err := laptop.cfg.Blobs.Part(id, 0, nil)
			require.NoError(t, err)
			require.Less(t, have, int64(len(blob)))
			ra, rb := meet(t, phone, laptop)
			require.Equal(t, "all is exchanged", ra.End.Text)
			require.Equal(t, 1, rb.BlobsIn)
			sent := int64(len(blob)) - max(have-1, 0)
			require.GreaterOrEqual(t, ra.BytesOut, sent)
			require.Less(t, ra.BytesOut, sent+8<<10)
			got, err := laptop.cfg.Blobs.Get(id)
			require.NoError(t, err)
			require.Equal(t, sha256.Sum256(blob), sha256.Sum256(got))
			if limit > 40 {
				require.Greater(t, have, int64(2_000_000))
			}
		})
	}
}

// full is a store that takes nothing.
type full struct{ *keep.MemoryBlobs }

func (full) Part(keep.BlobID, int64, []byte) (int64, error) {
	return 0, errors.New("no space left on device")
}

// A store that takes nothing, or no store at all, ends no link: the entries come.
func TestPhotosNotStored(t *testing.T) {
	for _, blobs := range []keep.Blobs{full{keep.NewMemoryBlobs()}, nil} {
		synctest.Test(t, func(t *testing.T) {
			laptop, phone := newPair(t)
			phone.photo(noise(100_000))
			laptop.cfg.Blobs = blobs
			ra, _ := meet(t, phone, laptop)
			require.Equal(t, "all is exchanged", ra.End.Text)
			requireSame(t, laptop, phone)
		})
	}
}
