package garage

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/server/bolt"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var noon = time.Date(2026, 11, 21, 12, 0, 0, 0, time.UTC)

func config() Config {
	return Config{Now: func() time.Time { return noon }, Device: "bench laptop", Person: "Ina"}
}

func open(t *testing.T, dir string) *Garage {
	t.Helper()
	g, err := Open(dir, config())
	require.NoError(t, err)
	t.Cleanup(func() { g.Close() })
	return g
}

func start(t *testing.T, h Home, title string) uuid.UUID {
	t.Helper()
	out, err := h.Do(uuid.Nil, model.Wish{Name: "start", Values: map[string][]string{
		"plan": {"kart-chain"}, "title": {title}, "currency": {"EUR"},
	}}, "")
	require.NoError(t, err)
	return out.Build
}

func raws(t *testing.T, h Home) (all [][]byte) {
	t.Helper()
	require.NoError(t, h.Read(func(l *model.Logbook) error {
		return l.All(func(raw []byte) error {
			all = append(all, bytes.Clone(raw))
			return nil
		})
	}))
	return all
}

func TestIdentity(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "garage")
	require.False(t, Here(dir))
	g := open(t, dir)
	require.True(t, Here(dir))
	require.Empty(t, g.Notice)
	require.Equal(t, "Ina", g.Device().Person)
	start(t, g, "Kart")
	require.NoError(t, g.Close())

	again, err := Open(dir, Config{Now: config().Now, Person: "Jo", Device: "another"})
	require.NoError(t, err)
	defer again.Close()
	require.Equal(t, g.Device(), again.Device(), "what is on file stands")
	require.Empty(t, again.Notice)
	require.Len(t, raws(t, again), 2)
}

func TestFolderIsClosedToOthers(t *testing.T) {
	if runtime.GOOS == "windows" {
		return // modes mean nothing there
	}
	dir := filepath.Join(t.TempDir(), "garage")
	g := open(t, dir)
	start(t, g, "Kart")
	for name, want := range map[string]fs.FileMode{".": 0o700, deviceFile: 0o600, logbookFile: 0o600, "held.json": 0o600} {
		info, err := os.Stat(filepath.Join(dir, name))
		require.NoError(t, err)
		require.Equal(t, want, info.Mode().Perm(), name)
	}
}

func TestPrivateKeyStaysInItsFile(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	start(t, g, "Kart")
	require.NoError(t, g.Close())
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 2, "device.json and logbook.db, nothing half written")
	data, err := os.ReadFile(filepath.Join(dir, logbookFile))
	require.NoError(t, err)
	require.False(t, bytes.Contains(data, g.Device().Key.Seed()))
}

