package wire_test

import (
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/wire"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// batches cuts entries into batches of at most limit bytes, each with one portion
// a chain. The seals are not signed: this package does not look at them.
func batches(t require.TestingT, raws [][]byte, limit int) []*wire.Entries {
	var out []*wire.Entries
	heads := map[uuid.UUID]model.Head{}
	at := map[uuid.UUID]int{}
	size := limit
	for _, raw := range raws {
		if size += len(raw); size > limit {
			out = append(out, &wire.Entries{Batch: uint64(len(out) + 1)})
			clear(at)
			size = len(raw)
		}
		link, err := model.LinkOf(raw)
		require.NoError(t, err)
		e := out[len(out)-1]
		i, ok := at[link.Replica]
		if !ok {
			i = len(e.Portions)
			at[link.Replica] = i
			e.Portions = append(e.Portions, model.Portion{From: heads[link.Replica], Seal: model.Seal{Replica: link.Replica, Sig: [64]byte{7, 63: byte(i)}}})
		}
		p := &e.Portions[i]
		p.Raws = append(p.Raws, raw)
		p.Seal.Head = model.Head{Seq: link.Seq, ID: link.ID}
		heads[link.Replica] = p.Seal.Head
	}
	return out
}

func requireRoundTrip(t require.TestingT, e *wire.Entries) {
	frame, err := wire.Encode(e)
	require.NoError(t, err)
	got, err := wire.Decode(frame)
	require.NoError(t, err)
	require.Equal(t, e, got)
}

func TestEntriesComeBack(t *testing.T) {
	for _, n := range []int{1, 2, 3, 300, 5000} {
		for _, e := range batches(t, modeltest.Garage(n, uint64(n)), wire.MaxRaw) {
			requireRoundTrip(t, e)
		}
	}
}

// Bodies of any kind and with any values, also of newer versions, come back.
func TestAnyEntryComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pen := model.Pen{Replica: uuid.UUID{1}, Head: model.Head{Seq: rapid.Uint64Range(0, 70_000).Draw(t, "seq")}}
		if pen.Head.Seq > 0 {
			pen.Head.ID = model.ID{9}
		}
		var known []model.ID
		p := model.Portion{From: pen.Head}
		now := model.Stamp(1_780_000_000_000 << 16)
		for range rapid.IntRange(1, 12).Draw(t, "entries") {
			now += model.Stamp(rapid.Int64Range(-1<<30, 1<<40).Draw(t, "pause"))
			raws, err := pen.Write([]model.Draft{modeltest.Drafts([]uuid.UUID{{2}, {3}}, known).Draw(t, "draft")}, now)
			require.NoError(t, err)
			p.Raws = append(p.Raws, raws...)
			known = append(known, pen.Head.ID)
		}
		p.Seal = model.Seal{Replica: pen.Replica, Head: pen.Head}
		requireRoundTrip(t, &wire.Entries{Batch: 1, Portions: []model.Portion{p}})
	})
}

func BenchmarkEncodeEntries(b *testing.B) { benchmark(b, true) }
func BenchmarkDecodeEntries(b *testing.B) { benchmark(b, false) }

// One B/entry holds frames, heads and seals; live is a commit of one entry.
func benchmark(b *testing.B, encode bool) {
	for _, bench := range []struct {
		name     string
		n, limit int
	}{{"10000", 10_000, wire.MaxRaw}, {"100000", 100_000, wire.MaxRaw}, {"live", 1000, 0}} {
		b.Run(bench.name, func(b *testing.B) {
			all := batches(b, modeltest.Garage(bench.n, 1), bench.limit)
			frames := make([][]byte, len(all))
			size := 0
			for i, e := range all {
				var err error
				if frames[i], err = wire.Encode(e); err != nil {
					b.Fatal(err)
				}
				size += len(frames[i])
			}
			b.ReportAllocs()
			for b.Loop() {
				for i, e := range all {
					var err error
					if encode {
						_, err = wire.Encode(e)
					} else {
						_, err = wire.Decode(frames[i])
					}
					if err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(float64(size)/float64(bench.n), "B/entry")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(bench.n), "ns/entry")
		})
	}
}
