package blobs

import (
	"bytes"
	"compress/gzip"
	"io"
	"math/rand/v2"
	"testing"

	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
)

// chance is a reader of bytes that do not compress.
type chance struct {
	*rand.ChaCha8
	left int64
}

func (c *chance) Read(p []byte) (int, error) {
	if c.left == 0 {
		return 0, io.EOF
	}
	n, _ := c.ChaCha8.Read(p[:min(int64(len(p)), c.left)])
	c.left -= int64(n)
	return n, nil
}

func noise(size int64) io.Reader { return &chance{rand.NewChaCha8([32]byte{1}), size} }

// A raw file comes back byte for byte, of one piece or of more, and its pieces
// together are a .gz file.
func TestRaw(t *testing.T) {
	s := In(t.TempDir())
	for size, want := range map[int64]int{0: 1, 1: 1, 100_000: 2} {
		data, err := io.ReadAll(noise(size))
		require.NoError(t, err)
		pieces, hash, err := putRaw(&pieceWriter{to: s, size: 1 << 16, most: 2}, bytes.NewReader(data))
		require.NoError(t, err)
		require.Len(t, pieces, want)
		var out bytes.Buffer
		require.NoError(t, GetRaw(s, pieces, hash, &out))
		require.True(t, bytes.Equal(data, out.Bytes()))
		var packed bytes.Buffer
		for _, id := range pieces {
			piece, err := s.Get(id)
			require.NoError(t, err)
			packed.Write(piece)
		}
		plain, err := gzip.NewReader(&packed)
		require.NoError(t, err)
		got, err := io.ReadAll(plain)
		require.NoError(t, err)
		require.True(t, bytes.Equal(data, got))

		require.ErrorContains(t, GetRaw(s, pieces, hash[1:]+"0", io.Discard), "want ")
		require.NoError(t, s.Drop(pieces[len(pieces)-1]))
		require.ErrorIs(t, GetRaw(s, pieces, hash, io.Discard), keep.ErrNoBlob)
	}
}

// A file that is larger than what is kept says so, and leaves nothing behind but
// what was there.
func TestRawTooLarge(t *testing.T) {
	s := keep.NewMemoryBlobs()
	first, _, err := PutRaw(s, noise(10))
	require.NoError(t, err)
	_, _, err = putRaw(&pieceWriter{to: s, size: 1 << 20, most: 1}, noise(1<<20))
	var large *TooLargeError
	require.ErrorAs(t, err, &large)
	require.ErrorContains(t, err, "more than 1 MB compressed")
	list, err := s.List()
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, first[0], list[0].ID)
}
