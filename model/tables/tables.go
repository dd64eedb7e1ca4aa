// Package tables lays a build out as tables for spreadsheets, and writes one as
// CSV (RFC 4180). Every table but that of the parts can be brought in again with
// [ampwright/model/bring] as far as a sheet of its kind goes; nothing is lost
// only in JSON Lines, see [ampwright/model/lines].
package tables

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/model"
)

// A Table is one sheet.
type Table struct {
	Name string // "hours"
	Head []string
	Rows [][]Cell
}

// A Cell is a text or, with Number, a decimal number with a point.
type Cell struct {
	Text   string
	Number bool
}

// Names lists the tables in the order they stand in a workbook.
var Names = []string{"hours", "money", "orders", "parts", "readings", "cells"}

// Of returns the table of that name, false for a name that is not in Names.
func Of(b *model.Build, name string) (Table, bool) {
	make := map[string]func(*model.Build) Table{
		"hours": hours, "money": movements, "orders": orders, "parts": parts, "readings": readings, "cells": cells,
	}[name]
	if make == nil {
		return Table{}, false
	}
	t := make(b)
	t.Name = name
	return t, true
}

// All returns every table.
func All(b *model.Build) []Table {
	all := make([]Table, len(Names))
	for i, name := range Names {
		all[i], _ = Of(b, name)
	}
	return all
}

func text(s string) Cell { return Cell{Text: s} }

func number(f float64, decimals int) Cell {
	return Cell{strconv.FormatFloat(f, 'f', decimals, 64), true}
}

func whole(n int) Cell { return Cell{strconv.Itoa(n), true} }

func amount(a money.Amount, currency string) Cell {
	return Cell{strings.ReplaceAll(a.Format(currency, 0), ",", ""), true}
}

func day(w model.When) Cell {
	if w.IsZero() {
		return Cell{}
	}
	return text(w.Time().Format(time.DateOnly))
}

func clock(w model.When) Cell { return text(w.Time().Format("15:04")) }

// taskOf returns a task's key and title. No task is "none": an empty area of a
// sheet means that of the line above.
func taskOf(b *model.Build, key string) (id, title Cell) {
	if t := b.Task(key); t != nil {
		return text(t.ID), text(t.Title)
	}
	return text("none"), Cell{}
}

// hours has a line for each stretch of work. Hours have two decimals: enough to
// tell the minute.
func hours(b *model.Build) Table {
	t := Table{Head: []string{"date", "start", "end", "hours", "what", "area", "task", "who", "rework", "entry"}}
	for _, w := range b.Hours.Work {
		from, to := clock(w.At), clock(w.At.Add(time.Duration(w.Minutes)*time.Minute))
		if w.DayOnly {
			from, to = Cell{}, Cell{}
		}
		area, title := taskOf(b, w.Task)
		again := ""
		if w.Rework {
			again = "yes"
		}
		t.Rows = append(t.Rows, []Cell{
			day(w.At), from, to, number(float64(w.Minutes)/60, 2), text(w.Note), area, title, text(w.Who), text(again), text(w.ID.String()),
		})
	}
	return t
}

// movements has a line for each movement of money. The price is what was paid or
// got; net is what it does to the net spend.
func movements(b *model.Build) Table {
	t := Table{Head: []string{"date", "kind", "item", "price", "fee", "post", "net", "shop", "area", "part", "receipt", "unpaid", "of", "note", "entry"}}
	for _, l := range b.Money.Lines {
		var fee, post Cell
		area := text("none")
		note, of := "", ""
		if e, ok := b.Entry(l.ID); ok {
			switch body := e.Body.(type) {
			case *model.Sale:
				fee, post, note = amount(money.Amount(body.Fee), b.Currency), amount(money.Amount(body.Post), b.Currency), body.Note
			case *model.Purchase:
				note = body.Note
			case *model.Order:
				note = body.Note
			case *model.Refund:
				note, of = body.Note, body.Of.String()
				for _, o := range b.Orders {
					if o.ID == body.Of {
						of = o.Label
					}
				}
			}
		}
		if l.Task != nil {
			area = text(l.Task.ID)
		}
		unpaid := ""
		if l.Unpaid {
			unpaid = "yes"
		}
		t.Rows = append(t.Rows, []Cell{
			day(l.At), text(l.Kind), text(l.What), amount(l.Amount, b.Currency), fee, post, amount(l.Net, b.Currency), text(l.With),
			area, text(l.Part), text(l.Receipt), text(unpaid), text(of), text(note), text(l.ID.String()),
		})
	}
	return t
}

