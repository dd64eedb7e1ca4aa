package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A backup that is not whole is called so, with exit code 3, and brings nothing
// in.
func TestDamagedBackup(t *testing.T) {
	dir, folder := heron(t), t.TempDir()
	path := filepath.Join(folder, "heron.backup")
	code, _, talk := amp(t, "backup", path, "--garage", dir)
	require.Equal(t, exitDone, code, talk)
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	for name, tt := range map[string]struct {
		file []byte
		want string
	}{
		"a flipped bit": {append(append(append([]byte{}, whole[:len(whole)/2]...), whole[len(whole)/2]^8), whole[len(whole)/2+1:]...), `bytes \d+ to \d+ are not what was written: `},
		"cut":           {whole[:len(whole)-10], `it ends after \d+ bytes, before its end mark: it was cut short`},
		"empty":         {nil, `it is empty`},
	} {
		require.NoError(t, os.WriteFile(path, tt.file, 0o600))
		code, out, talk := amp(t, "backup", "verify", path)
		require.Equal(t, exitNotMet, code, name)
		require.Empty(t, talk)
		require.Regexp(t, `is no whole backup\n  `+tt.want, out, name)
		code, out, _ = amp(t, "backup", "verify", path, "--json")
		require.Equal(t, exitNotMet, code)
		var body backupVerifyJSON
		require.NoError(t, json.Unmarshal([]byte(out), &body))
		require.False(t, body.Whole)
		require.Nil(t, body.Backup)
		require.Regexp(t, tt.want, body.Damage)

		fresh := filepath.Join(folder, "fresh")
		code, out, talk = amp(t, "restore", path, fresh)
		require.Equal(t, exitFailed, code)
		require.Empty(t, out)
		require.Regexp(t, `^ampwright restore: .*heron.backup is no whole backup: `+tt.want, talk)
		require.Contains(t, talk, "hint: nothing was changed; ")
		require.NoDirExists(t, fresh)
	}
}

// A photo that no longer reads is named, and all else is saved.
func TestBackupLeavesOut(t *testing.T) {
	dir := heron(t)
	const name = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "blobs", name[:2]), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "blobs", name[:2], name[2:]), []byte("other bytes"), 0o600))
	path := filepath.Join(t.TempDir(), "heron.backup")
	code, out, talk := amp(t, "backup", path, "--garage", dir)
	require.Equal(t, exitDone, code, talk)
	require.Contains(t, out, "254 entries of 3 devices, 0 photos")
	require.Contains(t, talk, "note: photo "+name+" does not read and was left out")
	require.True(t, answer[backupVerifyJSON](t, exitDone, "backup", "verify", path).Whole)
	require.Equal(t, []string{name}, answer[backupJSON](t, exitDone, "backup", path, "--garage", dir, "--yes").LeftOut)
}
