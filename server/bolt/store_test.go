package bolt

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/keep"
	"ampwright/sync/keep/keeptest"

	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"
)

func open(t testing.TB, dir string) *Store {
	t.Helper()
	s, err := Open(dir, Config{Program: "store test"})
	require.NoError(t, err)
	return s
}

// names returns the entries of a store by name.
func names(t testing.TB, log keep.Log) map[model.ID]string {
	t.Helper()
	got := map[model.ID]string{}
	require.NoError(t, log.Runs(func(run []byte) error {
		return model.UnpackRun(run, func(raw string, id model.ID) error {
			got[id] = raw
			return nil
		})
	}))
	return got
}

// requireWhole verifies the file of a closed store.
func requireWhole(t testing.TB, dir string) Report {
	t.Helper()
	r, err := Verify(filepath.Join(dir, dataFile))
	require.NoError(t, err)
	require.Empty(t, r.Damage)
	return r
}

func TestStore(t *testing.T) {
	for _, tt := range []struct {
		name string
		pack bool
	}{{"left loose", false}, {"packed at every turn", true}} {
		t.Run(tt.name, func(t *testing.T) {
			keeptest.Run(t, func(t *testing.T) (keep.Log, func() keep.Log) {
				dir := t.TempDir()
				s := open(t, dir)
				close := func() {
					if tt.pack {
						require.NoError(t, s.Pack())
					}
					require.NoError(t, s.Close())
					requireWhole(t, dir)
				}
				t.Cleanup(close)
				return s, func() keep.Log {
					close()
					s = open(t, dir)
					return s
				}
			})
		})
	}
}

func TestPackingKeepsEveryEntry(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	raws := modeltest.Garage(2500, 3)
	for _, raw := range raws { // packs by itself on the way
		require.NoError(t, s.Append([][]byte{raw}))
	}
	before := names(t, s)
	require.Len(t, before, len(raws))
	require.NoError(t, s.Pack())
	require.Equal(t, before, names(t, s))
	r, err := s.Verify()
	require.NoError(t, err)
	require.Empty(t, r.Damage)
	require.Equal(t, len(raws), r.Entries)
	require.LessOrEqual(t, r.Runs, 4, "2500 entries of two replicas, in runs of up to %d", keep.MaxRun)
	require.NoError(t, s.Append(raws), "all repeats")
	require.NoError(t, s.Close())
	require.Equal(t, r, requireWhole(t, dir))
}

// A first write error must be the last: what a retry finds in the page cache
// after a failed fsync may not be on the disk (Rebello et al., "Can Applications
// Recover from fsync Failures?", USENIX ATC 2020).
func TestNoWriteAfterAFailedOne(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	raws := modeltest.Garage(30, 1)
	require.NoError(t, s.Append(raws[:10]))
	heads, err := s.Heads()
	require.NoError(t, err)

	require.NoError(t, s.db.handle.Close()) // the disk is gone
	require.Error(t, s.Append(raws[10:20]))
	err = s.Append(raws[10:11])
	require.ErrorContains(t, err, "until the logbook is opened again")
	require.ErrorIs(t, err, os.ErrClosed)
	require.ErrorIs(t, s.Pack(), os.ErrClosed)
	after, err := s.Heads()
	require.NoError(t, err)
	require.Equal(t, heads, after)
	require.NoError(t, s.Append(raws[:10]), "repeats need no write")
	s.Close() // cannot unlock what is closed: only that it returns

	s = open(t, dir)
	require.Len(t, names(t, s), 10)
	require.NoError(t, s.Append(raws))
	require.NoError(t, s.Close())
	require.Equal(t, 30, requireWhole(t, dir).Entries)
}

func TestHeld(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, dataFile)
	since := time.Date(2026, 8, 29, 8, 55, 0, 0, time.UTC)
	s, err := Open(dir, Config{Program: "ampwright 1.0", Now: func() time.Time { return since }})
	require.NoError(t, err)
	want := Holder{PID: os.Getpid(), Program: "ampwright 1.0", Since: since}
	got, err := ReadHolder(dir)
	require.NoError(t, err)
	require.Equal(t, want, got)

	want.Address, want.Token = "http://127.0.0.1:8420", "secret"
	require.NoError(t, s.SetHolder(Holder{Address: want.Address, Token: want.Token}))
	for name, again := range map[string]func() error{
		"open":   func() error { _, err := Open(dir, Config{}); return err },
		"verify": func() error { _, err := Verify(path); return err },
	} {
		began := time.Now()
		err := again()
		var held *HeldError
		require.ErrorAs(t, err, &held, name)
		require.Equal(t, HeldError{path, want}, *held)
		require.Less(t, time.Since(began), time.Second, name)
		require.ErrorContains(t, err, "is open in ampwright 1.0, process ")
		require.ErrorContains(t, err, " at http://127.0.0.1:8420, since 2026-08-29 08:55:00")
		require.NotContains(t, err.Error(), "secret")
	}
	require.NoError(t, s.Append(modeltest.Garage(3, 1)), "the holder is not disturbed")
	require.NoError(t, s.Close())
	_, err = ReadHolder(dir)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.Equal(t, 3, requireWhole(t, dir).Entries)
}

