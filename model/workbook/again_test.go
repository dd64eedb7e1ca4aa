package workbook_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/bring"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/model/tables"
	"ampwright/model/workbook"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// What follows from other things than a table's own lines: it is not brought in.
var follows = map[string][]string{
	"hours": {"rework", "entry", "start", "end"}, "money": {"entry", "part"}, "orders": {"entry", "days late"},
	"readings": {"limit", "verdict", "by", "note", "entry", "title", "task"}, "cells": nil,
}

// The tables of the demo, as .csv of either decimal mark or as a workbook, brought
// into an empty build, give the same tables again.
func TestBroughtInAgain(t *testing.T) {
	from := heron(t)
	all := tables.All(from)
	data, err := workbook.Write(all)
	require.NoError(t, err)
	whole, err := workbook.Read("heron.xlsx", data)
	require.NoError(t, err)
	for _, form := range []string{"point", "comma", "xlsx"} {
		b := empty(t, from)
		for _, name := range []string{"hours", "orders", "money", "readings"} {
			tab, _ := tables.Of(from, name)
			f := whole
			if form != "xlsx" {
				var out bytes.Buffer
				mark := unit.Mark(unit.Point)
				if form == "comma" {
					mark = unit.Comma
				}
				require.NoError(t, tables.WriteCSV(&out, tab, mark))
				f, err = bring.CSV(name+".csv", out.Bytes())
				require.NoError(t, err)
			}
			build, err := b.Build(demo.Build)
			require.NoError(t, err)
			o := bring.Options{Sheet: map[bool]string{true: name}[form == "xlsx"], Changes: "none"}
			p, err := bring.Read(f, build, bring.Desk{Now: demo.End}, o)
			require.NoError(t, err)
			for _, l := range p.Lines {
				require.NotEqual(t, bring.Wrong, l.State, "%s %s line %d: %s", form, name, l.Number, l.Why)
			}
			w, err := p.Wish()
			require.NoError(t, err, form+" "+name)
			_, err = b.Do(demo.Build, w, "")
			require.NoError(t, err, form+" "+name)
		}
		to, err := b.Build(demo.Build)
		require.NoError(t, err)
		for name, but := range follows {
			require.Equal(t, said(t, from, name, but), said(t, to, name, but), "%s %s", form, name)
		}
	}
}

// The table of cells alone gives the same cells again; the list of parts says that
// it is none to be brought in.
func TestCellsBroughtInAgain(t *testing.T) {
	from := heron(t)
	b := empty(t, from)
	build, err := b.Build(demo.Build)
	require.NoError(t, err)
	for _, name := range []string{"cells", "parts"} {
		tab, _ := tables.Of(from, name)
		var out bytes.Buffer
		require.NoError(t, tables.WriteCSV(&out, tab, unit.Point))
		f, err := bring.CSV(name+".csv", out.Bytes())
		require.NoError(t, err)
		p, err := bring.Read(f, build, bring.Desk{Now: demo.End}, bring.Options{})
		if name == "parts" {
			require.ErrorContains(t, err, "parts.csv: this is the list of parts as export writes it")
			continue
		}
		require.NoError(t, err)
		w, err := p.Wish()
		require.NoError(t, err)
		_, err = b.Do(demo.Build, w, "")
		require.NoError(t, err)
		to, err := b.Build(demo.Build)
		require.NoError(t, err)
		require.Equal(t, said(t, from, name, nil), said(t, to, name, nil))
		require.Empty(t, to.Notes)
	}
}

// empty starts a build of the same plan and name, with nothing in it.
func empty(t *testing.T, as *model.Build) *book.Book {
	b, err := book.Open(keep.NewMemory(), book.Config{
		Replica: uuid.UUID{7}, Device: "other", Person: "Lee", Plans: plan.Builtin,
		Now: func() time.Time { return demo.End }, NewID: func() uuid.UUID { return demo.Build },
	})
	require.NoError(t, err)
	_, err = b.Do(uuid.Nil, model.Wish{Name: "start", Values: map[string][]string{
		"plan": {as.Plan.ID}, "title": {as.Title}, "currency": {as.Currency}, "at": {"2026-08-01 10:00"},
	}}, "")
	require.NoError(t, err)
	return b
}

// said are the lines of a table without the columns that follow from others.
func said(t *testing.T, b *model.Build, name string, but []string) []string {
	tab, ok := tables.Of(b, name)
	require.True(t, ok)
	var all []string
	for _, row := range tab.Rows {
		var cells []string
		for i, c := range row {
			if !slices.Contains(but, tab.Head[i]) {
				cells = append(cells, fmt.Sprintf("%s=%s", tab.Head[i], c.Text))
			}
		}
		all = append(all, strings.Join(cells, " | "))
	}
	slices.Sort(all)
	return all
}
