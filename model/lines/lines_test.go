package lines

import (
	"bytes"
	"strings"
	"testing"

	"ampwright/model"
	"ampwright/model/modeltest"

	"github.com/stretchr/testify/require"
)

func write(t *testing.T, raws [][]byte) string {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, Write(&out, func(f func([]byte) error) error {
		for _, raw := range raws {
			if err := f(raw); err != nil {
				return err
			}
		}
		return nil
	}))
	return out.String()
}

func TestRoundTrip(t *testing.T) {
	raws := modeltest.Garage(300, 5)
	raw, err := (&model.Entry{Replica: [16]byte{1}, Seq: 1, Stamp: 1, Body: &model.Unknown{Name: "odometer", CBOR: "\xa1\x01\x02"}}).Encode()
	require.NoError(t, err)
	raws = append(raws, raw)
	back, err := Read(strings.NewReader(write(t, raws)))
	require.NoError(t, err)
	require.Equal(t, raws, back)
}

// A line that is no entry is named, and nothing is returned.
func TestBadLines(t *testing.T) {
	good := write(t, modeltest.Garage(2, 5))
	first, second, _ := strings.Cut(strings.TrimSpace(good), "\n")
	for _, tt := range []struct{ in, want string }{
		{"not json\n", "line 1: want one entry as a JSON object"},
		{first + "\n{}\n", `line 2: no "raw"`},
		{first + "\n" + `{"raw":"AAAA"}`, "line 2: decode entry"},
		{first + "\n" + second[:len(second)/2], "line 2: want one entry"},
		{strings.Replace(first, `"id":"`, `"id":"00`, 1), "line 1: the bytes are those of entry"},
		{strings.Repeat("x", maxLine+1), "line 1: "},
	} {
		raws, err := Read(strings.NewReader(tt.in))
		require.ErrorContains(t, err, tt.want)
		require.Nil(t, raws)
	}
	raws, err := Read(strings.NewReader("\n\n" + good + "\n"))
	require.NoError(t, err)
	require.Len(t, raws, 2)
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"raw":"oQ=="}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		raws, err := Read(bytes.NewReader(in))
		if err == nil {
			for _, raw := range raws {
				if _, err := model.Decode(raw); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}
