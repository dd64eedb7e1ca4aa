package tables_test

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/model/tables"

	"github.com/stretchr/testify/require"
)

func heron(t testing.TB) *model.Build {
	b, err := demo.AtEnd(plan.Builtin)
	require.NoError(t, err)
	return b
}

func column(t *testing.T, tab tables.Table, head string) []string {
	for i, h := range tab.Head {
		if h != head {
			continue
		}
		var out []string
		for _, row := range tab.Rows {
			require.LessOrEqual(t, len(row), len(tab.Head))
			out = append(out, row[i].Text)
		}
		return out
	}
	require.Fail(t, "no column "+head)
	return nil
}

func sum(t *testing.T, cells []string, currencyDigits int8) (total int64) {
	for _, c := range cells {
		d, err := unit.ParseNumber(c, unit.Point)
		require.NoError(t, err)
		m, ok := d.Scaled(-currencyDigits)
		require.True(t, ok, c)
		total += m
	}
	return total
}

// The tables of the demo add up to the answers of its story: the domain brief,
// part 8 (ours): 113.0 h, net spend 3,788.70.
func TestDemoAddsUp(t *testing.T) {
	b := heron(t)
	hours, ok := tables.Of(b, "hours")
	require.True(t, ok)
	require.EqualValues(t, 11300, sum(t, column(t, hours, "hours"), 2))
	money, _ := tables.Of(b, "money")
	require.EqualValues(t, 378870, sum(t, column(t, money, "net"), 2))
	orders, _ := tables.Of(b, "orders")
	require.Len(t, orders.Rows, len(b.Orders))
	parts, _ := tables.Of(b, "parts")
	require.Len(t, parts.Rows, len(b.Parts))
	cells, _ := tables.Of(b, "cells")
	require.Len(t, cells.Rows, 46, "bought")
	readings, _ := tables.Of(b, "readings")
	points := 0
	for _, c := range b.Checks {
		for _, r := range c.Readings {
			if !r.Derived {
				points += max(len(r.Points), 1)
			}
		}
	}
	require.Len(t, readings.Rows, points)
	_, ok = tables.Of(b, "moon")
	require.False(t, ok)
	require.Len(t, tables.All(b), len(tables.Names))
}

// No text cell begins with what a spreadsheet takes for a formula; numbers below
// zero stay numbers; what was written comes back. Triggers: OWASP, "CSV
// Injection".
func FuzzCSV(f *testing.F) {
	for _, s := range []string{"=1+1", "+a", "-b", "@sum(a1)", "\tx", "\rx", "\x00", "  =1", "'=1", "''", "a\"b,c;d\ne", "-5.2", "＝1", "' =x", "'@"} {
		f.Add(s, false)
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, text string, comma bool) {
		mark := unit.Mark(unit.Point)
		if comma {
			mark = unit.Comma
		}
		tab := tables.Table{Head: []string{"text", "number"}, Rows: [][]tables.Cell{{{Text: text}, {Text: "-5.2", Number: true}}}}
		var out bytes.Buffer
		require.NoError(t, tables.WriteCSV(&out, tab, mark))
		in := csv.NewReader(&out)
		want := "-5.2"
		if comma {
			in.Comma, want = ';', "-5,2"
		}
		rows, err := in.ReadAll()
		require.NoError(t, err)
		require.Len(t, rows, 2)
		got := rows[1]
		require.Equal(t, want, got[1])
		if begin := strings.TrimLeft(got[0], " \u00a0"); begin != "" {
			require.False(t, strings.ContainsAny(begin[:1], "=+-@\t\r\n\x00"), "%q", got[0])
		}
		if !strings.Contains(text, "\r") { // which CSV readers join with what follows
			require.Equal(t, text, tables.Plain(got[0]))
		}
	})
}
