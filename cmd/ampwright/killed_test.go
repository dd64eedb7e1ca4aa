package main

import (
	"bufio"
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/server/backup"
	"ampwright/server/bolt"
	"ampwright/server/garage"

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

// The server is killed while it writes, again and again: what it has answered
// for is there when it starts again. (As in the store's own test this sees a
// missing commit, not a missing flush.)
func TestServeKilled(t *testing.T) {
	dir := heron(t)
	r := rand.New(rand.NewPCG(5, 6))
	answered := map[model.ID]bool{}
	for round := range 12 {
		server := another(t, "serve", "--garage", dir, "--addr", "127.0.0.1:0")
		out, err := server.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, server.Start())
		_, err = bufio.NewReader(out).ReadString('\n') // comes when it listens
		require.NoError(t, err, "round %d", round)
		h, err := garage.Attach(dir, time.UTC)
		require.NoError(t, err)
		time.AfterFunc(time.Duration(30+r.IntN(120))*time.Millisecond, func() { server.Process.Kill() })
		for {
			out, err := h.Do(demo.Build, model.Wish{Name: "note", Values: map[string][]string{"text": {"said"}}}, "")
			if err != nil {
				break // killed
			}
			for _, id := range out.Entries {
				answered[id] = true
			}
		}
		require.Error(t, server.Wait(), "round %d: it was not killed", round)
		report, err := bolt.Verify(filepath.Join(dir, "logbook.db"))
		require.NoError(t, err)
		require.Empty(t, report.Damage, "round %d", round)
		g, err := garage.Open(dir, garage.Config{})
		require.NoError(t, err)
		require.Empty(t, g.Notice, "round %d: a killed server is no reason for a new name", round)
		require.NoError(t, g.Read(func(l *model.Logbook) error {
			for id := range answered {
				require.True(t, l.Has(id), "round %d: entry %s is lost", round, id)
			}
			return nil
		}))
		require.NoError(t, g.Close())
	}
	require.NotEmpty(t, answered)
	t.Logf("%d entries were answered for and are there", len(answered))
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
