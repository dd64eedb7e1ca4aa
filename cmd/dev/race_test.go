package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSharing(t *testing.T) {
	for code, want := range map[string]bool{
		"package p\nfunc f() { g() }":                        false,
		"package p\nimport \"os\"\nvar _ = os.Args":          false,
		"package p\nfunc f() { go g() }":                     true,
		"package p\nvar c chan int":                          true,
		"package p\nimport \"sync\"\nvar m sync.Mutex":       true,
		"package p\nfunc f(t *testing.T) { t.Parallel() }":   true,
		"package p\nfunc f(c *exec.Cmd) { c.Run() }":         false,
		"package p\nfunc f(c *exec.Cmd) { c.Start() }":       true,
		"package p\nimport \"net/http\"\nvar h http.Handler": true,
	} {
		path := filepath.Join(t.TempDir(), "p.go")
		require.NoError(t, os.WriteFile(path, []byte(code), 0o600))
		got, err := sharing(path)
		require.NoError(t, err)
		require.Equal(t, want, got, code)
	}
	_, err := sharing(filepath.Join(t.TempDir(), "none.go"))
	require.Error(t, err)
}
