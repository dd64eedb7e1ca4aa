package garage

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// What devices were heard to hold is known after a restart; a file that does not
// read is as if there were none, and the next device heard puts it right.
func TestPeersAreKept(t *testing.T) {
	dir := t.TempDir()
	g := open(t, dir)
	phone := uuid.UUID{15: 7}
	holds := model.Peer{Heard: time.Date(2026, 9, 2, 8, 0, 0, 0, time.UTC)}
	require.NoError(t, g.Read(func(l *model.Logbook) error { holds.Vector = l.Heads(); return nil }))
	g.Heard(phone, holds)
	require.NoError(t, g.Close())
	require.Equal(t, map[uuid.UUID]model.Peer{phone: holds}, ReadPeers(dir).All())

	g = open(t, dir)
	require.Equal(t, map[uuid.UUID]model.Peer{phone: holds}, g.Peers())
	require.NoError(t, g.Close())

	require.NoError(t, os.WriteFile(filepath.Join(dir, peersFile), []byte("{"), 0o600))
	g = open(t, dir)
	require.Empty(t, g.Peers())
	g.Heard(phone, holds)
	require.NoError(t, g.Close())
	require.Len(t, ReadPeers(dir).All(), 1)
	files, err := filepath.Glob(filepath.Join(dir, peersFile+"*"))
	require.NoError(t, err)
	require.Len(t, files, 1, "nothing is left over")
}
