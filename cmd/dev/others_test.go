package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// What does not fit a system is found, and what does is not.
func TestTypesFor(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":        "module small\n\ngo 1.26\n",
		"main.go":       "package main\n\nimport \"fmt\"\n\nfunc main() { fmt.Println(most, lock()) }\n",
		"most.go":       "package main\n\nconst most int = 1 << 40\n",
		"lock_linux.go": "package main\n\nimport \"syscall\"\n\nfunc lock() error { return syscall.Flock(0, syscall.LOCK_EX) }\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	require.NoError(t, typesFor(t.Context(), dir, "linux", "amd64"))
	require.ErrorContains(t, typesFor(t.Context(), dir, "linux", "arm"), "most.go:3:18: cannot use 1 << 40")
	require.ErrorContains(t, typesFor(t.Context(), dir, "windows", "amd64"), "undefined: lock")
}
