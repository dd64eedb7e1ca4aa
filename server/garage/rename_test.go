package garage

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// openings returns the opening entry of every replica, and fails the test if a
// chain has a hole, two ends or no opening.
func openings(t *testing.T, h Home) map[uuid.UUID]*model.Replica {
	t.Helper()
	got := map[uuid.UUID]*model.Replica{}
	last := map[uuid.UUID]model.Head{}
	for _, raw := range raws(t, h) {
		e, err := model.Decode(raw)
		require.NoError(t, err)
		require.Equal(t, last[e.Replica], model.Head{Seq: e.Seq - 1, ID: e.Prev}, "entry %d of replica %s", e.Seq, e.Replica)
		last[e.Replica] = model.Head{Seq: e.Seq, ID: e.ID}
		if e.Seq == 1 {
			body, ok := e.Body.(*model.Replica)
			require.True(t, ok, "replica %s opens with %s", e.Replica, e.Kind())
			got[e.Replica] = body
		}
	}
	return got
}

// requireOpening requires that the garage's own replica has opened its chain as
// its device.json says.
func requireOpening(t *testing.T, g *Garage) {
	t.Helper()
	d := g.Device()
	body, err := ownOpening(g, d.Replica)
	require.NoError(t, err)
	require.Equal(t, &model.Replica{Key: d.public(), Device: d.Name, Person: d.Person, Was: d.Was, Vouch: d.Vouch}, body)
	kept, err := ReadDevice(g.dir)
	require.NoError(t, err)
	require.Equal(t, d, kept)
	require.Equal(t, g.store.Mark(), d.Mark)
}

func ownOpening(g *Garage, replica uuid.UUID) (body *model.Replica, err error) {
	err = g.Read(func(l *model.Logbook) error {
		return l.All(func(raw []byte) error {
			e, err := model.Decode(raw)
			if err == nil && e.Replica == replica && e.Seq == 1 {
				body, _ = e.Body.(*model.Replica)
			}
			return err
		})
	})
	return body, err
}

// A garage takes a new name while it is open, writes on under it, and keeps it.
func TestRename(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	requireOpening(t, g)
	start(t, g, "Kart")
	old := g.Device()
	require.NoError(t, g.Rename("another device writes under this name"))
	now := g.Device()
	require.NotEqual(t, old.Replica, now.Replica)
	require.NotEqual(t, old.Mark, now.Mark)
	require.False(t, old.Key.Equal(now.Key))
	require.Equal(t, old.Replica, now.Was)
	require.Equal(t, now.Replica, g.Book.Replica())
	require.Contains(t, g.Renamed(), "another device writes under this name: this copy goes on as the new replica "+now.Replica.String())
	requireOpening(t, g)
	start(t, g, "Second kart")
	heads, err := g.store.Heads()
	require.NoError(t, err)
	require.EqualValues(t, 2, heads[old.Replica][0].Seq)
	require.EqualValues(t, 2, heads[now.Replica][0].Seq)
	require.NoError(t, g.Close())

	again := open(t, dir)
	require.Empty(t, again.Notice)
	require.Equal(t, now, again.Device())
	require.Len(t, openings(t, again), 2)
}

// Entries under this replica's own name that were not written here: the next
// write stands under a new name, whether they make a fork or not.
func TestOwnEntriesFromElsewhere(t *testing.T) {
	for _, fork := range []bool{true, false} {
		t.Run(fmt.Sprintf("fork %v", fork), func(t *testing.T) {
			dir := t.TempDir()
			g := open(t, dir)
			start(t, g, "Kart")
			require.NoError(t, g.Close())
			copied := filepath.Join(t.TempDir(), "copy")
			require.NoError(t, os.CopyFS(copied, os.DirFS(dir)))
			other, g := open(t, copied), open(t, dir)
			require.Equal(t, g.Device(), other.Device(), "it cannot be seen yet")
			start(t, other, "Kart of the copy")
			if fork {
				start(t, g, "Kart of the first")
			}
			old := g.Device()
			n, err := g.Import(raws(t, other))
			require.NoError(t, err)
			require.Equal(t, 1, n)
			require.Contains(t, g.Renamed(), "another copy of it is about, or this one was set back")
			require.Equal(t, old.Replica, g.Device().Was)
			requireOpening(t, g)
			start(t, g, "Next kart")
			heads, err := g.store.Heads()
			require.NoError(t, err)
			require.EqualValues(t, 2, heads[g.Device().Replica][0].Seq)
			require.NoError(t, g.Close())
			require.Empty(t, open(t, dir).Notice)
		})
	}
}

