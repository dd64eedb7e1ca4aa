package model_test

import (
	"bytes"
	"encoding/hex"
	"flag"
	"os"
	"strings"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/lines"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the recorded logbook anew: only for a new format, under a new name")

// recorded is a logbook of format 1, to be read by every later version.
const recorded = "../testdata/logbook/heron-1"

// A logbook recorded when the format was made opens today: every byte is
// accepted, the fold agrees with the digest noted then, and the answers are
// those of then.
func TestRecordedLogbook(t *testing.T) {
	if *update {
		record(t)
	}
	f, err := os.Open(recorded + ".jsonl")
	require.NoError(t, err)
	defer f.Close()
	raws, err := lines.Read(f)
	require.NoError(t, err)
	l := model.NewLogbook()
	for _, raw := range raws {
		e, err := model.Decode(raw)
		require.NoError(t, err)
		again, err := e.Encode()
		require.NoError(t, err)
		require.Equal(t, raw, again)
		_, err = l.Add(raw)
		require.NoError(t, err)
	}
	note, err := os.ReadFile(recorded + ".digest")
	require.NoError(t, err)
	sum := l.Digest()
	require.Equal(t, strings.TrimSpace(string(note)), hex.EncodeToString(sum[:]))
	require.Equal(t, 1, l.Unknown())

	b, err := l.Build(demo.Build, demo.End, plan.Builtin)
	require.NoError(t, err)
	require.Empty(t, b.PlanNote, "the plan's file was changed: a plan that builds stand on gets a new version instead")
	require.EqualValues(t, 113*60, b.Hours.Logged)
	require.EqualValues(t, 378870, b.Money.Net)
	require.Len(t, b.Stale(), 8)

	var out bytes.Buffer
	require.NoError(t, lines.Write(&out, l.All))
	back, err := lines.Read(&out)
	require.NoError(t, err)
	require.ElementsMatch(t, raws, back)
}

// record writes the demo and one entry of a kind that no program knows yet.
func record(t *testing.T) {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	newer, err := (&model.Entry{
		Replica: [16]byte{0xfe, 15: 1}, Seq: 1, Build: demo.Build, Stamp: model.StampAt(demo.End),
		Body: &model.Unknown{Name: "odometer", CBOR: "\xa1\x01\x19\x03\xe8"},
	}).Encode()
	require.NoError(t, err)
	l := model.NewLogbook()
	for _, raw := range append(raws, newer) {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	var out bytes.Buffer
	require.NoError(t, lines.Write(&out, l.All))
	require.NoError(t, os.WriteFile(recorded+".jsonl", out.Bytes(), 0o644))
	sum := l.Digest()
	require.NoError(t, os.WriteFile(recorded+".digest", []byte(hex.EncodeToString(sum[:])+"\n"), 0o644))
}