// A server that was killed may have the lock for a moment yet, or a process that was
// being started from it: one that runs is not waited for.
func TestHolderThatWasKilled(t *testing.T) {
	ended := exec.Command(os.Args[0], "-test.run=^$")
	require.NoError(t, ended.Run())
	require.True(t, runs(os.Getpid()))
	require.False(t, runs(ended.Process.Pid))
	dir := t.TempDir()
	s := open(t, dir)
	require.NoError(t, writeHolder(dir, Holder{PID: ended.Process.Pid, Program: "ampwright serve", Address: "127.0.0.1:8420"}))
	closed := make(chan error)
	time.AfterFunc(lockWait/4, func() { closed <- s.db.Close() })
	again, err := Open(dir, Config{})
	require.NoError(t, err)
	require.NoError(t, <-closed)
	require.NoError(t, again.Close())
}

func TestHolderThatDoesNotSay(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	require.NoError(t, os.WriteFile(filepath.Join(dir, heldFile), []byte("{"), 0o600))
	_, err := Open(dir, Config{})
	require.ErrorContains(t, err, "is open in another program")
	require.NoError(t, s.Close())
}

// Many programs meet at a folder that does not exist yet.
func TestOpenTogether(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	pens := make([]model.Pen, 6)
	var wg sync.WaitGroup
	var mu sync.Mutex
	stored := 0
	for i := range pens {
		pens[i].Replica[0] = byte(1 + i)
		wg.Go(func() {
			s, err := Open(dir, Config{})
			if err != nil {
				var held *HeldError
				if !errors.As(err, &held) {
					t.Error(err)
				}
				return
			}
			raws, err := pens[i].Write([]model.Draft{{Body: &model.Note{Text: "here"}}}, 1<<40)
			if err := errors.Join(err, s.Append(raws), s.Close()); err != nil {
				t.Error(err)
			}
			mu.Lock()
			stored++
			mu.Unlock()
		})
	}
	wg.Wait()
	require.Positive(t, stored)
	require.Equal(t, stored, requireWhole(t, dir).Entries)
}

func TestNewerSchema(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, dataFile)
	require.NoError(t, open(t, dir).Close())
	edit(t, path, func(tx *bbolt.Tx) error { return tx.Bucket(aboutBucket).Put(schemaKey, []byte("3")) })
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	const want = `the file has schema 3 and was made by "store test", this program reads schema 2: use a newer one`
	_, err = Open(dir, Config{})
	require.ErrorContains(t, err, want)
	_, err = Verify(path)
	require.ErrorContains(t, err, want)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, before, after, "the file is not touched")
}

func TestForeignFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, dataFile)
	for name, content := range map[string][]byte{"empty": nil, "text": []byte("not a logbook\n"), "zeros": make([]byte, 64<<10)} {
		require.NoError(t, os.WriteFile(path, content, 0o600))
		_, err := Open(dir, Config{})
		var damaged *DamagedError
		require.ErrorAs(t, err, &damaged, name)
		got, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, len(content), len(got), "%s: the file is not touched", name)
	}
	require.NoError(t, os.Remove(path))
	db, err := bbolt.Open(path, 0o600, nil)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	_, err = Open(dir, Config{})
	require.ErrorContains(t, err, "no logbook")
}

// edit changes a file behind the store's back.
func edit(t testing.TB, path string, f func(*bbolt.Tx) error) {
	t.Helper()
	db, err := bbolt.Open(path, 0o600, options(false))
	require.NoError(t, err)
	require.NoError(t, commit(db, f))
	require.NoError(t, db.Close())
}

// bloat leaves megabytes of free pages in a file.
func bloat(t testing.TB, path string) {
	big := []byte("big")
	edit(t, path, func(tx *bbolt.Tx) error { return tx.Bucket(looseBucket).Put(big, make([]byte, 4<<20)) })
	edit(t, path, func(tx *bbolt.Tx) error { return tx.Bucket(looseBucket).Delete(big) })
}

func TestCompact(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, dataFile)
	s := open(t, dir)
	require.NoError(t, s.Append(modeltest.Garage(500, 1)))
	want := names(t, s)
	require.NoError(t, s.Close())
	bloat(t, path)
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Greater(t, info.Size(), int64(4<<20))

	s = open(t, dir)
	require.Equal(t, want, names(t, s))
	require.NoError(t, s.Append(modeltest.Garage(520, 1)))
	info, err = os.Stat(path)
	require.NoError(t, err)
	require.Less(t, info.Size(), int64(2<<20))
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	require.NoError(t, s.Close())
	require.Equal(t, 520, requireWhole(t, dir).Entries)
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	require.Equal(t, []string{path}, left)
}

// A program that waits for the lock of a file that is then replaced must not
// write into the file that is gone.
func TestCompactWhileAnotherWaits(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, dataFile)
	require.NoError(t, open(t, dir).Close())
	bloat(t, path)
	f, err := openFile(path, false)
	require.NoError(t, err)
	waiting := make(chan error)
	var second file
	go func() {
		var err error
		second, err = openFile(path, false)
		waiting <- err
	}()
	f, err = compact(f, path)
	require.NoError(t, err)
	var held *HeldError
	require.ErrorAs(t, <-waiting, &held)
	require.NoError(t, f.Close())
	second, err = openFile(path, false)
	require.NoError(t, err)
	opened, err := second.handle.Stat()
	require.NoError(t, err)
	named, err := os.Stat(path)
	require.NoError(t, err)
	require.True(t, os.SameFile(opened, named))
	require.NoError(t, second.Close())
}
