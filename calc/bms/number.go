package bms

import "math"

// number reads a decimal number with a point or a comma, as fast as a long log
// wants it: 18 digits, no exponent. ok is false for anything else.
func number(b []byte) (v float64, ok bool) {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '"') {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '"' || b[len(b)-1] == '%') {
		b = b[:len(b)-1]
	}
	if len(b) == 0 {
		return 0, false
	}
	negative := b[0] == '-'
	if negative || b[0] == '+' {
		b = b[1:]
	}
	mantissa, decimals, digits, point := int64(0), 0, 0, false
	for _, c := range b {
		switch {
		case c >= '0' && c <= '9':
			if digits++; digits > 18 {
				return 0, false
			}
			mantissa = mantissa*10 + int64(c-'0')
			if point {
				decimals++
			}
		case (c == '.' || c == ',') && !point:
			point = true
		default:
			return 0, false
		}
	}
	if digits == 0 {
		return 0, false
	}
	v = float64(mantissa) / powers[decimals]
	if negative {
		v = -v
	}
	return v, true
}

// powers are 10^n, exact in a float64.
var powers = [19]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18}

// moment reads a time in seconds: a number, a time of day, or a date and a time
// of day. Only differences have a meaning.
func moment(b []byte, millis bool) (float64, bool) {
	if v, ok := number(b); ok {
		if millis {
			v /= 1000
		}
		return v, true
	}
	var g [8]float64
	n, in, fraction, scale := 0, false, false, 1.0
	for _, c := range b {
		switch {
		case c >= '0' && c <= '9':
			if !in {
				if n++; n > len(g) {
					return 0, false
				}
				in, scale = true, 1
			}
			if fraction && n > 0 {
				scale /= 10
				g[n-1] += float64(c-'0') * scale
			} else {
				g[n-1] = g[n-1]*10 + float64(c-'0')
			}
		case (c == '.' || c == ',') && (n == 6 || n == 3 && g[0] <= 24) && in:
			fraction = true // of a second
			continue
		case c == 'Z' || c == '+' && n >= 6:
			return joined(g, n)
		case c == '-' || c == '/' || c == ':' || c == '.' || c == ' ' || c == 'T' || c == '"':
			in = false
			if fraction {
				return joined(g, n)
			}
		default:
			return 0, false
		}
	}
	return joined(g, n)
}

func joined(g [8]float64, n int) (float64, bool) {
	switch {
	case n == 3 && g[0] <= 24 && g[1] < 60 && g[2] < 61:
		return g[0]*3600 + g[1]*60 + g[2], true
	case n == 5 || n == 6:
		y, m, d := g[0], g[1], g[2]
		if y < 1000 {
			y, d = g[2], g[0]
			if m > 12 {
				m, d = d, m
			}
		}
		if y < 100 {
			y += 2000
		}
		if m < 1 || m > 12 || d < 1 || d > 31 || g[3] > 24 || g[4] > 59 {
			return 0, false
		}
		return dayNumber(y, m, d)*86400 + g[3]*3600 + g[4]*60 + g[5], true
	}
	return 0, false
}

// dayNumber counts days in the Gregorian calendar: the usual count with March
// as the first month (general knowledge).
func dayNumber(y, m, d float64) float64 {
	if m <= 2 {
		y--
		m += 12
	}
	return math.Floor(365.25*y) - math.Floor(y/100) + math.Floor(y/400) + math.Floor(30.6001*(m+1)) + d
}
