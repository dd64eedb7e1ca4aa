package socket_test

import (
	"bytes"
	"math/rand/v2"
	"sync"
	"testing"

	"ampwright/model"
	"ampwright/server/blobs"
	"ampwright/server/socket"
	"ampwright/server/socket/proxytest"
	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
)

// A photo of 3 MB over a real socket that is cut in the middle, three times: what
// came is kept on the disk and not sent again, but for its last byte and the
// parts on their way, four of 64 KiB at most.
func TestPhotoOverCuts(t *testing.T) {
	hub, phone := newReplica(t, keep.NewMemory()), newReplica(t, keep.NewMemory())
	d := serve(t, phone) // the side with the photo answers: the proxy cuts what it sends
	d.invite(t, hub)
	exchange(t, d.address, hub)
	hub.secret = nil

	data := make([]byte, 3<<20)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range data {
		data[i] = byte(r.Uint32())
	}
	there, here := keep.NewMemoryBlobs(), blobs.In(t.TempDir())
	id, err := there.Put(bytes.NewReader(data))
	require.NoError(t, err)
	phone.blobs = there
	_, err = phone.book.Write([]model.Draft{{Body: &model.Photo{Hash: id[:]}}})
	require.NoError(t, err)

	proxy := proxytest.Start(t, d.address.Host, func(n int) proxytest.Faults {
		if n <= 3 {
			return proxytest.Faults{Cut: 900_000}
		}
		return proxytest.Faults{}
	})
	through, err := socket.ParseAddress(proxy.Address)
	require.NoError(t, err)
	var mu sync.Mutex
	var came []keep.BlobID
	var in int64
	for range 4 {
		cfg := hub.config(true)
		cfg.Once, cfg.Blobs, cfg.Fetch = true, here, true
		cfg.Came = func(id keep.BlobID, left int) {
			mu.Lock()
			defer mu.Unlock()
			came = append(came, id)
		}
		c := connect(t, through, cfg)
		report := <-c.over
		in += report.BytesIn
		c.end()
	}
	require.Equal(t, []keep.BlobID{id}, came)
	got, err := here.Get(id)
	require.NoError(t, err)
	require.True(t, bytes.Equal(data, got))
	require.Less(t, in, int64(len(data))+20_000, "what was read was stored, and asked for no more")
	requireSame(t, hub, phone)
}
