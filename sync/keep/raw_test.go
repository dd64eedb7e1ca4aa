package keep

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"math/rand/v2"
	"testing"

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
	s := NewMemoryBlobs()
	for size, want := range map[int64]int{0: 1, 1: 1, 100_000: 2} {
		data, err := io.ReadAll(noise(size))
		require.NoError(t, err)
		pieces, hash, err := putRaw(&pieceWriter{to: s, size: 1 << 16, most: 2}, bytes.NewReader(data))
		require.NoError(t, err)
		require.Len(t, pieces, want)
		sum := sha256.Sum256(data)
		require.Equal(t, hex.EncodeToString(sum[:]), hash)
		var out bytes.Buffer
		require.NoError(t, GetRaw(s, pieces, sum[:], &out))
		require.True(t, bytes.Equal(data, out.Bytes()))
		var packed bytes.Buffer
		var ids []BlobID
		for _, name := range pieces {
			id, err := ParseBlobID(name)
			require.NoError(t, err)
			ids = append(ids, id)
			piece, err := s.Get(id)
			require.NoError(t, err)
			packed.Write(piece)
		}
		var same bytes.Buffer
		z := gzip.NewWriter(&same)
		_, err = z.Write(data)
		require.NoError(t, errors.Join(err, z.Close()))
		require.True(t, bytes.Equal(same.Bytes(), packed.Bytes()), "as compress/gzip has it")
		plain, err := gzip.NewReader(&packed)
		require.NoError(t, err)
		got, err := io.ReadAll(plain)
		require.NoError(t, err)
		require.True(t, bytes.Equal(data, got))

		require.ErrorContains(t, GetRaw(s, pieces, sum[1:], io.Discard), "want ")
		require.NoError(t, s.Drop(ids[len(ids)-1]))
		require.ErrorIs(t, GetRaw(s, pieces, sum[:], io.Discard), ErrNoBlob)
	}
}

// A file that is larger than what is kept says so, and leaves nothing behind but
// what was there.
func TestRawTooLarge(t *testing.T) {
	s := NewMemoryBlobs()
	first, _, err := PutRaw(s, noise(10))
	require.NoError(t, err)
	_, _, err = putRaw(&pieceWriter{to: s, size: 1 << 20, most: 1}, noise(1<<20))
	var large *TooLargeError
	require.ErrorAs(t, err, &large)
	require.ErrorContains(t, err, "more than 1 MB compressed")
	list, err := s.List()
	require.NoError(t, err)
	require.Len(t, list, 1)
	require.Equal(t, first[0], list[0].ID.String())
}
