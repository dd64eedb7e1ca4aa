package bms

import (
	"fmt"
	"slices"
	"strings"
)

// PictureWidth and PictureHeight are the measures of the picture of a run.
const PictureWidth, PictureHeight = 600, 312

// A Band is one quantity of a picture: its smallest to its largest value as a
// filled shape, an SVG path, with its words above.
type Band struct{ Text, Y, Path string }

// Bands are pack voltage above, current below, over the time under way; none
// where the log shows no time.
func (r *Run) Bands() []Band {
	const high, gap = 120.0, 24.0
	if len(r.Trace) < 2 || r.Seconds <= 0 {
		return nil
	}
	low, top := min(-r.Charge, 0), max(r.Discharge, 0)
	return []Band{
		r.band(gap, high, r.VoltsLow, r.VoltsHigh, "V", func(p Point) (float64, float64) { return p.VoltsLow, p.Volts }),
		r.band(high+2*gap, high, low, top, "A", func(p Point) (float64, float64) { return p.AmpsLow, p.Amps }),
	}
}

// Picture draws the run as SVG. What it shows stands in its title and in the
// sentence of Says. It holds nothing of the log but numbers.
func (r *Run) Picture() string {
	var out strings.Builder
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img"><title>%s</title>`, PictureWidth, PictureHeight, r.Says())
	for _, b := range r.Bands() {
		fmt.Fprintf(&out, `<text x="0" y="%s" font-size="12" fill="currentColor">%s</text>`, b.Y, b.Text)
		fmt.Fprintf(&out, `<path d="%s" fill="currentColor" stroke="currentColor" stroke-width="1"/>`, b.Path)
	}
	out.WriteString("</svg>\n")
	return out.String()
}

func (r *Run) band(y, high, low, top float64, unit string, of func(Point) (float64, float64)) Band {
	span := max(top-low, 1e-9)
	at := func(p Point, v float64) string {
		v = min(max(v, low), top)
		return fmt.Sprintf("%.1f %.1f", p.At/r.Seconds*PictureWidth, y+high-(v-low)/span*high)
	}
	var up, down []string
	for _, p := range r.Trace {
		a, b := of(p)
		up, down = append(up, at(p, b)), append(down, at(p, a))
	}
	slices.Reverse(down)
	return Band{
		Text: fmt.Sprintf("%.1f to %.1f %s", low, top, unit), Y: fmt.Sprintf("%g", y-6),
		Path: "M" + strings.Join(up, " L") + " L" + strings.Join(down, " L") + " Z",
	}
}

// Says is the run in a sentence.
func (r *Run) Says() string {
	text := fmt.Sprintf("%s under way, %.1f to %.1f V, %.1f A out and %.1f A back at most", clock(r.Seconds), r.VoltsLow, r.VoltsHigh, r.Discharge, r.Charge)
	if r.Sign == 0 && r.Discharge+r.Charge > 0 {
		text += "; which sign of the current is discharge does not show"
	}
	return text
}

func clock(seconds float64) string {
	m := int(seconds/60 + 0.5)
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}
