package wire_test

import (
	"maps"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/cbor"
	"ampwright/sync/wire"

	"github.com/stretchr/testify/require"
)

// worst returns the frames that are known to take the most work for their size:
// those of hostile, the smallest things as often as a frame holds them, nests as
// deep as they may be, and the longest lists.
func worst(t require.TestingT) map[string][]byte {
	encode := func(m wire.Message) []byte {
		frame, err := wire.Encode(m)
		require.NoError(t, err)
		return frame
	}
	// The smallest entry: a millisecond after the one before, of a kind of one
	// letter, with an empty body. By hand: 49 bytes from number 2 on, each 1 ms
	// after the one before; with numbers of two and three bytes from 24 and 256 on.
	smallest, n := "\xa6\x05\x00\x06\x61x\x0a\xa0", wire.MaxEntries
	size := n*50 + (n + 1 - 23) + (n + 1 - 255)
	smallestColumns := columns(smallest, strings.Repeat("\x01", n), strings.Repeat("\x00", n), strings.Repeat("\x04", n), "")
	nests := func(size, depth int) string { // an array of arrays of one array each
		nest := strings.Repeat("\x81", depth-1) + "\x80"
		return string(cbor.AppendHead(nil, cbor.Array, uint64(size/len(nest)))) + strings.Repeat(nest, size/len(nest))
	}
	hello := encode(&wire.Hello{Greeting: greeting()})
	hello[0]++
	hello = append(append(hello, 0x18, 0x20), nests(2<<10, cbor.MaxDepth-1)...)
	verbatim := "\xa6\x05\x01\x06\x61x\x0a\xa1\x01" + nests(15<<10, cbor.MaxDepth-2)
	literal := string(appendNumber(nil, len(verbatim))) + verbatim
	nested := columns("", strings.Repeat("\x00", 12), strings.Repeat("\x00", 12), "", strings.Repeat(literal, 12))
	rungs := make([]model.Head, wire.MaxRungs)
	for i := range rungs {
		rungs[i] = model.Head{Seq: uint64(i + 1), ID: model.ID{byte(i), byte(i >> 8)}}
	}
	all := map[string][]byte{
		"the smallest entries": entriesFrame(n, size, smallestColumns, true),
		"nests in a greeting":  hello,
		"nests in entries":     entriesFrame(12, 12*(1+18+2+18+len(verbatim)-1), nested, true),
		"nests, no entries":    entriesFrame(1, 1000, []byte("\x00\xff\x7f"+strings.Repeat("\x81", 180<<10)), true),
		"a long ladder":        encode(&wire.Ladder{Rungs: rungs}),
		"a vector of 8 heads":  encode(&wire.Have{Vector: vector(280, 8)}),
		"small numbers":        []byte("\xa2\x00\x01\x01\x99\x0f\xf0" + strings.Repeat("\x01", 4080)),
		"a frame to pass over": append([]byte("\xa2\x00\x12\x01"), strings.Repeat("\x81", wire.MaxFrame-4)...),
	}
	maps.Copy(all, hostile(t))
	return all
}

// columns makes columns of no builds, at most one shape, and what else is given.
func columns(shape string, rest ...string) []byte {
	b := []byte{0, 0}
	if shape != "" {
		b = append(appendNumber([]byte{0, 1}, len(shape)), shape...)
	}
	for _, c := range rest {
		b = append(appendNumber(b, len(c)), c...)
	}
	return b
}

func appendNumber(b []byte, n int) []byte {
	for ; n > 127; n >>= 7 {
		b = append(b, byte(n)|128)
	}
	return append(b, byte(n))
}

// The work that a frame makes follows its size, whatever is in it: at most one
// allocation for 16 bytes of what it is unpacked to, and no more than four frames
// of memory (TestDecodeIsBounded).
func TestWorkFollowsSize(t *testing.T) {
	for name, frame := range worst(t) {
		size := max(len(frame), 4<<10)
		if strings.HasPrefix(string(frame), "\xa6\x00\x05") { // deflated: its columns are larger
			size = wire.MaxFrame
		}
		var err error
		allocs := testing.AllocsPerRun(1, func() { _, err = wire.Decode(frame) })
		t.Logf("%-20s %6d bytes in, %5.0f allocations: %v", name, len(frame), allocs, err)
		require.LessOrEqual(t, int(allocs), size/16, name)
		switch name {
		case "the smallest entries", "nests in a greeting", "nests in entries", "a long ladder", "a vector of 8 heads", "a full batch":
			require.NoError(t, err, name) // so that all of it is read
		}
	}
}

// BenchmarkWorst shows the longest that one frame took, of all runs.
func BenchmarkWorst(b *testing.B) {
	for name, frame := range worst(b) {
		b.Run(name, func(b *testing.B) {
			var longest time.Duration
			for b.Loop() {
				began := time.Now()
				wire.Decode(frame)
				longest = max(longest, time.Since(began))
			}
			b.ReportMetric(float64(longest.Microseconds())/1000, "worst-ms")
		})
	}
}
