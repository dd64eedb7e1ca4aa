package main

import (
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"ampwright/model/demo"
	"ampwright/server/backup"

	"github.com/stretchr/testify/require"
)

// another returns the program as another process.
func another(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	path, err := exec.LookPath("ampwright")
	require.NoError(t, err)
	c := exec.Command(path, args...)
	c.Env = append(os.Environ(), clockKey+"="+demo.End.Format(time.RFC3339))
	return c
}

// A backup is killed at any moment: under its name there is the one before or a
// whole one, and the garage opens as ever.
func TestBackupKilled(t *testing.T) {
	dir := heron(t)
	path := filepath.Join(t.TempDir(), "heron.backup")
	r := rand.New(rand.NewPCG(7, 8))
	killed, there := 0, 0
	for round := range 40 {
		c := another(t, "backup", path, "--garage", dir, "--yes")
		require.NoError(t, c.Start())
		time.AfterFunc(time.Duration(r.IntN(90))*time.Millisecond, func() { c.Process.Kill() })
		if c.Wait() != nil {
			killed++
		}
		contents, err := backup.Read(path, nil)
		if errors.Is(err, fs.ErrNotExist) {
			require.Zero(t, there, "round %d: the one before is gone", round)
			continue
		}
		require.NoError(t, err, "round %d", round)
		require.Equal(t, 254, contents.Entries)
		there++
	}
	require.Positive(t, killed)
	require.Positive(t, there)
	t.Logf("%d of 40 were killed before their end", killed)
	require.True(t, answer[verifyJSON](t, exitDone, "verify", dir).Whole)
}
