package record_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ampwright/client/record"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden record anew")

// heron is the demo's logbook.
func heron(t testing.TB) *model.Logbook {
	t.Helper()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	return sealed(t, raws, logbook(t, raws))
}

// sealed puts the seals of the demo's entries into a logbook that holds them.
func sealed(t testing.TB, raws [][]byte, l *model.Logbook) *model.Logbook {
	seals, err := demo.Seals(raws)
	require.NoError(t, err)
	for _, s := range seals {
		require.NoError(t, l.AddSeal(s))
	}
	return l
}

func logbook(t testing.TB, raws [][]byte) *model.Logbook {
	t.Helper()
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	return l
}

// made is a record of the demo as of its end.
func made(t testing.TB, l *model.Logbook, id uuid.UUID, cfg record.Config) *record.Record {
	t.Helper()
	b, err := l.Build(id, demo.End, plan.Builtin)
	require.NoError(t, err)
	r, err := record.Make(b, l, cfg)
	require.NoError(t, err)
	return r
}

// fresh is a logbook in which nothing was done but to start a build.
func fresh(t testing.TB, planID string) (*model.Logbook, uuid.UUID) {
	t.Helper()
	p, ok := plan.Builtin(planID, 0)
	require.True(t, ok)
	id := uuid.MustParse("11111111-1111-4111-8111-111111111111")
	pen := model.Pen{Replica: uuid.MustParse("22222222-2222-4222-8222-222222222222")}
	raws, err := pen.Write([]model.Draft{
		{Body: &model.Replica{Device: "laptop", Person: "builder"}},
		{Build: id, Body: &model.BuildStart{At: model.WhenOf(demo.End), Title: "Bare", Plan: p.ID, PlanVersion: int64(p.Version), Currency: "EUR"}},
	}, model.StampAt(demo.End))
	require.NoError(t, err)
	return logbook(t, raws), id
}

func text(t testing.TB, r *record.Record) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, r.Write(&b))
	return b.String()
}

