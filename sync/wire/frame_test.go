package wire_test

import (
	"bytes"
	"compress/flate"
	"errors"
	"runtime"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/cbor"
	"ampwright/model/modeltest"
	"ampwright/sync/wire"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func greeting() wire.Greeting {
	return wire.Greeting{
		Versions: []int64{1, 2}, Replica: uuid.UUID{1}, Key: bytes.Repeat([]byte{2}, 32), Nonce: bytes.Repeat([]byte{3}, 32),
		Wall: 1_788_631_200_000, Credit: 1 << 20, Program: "bench copy 1",
	}
}

// renamed is the greeting of a replica that took so many new names.
func renamed(times int) wire.Greeting {
	g := greeting()
	for n := range byte(times) {
		g.Line = append(g.Line, model.Voucher{Replica: uuid.UUID{n + 2}, Vouch: bytes.Repeat([]byte{n}, model.VouchSize)})
	}
	return g
}

func vector(names, heads int) model.Vector {
	v := model.Vector{}
	for i := range names {
		for j := range heads {
			r := uuid.UUID{byte(i >> 8), byte(i), 15: 1}
			v[r] = append(v[r], model.Head{Seq: uint64(j + 1), ID: model.ID{byte(j)}})
		}
	}
	return v
}

// messages is one of each kind, and some at their limits.
func messages() []wire.Message {
	rungs := make([]model.Head, wire.MaxRungs)
	for i := range rungs {
		rungs[i] = model.Head{Seq: uint64(i+1) << 20, ID: model.ID{1}}
	}
	return []wire.Message{
		&wire.Hello{Greeting: greeting()},
		&wire.Welcome{Greeting: greeting()},
		&wire.Hello{Greeting: renamed(1)},
		&wire.Welcome{Greeting: renamed(model.MaxLine)},
		&wire.Prove{Sig: bytes.Repeat([]byte{4}, 64)},
		&wire.Prove{Sig: bytes.Repeat([]byte{4}, 64), Mac: bytes.Repeat([]byte{5}, 32)},
		&wire.Have{},
		&wire.Have{Schema: 1, Digest: 1 << 63, Vector: vector(3, 2)},
		&wire.Have{Schema: 1, Digest: 7, Vector: vector(wire.MaxNames, 1)},
		&wire.Have{Schema: 1, Digest: 7, Vector: vector(256, wire.MaxHeads)},
		&wire.Kept{Batch: 9, Heads: vector(1, 1)},
		&wire.Kept{Batch: 1 << 40},
		&wire.Held{Batch: 9, Reason: wire.ReasonFull},
		&wire.Held{Batch: 9, Replica: uuid.UUID{1}, Seq: 12, Reason: wire.ReasonGap},
		&wire.Ladder{Replica: uuid.UUID{1}, Rungs: rungs},
		&wire.Ladder{Replica: uuid.UUID{1}, Rungs: rungs[:3]},
		&wire.BlobHave{Hash: wire.Hash{1}},
		&wire.BlobWant{Hash: wire.Hash{1}, Offset: 70_000, Max: wire.MaxPart},
		&wire.BlobPart{Hash: wire.Hash{1}, Offset: wire.MaxBlob - 1, Size: wire.MaxBlob, Bytes: make([]byte, wire.MaxPart)},
		&wire.BlobPart{Hash: wire.Hash{1}},
		&wire.Credit{Bytes: 1 << 19},
		&wire.Beat{Number: 3, Wall: 1_788_631_200_000},
		&wire.BeatOK{Number: 3, Wall: -1},
		&wire.Bye{Code: wire.CodeBusy, Text: "two others are at it", Retry: 90 * time.Second},
		&wire.Bye{Code: wire.CodeStopped, Text: strings.Repeat("x", wire.MaxText), Retry: wire.MaxRetry},
	}
}

func TestFramesComeBack(t *testing.T) {
	for _, m := range messages() {
		frame, err := wire.Encode(m)
		require.NoError(t, err, "%T", m)
		got, err := wire.Decode(frame)
		require.NoError(t, err, "%T", m)
		require.Equal(t, m, got)
		for cut := range min(len(frame), 300) {
			_, err := wire.Decode(frame[:cut])
			require.Error(t, err, "%T cut at %d", m, cut)
		}
		_, err = wire.Decode(append(frame, 0))
		require.Error(t, err)
	}
}

func TestEncodeRefuses(t *testing.T) {
	short := greeting()
	short.Key = short.Key[:31]
	for want, m := range map[string]wire.Message{
		"31 bytes, want 32":                        &wire.Hello{Greeting: short},
		"a greeting needs 1 to 16 versions":        &wire.Hello{},
		"9 heads, 1 to 8 are possible":             &wire.Have{Vector: vector(1, 9)},
		"1025 replicas, at most 1024 are possible": &wire.Have{Vector: vector(1025, 1)},
		"key 1 holds -1: it is not negative":       &wire.Credit{Bytes: -1},
		"at most 512 and 86400000 are possible":    &wire.Bye{Retry: 25 * time.Hour},
		"bytes, at most 65536 are accepted":        &wire.Have{Vector: vector(420, 8)},
		"0 entries after number 3":                 &wire.Entries{Portions: []model.Portion{{From: model.Head{Seq: 3}}}},
	} {
		_, err := wire.Encode(m)
		require.ErrorContains(t, err, want)
	}
	var large *wire.SizeError
	_, err := wire.Encode(batches(t, modeltest.Garage(3000, 1), 1<<20)[0])
	require.ErrorAs(t, err, &large)
}

func TestDecodeRefuses(t *testing.T) {
	for _, tt := range []struct {
		name, frame, want string
	}{
		{"nothing", "", "input ends"},
		{"no map", "\x80", "where a map is wanted"},
		{"kind 0", "\xa1\x00\x00", "zero value"},
		{"no kind", "\xa0", "kind 0 is not known"},
		{"an odd kind of a later version", "\xa1\x00\x11", "kind 17 is not known and may not be passed over"},
		{"a field of a later version", "\xa2\x00\x0d\x18\x20\x01", "key 32 is not known"},
		{"names that do not ascend", "\xa2\x00\x04\x03\x84\x50" + id(2) + "\x82\x01\x50" + id(1) + "\x50" + id(1) + "\x82\x01\x50" + id(1), "names must ascend"},
		{"heads that do not ascend", "\xa2\x00\x04\x03\x82\x50" + id(2) + "\x84\x02\x50" + id(1) + "\x01\x50" + id(1), "heads must ascend"},
		{"a replica without heads", "\xa2\x00\x04\x03\x82\x50" + id(2) + "\x80", "1 to 8 pairs"},
		{"too large for its kind", "\xa2\x00\x04\x01\x5a\x00\x01\x10\x00" + strings.Repeat("x", 0x11000), "at most 65536 are accepted"},
	} {
		_, err := wire.Decode([]byte(tt.frame))
		require.ErrorContains(t, err, tt.want, tt.name)
	}
	hello, err := wire.Encode(&wire.Hello{Greeting: renamed(2)})
	require.NoError(t, err)
	line := bytes.Index(hello, append([]byte{8, 0x84, 0x50}, 2))
	for at, tt := range map[int]struct {
		to   byte
		want string
	}{1: {0x83, "pairs, at most 8 of them, are accepted"}, 2: {0x51, "byte string of 17 bytes"}, 20: {0x5f, "a vouch of 95 bytes, want 96"}} {
		bad := bytes.Clone(hello)
		bad[line+at] = tt.to
		_, err := wire.Decode(bad)
		require.ErrorContains(t, err, tt.want)
	}
	_, err = wire.Decode(make([]byte, wire.MaxFrame+1))
	require.EqualError(t, err, "frame of 262145 bytes, at most 262144 are accepted")
}

func id(n byte) string { return string(append([]byte{n}, make([]byte, 15)...)) }

// A greeting of a later version may say more, and a frame with an even kind may
// be passed over.
func TestLaterVersions(t *testing.T) {
	frame, err := wire.Encode(&wire.Hello{Greeting: greeting()})
	require.NoError(t, err)
	frame[0]++
	got, err := wire.Decode(append(frame, 0x18, 0x20, 0x82, 0x01, 0x61, 'x')) // key 32: [1, "x"]
	require.NoError(t, err)
	require.Equal(t, &wire.Hello{Greeting: greeting()}, got)
	got, err = wire.Decode([]byte("\xa2\x00\x12\x01\x80"))
	require.NoError(t, err)
	require.Equal(t, &wire.Unknown{Kind: 18}, got)
}

// entriesFrame writes a frame of entries by hand: one chain from its second
// entry on, and columns as given.
func entriesFrame(count, size int, columns []byte, pack bool) []byte {
	b := []byte("\xa5\x00\x05\x01\x01\x02\x85\x50" + id(1) + "\x01\x50" + id(9))
	b = cbor.AppendHead(b, cbor.Uint, uint64(count))
	b = append(cbor.AppendHead(b, cbor.Bytes, 64), make([]byte, 64)...)
	b = cbor.AppendHead(append(b, 3), cbor.Uint, uint64(size))
	if pack {
		b[0]++
		b = cbor.AppendHead(append(b, 4), cbor.Uint, uint64(len(columns)))
		var out bytes.Buffer
		w, _ := flate.NewWriter(&out, flate.BestCompression)
		w.Write(columns)
		w.Close()
		columns = out.Bytes()
	}
	return append(cbor.AppendHead(append(b, 5), cbor.Bytes, uint64(len(columns))), columns...)
}

// Nothing that may come from outside takes more than four frames of memory or
// 50 ms. Time is looked at by BenchmarkWorst: a test would measure the machine.
// TestWorkFollowsSize counts the work instead.
func TestDecodeIsBounded(t *testing.T) {
	for name, frame := range worst(t) {
		wire.Decode(frame) // makes what is kept for the next time
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		_, err := wire.Decode(frame)
		runtime.ReadMemStats(&after)
		took := after.TotalAlloc - before.TotalAlloc
		t.Logf("%-20s %6d bytes in, %7d taken: %v", name, len(frame), took, err)
		require.LessOrEqual(t, took, uint64(4*wire.MaxFrame), name)
	}
}

func hostile(t require.TestingT) map[string][]byte {
	full, err := wire.Encode(batches(t, modeltest.Garage(5000, 1), wire.MaxRaw)[0])
	require.NoError(t, err)
	have, err := wire.Encode(&wire.Have{Vector: vector(wire.MaxNames, 1)})
	require.NoError(t, err)
	shape := "\xa6\x05\x00\x06\x64note\x0a\xa1\x03\x60" // a note whose stamp and text are blank
	one := func(columns ...string) (b []byte) {
		b = append(b, 0, 1, byte(len(shape)))
		b = append(b, shape...)
		for _, c := range columns {
			n := len(c)
			for ; n > 127; n >>= 7 {
				b = append(b, byte(n)|128)
			}
			b = append(append(b, byte(n)), c...)
		}
		return b
	}
	long := strings.Repeat("x", 8000)
	holes := []byte("\x00\x40") // 64 shapes of 32 leaves
	for i := range 64 {
		s := "\xa6\x05\x00\x06\x64note\x0a\xa1\x18" + string(rune(32+i)) + "\x98\x1f" + strings.Repeat("\x00", 31)
		holes = append(append(holes, byte(len(s))), s...)
	}
	return map[string][]byte{
		"a full batch":      full,
		"a long vector":     have,
		"zeros":             entriesFrame(5000, 256<<10, make([]byte, 192<<10), true),
		"more than it says": entriesFrame(1, 100, make([]byte, 1<<20), true),
		"one text for all":  entriesFrame(4000, 256<<10, one(strings.Repeat("\x01", 4000), strings.Repeat("\x00", 4000), strings.Repeat("\x04", 4000), "\xc0\x3e"+long, strings.Repeat("\x01", 4000)), true),
		"a text each":       entriesFrame(4000, 256<<10, one(strings.Repeat("\x01", 4000), strings.Repeat("\x00", 4000), strings.Repeat("\x04", 4000), strings.Repeat("\x01a", 4000), strings.Repeat("\x01", 4000)), true),
		"shapes":            entriesFrame(1, 1000, holes, true),
		"shapes of shapes":  entriesFrame(1, 1000, append([]byte("\x00\xff\x7f"), make([]byte, 190<<10)...), true),
		"no columns":        entriesFrame(5000, 256<<10, nil, false),
		"random":            []byte(strings.Repeat("\x9f\x84\x50\x00", wire.MaxFrame/4)),
	}
}

// FuzzDecode: what decodes can be encoded again, into the same frame but for how
// entries were packed, and reads the same then.
func FuzzDecode(f *testing.F) {
	for _, m := range messages() {
		frame, err := wire.Encode(m)
		require.NoError(f, err)
		if len(frame) < 4096 {
			f.Add(frame)
			f.Add(frame[:len(frame)/2])
		}
	}
	for _, n := range []int{1, 5, 60} {
		frame, err := wire.Encode(batches(f, modeltest.Garage(n, 3), wire.MaxRaw)[0])
		require.NoError(f, err)
		f.Add(frame)
	}
	f.Fuzz(func(t *testing.T, frame []byte) {
		m, err := wire.Decode(frame)
		if err != nil {
			return
		}
		again, err := wire.Encode(m)
		switch m := m.(type) {
		case *wire.Unknown:
			return
		case *wire.Entries:
			var large *wire.SizeError
			if errors.As(err, &large) {
				return // packed in a better way than ours
			}
			require.NoError(t, err)
			got, err := wire.Decode(again)
			require.NoError(t, err)
			require.Equal(t, m, got)
		case *wire.Hello, *wire.Welcome, *wire.Bye: // may hold more than is known
			require.NoError(t, err)
			got, err := wire.Decode(again)
			require.NoError(t, err)
			require.Equal(t, m, got)
		default:
			require.NoError(t, err)
			require.Equal(t, frame, again)
		}
	})
}

// Damage in a batch is noticed when it is decoded, or changes the name that its
// seal is for.
func TestDamagedEntries(t *testing.T) {
	e := batches(t, modeltest.Garage(200, 1), wire.MaxRaw)[0]
	frame, err := wire.Encode(e)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		bad := bytes.Clone(frame)
		bad[rapid.IntRange(0, len(bad)-1).Draw(t, "at")] ^= 1 << rapid.IntRange(0, 7).Draw(t, "bit")
		m, err := wire.Decode(bad)
		got, ok := m.(*wire.Entries)
		if err != nil || !ok {
			return
		}
		for i, p := range got.Portions {
			if i >= len(e.Portions) || p.Seal != e.Portions[i].Seal || p.From != e.Portions[i].From {
				continue // the seal is not for this
			}
			require.Equal(t, e.Portions[i], p)
		}
	})
}
