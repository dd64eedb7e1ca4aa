package garage

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/backup"
	"ampwright/sync/keep"

	"github.com/stretchr/testify/require"
)

// stocked opens a garage with the demo's build and a photo in it.
func stocked(t *testing.T, dir string) *Garage {
	t.Helper()
	g := open(t, dir)
	heron, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	_, err = g.Import(heron)
	require.NoError(t, err)
	photo(t, g, "photo of the pack")
	return g
}

func photo(t *testing.T, g *Garage, text string) keep.BlobID {
	t.Helper()
	id, err := g.Blobs.Put(strings.NewReader(text))
	require.NoError(t, err)
	return id
}

func save(t *testing.T, h Home, dir string) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "garage.backup")
	_, left, err := Backup(h, dir, path, "garage test")
	require.NoError(t, err)
	require.Empty(t, left)
	return path
}

func names(raws [][]byte) map[model.ID]bool {
	ids := map[model.ID]bool{}
	for _, raw := range raws {
		ids[model.IDOf(raw)] = true
	}
	return ids
}

// requireAll requires that got holds every entry of each of want.
func requireAll(t *testing.T, got [][]byte, want ...[][]byte) {
	t.Helper()
	there := names(got)
	for _, raw := range slices.Concat(want...) {
		require.True(t, there[model.IDOf(raw)], "an entry is gone")
	}
}

func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		all[path] = string(data)
		return err
	}))
	return all
}

// Into a folder that is not there: all comes back, under a new name.
func TestRestoreAnew(t *testing.T) {
	dir := t.TempDir()
	g := stocked(t, dir)
	path := save(t, g, dir)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.False(t, bytes.Contains(data, g.Device().Key.Seed()), "a private key has no place in a backup")

	fresh := filepath.Join(t.TempDir(), "a", "garage")
	try, err := TryRestore(fresh, path, config())
	require.NoError(t, err)
	require.NoDirExists(t, fresh)
	r, err := Restore(fresh, path, "garage test", Config{Now: config().Now, Device: "another laptop"})
	require.NoError(t, err)
	require.Equal(t, []int{try.Here, try.New, try.NewBlobs}, []int{r.Here, r.New, r.NewBlobs})
	require.Equal(t, []int{0, len(raws(t, g)), 1}, []int{r.Here, r.New, r.NewBlobs})
	require.Empty(t, r.SafetyCopy)
	require.Equal(t, g.Device().Replica, r.Was)

	back := open(t, fresh)
	require.Empty(t, back.Notice)
	require.Equal(t, r.Replica, back.Device().Replica)
	require.Equal(t, []string{"another laptop", "Ina"}, []string{back.Device().Name, back.Device().Person}, "the person is who kept the first")
	require.False(t, g.Device().Key.Equal(back.Device().Key))
	requireOpening(t, back)
	requireAll(t, raws(t, back), raws(t, g))
	require.Len(t, raws(t, back), len(raws(t, g))+1, "and its own opening")
	list, err := back.Blobs.List()
	require.NoError(t, err)
	require.Len(t, list, 1)
}

// Into a garage that went on: nothing of either is lost, and what was there is
// in the safety copy.
func TestRestoreIntoAGarage(t *testing.T) {
	dir := t.TempDir()
	g := stocked(t, dir)
	first := raws(t, g)
	path := save(t, g, dir)
	start(t, g, "Kart after the backup")
	second := photo(t, g, "photo after the backup")
	before := raws(t, g)
	old := g.Device()
	require.NoError(t, g.Close())

	// The folder is set back: an entry of the backup is not there any more.
	set := t.TempDir()
	other := open(t, set)
	start(t, other, "Kart of another folder")
	third := raws(t, other)
	require.NoError(t, other.Close())

	for _, tt := range []struct {
		dir    string
		before [][]byte
		new    int
	}{{dir, before, 0}, {set, third, len(first)}} {
		kept := files(t, tt.dir)
		try, err := TryRestore(tt.dir, path, config())
		require.NoError(t, err)
		require.Equal(t, kept, files(t, tt.dir), "a dry run changes no byte")
		require.Equal(t, []int{len(tt.before), tt.new}, []int{try.Here, try.New})
		r, err := Restore(tt.dir, path, "garage test", config())
		require.NoError(t, err)
		require.Equal(t, []int{try.Here, try.New, try.NewBlobs}, []int{r.Here, r.New, r.NewBlobs})
		back := open(t, tt.dir)
		require.Equal(t, r.Replica, back.Device().Replica)
		requireOpening(t, back)
		requireAll(t, raws(t, back), first, tt.before)
		require.Len(t, raws(t, back), len(tt.before)+tt.new+1, "and the opening under the new name")
		require.NoError(t, back.Close())

		c, err := backup.Read(r.SafetyCopy, nil)
		require.NoError(t, err)
		require.Equal(t, names(tt.before), names(c.Raws))
		again, err := Restore(tt.dir, path, "garage test", config())
		require.NoError(t, err)
		require.Zero(t, again.New)
		require.NotEqual(t, r.SafetyCopy, again.SafetyCopy, "no safety copy is written over")
	}
	back := open(t, dir)
	require.NotEqual(t, old.Replica, back.Device().Replica)
	has, err := back.Blobs.Has(second)
	require.NoError(t, err)
	require.True(t, has)
}

