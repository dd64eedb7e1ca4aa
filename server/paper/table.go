package paper

import (
	"strings"

	"ampwright/client/record"
)

// A lineOf is one line of a cell.
type lineOf struct {
	text         string
	face         face
	size         float64
	soft         bool
	indent       float64 // room for the stamp
	stamp, shape string
	rule         bool    // a line to write on
	pad          float64 // more room below
}

// facts are set as a table without a head: name, value, note, entries. A card has
// no entries. What is alone on its line has the room of both columns.
func (p *painter) facts(list []record.Fact) {
	name, value, note, entry := record.Column{Share: 27}, record.Column{Share: 24}, record.Column{Share: 39}, record.Column{Share: 10, Mono: true}
	if p.r.For.Card() {
		name, value, note, entry = record.Column{Share: 28}, record.Column{Share: 30}, record.Column{Share: 42}, record.Column{}
	}
	for _, f := range list {
		v, n := value, note
		if f.Note == "" && f.Mark == "" {
			v.Share, n.Share = v.Share+n.Share, 0
		}
		columns := []record.Column{name, v}
		cells := [][]lineOf{p.cell(record.Cell{Text: f.Name}, name, plain), p.cell(record.Cell{Text: f.Value}, v, strong)}
		if f.Blank {
			cells[1] = []lineOf{{rule: true, size: p.body, pad: 1.6}}
		}
		if n.Share > 0 {
			columns = append(columns, n)
			cells = append(cells, p.cell(record.Cell{Small: f.Note, Mark: f.Mark, Shape: f.Shape}, n, plain))
		}
		if entry.Share > 0 {
			var names []string
			for _, id := range f.On {
				names = append(names, record.Short(id))
			}
			columns = append(columns, entry)
			cells = append(cells, p.cell(record.Cell{Small: strings.Join(names, " ")}, entry, plain))
		}
		p.row(columns, cells)
	}
	p.y += 1.2
}

// table sets a table; its head stands again on every sheet.
func (p *painter) table(t *record.Table) {
	if len(t.Rows) == 0 {
		p.paragraph(t.None + ".")
		return
	}
	head := func() {
		cells := make([][]lineOf, len(t.Columns))
		high := 0.0
		for i, c := range t.Columns {
			for _, text := range p.wrap(c.Title, plain, p.small, p.wide(c), p.wide(c)) {
				cells[i] = append(cells[i], lineOf{text: text, face: plain, size: p.small, soft: true})
			}
			high = max(high, height(cells[i]))
		}
		p.lines(t.Columns, cells)
		p.y += high + .8
		p.line(margin, p.y, p.width-margin, p.y, .3, black)
	}
	p.room(20)
	head()
	p.again = head
	for i, row := range t.Rows {
		if row.Head != "" {
			next := 0.0
			if i+1 < len(t.Rows) {
				next = p.high(t, t.Rows[i+1])
			}
			p.room(leading(p.body) + 3 + min(next, 60))
			p.y += 1.6
			p.ink(black)
			p.set(margin, p.y+p.body*mm, row.Head, strong, p.body)
			p.y += leading(p.body) + .6
			continue
		}
		p.row(t.Columns, p.cells(t, row))
	}
	p.again = nil
	p.y += 1.2
}

func (p *painter) cells(t *record.Table, row record.Row) [][]lineOf {
	cells := make([][]lineOf, len(t.Columns))
	for i, c := range row.Cells {
		cells[i] = p.cell(c, t.Columns[i], plain)
	}
	return cells
}

func (p *painter) high(t *record.Table, row record.Row) float64 {
	h := 0.0
	for _, c := range p.cells(t, row) {
		h = max(h, height(c))
	}
	return h
}

// wide is the width of a column without the gap beside it.
func (p *painter) wide(c record.Column) float64 { return p.inner()*c.Share/100 - gap }

func (l lineOf) high() float64 { return leading(l.size) + l.pad }

func height(lines []lineOf) float64 {
	h := 0.0
	for _, l := range lines {
		h += l.high()
	}
	return h
}

// cell breaks a cell into lines: the stamp, the text beside or below it, the
// small print, which stands beside the stamp where there is no text.
func (p *painter) cell(c record.Cell, col record.Column, f face) []lineOf {
	const below = .7 // a frame is higher than its line
	w := p.wide(col)
	indent, first := 0.0, w
	if c.Mark != "" {
		indent = p.stampWidth(c.Mark) + 1.6
		first = w - indent
	}
	var list []lineOf
	for _, text := range p.wrap(c.Text, f, p.body, first, w) {
		list = append(list, lineOf{text: text, face: f, size: p.body})
	}
	smallFace, size := plain, p.small
	if col.Mono {
		smallFace, size = code, p.small-.3
	}
	if len(list) > 0 {
		first = w
	}
	for _, text := range p.wrap(c.Small, smallFace, size, first, w) {
		list = append(list, lineOf{text: text, face: smallFace, size: size, soft: true})
	}
	for _, label := range c.Blanks {
		list = append(list, lineOf{rule: true, size: p.body, pad: 1.4})
		if label != "" {
			list = append(list, lineOf{text: p.clip(label, plain, p.small-.8, w), face: plain, size: p.small - .8, soft: true})
		}
	}
	if c.Mark == "" {
		return list
	}
	if len(list) == 0 {
		list = append(list, lineOf{})
	}
	l := &list[0]
	l.indent, l.stamp, l.shape, l.pad = indent, c.Mark, c.Shape, below+max(0, leading(p.body)-leading(l.size))
	return list
}

// row sets one row under a hairline. One that is higher than a sheet goes on
// to the next.
func (p *painter) row(columns []record.Column, cells [][]lineOf) {
	high := 0.0
	for _, c := range cells {
		high = max(high, height(c))
	}
	if high < 120 {
		p.room(high + 1.8)
	}
	p.line(margin, p.y, p.width-margin, p.y, .12, hair)
	p.y += .7
	for high > 0 {
		now := make([][]lineOf, len(cells))
		left := p.bottom() - p.y
		used := 0.0
		for i, c := range cells {
			n, h := 0, 0.0
			for n < len(c) && h+c[n].high() <= left {
				h += c[n].high()
				n++
			}
			now[i], cells[i] = c[:n], c[n:]
			used = max(used, h)
		}
		p.lines(columns, now)
		p.y += used
		high = 0
		for _, c := range cells {
			high = max(high, height(c))
		}
		if high > 0 {
			p.newSheet()
		}
	}
	p.y += 1.1
}

// lines sets the lines of cells side by side.
func (p *painter) lines(columns []record.Column, cells [][]lineOf) {
	x := margin
	for i, col := range columns {
		y := p.y
		w := p.wide(col)
		for _, l := range cells[i] {
			base := y + max(l.size, p.body)*mm
			if l.stamp == "" {
				base = y + l.size*mm
			}
			if l.stamp != "" {
				p.stamp(x, base, l.stamp, l.shape)
			}
			switch {
			case l.rule:
				p.line(x, base+1.2, x+w, base+1.2, .2, rule)
			case l.text != "":
				p.ink(black)
				if l.soft {
					p.ink(soft)
				}
				at := x + l.indent
				if col.Right {
					at = x + w - p.measure(l.text, l.face, l.size) - 1.5
				}
				p.set(at, base, l.text, l.face, l.size)
			}
			y += l.high()
		}
		x += p.inner() * col.Share / 100
	}
}
