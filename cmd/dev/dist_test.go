package main

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// The same source and the same Go make the same program, whatever folder it is
// written to. (What is compiled already is linked again, not compiled again.)
func TestSameBytes(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	var first []byte
	for range 2 {
		out := filepath.Join(t.TempDir(), "ampwright")
		require.NoError(t, compiled(t.Context(), out, runtime.GOOS, runtime.GOARCH, ""))
		data, err := os.ReadFile(out)
		require.NoError(t, err)
		if first == nil {
			first = data
		}
		require.True(t, string(first) == string(data), "the second build differs")
	}
}

// The icons that are kept are those that the drawing makes.
func TestIcons(t *testing.T) {
	for _, i := range icons {
		want, err := drawIcon(i.size, i.share)
		require.NoError(t, err)
		got, err := os.ReadFile(filepath.Join("..", "..", "client", "static", "files", i.name))
		require.NoError(t, err)
		require.True(t, string(want) == string(got), "%s: run go run ./cmd/dev icons", i.name)
	}
}
