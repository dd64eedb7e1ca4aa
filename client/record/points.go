package record

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
)

// cells is the cell table: a line for each cell, a column for each check that
// sorts cells.
func (m *maker) cells() Section {
	s := Section{Key: "cells", Title: "cells"}
	t := &Table{Columns: []Column{{Title: "line", Share: 8, Right: true}}, None: "no check of the plan sorts cells, or none was read"}
	var checks []*model.Check
	lines := 0
	for _, c := range m.b.Checks {
		if c.ScreenNeed == "" || c.Current == nil {
			continue
		}
		checks = append(checks, c)
		lines = max(lines, len(c.Current.Points))
	}
	if len(checks) == 0 {
		s.Table = t
		return s
	}
	var notes []string
	for _, c := range checks {
		r := c.Current
		title := words.Join(", ", c.Title, unit.Symbol(c.Unit))
		t.Columns = append(t.Columns, Column{Title: title, Share: 92 / float64(len(checks)), Right: true})
		m.onCheck(c)
		notes = append(notes, words.Join("; ", c.ID+": "+c.ValueText(r, m.st), "limit "+m.limit(c), stated(r.Person, r.At), r.Reading.Note, shorts(m.on(r.ID))))
	}
	s.Text = append([]string{"A line is a place in the list as it was typed. Where a later list is shorter, cells had been taken out: then the same line is not the same cell."}, notes...)
	for i := range lines {
		row := Row{Cells: []Cell{{Text: fmt.Sprint(i + 1)}}}
		for _, c := range checks {
			row.Cells = append(row.Cells, m.point(c, i))
			if i < len(c.Current.Points) {
				row.On = append(row.On, m.on(c.Current.ID)...)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	s.Table = t
	return s
}

// point is one point of the reading that stands, with the digits it was typed
// with.
func (m *maker) point(c *model.Check, i int) Cell {
	r := c.Current
	if i >= len(r.Points) {
		return Cell{}
	}
	cell := Cell{Text: m.format(r.Points[i], c.Unit)}
	if i < len(r.Values) {
		cell.Text = unit.FormatDecimal(unit.Decimal{Mantissa: r.Values[i], Exp: int8(r.Exp)}, c.Unit, m.st)
	}
	switch {
	case slices.Contains(r.Bad, i):
		cell.Mark, cell.Shape = "OUT", "out"
	case slices.Contains(r.Doubtful, i):
		cell.Mark, cell.Shape = "NOT SHOWN", "doubt"
	}
	return cell
}

// points are the readings of more than one point that sort nothing.
func (m *maker) points() Section {
	s := Section{Key: "points", Title: "readings of more than one point"}
	t := &Table{Columns: []Column{{Title: "check", Share: 30}, {Title: "points in order", Share: 61}, {Title: "entry", Share: 9, Mono: true}}, None: "no such reading"}
	for _, c := range m.b.Checks {
		r := c.Current
		if r == nil || c.ScreenNeed != "" || len(r.Points) < 2 {
			continue
		}
		var list []string
		for i := range r.Points {
			p := m.point(c, i)
			label := ""
			if i < len(c.Points) {
				label = c.Points[i]
			}
			list = append(list, words.Join(" ", label, p.Text, strings.ToLower(p.Mark)))
		}
		limit := m.limit(c)
		if limit != "" {
			limit = "limit " + limit
		}
		small := words.Join("; ", limit, stated(r.Person, r.At), m.stale(c))
		m.put(t, Row{Cells: []Cell{{Text: c.Title, Small: c.ID + "; " + small}, {Text: strings.Join(list, ";  ")}, {}}}, r.ID)
	}
	s.Table = t
	return s
}

// photos are pictures by their hashes: the logbook keeps the hash, the picture
// is kept elsewhere.
func (m *maker) photos() Section {
	s := Section{Key: "photos", Title: "photos", Text: []string{
		"The logbook keeps the SHA-256 of a picture's bytes. A picture handed over with this record is the one that was taken when its hash is the same.",
	}}
	t := &Table{Columns: []Column{{Title: "of", Share: 38}, {Title: "SHA-256 of its bytes", Share: 40, Mono: true}, {Title: "taken", Share: 13}, {Title: "entry", Share: 9, Mono: true}}, None: "no photo on record"}
	add := func(of, key string, hash []byte, at model.When, id model.ID) {
		h := Cell{Small: "no hash: its taker only said that it was taken"}
		if len(hash) > 0 {
			h = Cell{Small: fmt.Sprintf("%x", hash)}
		}
		m.put(t, Row{Cells: []Cell{{Text: of, Small: key}, h, {Text: date(at)}, {}}}, id)
	}
	for _, c := range m.b.Checks {
		if !m.cfg.For.wants(c) {
			continue
		}
		for _, r := range c.Readings {
			if !r.Derived && (len(r.Photo) > 0 || c.Kind == model.PhotoCheck && r == c.Current) {
				add(c.Title, c.ID, r.Photo, r.At, r.ID)
			}
		}
	}
	for _, line := range slices.Backward(m.b.Lines(0, 0)) {
		if p, ok := line.Body.(*model.Photo); ok && !line.Struck && !line.Replaced {
			add(words.Join(": ", "photo", p.Note), words.Join(", ", p.Task, p.Check, p.Part), p.Hash, p.At, line.ID)
		}
	}
	s.Table = t
	return s
}