// A copy of a replica that must not write on takes a new name and says so.
func TestNewName(t *testing.T) {
	for _, tt := range []struct {
		name string
		do   func(t *testing.T, dir string)
		says string
	}{
		{"the identity is gone", func(t *testing.T, dir string) {
			require.NoError(t, os.Remove(filepath.Join(dir, deviceFile)))
		}, "device.json was missing"},
		{"the logbook is gone", func(t *testing.T, dir string) {
			require.NoError(t, os.Remove(filepath.Join(dir, logbookFile)))
		}, "the logbook holds nothing of replica"},
		{"the folder was copied and both went on", func(t *testing.T, dir string) {
			copied := filepath.Join(t.TempDir(), "copy")
			require.NoError(t, os.CopyFS(copied, os.DirFS(dir)))
			other := open(t, copied)
			start(t, other, "Kart of the copy")
			g := open(t, dir)
			start(t, g, "Kart of the first")
			require.NoError(t, g.store.Append(raws(t, other))) // and the power went
			require.NoError(t, g.Close())
		}, "has 2 ends"},
		{"an earlier device.json was put back", func(t *testing.T, dir string) {
			old, err := os.ReadFile(filepath.Join(dir, deviceFile))
			require.NoError(t, err)
			g := open(t, dir)
			require.NoError(t, g.Rename("a test"))
			require.NoError(t, g.Close())
			require.NoError(t, os.WriteFile(filepath.Join(dir, deviceFile), old, 0o600))
		}, "device.json and logbook.db do not belong together"},
		{"the logbook of another folder was put in", func(t *testing.T, dir string) {
			other, g := open(t, t.TempDir()), open(t, dir)
			_, err := other.Import(raws(t, g))
			require.NoError(t, err)
			require.NoError(t, g.Close())
			require.NoError(t, other.Close())
			data, err := os.ReadFile(filepath.Join(other.dir, logbookFile))
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(dir, logbookFile), data, 0o600))
		}, "device.json and logbook.db do not belong together"},
		{"device.json is of a time before marks", func(t *testing.T, dir string) {
			d, err := ReadDevice(dir)
			require.NoError(t, err)
			d.Mark = bolt.Mark{}
			require.NoError(t, d.write(dir))
		}, "do not belong together"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			g := open(t, dir)
			start(t, g, "Kart")
			require.NoError(t, g.Close())
			tt.do(t, dir)

			g2 := open(t, dir)
			require.Contains(t, g2.Notice, tt.says)
			require.Contains(t, g2.Notice, g2.Device().Replica.String())
			require.NotEqual(t, g.Device().Replica, g2.Device().Replica)
			require.False(t, g.Device().Key.Equal(g2.Device().Key))
			require.Equal(t, "Ina", g2.Device().Person)
			if tt.name != "the identity is gone" {
				require.NotZero(t, g2.Device().Was)
			}
			requireOpening(t, g2)
			start(t, g2, "Next kart")
			require.NoError(t, g2.Close())

			g3 := open(t, dir)
			require.Empty(t, g3.Notice)
			require.Equal(t, g2.Device(), g3.Device())
		})
	}
}

func TestDeviceFileThatDoesNotRead(t *testing.T) {
	for text, want := range map[string]string{
		"":                                "unexpected end of JSON input",
		"{}":                              `format "", want "ampwright-device/1"`,
		`{"format":"ampwright-device/2"}`: `format "ampwright-device/2"`,
		`{"format":"ampwright-device/1"}`: "no replica",
		`{"format":"ampwright-device/1","replica":"6f9619ff-8b86-4d01-b42d-00cf4fc964ff","seed":"AAAA"}`:                                                       "a seed of 3 bytes, want 32",
		`{"format":"ampwright-device/1","replica":"6f9619ff-8b86-4d01-b42d-00cf4fc964ff","seed":"AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=","mark":"beef"}`: `mark "beef", want 32 hexadecimal digits`,
	} {
		dir := t.TempDir()
		path := filepath.Join(dir, deviceFile)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		_, err := Open(dir, config())
		require.ErrorContains(t, err, path)
		require.ErrorContains(t, err, want)
		require.ErrorContains(t, err, "move the file away")
		left, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, text, string(left), "it is not written over")

		require.NoError(t, os.Remove(path)) // the failed opening let go of the store
		open(t, dir)
	}
}

func TestBusy(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	for _, tt := range []struct{ address, want string }{
		{"", "is open in ampwright, process"},
		{"127.0.0.1:9", "it does not answer"},                                           // RFC 863: discard, served nowhere
		{"192.0.2.7:7341", `"192.0.2.7:7341" is not an address of this computer alone`}, // RFC 5737: in examples only
		{"garage.example:7341", "is not an address of this computer alone"},
		{"nonsense", "is not an address of this computer alone"},
	} {
		require.NoError(t, g.Serving(tt.address, "token that is never printed"))
		began := time.Now()
		_, err := Enter(dir, config())
		var busy *BusyError
		require.ErrorAs(t, err, &busy, tt.address)
		require.ErrorContains(t, err, tt.want)
		require.False(t, strings.Contains(err.Error(), "token"), err)
		var held *bolt.HeldError
		require.True(t, errors.As(err, &held))
		require.Less(t, time.Since(began), 2*time.Second)
	}
}