// The record of the demo, every word of it. When the words change on purpose,
// Edition counts up.
func TestGolden(t *testing.T) {
	const file = "testdata/heron-inspector.json"
	got := text(t, made(t, heron(t), demo.Build, record.Config{Hours: true, Money: true}))
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

// The same record comes whatever order the entries came in.
func TestSameWhateverOrder(t *testing.T) {
	l := heron(t)
	want := text(t, made(t, l, demo.Build, record.Config{}))
	var raws [][]byte
	require.NoError(t, l.All(func(raw []byte) error { raws = append(raws, raw); return nil }))
	again := logbook(t, slices.Collect(func(yield func([]byte) bool) {
		for _, raw := range slices.Backward(raws) {
			if !yield(raw) {
				return
			}
		}
	}))
	written, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	require.Equal(t, want, text(t, made(t, sealed(t, written, again), demo.Build, record.Config{})))
}

func section(r *record.Record, key string) *record.Section {
	for i := range r.Sections {
		if r.Sections[i].Key == key {
			return &r.Sections[i]
		}
	}
	return nil
}

// row is the row of a table whose first cell's small print begins with the key.
func row(t *testing.T, s *record.Section, key string) record.Row {
	t.Helper()
	require.NotNil(t, s)
	for _, r := range s.Table.Rows {
		if len(r.Cells) > 0 && strings.HasPrefix(r.Cells[0].Small, key+",") {
			return r
		}
	}
	t.Fatalf("no row %s", key)
	return record.Row{}
}

// The demo's answers were worked out from its script with a separate program,
// before this one was written.
func TestDemoAnswers(t *testing.T) {
	r := made(t, heron(t), demo.Build, record.Config{Hours: true, Money: true})
	checks := section(r, "checks")

	iso := row(t, checks, "motor-iso")
	require.Contains(t, iso.Cells[1].Text, "at least 500 ohm/V × 84.0 V = 42.0 kohm")
	require.Contains(t, iso.Cells[1].Small, "UN R100")
	require.Equal(t, "WITHIN", iso.Cells[2].Mark)
	require.Equal(t, "8.2 Mohm", iso.Cells[2].Text)
	require.Equal(t, "builder, 2026-11-15 11:10 +01:00", iso.Cells[3].Text)
	require.Equal(t, "with insulation tester 250 V", iso.Cells[3].Small)

	pack := row(t, checks, "iso-pack")
	require.Equal(t, "STALE", pack.Cells[2].Mark)
	require.Contains(t, pack.Cells[2].Small, "pack case opened")
	require.Len(t, pack.On, 2, "the reading, and the change that came after it")

	require.Equal(t, "OUT", row(t, checks, "rim-runout-found").Cells[2].Mark)
	require.Equal(t, "NOT TAKEN", row(t, checks, "terminal-torque").Cells[2].Mark)
	require.Contains(t, row(t, checks, "pack-review-done").Cells[3].Small, "witnessed by reviewer")

	cells := section(r, "cells").Table
	require.Len(t, cells.Rows, 46)
	out := 0
	for _, row := range cells.Rows {
		for _, c := range row.Cells {
			if c.Mark == "OUT" {
				out++
			}
		}
	}
	require.Equal(t, 6, out, "1 + 2 + 2 + 1 rejected")

	all := text(t, r)
	for _, want := range []string{"NC-1: front rim 2.6 mm axial", "NC-3: 21 kohm: phase W nicked", "side cover rubs the right shock", "113.0 h", "EUR 3,788.70", "EUR 520.75"} {
		require.Contains(t, all, want)
	}
}

// Numbers are written as the garage has chosen.
func TestStyle(t *testing.T) {
	l := heron(t)
	for field, value := range map[string]string{"mark": "comma", "units": "us", "paper": "Letter"} {
		write(t, l, model.Draft{Body: &model.Set{At: model.WhenOf(demo.End), What: "garage", Field: field, Value: value}})
	}
	r := made(t, l, demo.Build, record.Config{})
	require.Equal(t, "Letter", r.Paper)
	require.Equal(t, "8,2 Mohm", row(t, section(r, "checks"), "motor-iso").Cells[2].Text)
	require.Equal(t, "129 lb", row(t, section(r, "checks"), "front-load-found").Cells[2].Text) // 58.5 kg / 0.45359237 = 128.97
}

// write adds entries by the demo's laptop, a minute after its end.
func write(t testing.TB, l *model.Logbook, drafts ...model.Draft) []model.ID {
	t.Helper()
	return writeAs(t, l, uuid.MustParse("4845524f-4e00-4000-8000-00000000000a"), drafts...)
}

func writeAs(t testing.TB, l *model.Logbook, replica uuid.UUID, drafts ...model.Draft) []model.ID {
	t.Helper()
	pen, err := l.Pen(replica)
	require.NoError(t, err)
	raws, err := pen.Write(drafts, model.StampAt(demo.End.Add(time.Minute)))
	require.NoError(t, err)
	var ids []model.ID
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
		ids = append(ids, model.IDOf(raw))
	}
	return ids
}

// What each audience is handed, and what it is not.
func TestAudiences(t *testing.T) {
	l := heron(t)
	for _, tt := range []struct {
		for_      record.Audience
		with, not []string
	}{
		{record.Inspector, []string{"identity", "mass", "pack", "wiring", "checks", "nonconformances", "cells", "points", "photos", "instruments"}, []string{"hours", "money", "service"}},
		{record.Registration, []string{"identity", "mass", "power", "checks"}, []string{"cells", "punch", "money"}},
		{record.Insurer, []string{"charging", "pack", "checks", "photos"}, []string{"cells", "mass", "money"}},
		{record.Owner, []string{"service", "cells", "punch", "charging", "wiring"}, []string{"hours", "money"}},
		{record.Responder, []string{"card", "do-not-cut", "fire", "sketch"}, []string{"checks", "identity", "cautions"}},
		{record.Recycler, []string{"pack", "cells", "fire"}, []string{"money", "mass", "wiring"}},
	} {
		t.Run(string(tt.for_), func(t *testing.T) {
			r := made(t, l, demo.Build, record.Config{For: tt.for_})
			for _, key := range tt.with {
				require.NotNil(t, section(r, key), key)
			}
			for _, key := range tt.not {
				require.Nil(t, section(r, key), key)
			}
			require.NotNil(t, section(r, "proof"))
			lint(t, r)

			asked := made(t, l, demo.Build, record.Config{For: tt.for_, Hours: true, Money: true})
			require.Equal(t, tt.for_ != record.Responder, section(asked, "hours") != nil)
			require.Equal(t, tt.for_ != record.Responder, section(asked, "money") != nil)
		})
	}
	_, err := record.ParseAudience("police")
	require.EqualError(t, err, `audience "police": want one of inspector, registration, insurer, owner, responder, recycler`)
}

