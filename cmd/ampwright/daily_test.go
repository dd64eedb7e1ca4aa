package main

import (
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ampwright/server/backup"
	"ampwright/server/garage"

	"github.com/stretchr/testify/require"
)

// A server makes the day's backup where that was asked for, and says on its pages
// when it cannot.
func TestServeMakesDailyBackup(t *testing.T) {
	dir, copies := heron(t), t.TempDir()
	require.NoError(t, garage.Daily{Folder: copies, Keep: 2}.Write(dir))
	server := served(t, dir)
	var files []string
	require.Eventually(t, func() bool {
		files, _ = filepath.Glob(filepath.Join(copies, "ampwright-*.backup"))
		return len(files) == 1
	}, 20*time.Second, 20*time.Millisecond)
	_, err := backup.Read(files[0], nil)
	require.NoError(t, err)
	server.end(t, os.Interrupt, exitInterrupted)
	require.Contains(t, server.talk.String(), "note: today's backup is "+files[0])

	gone := filepath.Join(copies, "gone")
	require.NoError(t, garage.Daily{Folder: gone, Keep: 2}.Write(dir))
	server = served(t, dir)
	require.Eventually(t, func() bool { return strings.Contains(pageOf(t, server, "/"), "The daily backup went wrong: ") }, 20*time.Second, 20*time.Millisecond)
	server.end(t, os.Interrupt, exitInterrupted)
	require.Contains(t, server.talk.String(), "note: The daily backup went wrong: ")
}

func pageOf(t *testing.T, s *process, path string) string {
	t.Helper()
	resp, err := http.Get(s.home + path)
	require.NoError(t, err)
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	return string(text)
}

// The file that the button brings is a whole backup, as the command writes it.
func TestBackupFromThePage(t *testing.T) {
	dir := heron(t)
	server := served(t, dir)
	resp, err := http.PostForm(server.home+"/backup", nil)
	require.NoError(t, err)
	defer resp.Body.Close()
	require.Equal(t, http.StatusOK, resp.StatusCode)
	require.Regexp(t, `^attachment; filename="ampwright-[0-9-]{15}\.backup"$`, resp.Header.Get("Content-Disposition"))
	path := filepath.Join(t.TempDir(), "got.backup")
	f, err := os.Create(path)
	require.NoError(t, err)
	_, err = io.Copy(f, resp.Body)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	body := answer[backupVerifyJSON](t, exitDone, "backup", "verify", path)
	require.True(t, body.Whole)
	require.Equal(t, 254, body.Backup.Entries)
	server.end(t, os.Interrupt, exitInterrupted)
}
