package paper_test

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"ampwright/client/record"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/paper"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func logbook(t testing.TB, raws [][]byte) *model.Logbook {
	t.Helper()
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	return l
}

func heron(t testing.TB, cfg record.Config) *record.Record {
	t.Helper()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	return made(t, logbook(t, raws), demo.Build, cfg)
}

func made(t testing.TB, l *model.Logbook, id uuid.UUID, cfg record.Config) *record.Record {
	t.Helper()
	b, err := l.Build(id, demo.End, plan.Builtin)
	require.NoError(t, err)
	r, err := record.Make(b, l, cfg)
	require.NoError(t, err)
	return r
}

func write(t testing.TB, r *record.Record) []byte {
	t.Helper()
	var pdf bytes.Buffer
	require.NoError(t, paper.Write(&pdf, r))
	return pdf.Bytes()
}

// flat is a text without its line breaks: what was wrapped stands together again.
func flat(sheets []string) string {
	return strings.Join(strings.Fields(strings.Join(sheets, " ")), " ")
}

// What the demo's record says stands on the paper, and on how many sheets.
func TestDemo(t *testing.T) {
	pdf := write(t, heron(t, record.Config{Hours: true, Money: true}))
	sheets := sheetsOf(t, pdf)
	require.GreaterOrEqual(t, len(sheets), 15)
	require.LessOrEqual(t, len(sheets), 26)
	for i, s := range sheets {
		require.Contains(t, s, fmt.Sprintf("sheet %d of %d", i+1, len(sheets)))
		require.Contains(t, s, "AR-4845524f-")
		require.Contains(t, s, "2026-11-20")
	}
	for _, field := range []string{"legal owner", "title", "document type", "creator", "approver (by hand)", "identification number", "date of issue", "sheet"} {
		require.Contains(t, sheets[0], field+"\n") // of ISO 7200
	}
	all := flat(sheets)
	for _, want := range []string{
		"at least 500 ohm/V × 84.0 V = 42.0 kohm", "8.2 Mohm", "2200 µF", "≤ 10.0 mV", "with insulation tester 250 V", "NC-3: 21 kohm",
		"113.0 h", "EUR 3,788.70", "It is no approval", "licensed people decide",
	} {
		require.Contains(t, all, want)
	}
}

// Every section of every audience is on its paper; the card is one sheet.
func TestAudiences(t *testing.T) {
	for _, a := range record.Audiences() {
		for _, size := range []string{"A4", "Letter"} {
			r := heron(t, record.Config{For: a})
			r.Paper = size
			pdf := write(t, r)
			sheets := sheetsOf(t, pdf)
			if a.Card() {
				require.Len(t, sheets, 1, size)
			}
			all := flat(sheets)
			for _, s := range r.Sections {
				require.Contains(t, all, s.Title)
				for _, f := range s.Facts {
					require.Contains(t, strings.ReplaceAll(all, " ", ""), strings.ReplaceAll(f.Name, " ", ""))
				}
			}
			// ISO 216: 210 mm x 297 mm; ANSI letter: 8.5 in x 11 in; in points of 1/72 in.
			box := map[string]string{"A4": "595.28 841.89", "Letter": "612.00 792.00"}[size]
			require.Contains(t, string(pdf), "/MediaBox [0 0 "+box+"]")
		}
	}
}

// Nothing is set past the edges of a sheet.
func TestInside(t *testing.T) {
	at := regexp.MustCompile(`BT ([-0-9.]+) ([-0-9.]+) Td`)
	for _, a := range record.Audiences() {
		pdf := write(t, heron(t, record.Config{For: a, Hours: true, Money: true}))
		n := 0
		for _, content := range contents(t, pdf) {
			for _, m := range at.FindAllStringSubmatch(content, -1) {
				x, err := strconv.ParseFloat(m[1], 64)
				require.NoError(t, err)
				y, err := strconv.ParseFloat(m[2], 64)
				require.NoError(t, err)
				n++
				// 14 mm are 39.69 pt.
				require.True(t, x >= 39.6 && x <= 595.28-39.6 && y >= 39.6 && y <= 841.89-39.6, "%s: text at %v, %v", a, x, y)
			}
		}
		require.Greater(t, n, 30)
	}
}

// The same record makes the same bytes.
func TestSameBytes(t *testing.T) {
	r := heron(t, record.Config{})
	require.True(t, bytes.Equal(write(t, r), write(t, r)))
}

// The record is found again in its PDF, and in its JSON; in nothing else.
func TestRead(t *testing.T) {
	r := heron(t, record.Config{For: record.Insurer, Money: true})
	pdf := write(t, r)
	back, err := paper.Read(pdf)
	require.NoError(t, err)
	var want, got bytes.Buffer
	require.NoError(t, r.Write(&want))
	require.NoError(t, back.Write(&got))
	require.Equal(t, want.String(), got.String())
	back, err = paper.Read(want.Bytes())
	require.NoError(t, err)
	require.Equal(t, r.Digest, back.Digest)

	for name, file := range map[string][]byte{
		"empty": nil, "text": []byte("hello"), "a PDF without one": []byte("%PDF-1.4\n"),
		"cut off": pdf[:bytes.Index(pdf, []byte("/EmbeddedFile"))+200], "damaged": bytes.Replace(pdf, []byte("/FlateDecode /Params"), []byte("/FlateDecodX /Params"), 1),
	} {
		_, err := paper.Read(file)
		require.ErrorIs(t, err, paper.ErrNone, name)
	}
}

