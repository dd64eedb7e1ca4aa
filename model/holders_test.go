package model_test

import (
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Who holds what, by the heads that peers named: number and name together.
func TestHolders(t *testing.T) {
	b := start(t, hub)
	laptop, hubName := uuid.UUID{15: 50}, uuid.UUID{15: 51}
	one, two, three := b.note("1"), b.note("2"), b.note("3")
	heard := time.Date(2026, 9, 2, 8, 0, 0, 0, time.UTC)
	at := func(heads ...model.Head) model.Vector { return model.Vector{b.pen.Replica: heads} }
	h := b.log.Holders(map[uuid.UUID]model.Peer{
		laptop:  {at(model.Head{Seq: 4, ID: two}), heard},
		hubName: {at(model.Head{Seq: 3, ID: one}), heard.Add(time.Hour)},
	})
	require.Equal(t, []model.Holder{{Replica: hubName, Heard: heard.Add(time.Hour)}, {Replica: laptop, Heard: heard}}, h.Of(one))
	require.Equal(t, []model.Holder{{Replica: laptop, Heard: heard}}, h.Of(two))
	require.Empty(t, h.Of(three))
	require.Empty(t, h.Of(model.ID{1}))
	require.Equal(t, 1, h.Alone())

	// The same number under another name says nothing: that device's copy parted.
	h = b.log.Holders(map[uuid.UUID]model.Peer{laptop: {at(model.Head{Seq: 5, ID: model.ID{0xff}}), heard}})
	require.Empty(t, h.Of(one))
	require.Equal(t, 5, h.Alone())
}

// A peer that is a logbook of its own holds exactly what that logbook has, of all
// that the two share, forks and all.
func TestHoldersAgree(t *testing.T) {
	peer := uuid.UUID{15: 77}
	rapid.Check(t, func(t *rapid.T) {
		raws := modeltest.Logbooks().Draw(t, "logbook")
		l, other := model.NewLogbook(), model.NewLogbook()
		cut := rapid.IntRange(0, len(raws)).Draw(t, "peer has")
		for i, raw := range raws {
			_, err := l.Add(raw)
			require.NoError(t, err)
			if i < cut {
				_, err = other.Add(raw)
				require.NoError(t, err)
			}
		}
		h := l.Holders(map[uuid.UUID]model.Peer{peer: {Vector: other.Heads()}})
		alone := 0
		for _, raw := range raws {
			id := model.IDOf(raw)
			require.Equal(t, other.Has(id), len(h.Of(id)) == 1)
			if !other.Has(id) {
				alone++
			}
		}
		require.Equal(t, alone, h.Alone())
	})
}
