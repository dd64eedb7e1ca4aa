package garage

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"ampwright/server/backup"

	"github.com/stretchr/testify/require"
)

// dayed is a garage on another day.
type dayed struct {
	*Garage
	at time.Time
}

func (d dayed) Now() time.Time { return d.at }

func list(t *testing.T, dir string) (names []string) {
	t.Helper()
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, f := range files {
		names = append(names, f.Name())
	}
	return names
}

// One backup a day, the last three kept, and no other file touched.
func TestDaily(t *testing.T) {
	dir, folder := t.TempDir(), t.TempDir()
	g := open(t, dir)
	defer g.Close()
	name := func(day string) string { return "ampwright-" + g.Device().Replica.String()[:8] + "-" + day + ".backup" }
	foreign := []string{"ampwright-00000000-2020-01-01.backup", "notes.txt", name("2020-01-01") + ".old"}
	for _, f := range foreign {
		require.NoError(t, os.WriteFile(filepath.Join(folder, f), []byte("mine"), 0o600))
	}
	d := Daily{folder, 3}
	day := time.Date(2026, 9, 28, 23, 0, 0, 0, time.FixedZone("", 7200))
	for n := range 5 {
		at := dayed{g, day.AddDate(0, 0, n)}
		path, made, err := d.Make(at, dir, "garage test")
		require.NoError(t, err)
		require.True(t, made)
		_, err = backup.Read(path, nil)
		require.NoError(t, err)
		at.at = at.at.Add(30 * time.Minute)
		again, made, err := d.Make(at, dir, "garage test")
		require.NoError(t, err)
		require.False(t, made)
		require.Equal(t, path, again)
	}
	require.ElementsMatch(t, append(foreign, name("2026-09-30"), name("2026-10-01"), name("2026-10-02")), list(t, folder))

	// A backup that cannot be written costs none of the old ones.
	require.NoError(t, os.Mkdir(filepath.Join(folder, name("2026-10-03")), 0o700))
	before := list(t, folder)
	d.Keep = 1
	_, made, err := d.Make(dayed{g, day.AddDate(0, 0, 5)}, dir, "garage test")
	require.ErrorContains(t, err, "is in the way of today's backup: it is no file")
	require.False(t, made)
	require.Equal(t, before, list(t, folder))
	_, _, err = Daily{filepath.Join(folder, "gone"), 1}.Make(dayed{g, day}, dir, "garage test")
	require.ErrorIs(t, err, os.ErrNotExist)
}

func TestDailyIsAskedFor(t *testing.T) {
	dir := t.TempDir()
	d, err := ReadDaily(dir)
	require.NoError(t, err)
	require.Zero(t, d)
	want := Daily{t.TempDir(), 7}
	require.NoError(t, want.Write(dir))
	d, err = ReadDaily(dir)
	require.NoError(t, err)
	require.Equal(t, want, d)
	require.NoError(t, Daily{}.Write(dir))
	require.NoError(t, Daily{}.Write(dir), "twice is once")
	d, err = ReadDaily(dir)
	require.NoError(t, err)
	require.Zero(t, d)

	require.EqualError(t, Daily{"here", 7}.Write(dir), `daily backups to "here": want a path from the root`)
	require.EqualError(t, Daily{want.Folder, 0}.Write(dir), "0 daily backups kept: want 1 to 1000")
	for text, wrong := range map[string]string{
		"{": "unexpected end of JSON input", "{}": `format "", want "ampwright-daily/1"`,
		`{"format":"ampwright-daily/1","folder":"x","keep":3}`: `daily backups to "x": want a path from the root`,
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, dailyFile), []byte(text), 0o600))
		_, err = ReadDaily(dir)
		require.ErrorContains(t, err, wrong)
	}
}
