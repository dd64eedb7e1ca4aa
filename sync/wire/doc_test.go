package wire_test

import (
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ampwright/model/cbor"
	"ampwright/model/modeltest"
	"ampwright/sync/wire"

	fxcbor "github.com/fxamacker/cbor/v2"
	"github.com/stretchr/testify/require"
)

// A documented frame is what the package comment says of one kind.
type documented struct {
	name  string
	keys  []uint64 // but for 0
	limit int
}

var (
	docKind = regexp.MustCompile(`^//\t *(\d+) ([a-z.]+) +(.+)$`)
	docKey  = regexp.MustCompile(`^ *(\d) [a-z]+`)
	docSize = regexp.MustCompile(`  (\d+) (KiB|B)(?: and (\d+) B)?`)
)

// readDoc reads the table of frames in the package comment, and the keys of a frame
// of entries below it.
func readDoc(t *testing.T) map[uint64]*documented {
	text, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	part := func(from, to string) string {
		_, rest, ok := strings.Cut(string(text), from)
		require.True(t, ok, from)
		rest, _, ok = strings.Cut(rest, to)
		require.True(t, ok, to)
		return rest
	}
	number := func(s string) uint64 {
		n, err := strconv.ParseUint(s, 10, 64)
		require.NoError(t, err)
		return n
	}
	all := map[uint64]*documented{}
	var now *documented
	for line := range strings.Lines(part("//\tkind         key              largest\n", "//\n// A list of heads")) {
		line = strings.TrimRight(line, "\n")
		rest := strings.TrimPrefix(line, "//\t")
		if m := docKind.FindStringSubmatch(line); m != nil && !strings.HasPrefix(rest, "      ") {
			now = &documented{name: m[2]}
			all[number(m[1])] = now
			rest = m[3]
			size := docSize.FindStringSubmatch(rest)
			require.NotNil(t, size, line)
			now.limit = int(number(size[1]))
			if size[2] == "KiB" {
				now.limit <<= 10
			}
			if size[3] != "" {
				now.limit += int(number(size[3]))
			}
		}
		if m := docKey.FindStringSubmatch(rest); m != nil && !strings.HasPrefix(rest, strings.Repeat(" ", 20)) {
			now.keys = append(now.keys, number(m[1]))
		} else if strings.HasPrefix(rest, "as hello") {
			now.keys = all[1].keys
		}
	}
	for _, m := range regexp.MustCompile(`(?m)^//\t(\d) `).FindAllStringSubmatch(part("// A frame of entries holds\n", "// with at most"), -1) {
		all[5].keys = append(all[5].keys, number(m[1]))
	}
	return all
}

// The package comment and the code agree on the kinds of frames, the keys of each
// and the largest of each.
func TestDocument(t *testing.T) {
	doc := readDoc(t)
	require.Equal(t, []uint64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}, slices.Sorted(maps.Keys(doc)))
	keys := map[uint64]map[uint64]bool{}
	all := messages()
	for _, n := range []int{1, 60} { // plain and deflated
		all = append(all, batches(t, modeltest.Garage(n, 3), wire.MaxRaw)[0])
	}
	for _, m := range all {
		frame, err := wire.Encode(m)
		require.NoError(t, err)
		var fields map[uint64]any
		require.NoError(t, fxcbor.Unmarshal(frame, &fields))
		kind := fields[0].(uint64)
		want := strings.ToLower(strings.TrimPrefix(fmt.Sprintf("%T", m), "*wire."))
		require.Equal(t, want, strings.ReplaceAll(doc[kind].name, ".", ""))
		if keys[kind] == nil {
			keys[kind] = map[uint64]bool{}
		}
		for k := range fields {
			keys[kind][k] = true
		}
	}
	for kind, d := range doc {
		require.Equal(t, append([]uint64{0}, d.keys...), slices.Sorted(maps.Keys(keys[kind])), d.name)

		frame := append([]byte{0xa2, 0x00}, byte(kind), 0x18, 0x20) // key 32: bytes, until the frame is too large by one
		frame = cbor.AppendHead(frame, cbor.Bytes, uint64(d.limit))
		frame = append(frame, make([]byte, d.limit+1-len(frame))...)
		_, err := wire.Decode(frame)
		require.ErrorContains(t, err, fmt.Sprintf("frame of %d bytes, at most %d are accepted", d.limit+1, d.limit), d.name)
		_, err = wire.Decode(frame[:d.limit])
		require.Error(t, err, d.name)
		require.NotContains(t, err.Error(), "are accepted", d.name)
	}
}
