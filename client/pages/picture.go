package pages

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model"
)

// A pointsPicture shows the points of one reading as a row of boxes in the order
// of the machine: of a pack, its groups. Each box has its value and, where there
// is something to say, a word and a shape; the list below the picture says the
// same.
type pointsPicture struct {
	Says          string
	Width, Height string
	Boxes         []pointPicture
	Rows          []pointRow
}

// A pointPicture is one box. Fill stands from its foot as high as the value lies
// between the least and the greatest.
type pointPicture struct {
	X, Y, FillY, FillH   string
	Label                string
	LabelX, LabelY       string
	ValueX, ValueY, Mark string
	Shape                string // path over the box, "" for none
	Word, WordY, Class   string
}

type pointRow struct{ Label, Value, Word string }

const (
	pointsInRow = 5
	boxWide     = 72.0
	boxHigh     = 64.0
)

// pointsPicture draws the current reading of a check; nil with fewer than four
// points, which a line of text says as well.
func (v *visit) pointsPicture(c *model.Check) *pointsPicture {
	r := c.Current
	if r == nil || len(r.Points) < 4 || c.Kind != model.Measurement {
		return nil
	}
	low, high := 0, 0
	for i, x := range r.Points {
		if x < r.Points[low] {
			low = i
		}
		if x > r.Points[high] {
			high = i
		}
	}
	p := &pointsPicture{Says: v.pointsSay(c, r, low, high)}
	span := r.Points[high] - r.Points[low]
	for i, x := range r.Points {
		left, top := float64(i%pointsInRow)*boxWide, float64(i/pointsInRow)*(boxHigh+8)
		share := 0.5
		if span > 0 {
			share = (x - r.Points[low]) / span
		}
		fill := 4 + share*(boxHigh-38)
		b := pointPicture{
			X: px(left + 2), Y: px(top + 2), FillY: px(top + boxHigh - 2 - fill), FillH: px(fill), LabelX: px(left + 7), LabelY: px(top + 16),
			ValueX: px(left + boxWide/2), ValueY: px(top + 33), WordY: px(top + 50), Class: "in", Label: c.PointLabel(i), Mark: v.pointText(c, r, i),
		}
		switch {
		case slices.Contains(r.Bad, i): // pointed at both ends, as its stamp is
			b.Class, b.Word = "out", "OUT"
			b.Shape = fmt.Sprintf("M%s %sh56l8 30-8 30h-56l-8-30z", px(left+8), px(top+2))
		case slices.Contains(r.Doubtful, i):
			b.Class, b.Word = "doubt", "NEAR"
		case i == low && span > 0:
			b.Word = "lowest"
		case i == high && span > 0:
			b.Word = "highest"
		}
		p.Boxes = append(p.Boxes, b)
		p.Rows = append(p.Rows, pointRow{c.PointLabel(i), b.Mark, strings.ToLower(b.Word)})
	}
	rows := (len(r.Points) + pointsInRow - 1) / pointsInRow
	p.Width, p.Height = px(boxWide*pointsInRow), px(float64(rows)*(boxHigh+8))
	return p
}

// pointsSay is the sentence of the picture.
func (v *visit) pointsSay(c *model.Check, r *model.ReadingLine, low, high int) string {
	st := v.style()
	spread := r.Points[high] - r.Points[low]
	name := func(i int) string {
		if len(c.Points) > 0 {
			return c.PointLabel(i)
		}
		return "no. " + c.PointLabel(i)
	}
	text := fmt.Sprintf("%d points, lowest %s %s, highest %s %s, spread %s", len(r.Points), name(low), v.pointText(c, r, low), name(high),
		v.pointText(c, r, high), unit.Format(spread, c.Unit, st))
	if c.Unit == "V" && spread < 1 {
		text = strings.TrimSuffix(text, unit.Format(spread, c.Unit, st)) + unit.Format(spread*1000, "mV", st)
	}
	switch n := len(r.Bad); {
	case n == 1:
		text += "; out of limits: " + name(r.Bad[0])
	case n > 1:
		text += fmt.Sprintf("; %d are out of limits, the worst is %s", n, name(r.Worst))
	case c.Min != nil || c.Max != nil:
		text += "; nearest to a limit: " + name(r.Worst)
	}
	return text
}

// pointText writes one point with the digits it was typed with.
func (v *visit) pointText(c *model.Check, r *model.ReadingLine, i int) string {
	if i < len(r.Values) {
		return unit.FormatDecimal(unit.Decimal{Mantissa: r.Values[i], Exp: int8(r.Exp)}, c.Unit, v.style())
	}
	return unit.Format(r.Points[i], c.Unit, v.style())
}