// Into a garage whose file is damaged: what reads stays, the rest comes from the
// backup.
func TestRestoreHeals(t *testing.T) {
	dir := t.TempDir()
	g := stocked(t, dir)
	path := save(t, g, dir)
	start(t, g, "Kart after the backup")
	all := raws(t, g)
	require.NoError(t, g.Close())
	file := filepath.Join(dir, logbookFile)
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	bad := bytes.ReplaceAll(whole, []byte("phase W nicked"), []byte("phase V nicked")) // in use or in a free page
	require.NotEqual(t, whole, bad)
	require.NoError(t, os.WriteFile(file, bad, 0o600))
	_, err = Open(dir, config())
	require.ErrorContains(t, err, "damaged")

	try, err := TryRestore(dir, path, config())
	require.NoError(t, err)
	require.NotEmpty(t, try.Damage)
	r, err := Restore(dir, path, "garage test", config())
	require.NoError(t, err)
	require.Equal(t, try.Damage, r.Damage)
	require.Equal(t, []int{try.Here, try.New}, []int{r.Here, r.New})
	require.Zero(t, r.Left)
	aside, err := os.ReadFile(r.SafetyCopy)
	require.NoError(t, err)
	require.Equal(t, bad, aside)
	back := open(t, dir)
	require.Equal(t, g.Device().Replica, back.Device().Was, "its last entries may have been lost")
	requireAll(t, raws(t, back), all)
	report, err := back.store.Verify()
	require.NoError(t, err)
	require.Empty(t, report.Damage)
}

func TestRestoreRefuses(t *testing.T) {
	dir := t.TempDir()
	g := stocked(t, dir)
	path := save(t, g, dir)
	kept := raws(t, g)

	// Somebody else has the garage open.
	var busy *BusyError
	_, err := Restore(dir, path, "garage test", config())
	require.ErrorAs(t, err, &busy)
	_, err = TryRestore(dir, path, config())
	require.ErrorAs(t, err, &busy)
	serve(t, dir, g, plain)
	try, err := TryRestore(dir, path, config())
	require.NoError(t, err, "to look, the server can be asked")
	require.Equal(t, []int{len(kept), 0}, []int{try.Here, try.New})
	require.NoError(t, g.Close())

	// A backup that is not whole is refused before anything is touched.
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	data[len(data)/2] ^= 1
	require.NoError(t, os.WriteFile(path, data, 0o600))
	before := files(t, dir)
	var damaged *backup.DamagedError
	_, err = Restore(dir, path, "garage test", config())
	require.ErrorAs(t, err, &damaged)
	fresh := filepath.Join(t.TempDir(), "fresh")
	_, err = Restore(fresh, path, "garage test", config())
	require.ErrorAs(t, err, &damaged)
	_, err = TryRestore(dir, path, config())
	require.ErrorAs(t, err, &damaged)
	require.Equal(t, before, files(t, dir))
	require.NoDirExists(t, fresh)
}

// A restore that was broken off is done again.
func TestRestoreTwice(t *testing.T) {
	dir := t.TempDir()
	g := stocked(t, dir)
	path := save(t, g, dir)
	all := raws(t, g)
	half := t.TempDir()
	cfg := config()
	cfg.Was = g.Device().Replica
	broken := open(t, half) // up to here, and half of the blobs
	photo(t, broken, "photo of the pack")
	require.NoError(t, broken.Close())
	r, err := Restore(half, path, "garage test", cfg)
	require.NoError(t, err)
	require.Zero(t, r.NewBlobs)
	back := open(t, half)
	requireAll(t, raws(t, back), all)
}

// While others write, here and through a server, a backup is the logbook at one
// moment: all that was acknowledged before it began, and no chain with a hole.
func TestBackupWhileWriting(t *testing.T) {
	dir := t.TempDir()
	g := stocked(t, dir)
	serve(t, dir, g, plain)
	var wg sync.WaitGroup
	stop := make(chan struct{})
	var mu sync.Mutex
	acknowledged := map[model.ID]bool{}
	for range 2 {
		wg.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				out, err := g.Do(demo.Build, model.Wish{Name: "note", Values: map[string][]string{"text": {"meanwhile"}}}, "")
				if err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				for _, id := range out.Entries {
					acknowledged[id] = true
				}
				mu.Unlock()
			}
		})
	}
	for i := range 6 {
		mu.Lock()
		before := make([]model.ID, 0, len(acknowledged))
		for id := range acknowledged {
			before = append(before, id)
		}
		mu.Unlock()
		h, enterErr := Enter(dir, config())
		require.NoError(t, enterErr)
		require.IsType(t, &Remote{}, h)
		if i%2 == 0 {
			h = g
		}
		c, err := backup.Read(save(t, h, dir), nil)
		require.NoError(t, err)
		there := names(c.Raws)
		for _, id := range before {
			require.True(t, there[id], "backup %d lacks an entry that was acknowledged before it", i)
		}
		require.Len(t, c.Blobs, 1)
	}
	close(stop)
	wg.Wait()
	h, err := Enter(dir, config())
	require.NoError(t, err)
	path := save(t, h, dir)
	fresh := t.TempDir()
	_, err = Restore(fresh, path, "garage test", config())
	require.NoError(t, err)
	requireAll(t, raws(t, open(t, fresh)), raws(t, g))
}

// What a garage of another time left in the folder is no part of it.
func TestRestoreTakesNoIdentity(t *testing.T) {
	dir := t.TempDir()
	g := stocked(t, dir)
	path := save(t, g, dir)
	require.NoError(t, g.Close())
	fresh := t.TempDir()
	device, err := os.ReadFile(filepath.Join(dir, deviceFile))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(fresh, deviceFile), device, 0o600))
	r, err := Restore(fresh, path, "garage test", config())
	require.NoError(t, err)
	require.NotEqual(t, g.Device().Replica, r.Replica)
	require.Equal(t, g.Device().Replica, r.Was)
}
