package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The manual pages in the repository are those the program writes.
func TestManual(t *testing.T) {
	const kept = "man"
	dir := t.TempDir()
	if *update {
		require.NoError(t, os.RemoveAll(kept))
		require.NoError(t, os.MkdirAll(kept, 0o755))
		dir = kept
	}
	p := &program{out: new(bytes.Buffer), err: new(bytes.Buffer)}
	require.NoError(t, writeManual(p.root(), dir))
	got, err := filepath.Glob(filepath.Join(dir, "*.1"))
	require.NoError(t, err)
	want, err := filepath.Glob(filepath.Join(kept, "*.1"))
	require.NoError(t, err)
	require.Greater(t, len(got), 50)
	require.Len(t, want, len(got), "run go test ./cmd/ampwright -run Manual -update")
	for i := range got {
		a, err := os.ReadFile(got[i])
		require.NoError(t, err)
		b, err := os.ReadFile(want[i])
		require.NoError(t, err)
		require.Equal(t, string(b), string(a), filepath.Base(got[i]))
	}
}
