package paper_test

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/server/paper"

	"github.com/stretchr/testify/require"
)

var ended *model.Build // made once

func heronBuild(t testing.TB) *model.Build {
	if ended == nil {
		var err error
		ended, err = demo.AtEnd(plan.Builtin)
		require.NoError(t, err)
	}
	return ended
}

func list(t testing.TB, b *model.Build, name, size string) []byte {
	var out bytes.Buffer
	require.NoError(t, paper.WriteList(&out, b, name, size), name)
	return out.Bytes()
}

// K14: each list prints with blanks, limits and record ids, on A4 and on Letter,
// in the title block of the record, with its sheets counted.
func TestLists(t *testing.T) {
	b := heronBuild(t)
	for name, want := range map[string][]string{
		"cmb-02":                     {"job card cmb-02", "first", "instrument", "by", "cmb-02/"},
		b.Lists[0].Chunks[1].ID:      {"checklist", "released by", "witness", "commissioning/"},
		b.Stages[len(b.Stages)-1].ID: {"checks of the stage", "instrument", "time"},
		paper.Shopping:               {"shopping list", "vendor", "how many", "days"},
		paper.Pack:                   {"pack table", "points", "with"},
	} {
		for size, box := range map[string]string{"A4": "595.28 841.89", "Letter": "612.00 792.00"} {
			pdf := list(t, b, name, size)
			require.Contains(t, string(pdf), "/MediaBox [0 0 "+box+"]", name)
			sheets := sheetsOf(t, pdf)
			text := flat(sheets)
			for _, w := range append(want, "legal owner", "identification number", "date of issue", "document type", "typed later", "AL-4845524f-") {
				require.Contains(t, unspaced(text), unspaced(w), "%s on %s", name, size)
			}
			for i, s := range sheets {
				require.Contains(t, flat([]string{s}), "sheet "+strconv.Itoa(i+1)+" of "+strconv.Itoa(len(sheets)), name)
			}
			inside(t, pdf, name, box)
		}
	}
	var out bytes.Buffer
	require.ErrorContains(t, paper.WriteList(&out, b, "moped", ""), `list "moped": want a task, a stage, a checklist`)
	require.EqualError(t, paper.WriteList(&out, b, paper.Pack, "A3"), `paper "A3": want A4 or Letter`)
	require.Zero(t, out.Len())
	require.True(t, bytes.Equal(list(t, b, paper.Pack, "A4"), list(t, b, paper.Pack, "A4")))
	_, err := paper.Read(list(t, b, paper.Shopping, ""))
	require.ErrorIs(t, err, paper.ErrNone, "a list is no record")
}

// Every name that is offered is a list, and every limit of a checklist stands on it.
func TestEveryLimit(t *testing.T) {
	b := heronBuild(t)
	require.Greater(t, len(paper.ListNames(b)), len(b.Tasks))
	for _, name := range paper.ListNames(b)[:2+len(b.Lists)] {
		require.NotEmpty(t, list(t, b, name, ""), name)
	}
	text := unspaced(flat(sheetsOf(t, list(t, b, b.Lists[0].ID, "A4"))))
	st, n := b.Settings.Style(), 0
	for _, chunk := range b.Lists[0].Chunks {
		for _, c := range chunk.Steps {
			k := b.Check(c)
			if !k.Applies {
				continue
			}
			n++
			require.Contains(t, text, b.Lists[0].ID+"/"+strconv.Itoa(n)+"/"+c, "its record id")
			for word, side := range map[string]*model.Side{"at least ": k.Min, "at most ": k.Max} {
				if side != nil {
					require.Contains(t, text, unspaced(word+b.Explain(k, side, st)), c)
				}
			}
		}
	}
	require.Greater(t, n, 20)
}

// unspaced takes the spaces out, which a break of lines changes.
func unspaced(s string) string { return strings.ReplaceAll(s, " ", "") }

// inside makes sure that nothing is set past the margin of 14 mm, 39.69 pt.
func inside(t *testing.T, pdf []byte, name, box string) {
	wide, high, _ := strings.Cut(box, " ")
	w, err := strconv.ParseFloat(wide, 64)
	require.NoError(t, err)
	h, err := strconv.ParseFloat(high, 64)
	require.NoError(t, err)
	for _, content := range contents(t, pdf) {
		for _, m := range regexp.MustCompile(`BT ([-0-9.]+) ([-0-9.]+) Td`).FindAllStringSubmatch(content, -1) {
			x, err := strconv.ParseFloat(m[1], 64)
			require.NoError(t, err)
			y, err := strconv.ParseFloat(m[2], 64)
			require.NoError(t, err)
			require.True(t, x >= 39.6 && x <= w-39.6 && y >= 39.6 && y <= h-39.6, "%s: text at %v, %v", name, x, y)
		}
	}
}

// BenchmarkList paints the longest list: the pack table.
func BenchmarkList(b *testing.B) {
	build := heronBuild(b)
	for b.Loop() {
		list(b, build, paper.Pack, "A4")
	}
}
