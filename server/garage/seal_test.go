package garage

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/bolt"

	"github.com/stretchr/testify/require"
)

// loose returns how many entries of each replica no seal covers, and checks the
// seals there are.
func loose(t *testing.T, h Home) map[string]int {
	t.Helper()
	open := map[string]int{}
	require.NoError(t, h.Read(func(l *model.Logbook) error {
		for replica, heads := range l.Vector() {
			open[replica.String()] = int(heads[0].Seq)
			require.Len(t, heads, 1)
			key, ok := l.KeyOf(replica)
			require.True(t, ok)
			for _, s := range l.Seals(replica) {
				require.True(t, s.Verify(key))
			}
		}
		portions, _ := l.Missing(nil, 1<<30)
		for _, p := range portions {
			open[p.Seal.Replica.String()] -= len(p.Raws)
		}
		return nil
	}))
	return open
}

func requireSealed(t *testing.T, h Home) {
	t.Helper()
	for replica, n := range loose(t, h) {
		require.Zero(t, n, "entries of replica %s without a seal", replica)
	}
}

// What is written is sealed, under each name; seals outlast the program, and go
// with a backup and through a server.
func TestSeals(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	heron, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	seals, err := demo.Seals(heron)
	require.NoError(t, err)
	serve(t, dir, g, plain)
	h, err := Enter(dir, config())
	require.NoError(t, err)
	require.IsType(t, &Remote{}, h)
	n, err := h.Import(heron, seals...)
	require.NoError(t, err)
	require.Equal(t, len(heron), n)
	start(t, h, "Kart")
	requireSealed(t, h)
	require.NoError(t, g.Rename("a test"))
	start(t, g, "Another kart")
	requireSealed(t, g)
	remote := save(t, h, dir) // as it was before the new name
	path := save(t, g, dir)
	require.NoError(t, g.Close())

	g = open(t, dir)
	requireSealed(t, g)
	require.Len(t, loose(t, g), 4)
	require.NoError(t, g.Close())
	for file, replicas := range map[string]int{path: 5, remote: 4} {
		fresh := filepath.Join(t.TempDir(), "garage")
		_, err = Restore(fresh, file, "garage test", config())
		require.NoError(t, err)
		back := open(t, fresh)
		requireSealed(t, back)
		require.Len(t, loose(t, back), replicas)
		require.NoError(t, back.Close())
	}
	report, err := bolt.Verify(filepath.Join(dir, logbookFile))
	require.NoError(t, err)
	require.Empty(t, report.Damage)
	require.GreaterOrEqual(t, report.Seals, 4)
}

// A damaged logbook is healed with the seals of the backup.
func TestHealedSeals(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	start(t, g, "Kart of a damaged book")
	path := save(t, g, dir)
	require.NoError(t, g.Close())
	file := filepath.Join(dir, logbookFile)
	whole, err := os.ReadFile(file)
	require.NoError(t, err)
	bad := bytes.ReplaceAll(whole, []byte("Kart of a damaged book"), []byte("Kart of a damaged boot"))
	require.NotEqual(t, whole, bad)
	require.NoError(t, os.WriteFile(file, bad, 0o600))
	r, err := Restore(dir, path, "garage test", config())
	require.NoError(t, err)
	require.NotEmpty(t, r.Damage)
	requireSealed(t, open(t, dir))
}

// Entries that came without seals are still here after all that, and counted.
func TestEntriesWithoutSeals(t *testing.T) {
	g := stocked(t, t.TempDir())
	open := loose(t, g)
	require.Len(t, open, 3)
	require.Zero(t, open[g.Device().Replica.String()])
	n := 0
	for _, some := range open {
		n += some
	}
	heron, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	require.Equal(t, len(heron), n)
}
