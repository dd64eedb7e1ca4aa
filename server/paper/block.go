package paper

import (
	"fmt"

	"ampwright/client/record"
)

const (
	blockHeight = 21.0
	stripHeight = 6.0
)

// heading opens the first sheet.
func (p *painter) heading() {
	size := 15.0
	p.ink(black)
	p.set(margin, p.y+size*mm, p.clip(p.r.Block.Title, strong, size, p.inner()), strong, size)
	p.y += leading(size) + 1
	p.ink(soft)
	p.set(margin, p.y+p.body*mm, p.r.Block.Type+", "+p.r.At.Format("2006-01-02 15:04 -07:00"), plain, p.body)
	p.y += leading(p.body) + 1
	p.line(margin, p.y, p.width-margin, p.y, .5, black)
	p.y += 2
}

// clip cuts a text that is too wide for its place.
func (p *painter) clip(text string, f face, size, w float64) string {
	if p.measure(text, f, size) <= w {
		return text
	}
	return p.fitting(text, f, size, w-p.measure("…", f, size)) + "…"
}

// block is the title block along the foot of the first sheet, its fields those
// of ISO 7200.
func (p *painter) block() {
	b := p.r.Block
	rows := [2][]struct {
		name, text string
		share      float64
	}{
		{{"legal owner", b.LegalOwner, 24}, {"title", b.Title, 46}, {"document type", b.Type, 30}},
		{{"creator", b.Creator, 24}, {"approver (by hand)", b.Approver, 24}, {"identification number", b.Number, 24}, {"date of issue", b.Issued, 14}, {"sheet", p.count(), 14}},
	}
	top := p.height - margin - blockHeight
	p.line(margin, top, p.width-margin, top, .5, black)
	for i, row := range rows {
		x, y := margin, top+float64(i)*blockHeight/2
		if i > 0 {
			p.line(margin, y, p.width-margin, y, .2, rule)
		}
		for j, cell := range row {
			w := p.inner() * cell.share / 100
			if j > 0 {
				p.line(x, y, x, y+blockHeight/2, .2, rule)
				x, w = x+1.5, w-1.5
			}
			p.ink(soft)
			p.set(x, y+3, cell.name, plain, 6)
			p.ink(black)
			text := cell.text
			if cell.name != "sheet" { // its width is not known yet
				text = p.clip(text, plain, 9, w-1)
			}
			p.set(x, y+7.6, text, plain, 9)
			x += w
		}
	}
}

// strip is the title block of the sheets that follow.
func (p *painter) strip() {
	y := p.height - margin - stripHeight
	p.line(margin, y, p.width-margin, y, .35, black)
	p.ink(soft)
	b := p.r.Block
	right := p.count()
	p.set(p.width-margin-24, y+4.2, right, plain, 7.5)
	p.set(margin, y+4.2, p.clip(b.Number+"   "+b.Title+"   "+b.Type+"   "+b.Issued, plain, 7.5, p.inner()-28), plain, 7.5)
}

func (p *painter) count() string { return fmt.Sprintf("sheet %d of %s", p.sheet, total) }

// section sets a heading and what stands below it.
func (p *painter) section(s record.Section) error {
	p.again = nil
	size := p.body + 2.2
	p.y += 2.5
	p.room(leading(size) + 16)
	p.f.Bookmark(s.Title, 0, p.y)
	p.ink(black)
	p.set(margin, p.y+size*mm, s.Title, strong, size)
	p.y += leading(size) + .8
	if s.Key == "proof" && p.r.For.Card() {
		return p.cardProof(s.Text)
	}
	for _, t := range s.Text {
		p.paragraph(t)
	}
	if len(s.Facts) > 0 {
		p.facts(s.Facts)
	}
	if s.Table != nil {
		p.table(s.Table)
	}
	if s.Sketch != "" {
		p.sketch(s.Sketch)
	}
	switch s.Key {
	case "proof":
		return p.codes()
	case "photos":
		return p.pictures(s.Table)
	}
	return nil
}

func (p *painter) paragraph(text string) {
	for _, line := range p.wrap(text, plain, p.body, p.inner(), p.inner()) {
		p.room(leading(p.body))
		p.ink(black)
		p.set(margin, p.y+p.body*mm, line, plain, p.body)
		p.y += leading(p.body)
	}
	p.y += 1.2
}

// cardProof sets the codes at the right and the text beside them.
func (p *painter) cardProof(text []string) error {
	const side = 34.0
	top := p.y
	for _, t := range text {
		for _, line := range p.wrap(t, plain, p.small, p.inner()-side, p.inner()-side) {
			p.ink(black)
			p.set(margin, p.y+p.small*mm, line, plain, p.small)
			p.y += leading(p.small)
		}
	}
	p.y = top - 7
	return p.codesFrom(p.width - margin - side + 6)
}

// sketch leaves room to draw in, down to what the proof needs.
func (p *painter) sketch(caption string) {
	const proof = 40.0
	h := max(p.bottom()-p.y-proof, 22)
	p.room(h)
	p.ink(rule)
	p.f.SetLineWidth(.2)
	p.f.Rect(margin, p.y, p.inner(), h, "D")
	p.ink(soft)
	p.set(margin+2, p.y+h-2, caption, plain, p.small)
	p.y += h + 1
}
