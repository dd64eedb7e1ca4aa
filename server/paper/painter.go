package paper

import (
	"strings"

	"ampwright/client/record"

	"github.com/go-pdf/fpdf"
)

// All lengths are millimetres, sizes of type points.
const (
	margin = 14.0
	total  = "{nb}" // stands for the number of sheets until it is known
	mm     = 25.4 / 72
	gap    = 2.5 // between columns
)

// A painter sets one record from top to bottom.
type painter struct {
	f             *fpdf.Fpdf
	r             *record.Record
	photos        Photos  // nil for none
	width, height float64 // of the sheet
	body, small   float64 // sizes of type
	y             float64
	sheet         int
	again         func() // the head of a table that goes on to the next sheet
}

func newPainter(f *fpdf.Fpdf, r *record.Record, size float64) *painter {
	p := &painter{f: f, r: r, body: size, small: size * .82}
	p.width, p.height = f.GetPageSize()
	return p
}

// all sets the whole record.
func (p *painter) all() error {
	p.newSheet()
	for _, s := range p.r.Sections {
		if err := p.section(s); err != nil {
			return err
		}
	}
	return nil
}

func (p *painter) inner() float64 { return p.width - 2*margin }

// bottom is where the body of the sheet ends.
func (p *painter) bottom() float64 {
	if p.sheet == 1 {
		return p.height - margin - blockHeight - 3
	}
	return p.height - margin - stripHeight - 3
}

func (p *painter) newSheet() {
	p.f.AddPage()
	p.sheet++
	p.y = margin
	if p.sheet == 1 {
		p.heading()
		p.block()
	} else {
		p.strip()
	}
	if p.again != nil {
		p.again()
	}
}

// room starts a new sheet if less than h is left on this one.
func (p *painter) room(h float64) {
	if p.y+h > p.bottom() {
		p.newSheet()
	}
}

func leading(size float64) float64 { return size * mm * 1.32 }

// measure is the width of a text.
func (p *painter) measure(text string, f face, size float64) float64 {
	w := 0.0
	for _, r := range runs(text, f) {
		p.f.SetFont(string(r.face), "", size)
		w += p.f.GetStringWidth(r.text)
	}
	return w
}

// set writes one line with its baseline at y.
func (p *painter) set(x, y float64, text string, f face, size float64) {
	for _, r := range runs(text, f) {
		p.f.SetFont(string(r.face), "", size)
		p.f.Text(x, y, r.text)
		x += p.f.GetStringWidth(r.text)
	}
}

// wrap breaks a text into lines of at most w, the first of at most first. A word
// that is longer than a line is broken anywhere.
func (p *painter) wrap(text string, f face, size, first, w float64) []string {
	var lines []string
	line, used, most := "", 0.0, first
	space := p.measure(" ", f, size)
	end := func() {
		lines = append(lines, line)
		line, used, most = "", 0, w
	}
	for _, word := range strings.Fields(text) {
		wide := p.measure(word, f, size)
		if line != "" && used+space+wide > most {
			end()
		}
		if line == "" && wide > most && len(lines) == 0 && wide <= w {
			end() // the first line is short: the word fits on the next
		}
		for wide > most && line == "" {
			head := p.fitting(word, f, size, most)
			line, word = head, word[len(head):]
			end()
			wide = p.measure(word, f, size)
		}
		if word == "" {
			continue
		}
		if line != "" {
			line, used = line+" ", used+space
		}
		line, used = line+word, used+wide
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fitting is as much of a word as fits, one sign at the least.
func (p *painter) fitting(word string, f face, size, w float64) string {
	used := 0.0
	for i, r := range word {
		used += p.measure(string(r), f, size)
		if used > w && i > 0 {
			return word[:i]
		}
	}
	return word
}

// ink sets the colour of type and lines.
func (p *painter) ink(rgb [3]int) {
	p.f.SetTextColor(rgb[0], rgb[1], rgb[2])
	p.f.SetDrawColor(rgb[0], rgb[1], rgb[2])
	p.f.SetFillColor(rgb[0], rgb[1], rgb[2])
}

// The inks of the look on paper.
var (
	black = [3]int{0, 0, 0}
	soft  = [3]int{0x33, 0x33, 0x33}
	rule  = [3]int{0x66, 0x66, 0x66}
	hair  = [3]int{0xbb, 0xbb, 0xbb}
	white = [3]int{255, 255, 255}
)

func (p *painter) line(x1, y1, x2, y2, wide float64, rgb [3]int) {
	p.ink(rgb)
	p.f.SetLineWidth(wide)
	p.f.Line(x1, y1, x2, y2)
}
