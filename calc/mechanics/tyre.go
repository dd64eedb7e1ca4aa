package mechanics

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ampwright/calc/desk"
)

// A Tyre is a tyre's nominal size.
type Tyre struct {
	Width  float64 // section width, mm
	Aspect float64 // section height over width
	Rim    float64 // rim diameter, in

	LowInch, Letters bool // how the size was read: low-profile inch series, alphabetical
}

// Height returns the section height in mm.
func (t Tyre) Height() float64 { return t.Width * t.Aspect }

// Diameter returns the nominal overall diameter in mm.
func (t Tyre) Diameter() float64 { return 25.4*t.Rim + 2*t.Height() }

// Circumference returns the nominal circumference in mm. A loaded tyre rolls
// about 3 % less.
func (t Tyre) Circumference() float64 { return math.Pi * t.Diameter() }

// lowInch are the widths of the low-profile inch series, height 0.90 of the
// width: 4.10 and 4.60 read in a tyre maker's fitment guide, the others from
// memory.
var lowInch = []float64{3.10, 3.60, 4.10, 4.25, 4.60, 5.10, 6.10}

// letterWidths are the widths in mm of alphabetical sizes, MT90-16 for
// 130/90-16: a seller's conversion chart read; charts differ on MP (110 or 120).
var letterWidths = map[byte]float64{'H': 80, 'J': 90, 'M': 100, 'N': 110, 'P': 120, 'R': 120, 'T': 130, 'U': 140, 'V': 150}

const wantTyre = "want a size such as 130/80-17, 3.00-18, 4.25/85-18 or MT90-16"

// ParseTyre reads a size as moulded on the tyre: metric "130/80-17",
// "130/80 R17 65H"; inch "3.00-18" (as tall as wide; 0.90 of it for the
// low-profile widths such as 4.10), "2 1/4-16", "4.25/85-18"; alphabetical "MT90-16",
// "MT90B16". Width 20 to 400 mm, rim 4 to 30 in.
func ParseTyre(s string) (Tyre, error) {
	t, want := parseTyre(s)
	if want != "" {
		return Tyre{}, fmt.Errorf("tyre %q: %s", s, want)
	}
	return t, nil
}

func parseTyre(s string) (t Tyre, want string) {
	text := strings.NewReplacer(",", ".", "–", "-", "×", "X", " 1/4", ".25", " 1/2", ".5", " 3/4", ".75").Replace(strings.ToUpper(strings.TrimSpace(s)))
	bare := t
	if len(text) > 2 && text[0] == 'M' && letterWidths[text[1]] != 0 {
		t.Width, t.Letters = letterWidths[text[1]], true
		text = text[2:]
		n := digits(text)
		if t.Aspect, text = percent(text[:n]), text[n:]; t.Aspect == 0 {
			return bare, wantTyre
		}
	} else {
		n := digits(text)
		w, ok := plain(text[:n])
		if !ok {
			return bare, wantTyre
		}
		inch := w < 15
		rest, marked := strings.CutPrefix(text[n:], "/")
		if t.Width, text = w, rest; inch {
			t.Width = w * 25.4
		}
		switch {
		case marked:
			n := digits(rest)
			if t.Aspect, text = percent(rest[:n]), rest[n:]; t.Aspect == 0 {
				return bare, "want a height of 25 to 110 % after the /"
			}
		case !inch:
			return bare, "want the height too, such as 130/80-17"
		case slices.Contains(lowInch, w):
			t.Aspect, t.LowInch = 0.90, true
		default:
			t.Aspect = 1
		}
	}
	// Between height and rim stand the construction and the speed: "-", "R", "ZR", "B", "H-".
	text = strings.TrimLeft(text, " -ABDHPRSTVWXZ")
	n := digits(text)
	rim, ok := plain(text[:n])
	if !ok || rim < 4 || rim > 30 || t.Width < 20 || t.Width > 400 {
		return bare, wantTyre + "; width 20 to 400 mm, rim 4 to 30 in"
	}
	if after := text[n:]; after != "" && after[0] != ' ' && !strings.HasPrefix(after, "M/C") {
		return bare, wantTyre
	}
	t.Rim = rim
	return t, ""
}

func digits(s string) (n int) {
	for n < len(s) && (s[n] >= '0' && s[n] <= '9' || s[n] == '.') {
		n++
	}
	return n
}

func percent(s string) float64 {
	if v, ok := plain(s); ok && v >= 25 && v <= 110 {
		return v / 100
	}
	return 0
}

func tyreCalcs() []*desk.Calc {
	return []*desk.Calc{{
		Name: "tyre-size", Title: "Diameter and circumference of a tyre", Group: "tyre and wheel",
		Inputs: []desk.Input{{Name: "tyre", Title: "Size on the tyre, such as 130/80-17, 3.00-18 or MT90-16", Text: true}},
		Outputs: []desk.Output{
			desk.Out("height_mm", "Section height", "mm"),
			desk.Out("diameter_mm", "Nominal overall diameter", "mm"),
			desk.Out("circ_mm", "Nominal circumference", "mm"),
			desk.Out("turns_km", "Turns per kilometre", "count"),
			desk.Out("rolled_circ_m", "Rolled circumference under load, estimate", "m")},
		Formula: []string{"height_mm = width_mm * aspect", "diameter_mm = 25.4 * rim_in + 2 * height_mm", "circ_mm = pi * diameter_mm"},
		Source: "nominal geometry; inch series after a tyre maker's fitment guide (read); alphabetical sizes after a seller's chart (read); " +
			"rolled 3.05 D: rule of thumb for radials, from memory",
		Valid: "nominal size: makers' tyres differ by about 1 %, a loaded tyre rolls about 3 % less; for tyre_circ_m measure one marked turn with the rider seated",
		Cautions: []string{"an equal diameter does not make a tyre fit: load index, rim width and clearance decide",
			"more mass or another place for it: check against the tyre's load index"},
		Do: func(s *desk.Sheet) {
			t, want := parseTyre(s.Text("tyre"))
			if want != "" {
				s.Fail("tyre", want)
				return
			}
			switch {
			case t.LowInch:
				s.Note("read as low-profile inch series, height 0.90 of the width; a marked height (4.25/85-18) wins")
			case t.Letters:
				s.Note("alphabetical size: the width of %g mm is the usual equivalent; charts differ by 10 mm", t.Width)
			}
			s.Step("width_mm", t.Width, "mm", "of tyre")
			s.Step("aspect", t.Aspect, "ratio", "of tyre")
			s.Step("rim_in", t.Rim, "in", "of tyre")
			s.Out("height_mm", t.Height(), "width_mm * aspect")
			d := s.Out("diameter_mm", t.Diameter(), "25.4 * rim_in + 2 * height_mm")
			c := s.Out("circ_mm", t.Circumference(), "pi * diameter_mm")
			s.Out("turns_km", 1e6/c, "1000000 / circ_mm")
			s.Out("rolled_circ_m", 3.05*d/1000, "3.05 * diameter_mm / 1000")
		},
	}}
}