func orders(b *model.Build) Table {
	t := Table{Head: []string{"item", "ordered", "promised", "came", "price", "shop", "order no", "area", "parts", "unpaid", "days late", "note", "entry"}}
	for _, o := range b.Orders {
		var came Cell
		if o.Arrived != nil {
			came = day(*o.Arrived)
		}
		area, _ := taskOf(b, o.Task)
		late := Cell{}
		if o.PromiseAt != "" {
			late = whole(o.DaysLate)
		}
		unpaid := ""
		if !o.Paid {
			unpaid = "yes"
		}
		t.Rows = append(t.Rows, []Cell{
			text(o.What), day(o.At), text(o.PromiseAt), came, amount(money.Amount(o.Cents), b.Currency), text(o.Vendor), text(o.Label),
			area, text(strings.Join(o.Parts, " ")), text(unpaid), late, text(o.Note), text(o.ID.String()),
		})
	}
	return t
}

func parts(b *model.Build) Table {
	t := Table{Head: []string{"part", "title", "quantity", "unit", "state", "price from", "price to", "days to come, from", "to", "task", "order no"}}
	for _, p := range b.Parts {
		label := ""
		if p.Order != nil {
			label = p.Order.Label
		}
		t.Rows = append(t.Rows, []Cell{
			text(p.ID), text(p.Title), whole(p.Qty), text(p.Unit), text(string(p.State)), amount(p.Low(), b.Currency), amount(p.High(), b.Currency),
			whole(p.LeadLow), whole(p.LeadHigh), text(p.Task.ID), text(label),
		})
	}
	return t
}

// readings has a line for each value of each reading, superseded ones included.
func readings(b *model.Build) Table {
	t := Table{Head: []string{"date", "time", "check", "title", "task", "point", "value", "unit", "limit", "verdict", "with", "by", "witness", "seen", "before", "after", "note", "entry"}}
	for _, c := range b.Checks {
		for _, r := range c.Readings {
			if r.Derived {
				continue
			}
			var proof [2]Cell
			for i, m := range r.Proof {
				proof[i%2] = Cell{strconv.FormatFloat(unit.Decimal{Mantissa: m, Exp: int8(r.ProofExp)}.Float(), 'f', -1, 64), true}
			}
			line := func(point string, value Cell, unit string) {
				t.Rows = append(t.Rows, []Cell{
					day(r.At), clock(r.At), text(c.ID), text(c.Title), text(c.Task.ID), text(point), value, text(unit), text(r.Limit),
					text(string(r.Verdict)), text(r.Instrument), text(r.Person), text(r.Reading.Witness), text(r.Seen), proof[0], proof[1], text(r.Note), text(r.ID.String()),
				})
			}
			for i, v := range r.Points {
				point := strconv.Itoa(i + 1)
				if i < len(c.Points) {
					point = c.Points[i]
				}
				line(point, Cell{strconv.FormatFloat(v, 'f', -1, 64), true}, r.Unit)
			}
			if len(r.Points) == 0 {
				line("", text(map[int64]string{model.AnswerYes: "yes", model.AnswerNo: "no", model.AnswerPhoto: "photo"}[r.Answer]), "")
			}
		}
	}
	slices.SortStableFunc(t.Rows, func(x, y []Cell) int { return strings.Compare(x[0].Text+x[1].Text, y[0].Text+y[1].Text) })
	return t
}

// cells has a line for each cell: the value of each check that sorts cells.
func cells(b *model.Build) Table {
	t := Table{Head: []string{"cell"}}
	var checks []*model.Check
	count := 0
	for _, c := range b.Checks {
		if c.ScreenNeed == "" || c.Current == nil {
			continue
		}
		head := c.ID
		if h, ok := cellHeads[c.ID]; ok {
			head = h
		}
		t.Head = append(t.Head, head)
		checks = append(checks, c)
		count = max(count, len(c.Current.Points))
	}
	for i := range count {
		row := []Cell{whole(i + 1)}
		for _, c := range checks {
			if i < len(c.Current.Points) {
				row = append(row, Cell{strconv.FormatFloat(c.Current.Points[i], 'f', -1, 64), true})
			} else {
				row = append(row, Cell{})
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// cellHeads are the words over the columns that a cells sheet is read by.
var cellHeads = map[string]string{"cell-open-volts": "V as found", "cell-ir": "IR", "cell-capacity": "Ah"}
