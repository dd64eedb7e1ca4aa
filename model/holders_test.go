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
	alone, oldest := h.Alone()
	require.Equal(t, 1, alone)
	line, _ := b.log.Line(three)
	require.Equal(t, line.Stamp, oldest)
	require.Equal(t, 1, b.log.Lacks(at(model.Head{Seq: 4, ID: two})))
	require.Equal(t, 2, b.log.Lacks(at(model.Head{Seq: 3, ID: one})))

	// The same number under another name says nothing: that device's copy parted.
	h = b.log.Holders(map[uuid.UUID]model.Peer{laptop: {at(model.Head{Seq: 5, ID: model.ID{0xff}}), heard}})
	require.Empty(t, h.Of(one))
	alone, _ = h.Alone()
	require.Equal(t, 5, alone)
	require.Equal(t, 5, b.log.Lacks(nil))
	require.Equal(t, 1, b.log.Beyond(at(model.Head{Seq: 5, ID: three}, model.Head{Seq: 5, ID: model.ID{0xff}})))
	require.Zero(t, b.log.Beyond(at(model.Head{Seq: 4, ID: two})))
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
		alone, oldest := 0, model.Stamp(0)
		for _, raw := range raws {
			id := model.IDOf(raw)
			require.Equal(t, other.Has(id), len(h.Of(id)) == 1)
			if !other.Has(id) {
				alone++
				line, _ := l.Line(id)
				if oldest == 0 || line.Stamp < oldest {
					oldest = line.Stamp
				}
			}
		}
		n, first := h.Alone()
		require.Equal(t, alone, n)
		require.Equal(t, oldest, first)
		require.Equal(t, alone, l.Lacks(other.Heads()))
	})
}

// A device that was struck off, one that goes on under another name and this
// device itself are no further places where an entry is kept.
func TestCounting(t *testing.T) {
	own, good, lost, old, renamed := uuid.UUID{1}, uuid.UUID{2}, uuid.UUID{3}, uuid.UUID{4}, uuid.UUID{5}
	peers := map[uuid.UUID]model.Peer{own: {}, good: {}, lost: {}, old: {}, renamed: {}}
	devices := []model.Device{{Replica: own}, {Replica: lost, Closed: new(model.Closure)}, {Replica: old}, {Replica: renamed, Was: old}}
	require.Equal(t, map[uuid.UUID]model.Peer{good: {}, renamed: {}}, model.Counting(peers, devices, own))
	require.Len(t, peers, 5, "the caller's map is left as it was")
	require.Empty(t, model.Counting(nil, devices, own))
}

// What stands on every page of a long logbook: how many entries are on this
// device only. "none" is of a device that has heard no other.
func BenchmarkAlone(b *testing.B) {
	l := model.NewLogbook()
	for _, raw := range modeltest.Garage(100_000, 1) {
		_, err := l.Add(raw)
		require.NoError(b, err)
	}
	for name, peers := range map[string]map[uuid.UUID]model.Peer{"all": {{15: 77}: {Vector: l.Vector()}}, "none": nil} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				l.Holders(peers).Alone()
			}
		})
	}
}
