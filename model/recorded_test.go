package model_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"flag"
	"os"
	"slices"
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
	raws, seals, err := lines.Read(f)
	require.NoError(t, err)
	require.Empty(t, seals)
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
	sum := recordedDigest(t, l)
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
	back, _, err := lines.Read(&out)
	require.NoError(t, err)
	require.ElementsMatch(t, raws, back)
}

// recordedDigest is the digest that was noted beside the recorded logbook: SHA-256
// over the number of entries and, in the order of their names, each name and a
// byte that is 1 for struck out, 2 for replaced, 3 for both.
func recordedDigest(t *testing.T, l *model.Logbook) [32]byte {
	var lines [][]byte
	require.NoError(t, l.All(func(raw []byte) error {
		line, ok := l.Line(model.IDOf(raw))
		require.True(t, ok)
		state := byte(0)
		if line.Struck {
			state |= 1
		}
		if line.Replaced {
			state |= 2
		}
		lines = append(lines, append(line.ID[:], state))
		return nil
	}))
	slices.SortFunc(lines, bytes.Compare)
	all := binary.BigEndian.AppendUint64(nil, uint64(len(lines)))
	return sha256.Sum256(append(all, bytes.Join(lines, nil)...))
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
	sum := recordedDigest(t, l)
	require.NoError(t, os.WriteFile(recorded+".digest", []byte(hex.EncodeToString(sum[:])+"\n"), 0o644))
}