// A crash between the steps of a renaming leaves a garage that opens, under the
// old name's successor, with every chain whole.
func TestRenameCrash(t *testing.T) {
	for _, tt := range []struct {
		name  string
		until func(t *testing.T, g *Garage) // the steps that were done
		kept  bool                          // the new name was durable already
	}{
		{"after the mark", func(t *testing.T, g *Garage) {
			_, err := g.store.Remark()
			require.NoError(t, err)
		}, false},
		{"after device.json", func(t *testing.T, g *Garage) {
			_, _, err := g.renew("a test")
			require.NoError(t, err)
		}, true},
		{"after device.json, and writes went on under the old name", func(t *testing.T, g *Garage) {
			_, _, err := g.renew("a test")
			require.NoError(t, err)
			start(t, g, "Kart meanwhile")
		}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			g := open(t, dir)
			start(t, g, "Kart")
			old := g.Device()
			tt.until(t, g)
			device := g.Device()
			require.NoError(t, g.Close())

			again := open(t, dir)
			require.NotEqual(t, old.Replica, again.Device().Replica)
			require.Equal(t, old.Replica, again.Device().Was)
			if tt.kept {
				require.Equal(t, device, again.Device())
			}
			requireOpening(t, again)
			require.Len(t, openings(t, again), 2)
			start(t, again, "Kart after")
			require.NoError(t, again.Close())
			require.Empty(t, open(t, dir).Notice)
		})
	}
}

// Nothing is written while the new name cannot be kept.
func TestRenameWithoutRoom(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	start(t, g, "Kart")
	before := raws(t, g)
	g.dir = filepath.Join(dir, "gone") // stands for a folder that takes no more files
	require.Error(t, g.Rename("a test"))
	_, err := g.Do(uuid.Nil, model.Wish{Name: "settings", Values: map[string][]string{"mark": {"comma"}}}, "")
	require.ErrorContains(t, err, "take a new name")
	require.Equal(t, before, raws(t, g))
	g.dir = dir
	_, err = g.Do(uuid.Nil, model.Wish{Name: "settings", Values: map[string][]string{"mark": {"comma"}}}, "")
	require.NoError(t, err)
	require.Len(t, openings(t, g), 2)
	requireOpening(t, g)
}

// Writers go on while the name changes again and again: no entry is lost, no
// chain breaks, and after a Rename nothing more stands under the old name.
func TestRenameWhileWriting(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	const writers, each, names = 3, 15, 5
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for i := range each {
				_, err := g.Do(uuid.Nil, model.Wish{Name: "start", Values: map[string][]string{
					"plan": {"kart-chain"}, "title": {fmt.Sprintf("Kart %d-%d", w, i)}, "currency": {"EUR"},
				}}, "")
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Go(func() {
		for range names {
			old := g.Book.Replica()
			if err := g.Rename("a test"); err != nil {
				t.Error(err)
			}
			count := func() (n int) {
				g.Book.Read(func(l *model.Logbook) { n = int(l.Heads()[old][0].Seq) })
				return n
			}
			then := count()
			start(t, g, "Kart of the new name")
			if now := count(); now != then {
				t.Errorf("%d entries under the old name after it was given up", now-then)
			}
		}
	})
	wg.Wait()
	require.Len(t, openings(t, g), names+1)
	require.Len(t, raws(t, g), writers*each+names+names+1)
	was := map[uuid.UUID]bool{}
	for _, o := range openings(t, g) {
		was[o.Was] = true
	}
	require.Len(t, was, names+1, "each continues another one")
	want := raws(t, g)
	require.NoError(t, g.Close())
	require.Equal(t, want, raws(t, open(t, dir)))
}