// A build in which nothing was read makes a record too, of either plan.
func TestNothingRead(t *testing.T) {
	for _, planID := range []string{"small-motorcycle-hub", "kart-chain"} {
		l, id := fresh(t, planID)
		for _, a := range record.Audiences() {
			r := made(t, l, id, record.Config{For: a, Hours: true, Money: true})
			lint(t, r)
			require.NotContains(t, text(t, r), `"WITHIN"`)
			require.True(t, record.Verify(r, l, plan.Builtin).Agrees, a)
			if s := section(r, "checks"); s != nil {
				require.NotEmpty(t, s.Table.Rows, a)
			}
		}
	}
}

var (
	claims = regexp.MustCompile(`(?i)\b(safe|safely|safety|unsafe|approved|certified|guaranteed?|compliant)\b`)
	keys   = regexp.MustCompile(`[a-z]+(-[a-z]+)+`) // of checks and tasks: "edges-safe"
)

// lint holds a record against what every record must keep to.
func lint(t *testing.T, r *record.Record) {
	t.Helper()
	all := text(t, r)
	require.NotContains(t, all, "%!")
	require.Empty(t, claims.FindAllString(keys.ReplaceAllString(all, ""), -1), "a claim that is not ours to make")
	require.Contains(t, all, "no approval")
	seen := map[string]bool{}
	entries := map[string]bool{}
	for _, e := range r.Entries {
		entries[e.ID] = true
	}
	for _, s := range r.Sections {
		require.False(t, seen[s.Key], s.Key)
		seen[s.Key] = true
		for _, f := range s.Facts {
			require.True(t, f.Blank || f.Value != "" || f.Mark != "", "%s: %s says nothing", s.Key, f.Name)
			for _, id := range f.On {
				require.True(t, entries[id], "%s: %s rests on an entry that is not listed", s.Key, f.Name)
			}
		}
		if s.Table == nil {
			continue
		}
		share := 0.0
		for _, c := range s.Table.Columns {
			share += c.Share
		}
		if len(s.Table.Rows) > 0 {
			require.InDelta(t, 100, share, 0.5, s.Key)
		} else {
			require.NotEmpty(t, s.Table.None, s.Key)
		}
		for _, row := range s.Table.Rows {
			require.True(t, row.Head != "" || len(row.Cells) == len(s.Table.Columns), s.Key)
			for _, id := range row.On {
				require.True(t, entries[id], s.Key)
			}
		}
	}
	require.Empty(t, r.Block.Approver)
}

// What is written reads back the same.
func TestRead(t *testing.T) {
	r := made(t, heron(t), demo.Build, record.Config{For: record.Owner})
	back, err := record.Read(strings.NewReader(text(t, r)))
	require.NoError(t, err)
	require.Equal(t, text(t, r), text(t, back))
	require.Equal(t, r.Digest, back.Sum())
	for in, want := range map[string]string{
		"{}": `format "", want "ampwright-record/1"`, "[]": "want one JSON object", `{"format":"other/9"}`: `format "other/9"`, "": "want one JSON object",
	} {
		_, err := record.Read(strings.NewReader(in))
		require.ErrorContains(t, err, want, in)
	}
}

// The package stays out of the way of the phone: no file, clock or socket.
func TestPure(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{join .Imports "\n"}}`, ".").Output()
	require.NoError(t, err)
	for _, d := range strings.Fields(string(out)) {
		require.NotContains(t, []string{"os", "net", "net/http", "syscall", "math/rand", "crypto/rand", "github.com/go-pdf/fpdf"}, d)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"format":"ampwright-record/1"}`))
	l := heron(f)
	small, err := json.Marshal(made(f, l, demo.Build, record.Config{For: record.Responder}))
	require.NoError(f, err)
	f.Add(small)
	f.Fuzz(func(t *testing.T, in []byte) {
		r, err := record.Read(bytes.NewReader(in))
		if err != nil {
			return
		}
		record.Verify(r, l, plan.Builtin)
		r.Codes()
	})
}
