package unit

import (
	"math"
	"strconv"
	"strings"
)

// Style says how a person wants quantities shown; the zero value is SI with a
// decimal point.
type Style struct {
	Mark Mark
	US   bool // US customary units where there is one
}

// Format shows a calculated value: rounded to three significant figures, but
// never dropping digits before the mark, with a space and the unit's symbol.
// Count and ratio have no symbol; a whole number of pieces or cents has no
// decimals. Zero is "0".
//
// V, A, Ah, W, Wh, ohm, F and N stay in the unit given from 0.001 up to
// 10 000; outside that they move to the largest of their units that leaves 1
// or more: 42000 ohm is "42.0 kohm", 0.0004 V "0.400 mV".
//
// With US set, N·m is shown in lbf·ft, N in lbf, mm and cm in inches (three
// decimals, more below a hundredth), m in ft, km in mi, km/h in mph, kg in
// lb, kPa and bar in psi, Wh/km in Wh/mi, °C in °F; all else is as before.
// A unit that is not known is shown as given; NaN and infinity are "no value".
func Format(v float64, unit string, st Style) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "no value"
	}
	u, ok := find(unit, "")
	if !ok {
		return join(st.Mark.text(threeFigures(v)), unit)
	}
	if st.US && u.us != "" {
		us, _ := find(u.us, u.dim)
		u, v = us, u.to(v, us)
	} else if step := u.step(v); step.name != u.name {
		u, v = step, u.to(v, step)
	}
	var text string
	switch {
	case u.name == "in" && v != 0 && math.Abs(v) < 10000:
		text = inches(v)
	case u.whole() && v == math.Trunc(v) && math.Abs(v) < 1e15:
		text = strconv.FormatFloat(v, 'f', 0, 64)
	default:
		text = threeFigures(v)
	}
	return join(st.Mark.text(text), Symbol(u.name))
}

// FormatDecimal shows a value with the digits it was typed with: as Format,
// but without any rounding, unless st.US changes the unit.
func FormatDecimal(d Decimal, unit string, st Style) string {
	u, ok := find(unit, "")
	if !ok {
		return join(st.Mark.text(d.String()), unit)
	}
	if st.US && u.us != "" {
		return Format(d.Float(), unit, st)
	}
	step := u.step(d.Float())
	return join(st.Mark.text(d.shift(u.exp-step.exp).String()), Symbol(step.name))
}

func join(number, symbol string) string {
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}

// step returns the unit to show v, in u, in.
func (u measure) step(v float64) measure {
	size := math.Abs(v)
	if !u.steps || v == 0 || 0.001 <= size && size < 10000 {
		return u
	}
	best, bestFits := u, false
	for _, w := range measures {
		if !w.steps || w.dim != u.dim {
			continue
		}
		fits := roundFigures(u.to(size, w)) >= 1
		// Of those that fit the largest unit, else the smallest of all.
		if fits && (!bestFits || w.exp > best.exp) || !fits && !bestFits && w.exp < best.exp {
			best, bestFits = w, fits
		}
	}
	return best
}

func (u measure) whole() bool {
	switch u.dim {
	case count, pieces, sets, lots, money:
		return true
	}
	return false
}

// threeFigures writes v with three significant figures and every digit before
// the point, and with a power of ten where that would be a long row of zeros.
func threeFigures(v float64) string {
	r := roundFigures(v)
	size := math.Abs(r)
	switch {
	case v == 0:
		return "0"
	case size >= 1e15 || size < 1e-9:
		return strconv.FormatFloat(v, 'e', 2, 64)
	case size >= 100:
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', 2-magnitude(r), 64)
}

// roundFigures rounds v to three significant figures.
func roundFigures(v float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'e', 2, 64), 64)
	return r
}

// magnitude returns the power of ten of the first digit of v: 2 for 105.
func magnitude(v float64) int {
	_, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	n, _ := strconv.Atoi(exponent)
	return n
}

// inches writes v as a rule or a dial gauge is read: thousandths, and two
// significant figures below a hundredth.
func inches(v float64) string {
	decimals := 3
	if math.Abs(v) < 0.01 {
		decimals = min(1-magnitude(v), 9)
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}
