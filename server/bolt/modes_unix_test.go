//go:build unix

package bolt

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"ampwright/model/modeltest"

	"github.com/stretchr/testify/require"
)

func TestModesUnderAnyUmask(t *testing.T) {
	old := syscall.Umask(0)
	defer syscall.Umask(old)
	for _, umask := range []int{0, 0o022, 0o277} {
		syscall.Umask(umask)
		dir := filepath.Join(t.TempDir(), "garage")
		mode := func(name string) os.FileMode {
			info, err := os.Stat(filepath.Join(dir, name))
			require.NoError(t, err)
			return info.Mode().Perm()
		}
		check := func() {
			s := open(t, dir)
			require.NoError(t, s.Append(modeltest.Garage(20, 1)))
			require.Equal(t, os.FileMode(0o700), mode("."), "umask %o", umask)
			require.Equal(t, os.FileMode(0o600), mode(dataFile), "umask %o", umask)
			require.Equal(t, os.FileMode(0o600), mode(heldFile), "umask %o", umask)
			require.NoError(t, s.Close())
		}
		check()
		require.NoError(t, os.Chmod(dir, 0o755)) // as a careless copy leaves them
		require.NoError(t, os.Chmod(filepath.Join(dir, dataFile), 0o644))
		require.NoError(t, os.WriteFile(filepath.Join(dir, heldFile+".new"), nil, 0o600))
		require.NoError(t, os.Chmod(filepath.Join(dir, heldFile+".new"), 0o666))
		check()
	}
}
