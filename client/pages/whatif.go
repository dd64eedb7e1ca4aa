package pages

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/model"
)

// whatIfPage is all that whatif.html can see: the spec sheet as it stands, and
// as it would be with other inputs, side by side. Nothing on it is written down.
type whatIfPage struct {
	*frame
	Rows    []whatIfRow
	Names   []string // columns
	Derived []whatIfLine
	Cost    []whatIfLine // range, how many of the parts that follow the sheet, what all parts cost

	Currency string
	Counted  bool // a part follows the sheet
	Checks   []whatIfLine
	Asked    bool
	Others   []choice // inputs that can be added
}

type choice struct{ ID, Title string }

// A whatIfRow is an input that is varied.
type whatIfRow struct {
	ID, Title, Unit, Today string
	Boxes                  []calcBox
}

// A whatIfLine is what follows, by column; the first is today.
type whatIfLine struct {
	Title, Href string
	Cells       []whatIfCell
}

type whatIfCell struct {
	Text  string
	Moved bool
	Stamp stamp
}

// varied are the inputs the page begins with, where the spec sheet has them.
var varied = []string{"cells_series", "cells_parallel", "motor_kv", "tyre_circ_m"}

func (v *visit) whatIf() (Response, error) {
	p := whatIfPage{frame: v.frame("spec sheet", "what if"), Names: []string{"today"}, Asked: v.req.Query.Has("work"), Currency: v.b.Currency}
	vary := slices.Clone(v.req.Query["vary"])
	if len(vary) == 0 {
		vary = varied
	}
	typed := make([]map[string]string, maxVariants)
	for i := range typed {
		typed[i] = map[string]string{}
	}
	for _, name := range vary {
		s := v.b.Spec.Get(name)
		if s == nil || s.Formula != "" || slices.ContainsFunc(p.Rows, func(r whatIfRow) bool { return r.ID == name }) {
			continue
		}
		row := whatIfRow{ID: name, Title: s.Title, Unit: unit.Symbol(s.Unit), Today: unit.Format(s.Value, s.Unit, v.style())}
		if s.Unit == "count" || s.Unit == "ratio" {
			row.Unit = ""
		}
		for i := range maxVariants {
			box := calcBox{Field: name + "." + strconv.Itoa(i+1), Nth: nth(i)}
			if box.Value = strings.TrimSpace(v.req.Query.Get(box.Field)); box.Value != "" {
				typed[i][name] = box.Value
			}
			row.Boxes = append(row.Boxes, box)
		}
		p.Rows = append(p.Rows, row)
	}
	for _, s := range v.b.Spec.Inputs {
		if !slices.ContainsFunc(p.Rows, func(r whatIfRow) bool { return r.ID == s.ID }) {
			p.Others = append(p.Others, choice{s.ID, s.Title})
		}
	}
	sheets := []*model.Spec{v.b.Spec}
	for i, in := range typed {
		if len(in) == 0 {
			continue
		}
		s, err := v.b.WhatIf(in)
		var bad *model.WishError
		switch {
		case errors.As(err, &bad):
			p.blame(bad, i)
			continue
		case err != nil:
			return Response{}, err
		}
		p.Names = append(p.Names, string(rune('A'+i)))
		sheets = append(sheets, s)
	}
	if len(sheets) > 1 {
		v.whatFollows(&p, sheets)
	}
	status := statusOK
	for _, r := range p.Rows {
		for _, b := range r.Boxes {
			if b.Err != "" {
				status = statusUnprocessable
			}
		}
	}
	return v.render(status, "whatif.html", p)
}

// blame puts what is wrong beside its box.
func (p *whatIfPage) blame(bad *model.WishError, i int) {
	for _, f := range bad.Fields {
		for k := range p.Rows {
			if p.Rows[k].ID == f.Field {
				p.Rows[k].Boxes[i].Err = "“" + f.Value + "”: " + f.Want
			}
		}
	}
}

// whatFollows lists the values that move, and the checks whose reading would be
// worth something else.
func (v *visit) whatFollows(p *whatIfPage, sheets []*model.Spec) {
	today := sheets[0]
	for _, d := range today.Derived {
		line := whatIfLine{Title: d.Title, Href: v.at() + "/spec#" + d.ID}
		moved := false
		for _, s := range sheets {
			g := s.Get(d.ID)
			cell := whatIfCell{Text: unit.Format(g.Value, g.Unit, v.style()), Moved: g.Value != d.Value}
			if g.Err != "" {
				cell.Text = g.Err
			}
			moved = moved || cell.Moved
			line.Cells = append(line.Cells, cell)
		}
		if moved {
			p.Derived = append(p.Derived, line)
		}
	}
	p.Cost = v.whatItCosts(sheets)
	p.Counted = slices.ContainsFunc(v.b.Parts, func(part *model.Part) bool { return part.QtyOf != "" })
	for _, c := range v.b.Checks {
		now := v.b.VerdictUnder(c, today)
		if now == model.NotTaken {
			continue
		}
		line := whatIfLine{Title: c.Title, Href: v.at() + "/check/" + c.ID}
		moved := false
		for _, s := range sheets {
			verdict := v.b.VerdictUnder(c, s)
			moved = moved || verdict != now
			line.Cells = append(line.Cells, whatIfCell{Stamp: verdictStamp(verdict), Moved: verdict != now})
		}
		if moved {
			p.Checks = append(p.Checks, line)
		}
	}
}

// reach are the values that say how far the machine goes; a plan has one of them.
var reach = []string{"range_km", "laps_possible"}

// whatItCosts sets range against money: how far, how many of the parts that
// follow the spec sheet, and what all parts of the build cost.
func (v *visit) whatItCosts(sheets []*model.Spec) (lines []whatIfLine) {
	add := func(title, href string, text func(s *model.Spec) string) {
		line := whatIfLine{Title: title, Href: href}
		for _, s := range sheets {
			cell := whatIfCell{Text: text(s)}
			cell.Moved = len(line.Cells) > 0 && cell.Text != line.Cells[0].Text
			line.Cells = append(line.Cells, cell)
		}
		lines = append(lines, line)
	}
	for _, name := range reach {
		if d := sheets[0].Get(name); d != nil {
			add(d.Title, v.at()+"/spec#"+name, func(s *model.Spec) string {
				g := s.Get(name)
				if g.Err != "" {
					return g.Err
				}
				return unit.Format(g.Value, g.Unit, v.style())
			})
		}
	}
	for _, part := range v.b.Parts {
		if part.QtyOf != "" && part.State != model.PartNo {
			add(part.Title, v.at()+"/parts#"+part.ID, func(s *model.Spec) string {
				return strconv.Itoa(s.Quantity(&part.PlanPart)) + " " + part.Unit
			})
		}
	}
	add("All parts, bought or not", v.at()+"/parts", func(s *model.Spec) string {
		low, high := v.b.PartsCost(s)
		return v.amount(low) + " to " + v.amount(high)
	})
	low, high := v.b.PartsCost(sheets[0])
	add("Against the build as it is", "", func(s *model.Spec) string {
		l, h := v.b.PartsCost(s)
		if l == low && h == high {
			return "no difference"
		}
		return v.difference(l-low) + " to " + v.difference(h-high)
	})
	return lines
}

// difference writes money with its sign.
func (v *visit) difference(a money.Amount) string {
	if a > 0 {
		return "+" + v.amount(a)
	}
	return v.amount(a)
}
