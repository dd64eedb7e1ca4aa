package unit

import (
	"math"
	"strconv"
	"strings"
)

// Decimal is an exact decimal number, Mantissa x 10^Exp; the zero value is 0.
// Digits typed after the decimal mark are kept ("3.10" is 310e-2); a whole
// number carries no trailing zeros ("42000" is 42e3). Two Decimals can
// therefore be the same number and yet differ: compare with Float or Scaled
// where the digits typed do not matter.
type Decimal struct {
	Mantissa int64
	Exp      int8
}

// Float returns the float64 nearest to d.
func (d Decimal) Float() float64 {
	if e := int(d.Exp); -len(powers) < e && e < len(powers) && -1<<53 <= d.Mantissa && d.Mantissa <= 1<<53 {
		// Both are exact, and so one rounding is all there is: W. D. Clinger, "How to
		// read floating point numbers accurately", PLDI 1990.
		if e < 0 {
			return float64(d.Mantissa) / powers[-e]
		}
		return float64(d.Mantissa) * powers[e]
	}
	// The text is well formed and at most 9.3e145, so there is no error.
	v, _ := strconv.ParseFloat(strconv.FormatInt(d.Mantissa, 10)+"e"+strconv.Itoa(int(d.Exp)), 64)
	return v
}

// powers are those of ten that a float64 holds exactly.
var powers = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// String returns d as plain decimal text with a point and without an
// exponent, every digit of d included.
func (d Decimal) String() string {
	sign, digits := "", strconv.FormatInt(d.Mantissa, 10)
	if d.Mantissa < 0 {
		sign, digits = "-", digits[1:]
	}
	switch {
	case d.Mantissa == 0 && d.Exp > 0:
		return "0"
	case d.Exp >= 0:
		return sign + digits + strings.Repeat("0", int(d.Exp))
	}
	decimals := -int(d.Exp)
	if missing := decimals + 1 - len(digits); missing > 0 {
		digits = strings.Repeat("0", missing) + digits
	}
	return sign + digits[:len(digits)-decimals] + "." + digits[len(digits)-decimals:]
}

// Scaled returns m such that d is exactly m x 10^exp, and whether there is
// one within an int64.
func (d Decimal) Scaled(exp int8) (int64, bool) {
	m := d.Mantissa
	if m == 0 {
		return 0, true
	}
	for e := d.Exp; e > exp; e-- {
		if m > math.MaxInt64/10 || m < math.MinInt64/10 {
			return 0, false
		}
		m *= 10
	}
	for e := d.Exp; e < exp; e++ {
		if m%10 != 0 {
			return 0, false
		}
		m /= 10
	}
	return m, true
}

// FromFloat returns v rounded to 1 to 17 significant digits, without trailing
// zeros. It is meant for sizes of 1e-100 to 1e120: what is smaller may become
// 0, what is larger becomes 1e120. It panics if v is not a finite number.
func FromFloat(v float64, digits int) Decimal {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("unit.FromFloat of " + strconv.FormatFloat(v, 'g', -1, 64))
	}
	digits = min(max(digits, 1), 17)
	text, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', digits-1, 64), "e")
	mantissa, _ := strconv.ParseInt(strings.Replace(text, ".", "", 1), 10, 64)
	exp, _ := strconv.Atoi(exponent)
	switch {
	case mantissa == 0 || exp < -100:
		return Decimal{}
	case exp >= 120 && v > 0:
		return Decimal{1, 120}
	case exp >= 120:
		return Decimal{-1, 120}
	}
	exp -= digits - 1
	for mantissa%10 == 0 {
		mantissa /= 10
		exp++
	}
	return Decimal{mantissa, int8(exp)}
}

// canonical moves the trailing zeros of a whole number into the exponent.
func (d Decimal) canonical() Decimal {
	if d.Mantissa == 0 {
		d.Exp = min(d.Exp, 0)
		return d
	}
	for d.Exp >= 0 && d.Exp < math.MaxInt8 && d.Mantissa%10 == 0 {
		d.Mantissa /= 10
		d.Exp++
	}
	return d
}

// shift returns d x 10^n. The exponents of this package stay far from the
// ends of an int8: numbers are typed within 1e±30, units lie within 1e±9.
func (d Decimal) shift(n int8) Decimal {
	d.Exp += n
	return d.canonical()
}