// Names and notes in other letters are set in them; a sign that no typeface here
// has is written as its number; a long note goes on to the next sheet.
func TestLetters(t *testing.T) {
	r := heron(t, record.Config{For: record.Registration})
	long := strings.Repeat("wetted, dried, then read anew; ", 500)
	r.Sections[0].Text = append(r.Sections[0].Text, "Łukasz Żółć, Ωμέγα, Жук, 中, \u202e±3 µΩ ≤ 4 → 5", strings.Repeat("x", 400))
	r.Sections[0].Table = &record.Table{Columns: []record.Column{{Title: "note", Share: 100}}, Rows: []record.Row{{Cells: []record.Cell{{Text: long}}}}}
	sheets := sheetsOf(t, write(t, r))
	all := strings.ReplaceAll(flat(sheets), " ", "")
	for _, want := range []string{"ŁukaszŻółć", "Ωμέγα", "Жук", "[U+4E2D]", "±3µΩ≤4→5", strings.Repeat("x", 400)} {
		require.Contains(t, strings.ReplaceAll(all, "\n", ""), want)
	}
	for _, word := range []string{"wetted,", "dried,", "anew;"} {
		require.Equal(t, 500, strings.Count(flat(sheets), word))
	}
}

// A build in which nothing was read has its sheets of blanks too.
func TestNothingRead(t *testing.T) {
	for _, planID := range []string{"small-motorcycle-hub", "kart-chain"} {
		l, id := bare(t, planID, 0)
		for _, a := range record.Audiences() {
			sheets := sheetsOf(t, write(t, made(t, l, id, record.Config{For: a, Hours: true, Money: true})))
			require.Contains(t, sheets[0], "sheet 1 of ")
			if a.Card() {
				require.Len(t, sheets, 1)
			}
		}
	}
}

// bare is a logbook with a build and n checks of the builder's own, each read.
func bare(t testing.TB, planID string, n int) (*model.Logbook, uuid.UUID) {
	t.Helper()
	p, ok := plan.Builtin(planID, 0)
	require.True(t, ok)
	id := uuid.MustParse("11111111-1111-4111-8111-111111111111")
	at := model.WhenOf(demo.End.Add(-time.Hour))
	drafts := []model.Draft{
		{Body: &model.Replica{Device: "laptop", Person: "builder"}},
		{Build: id, Body: &model.BuildStart{At: at, Title: "Bare", Plan: p.ID, PlanVersion: int64(p.Version), Currency: "EUR"}},
	}
	for i := range n {
		key := fmt.Sprintf("own-%d", i)
		drafts = append(drafts,
			model.Draft{Build: id, Body: &model.AddCheck{At: at, Key: key, Task: p.Tasks[i%len(p.Tasks)].ID, Title: "a check of the builder's own, number " + strconv.Itoa(i), CheckKind: "measurement", Unit: "V", Min: "1", Max: "3", Hold: true, Basis: "own"}},
			model.Draft{Build: id, Body: &model.Reading{At: at, Check: key, Values: []int64{21}, Exp: -1, Unit: "V", Instrument: "meter 2", Note: "in the bay, cold"}})
	}
	pen := model.Pen{Replica: uuid.MustParse("22222222-2222-4222-8222-222222222222")}
	raws, err := pen.Write(drafts, model.StampAt(demo.End))
	require.NoError(t, err)
	return logbook(t, raws), id
}

// A record of 200 checks and more, from the build to the bytes of the PDF. Asked
// for is less than a second.
func BenchmarkRecord(b *testing.B) {
	l, id := bare(b, "small-motorcycle-hub", 12) // with the plan's 188 that is 200
	build, err := l.Build(id, demo.End, plan.Builtin)
	require.NoError(b, err)
	require.GreaterOrEqual(b, len(build.Checks), 200)
	for b.Loop() {
		r, err := record.Make(build, l, record.Config{})
		require.NoError(b, err)
		var pdf bytes.Buffer
		require.NoError(b, paper.Write(&pdf, r))
	}
}

func FuzzRead(f *testing.F) {
	r := heron(f, record.Config{For: record.Responder})
	var pdf bytes.Buffer
	require.NoError(f, paper.Write(&pdf, r))
	f.Add(pdf.Bytes())
	f.Add([]byte(`{"format":"ampwright-record/1"}`))
	f.Fuzz(func(t *testing.T, in []byte) { paper.Read(in) })
}

// The pictures that are at hand stand small on the paper; the record is the same
// with and without them, and is read back from either.
func TestPhotosOnPaper(t *testing.T) {
	r := heron(t, record.Config{For: record.Inspector})
	var bare, pictured bytes.Buffer
	require.NoError(t, paper.Write(&bare, r))
	var shot bytes.Buffer
	require.NoError(t, jpeg.Encode(&shot, image.NewGray(image.Rect(0, 0, 1600, 900)), nil))
	asked := 0
	photos := func(sha256 string) []byte {
		if len(sha256) != 64 {
			return nil
		}
		asked++
		return shot.Bytes()
	}
	require.NoError(t, paper.WriteWith(&pictured, r, photos))
	require.Positive(t, asked)
	require.NotContains(t, bare.String(), "/DCTDecode")
	require.Contains(t, pictured.String(), "/DCTDecode") // ISO 32000-1, 7.4.8: a JPEG
	for _, file := range [][]byte{bare.Bytes(), pictured.Bytes()} {
		back, err := paper.Read(file)
		require.NoError(t, err)
		require.Equal(t, r.Digest, back.Digest)
		require.Equal(t, r.Digest, back.Sum())
	}
	var broken bytes.Buffer
	require.NoError(t, paper.WriteWith(&broken, r, func(string) []byte { return []byte("no picture") }))
	require.Equal(t, bare.Bytes(), broken.Bytes(), "what is no picture is left out")
}
