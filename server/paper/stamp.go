package paper

import (
	"strconv"

	"ampwright/client/record"
)

func (p *painter) stampSize() float64 { return p.body - 2.2 }

func (p *painter) stampWidth(word string) float64 { return p.measure(word, strong, p.stampSize()) + 3 }

// stamp is a word in a frame; the shape of the frame says it again, so that it
// reads without colour.
func (p *painter) stamp(x, base float64, word, shape string) {
	size := p.stampSize()
	w, h := p.stampWidth(word), size*mm+1.5
	y := base - size*mm - .35
	rgb := black
	switch shape {
	case "within":
		rgb = [3]int{0, 0x40, 0x1f}
	case "out":
		rgb = [3]int{0x7a, 0, 0}
	case "stale", "doubt", "part":
		rgb = [3]int{0x4a, 0x2c, 0}
	case "none", "past":
		rgb = rule
	}
	p.ink(rgb)
	p.f.SetLineWidth(.25)
	style := "D"
	switch shape {
	case "out":
		style = "FD"
	case "stale":
		p.f.SetDashPattern([]float64{1.1, .7}, 0)
	case "none":
		p.f.SetDashPattern([]float64{.3, .5}, 0)
	case "held", "conceded":
		p.f.SetLineWidth(.55)
	}
	switch shape {
	case "past":
		p.f.Line(x, y, x+w, y)
		p.f.Line(x, y+h, x+w, y+h)
	case "doubt":
		p.f.RoundedRect(x, y, w, h, h/2, "1234", "D")
	default:
		p.f.Rect(x, y, w, h, style)
	}
	p.f.SetDashPattern(nil, 0)
	if shape == "out" {
		p.f.SetTextColor(white[0], white[1], white[2])
	}
	p.set(x+1.5, base, word, strong, size)
}

// codes sets the QR codes beside each other, each with what it is below.
func (p *painter) codes() error { return p.codesFrom(margin) }

// codesFrom begins at x; a code that does not fit there goes below, to the margin.
func (p *painter) codesFrom(x float64) error {
	module := .6
	if p.r.For.Card() {
		module = .42
	}
	high, begun := 0.0, false
	texts := p.r.Codes()
	for i, text := range texts {
		dark, err := record.Modules(text)
		if err != nil {
			return err
		}
		side := float64(len(dark)) * module
		if x+side > p.width-margin+1 {
			x, p.y, high, begun = margin, p.y+high, 0, false
		}
		if !begun {
			p.room(side + 5)
			begun = true
		}
		p.ink(black)
		for row, line := range dark {
			for col := 0; col < len(line); col++ {
				from := col
				for col < len(line) && line[col] {
					col++
				}
				if col > from {
					p.f.Rect(x+float64(from)*module, p.y+float64(row)*module, float64(col-from)*module, module, "F")
				}
			}
		}
		p.ink(soft)
		label := "code " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(texts))
		p.set(x+4*module, p.y+side+2, label, plain, p.small)
		x += side + 4
		high = max(high, side+5)
	}
	p.y += high
	return nil
}
