// Package exact has the functions of a forecast in a form that gives the same
// bits on every device. Package math uses other instructions on other
// processors; here are only operations that IEEE 754 rounds in one way, and the
// conversions to float64 keep a compiler from fusing a product into a sum (Go
// specification, "Floating-point operators").
package exact

import "math"

// Exp returns e to the x, for x of -700 to 700, to 1e-15 of it.
func Exp(x float64) float64 {
	const high, low = 6.93147180369123816490e-01, 1.90821492927058770002e-10 // ln 2 in two parts, the first short enough that k*high is exact
	k := math.Floor(float64(x/math.Ln2) + 0.5)
	r := x - float64(k*high)
	r -= float64(k * low)
	p := 1.0
	for i := 13.0; i > 0; i-- { // Taylor series; the term left out is below 1e-17
		p = 1 + float64(r*p)/i
	}
	return math.Ldexp(p, int(k))
}

// Log returns the natural logarithm of x, for finite x above 0, to 1e-15 or
// 1e-14 of it, whichever is more.
func Log(x float64) float64 {
	m, k := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m *= 2
		k--
	}
	s := (m - 1) / (m + 1)
	s2 := float64(s * s)
	sum := 0.0
	for _, c := range odd { // ln m = 2 (s + s³/3 + s⁵/5 + ...)
		sum = float64(sum*s2) + c
	}
	return float64(float64(k)*math.Ln2) + float64(2*float64(s*sum))
}

var odd = [...]float64{1. / 23, 1. / 21, 1. / 19, 1. / 17, 1. / 15, 1. / 13, 1. / 11, 1. / 9, 1. / 7, 1. / 5, 1. / 3, 1}
