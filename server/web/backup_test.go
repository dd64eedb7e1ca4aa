package web_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"ampwright/client/pages"
	"ampwright/server/web"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A button posts for a backup and gets it as a file. Nothing of it stays behind,
// no foreign page can ask for one, and an error is said.
func TestBackup(t *testing.T) {
	s := heron(t)
	var folder string
	var failed error
	site, err := pages.New(pages.Config{Book: s.book, Once: uuid.NewString, Backup: web.BackupPath})
	require.NoError(t, err)
	s.Handler = web.New(web.Config{Site: site, Book: s.book, Hosts: []string{host}, Backup: func(dir string) (string, error) {
		folder = dir
		info, err := os.Stat(dir)
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
		path := filepath.Join(dir, "heron.backup")
		require.NoError(t, os.WriteFile(path, []byte("all there is"), 0o600))
		return path, failed
	}})
	require.Contains(t, body(t, s.do(call{method: "GET", path: bench + "settings"})), `<form method="post" action="/backup">`)

	post := call{method: "POST", path: web.BackupPath, header: map[string]string{"Content-Type": formType, "Sec-Fetch-Site": "same-origin"}}
	resp := s.do(post)
	require.Equal(t, 200, resp.StatusCode)
	require.Equal(t, `attachment; filename="heron.backup"`, resp.Header.Get("Content-Disposition"))
	require.Equal(t, "application/octet-stream", resp.Header.Get("Content-Type"))
	require.Equal(t, "no-store", resp.Header.Get("Cache-Control"))
	require.Equal(t, "all there is", body(t, resp))
	require.NoDirExists(t, folder)

	failed = errors.New("the disk is full")
	resp = s.do(post)
	require.Equal(t, 500, resp.StatusCode)
	require.Equal(t, "no backup was made: the disk is full\n", body(t, resp))
	require.Empty(t, resp.Header.Get("Content-Disposition"))
	require.NoDirExists(t, folder)

	folder = ""
	post.header = map[string]string{"Content-Type": formType, "Sec-Fetch-Site": "cross-site"}
	require.Equal(t, 403, s.do(post).StatusCode)
	require.NotEqual(t, 200, s.do(call{method: "GET", path: web.BackupPath}).StatusCode)
	require.Empty(t, folder)
}
