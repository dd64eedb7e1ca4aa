package record_test

import (
	"bytes"
	"testing"

	"ampwright/client/record"
	"ampwright/model"
	"ampwright/model/demo"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// A byte of an entry is changed in a packed run: the record names the entry, or the
// next that it rests on and from where on the changed one must be.
func TestLocate(t *testing.T) {
	l := heron(t)
	r := made(t, l, demo.Build, record.Config{For: "inspector"})
	iso, raw := reading(t, l, "motor-iso")
	line, _ := l.Line(iso)
	var chain [][]byte
	for _, raw := range raws(t, l) {
		if e, err := model.Decode(raw); err == nil && e.Replica == line.Replica {
			chain = append(chain, raw)
		}
	}
	run, err := model.PackRun(chain)
	require.NoError(t, err)
	survey := func(run []byte) (names []model.Head) {
		model.SurveyRun(run, func(h model.Head) { names = append(names, h) })
		return names
	}
	names := survey(run)
	require.Len(t, names, len(chain))
	require.Equal(t, iso, names[line.Seq-1].ID)
	_, ok := record.Locate(r, line.Replica, names)
	require.False(t, ok, "nothing was changed")

	flip := func(raw []byte) {
		t.Helper()
		tail := raw[len(raw)-24:]
		require.Equal(t, 1, bytes.Count(run, tail))
		run[bytes.Index(run, tail)+20] ^= 1
	}
	flip(raw)
	require.ErrorContains(t, model.UnpackRun(run, func(string, model.ID) error { return nil }), "damaged")
	got, ok := record.Locate(r, line.Replica, survey(run))
	require.True(t, ok)
	require.Equal(t, record.Trouble{Kind: "changed", Entry: iso.String(), Text: got.Text}, got)
	require.Contains(t, got.Text, "entry "+iso.String()[:8])
	_, ok = record.Locate(r, uuid.UUID{1}, survey(run))
	require.False(t, ok, "another device")
	_, ok = record.Locate(r, line.Replica, nil)
	require.False(t, ok)

	flip(chain[0])
	got, ok = record.Locate(r, line.Replica, survey(run))
	require.True(t, ok)
	require.Contains(t, got.Text, "or one before it from number 1 on")
}
