package mechanics

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Thread is a 60° screw thread, ISO metric or Unified.
type Thread struct {
	Name     string  // as the trade writes it: "M10x1.25", "3/8-24 UNF"
	D        float64 // nominal diameter, mm
	P        float64 // pitch, mm
	PerInch  float64 // threads per inch; 0 for a metric thread
	Standard bool    // diameter and pitch are in the tables of this package
}

// Metric reports whether t is an ISO metric thread.
func (t Thread) Metric() bool { return t.PerInch == 0 }

// StressArea returns the tensile stress area in mm²: pi/4 (d - 0.9382 P)² of
// ISO 898-1 for metric, pi/4 (D - 0.9743/n)² of ASME B1.1 for Unified
// threads. It holds for 60° threads of standard form.
func (t Thread) StressArea() float64 {
	d := t.D - t.pitchFactor()*t.P
	return math.Pi / 4 * d * d
}

// NominalArea returns the stress area that loads are calculated with, mm²: for
// a metric thread rounded to three figures, as As,nom stands in tables 4 to 7
// of ISO 898-1 and their loads follow from it; for a Unified one the formula's.
func (t Thread) NominalArea() float64 {
	a := t.StressArea()
	if !t.Metric() {
		return a
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(a, 'e', 2, 64), 64)
	return rounded
}

func (t Thread) pitchFactor() float64 {
	if t.Metric() {
		return 0.9382
	}
	return 0.9743
}

// coarse are the metric coarse threads, mm: ISO 261, from memory; M5, M6, M8,
// M10, M12 and M20 agree with the stress areas printed after ISO 898-1.
var coarse = []struct{ d, p float64 }{
	{1.6, 0.35}, {2, 0.4}, {2.5, 0.45}, {3, 0.5}, {3.5, 0.6}, {4, 0.7}, {5, 0.8}, {6, 1}, {7, 1}, {8, 1.25},
	{10, 1.5}, {12, 1.75}, {14, 2}, {16, 2}, {18, 2.5}, {20, 2.5}, {22, 2.5}, {24, 3}, {27, 3}, {30, 3.5},
	{33, 3.5}, {36, 4}, {39, 4},
}

// unified are the coarse and fine Unified threads, diameter in inches and
// threads per inch, 0 where a series has none: ASME B1.1, from memory; nine of
// them agree with the stress areas printed after SAE J429.
var unified = []struct {
	size     string
	in       float64
	unc, unf float64
}{
	{"#0", 0.060, 0, 80}, {"#1", 0.073, 64, 72}, {"#2", 0.086, 56, 64}, {"#3", 0.099, 48, 56},
	{"#4", 0.112, 40, 48}, {"#5", 0.125, 40, 44}, {"#6", 0.138, 32, 40}, {"#8", 0.164, 32, 36},
	{"#10", 0.190, 24, 32}, {"#12", 0.216, 24, 28},
	{"1/4", 0.25, 20, 28}, {"5/16", 0.3125, 18, 24}, {"3/8", 0.375, 16, 24}, {"7/16", 0.4375, 14, 20},
	{"1/2", 0.5, 13, 20}, {"9/16", 0.5625, 12, 18}, {"5/8", 0.625, 11, 18}, {"3/4", 0.75, 10, 16},
	{"7/8", 0.875, 9, 14}, {"1", 1, 8, 12}, {"1 1/8", 1.125, 7, 12}, {"1 1/4", 1.25, 7, 12},
	{"1 3/8", 1.375, 6, 12}, {"1 1/2", 1.5, 6, 12},
}

const wantThread = "want a thread such as M10x1.25, M8 (coarse), 1/4-20, 3/8-24 UNF or #10-32"

// ParseThread reads a thread call-out: "M10x1.25", "M8" for the coarse pitch,
// "M10x1,25-6g", "1/4-20", "3/8-24 UNF", "1/2 UNC", "#10-32", "1 1/4-7". The
// nominal diameter is 1 to 100 mm; a pitch coarser than the coarse one of that
// diameter is refused, since "M8x30" is a bolt's length.
func ParseThread(s string) (Thread, error) {
	t, want := parseThread(s)
	if want != "" {
		return Thread{}, fmt.Errorf("thread %q: %s", s, want)
	}
	return t, nil
}

// parseThread is ParseThread with what is accepted in place of an error.
func parseThread(s string) (t Thread, want string) {
	text := strings.NewReplacer("×", "X", "*", "X", ",", ".", "–", "-", `"`, "", "″", "").Replace(strings.ToUpper(s))
	text = strings.Join(strings.Fields(text), " ")
	if rest, ok := strings.CutPrefix(text, "M"); ok {
		return parseMetric(strings.ReplaceAll(rest, " ", ""))
	}
	return parseUnified(text)
}

