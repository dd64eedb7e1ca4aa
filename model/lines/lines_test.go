package lines

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/modeltest"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// played is the demo, played once.
var played = sync.OnceValues(func() ([][]byte, error) { return demo.Heron(plan.Builtin) })

func write(t *testing.T, raws [][]byte) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, Write(&out, each(raws)))
	return out.String()
}

func each(raws [][]byte) func(func([]byte) error) error {
	return func(f func([]byte) error) error {
		for _, raw := range raws {
			if err := f(raw); err != nil {
				return err
			}
		}
		return nil
	}
}

func TestRoundTrip(t *testing.T) {
	raws := modeltest.Garage(300, 5)
	raw, err := (&model.Entry{Replica: [16]byte{1}, Seq: 1, Stamp: 1, Body: &model.Unknown{Name: "odometer", CBOR: "\xa1\x01\x02"}}).Encode()
	require.NoError(t, err)
	raws = append(raws, raw)
	back, seals, err := Read(strings.NewReader(write(t, raws)))
	require.NoError(t, err)
	require.Equal(t, raws, back)
	require.Empty(t, seals)
}

// A line is what encoding/json makes of it, for every kind of entry.
func TestAsPublished(t *testing.T) {
	demoed, err := played()
	require.NoError(t, err)
	kinds := map[string]bool{}
	for _, raw := range append(modeltest.Garage(300, 5), demoed...) {
		text := write(t, [][]byte{raw})
		e, err := model.Decode(raw)
		require.NoError(t, err)
		kinds[e.Kind()] = true
		var read struct {
			Body json.RawMessage `json:"body"`
		}
		require.NoError(t, json.Unmarshal([]byte(text), &read))
		var want bytes.Buffer
		enc := json.NewEncoder(&want)
		enc.SetEscapeHTML(false)
		require.NoError(t, enc.Encode(e.Body))
		require.Equal(t, strings.TrimSpace(want.String()), string(read.Body))
	}
	require.GreaterOrEqual(t, len(kinds), 20)
}

// A line that is no entry is named, and nothing is returned.
func TestBadLines(t *testing.T) {
	good := write(t, modeltest.Garage(2, 5))
	first, second, _ := strings.Cut(strings.TrimSpace(good), "\n")
	for _, tt := range []struct{ in, want string }{
		{"not json\n", "line 1: want one entry or seal as a JSON object"},
		{first + "\n{}\n", `line 2: no "raw"`},
		{first + "\n" + `{"raw":"AAAA"}`, "line 2: decode entry"},
		{first + "\n" + second[:len(second)/2], "line 2: want one entry"},
		{strings.Replace(first, `"id":"`, `"id":"00`, 1), "line 1: the bytes are those of entry"},
		{strings.Repeat("x", maxLine+1), "line 1: "},
	} {
		raws, _, err := Read(strings.NewReader(tt.in))
		require.ErrorContains(t, err, tt.want)
		require.Nil(t, raws)
	}
	raws, _, err := Read(strings.NewReader("\n\n" + good + "\n"))
	require.NoError(t, err)
	require.Len(t, raws, 2)
}

// Seals come back, each below its entry, whatever the order of the chains; one
// that does not verify is refused with its line.
func TestSeals(t *testing.T) {
	raws, err := played()
	require.NoError(t, err)
	seals, err := demo.Seals(raws)
	require.NoError(t, err)
	require.Len(t, seals, 2, "the ends of both chains")
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	for _, s := range seals {
		require.NoError(t, l.AddSeal(s))
	}
	var out bytes.Buffer
	require.NoError(t, WriteLogbook(&out, l))
	back, got, err := Read(bytes.NewReader(out.Bytes()))
	require.NoError(t, err)
	require.ElementsMatch(t, raws, back)
	require.ElementsMatch(t, seals, got)

	text := strings.Split(strings.TrimSpace(out.String()), "\n")
	require.Len(t, text, len(raws)+len(seals))
	n := slices.IndexFunc(text, func(s string) bool { return strings.HasPrefix(s, `{"seal":{"replica":"`) }) + 1
	require.Greater(t, n, 2)
	first := seals[0]
	if !strings.Contains(text[n-1], first.Head.ID.String()) {
		first = seals[1]
	}
	name, number := fmt.Sprintf(`"id":"%s"`, first.Head.ID), fmt.Sprintf(`"seq":%d`, first.Head.Seq)
	for _, tt := range []struct{ old, new, want string }{
		{`"sig":"`, `"sig":"AAAA`, `"sig" of 67 bytes, want 64 in base64`},
		{number, fmt.Sprintf(`"seq":%d`, first.Head.Seq-1), "want one of an entry that is there"},
		{name, `"id":"0123456789abcdef0123456789abcdef"`, "want one of an entry that is there"},
		{name, `"id":"01"`, `entry name "01": want 32 hexadecimal digits`},
		{`"replica":"`, `"replica":"x`, "want one entry or seal as a JSON object"},
		{first.Replica.String(), uuid.UUID{1}.String(), "want one of an entry that is there"},
		{`"sig"`, `"sin"`, `"sig" of 0 bytes`},
	} {
		bad := slices.Clone(text[:n])
		bad[n-1] = strings.Replace(bad[n-1], tt.old, tt.new, 1)
		require.NotEqual(t, text[n-1], bad[n-1], tt.old)
		back, got, err := Read(strings.NewReader(strings.Join(bad, "\n")))
		require.ErrorContains(t, err, fmt.Sprintf("line %d: ", n))
		require.ErrorContains(t, err, tt.want)
		require.Nil(t, back)
		require.Nil(t, got)
	}
	forged := first
	forged.Sig[9] ^= 1
	for _, tt := range []struct {
		raws [][]byte
		want string
	}{
		{raws, fmt.Sprintf("seal of entry %d of replica %s: it was not made with the key", forged.Head.Seq, forged.Replica)},
		{raws[1:], "no first entry with a key leads to it"},
	} {
		out.Reset()
		require.NoError(t, Write(&out, each(tt.raws), forged))
		_, _, err = Read(&out)
		require.ErrorContains(t, err, tt.want)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"raw":"oQ=="}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		raws, _, err := Read(bytes.NewReader(in))
		if err == nil {
			for _, raw := range raws {
				if _, err := model.Decode(raw); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}
