package bms

import (
	"fmt"
	"strings"
)

// Picture draws the run as SVG: pack voltage above, current below, over the time
// under way. What it shows stands in its title and in the sentence of Says. It
// holds nothing of the log but numbers.
func (r *Run) Picture() string {
	const wide, high, gap = 600.0, 120.0, 24.0
	var out strings.Builder
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" role="img"><title>%s</title>`, wide, 2*high+3*gap, r.Says())
	if len(r.Trace) > 1 && r.Seconds > 0 {
		low, top := min(-r.Charge, 0), max(r.Discharge, 0)
		r.band(&out, gap, high, r.VoltsLow, r.VoltsHigh, "V", func(p Point) (float64, float64) { return p.VoltsLow, p.Volts })
		r.band(&out, high+2*gap, high, low, top, "A", func(p Point) (float64, float64) { return p.AmpsLow, p.Amps })
	}
	out.WriteString("</svg>\n")
	return out.String()
}

// band draws one quantity as a filled band from its smallest to its largest value.
func (r *Run) band(out *strings.Builder, y, high, low, top float64, unit string, of func(Point) (float64, float64)) {
	span := max(top-low, 1e-9)
	at := func(p Point, v float64) string {
		v = min(max(v, low), top)
		return fmt.Sprintf("%.1f %.1f", p.At/r.Seconds*600, y+high-(v-low)/span*high)
	}
	var up, down []string
	for _, p := range r.Trace {
		a, b := of(p)
		up, down = append(up, at(p, b)), append(down, at(p, a))
	}
	for i, j := 0, len(down)-1; i < j; i, j = i+1, j-1 {
		down[i], down[j] = down[j], down[i]
	}
	fmt.Fprintf(out, `<text x="0" y="%g" font-size="12" fill="currentColor">%.1f to %.1f %s</text>`, y-6, low, top, unit)
	fmt.Fprintf(out, `<path d="M%s L%s Z" fill="currentColor" stroke="currentColor" stroke-width="1"/>`, strings.Join(up, " L"), strings.Join(down, " L"))
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
