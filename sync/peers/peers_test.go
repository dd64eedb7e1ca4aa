package peers_test

import (
	"testing"
	"time"

	"ampwright/model"
	"ampwright/sync/peers"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// What is kept is what was heard last, through any number of restarts.
func TestPeersKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.Custom(func(t *rapid.T) uuid.UUID { return uuid.UUID{0: rapid.Byte().Draw(t, "name")} })
		head := rapid.Custom(func(t *rapid.T) model.Head {
			return model.Head{Seq: rapid.Uint64().Draw(t, "seq"), ID: model.ID{rapid.Byte().Draw(t, "id")}}
		})
		p, want := new(peers.Peers), map[uuid.UUID]model.Peer{}
		for range rapid.IntRange(0, 6).Draw(t, "times heard") {
			id := name.Draw(t, "peer")
			holds := model.Peer{
				Vector: rapid.MapOfN(name, rapid.SliceOfN(head, 1, 3), 0, 3).Draw(t, "vector"),
				Heard:  time.Unix(rapid.Int64Range(0, 4_000_000_000).Draw(t, "heard"), 0).UTC(),
			}
			p.Heard(id, holds)
			want[id] = holds
			var err error
			p, err = peers.Read(p.Bytes())
			require.NoError(t, err)
		}
		require.Len(t, p.All(), len(want))
		for id, holds := range want {
			require.Equal(t, holds, p.All()[id])
		}
	})
}

// What does not read is as if nobody had been heard, and the error says why.
func TestPeersDamaged(t *testing.T) {
	for data, want := range map[string]string{
		"":             "the end, want a value",
		`{"peers":[]}`: `format "", want "ampwright-peers/1"`,
		`{"format":"ampwright-peers/1","peers":[{"replica":"01000000-0000-0000-0000-000000000000","heads":{"01000000-0000-0000-0000-000000000000":[{"seq":1,"id":"zz"}]}}]}`: `"zz"`,
	} {
		p, err := peers.Read([]byte(data))
		require.ErrorContains(t, err, want)
		require.Empty(t, p.All())
		p.Heard(uuid.UUID{1}, model.Peer{})
		require.Len(t, p.All(), 1)
	}
}
