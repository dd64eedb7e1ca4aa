package blobs

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"ampwright/sync/keep"
	"ampwright/sync/keep/keeptest"

	"github.com/stretchr/testify/require"
)

func TestStore(t *testing.T) {
	keeptest.RunBlobs(t, func(t *testing.T) (keep.Blobs, func() keep.Blobs, func(keep.BlobID)) {
		dir := t.TempDir()
		s := In(dir)
		return s, func() keep.Blobs {
				s := In(dir)
				require.NoError(t, s.Sweep())
				return s
			}, func(id keep.BlobID) {
				data, err := os.ReadFile(s.path(id))
				require.NoError(t, err)
				data[len(data)/2] ^= 1
				require.NoError(t, os.WriteFile(s.path(id), data, 0o600))
			}
	})
}

// The layout is what the package says, closed to other users, and a blob that
// was being written when the program was killed is swept away.
func TestFolder(t *testing.T) {
	dir := t.TempDir()
	s := In(dir)
	list, err := s.List()
	require.NoError(t, err)
	require.Empty(t, list)
	require.NoError(t, s.Sweep())
	require.NoDirExists(t, filepath.Join(dir, "blobs"))

	_, err = s.Put(bytes.NewReader([]byte("abc")))
	require.NoError(t, err)
	// FIPS 180-2, appendix B.1.
	path := filepath.Join(dir, "blobs", "ba", "7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "abc", string(data))
	_, err = s.Part(keep.BlobID{7}, 0, []byte("abc"))
	require.NoError(t, err)

	half := filepath.Join(dir, "blobs", "part", "put-123")
	require.NoError(t, os.WriteFile(half, []byte("ab"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "blobs", "ba", "not ours"), []byte("ab"), 0o600))
	require.NoError(t, s.Sweep())
	require.NoFileExists(t, half)
	list, err = s.List()
	require.NoError(t, err)
	require.Len(t, list, 1)
	have, err := s.Part(keep.BlobID{7}, 0, nil)
	require.NoError(t, err)
	require.EqualValues(t, 3, have)

	if runtime.GOOS == "windows" {
		return // modes mean nothing there
	}
	require.NoError(t, filepath.WalkDir(filepath.Join(dir, "blobs"), func(path string, d fs.DirEntry, err error) error {
		require.NoError(t, err)
		info, err := d.Info()
		require.NoError(t, err)
		if d.IsDir() {
			require.Equal(t, fs.FileMode(0o700), info.Mode().Perm(), path)
		} else {
			require.Equal(t, fs.FileMode(0o600), info.Mode().Perm(), path)
		}
		return nil
	}))
}

// A folder that cannot be written to is an error, and nothing is claimed.
func TestNoPlace(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "blobs"), nil, 0o600)) // a file where the folder should be
	s := In(dir)
	_, err := s.Put(bytes.NewReader([]byte("abc")))
	require.Error(t, err)
	_, err = s.Part(keep.BlobID{7}, 0, []byte("abc"))
	require.Error(t, err)
	_, err = s.List()
	require.Error(t, err)
}