func parseMetric(text string) (t Thread, want string) {
	parts := strings.Split(strings.ReplaceAll(text, "-", "X"), "X")
	if n := len(parts); n > 1 && toleranceClass(parts[n-1]) {
		parts = parts[:n-1]
	}
	if len(parts) > 2 {
		return t, wantThread
	}
	d, ok := plain(parts[0])
	if !ok {
		return t, wantThread
	}
	if d < 1 || d > 100 {
		return t, "want a diameter of M1 to M100"
	}
	t = Thread{D: d}
	most := 0.25 * d
	for _, c := range coarse {
		if c.d == d {
			t.P, t.Standard, most = c.p, true, c.p
		}
	}
	if len(parts) == 2 {
		if t.P, ok = plain(parts[1]); !ok {
			return t, wantThread
		}
		t.Standard = t.Standard && t.P == most
		if t.P < 0.2 || t.P > most {
			return t, fmt.Sprintf("want a pitch of 0.2 to %g mm for M%g after the x (a bolt's length is no part of its thread)", most, d)
		}
	}
	if t.P == 0 {
		return t, fmt.Sprintf("M%g has no coarse pitch here, want it with its pitch, such as M%gx1", d, d)
	}
	t.Name = fmt.Sprintf("M%gx%g", d, t.P)
	return t, ""
}

// toleranceClass reports whether s is "6G" or "5H6H", the tolerance of a
// metric thread, which does not change its stress area.
func toleranceClass(s string) bool {
	if len(s) == 4 {
		return toleranceClass(s[:2]) && toleranceClass(s[2:])
	}
	return len(s) == 2 && s[0] >= '3' && s[0] <= '9' && strings.IndexByte("EFGH", s[1]) >= 0
}

func parseUnified(text string) (t Thread, want string) {
	head, series := text, ""
	if i := strings.Index(text, "UN"); i >= 0 {
		head = text[:i]
		var class string
		series, class, _ = strings.Cut(strings.ReplaceAll(text[i:], " ", "-"), "-")
		switch class {
		case "", "1A", "2A", "3A", "1B", "2B", "3B":
		default:
			return t, wantThread
		}
		switch series {
		case "UN", "UNC", "UNF", "UNEF", "UNS":
		default:
			return t, "want UNC, UNF, UNEF, UNS or UN after the threads per inch"
		}
	}
	head = strings.Trim(head, " -")
	size, perInch := head, 0.0
	if i := strings.LastIndexByte(head, '-'); i >= 0 && !strings.Contains(head[i:], "/") {
		n, ok := plain(strings.TrimSpace(head[i+1:]))
		if !ok || n < 4 || n > 120 {
			return t, "want 4 to 120 threads per inch, as in 1/4-20"
		}
		size, perInch = strings.TrimSpace(head[:i]), n
	}
	name, in, ok := unifiedSize(size, perInch)
	if !ok {
		return t, wantThread
	}
	if in < 1/25.4 || in > 100/25.4 {
		return t, "want a diameter of #0 to 3.9 in"
	}
	t = Thread{D: in * 25.4}
	least := 4 / in // a pitch of a quarter of the diameter
	for _, u := range unified {
		if u.in != in {
			continue
		}
		least = max(u.unc, 4)
		is := map[string]float64{"UNC": u.unc, "UNF": u.unf}[series]
		if perInch == 0 {
			perInch = is
		}
		if is != 0 && perInch != is {
			return t, fmt.Sprintf("%s %s has %g threads per inch", name, series, is)
		}
		t.Standard = perInch != 0 && (perInch == u.unc || perInch == u.unf)
		switch {
		case series != "" || !t.Standard:
		case perInch == u.unc:
			series = "UNC"
		default:
			series = "UNF"
		}
	}
	if perInch == 0 {
		return t, fmt.Sprintf("want the threads per inch too, such as %s-20", name)
	}
	if perInch < least {
		return t, fmt.Sprintf("want %g threads per inch or more for %s", math.Ceil(least), name)
	}
	t.PerInch, t.P = perInch, 25.4/perInch
	t.Name = strings.TrimSpace(fmt.Sprintf("%s-%g %s", name, perInch, series))
	return t, ""
}

// unifiedSize reads "#10", "1/4", "1 1/4", "1-1/4", "0.25" and, where that
// number size has so many threads per inch, "10"; "1" alone is one inch.
func unifiedSize(s string, perInch float64) (name string, in float64, ok bool) {
	for _, u := range unified {
		number, isNumber := strings.CutPrefix(u.size, "#")
		switch {
		case s == u.size:
			return u.size, u.in, true
		case isNumber && s == number && (perInch == u.unc || perInch == u.unf || perInch == 0 && s != "1"):
			return u.size, u.in, true
		}
	}
	if s == "" {
		return "", 0, false
	}
	whole, fraction, mixed := strings.Cut(strings.ReplaceAll(s, " ", "-"), "-")
	if !mixed {
		whole, fraction = "", s
		if !strings.Contains(s, "/") {
			whole, fraction = s, "0/1"
		}
	}
	if whole != "" {
		if in, ok = plain(whole); !ok {
			return "", 0, false
		}
	}
	top, bottom, ok := strings.Cut(fraction, "/")
	a, okA := plain(top)
	b, okB := plain(bottom)
	if !ok || !okA || !okB || b == 0 {
		return "", 0, false
	}
	in += a / b
	for _, u := range unified {
		if u.in == in {
			return u.size, in, true
		}
	}
	return strings.ReplaceAll(s, "-", " "), in, true
}

// plain reads digits with at most one point; signs and powers are no part of
// a call-out.
func plain(s string) (v float64, ok bool) {
	if s == "" || len(s) > 9 || strings.Trim(s, "0123456789.") != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}
