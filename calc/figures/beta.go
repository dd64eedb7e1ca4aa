package figures

import "math"

// BetaProbability returns the chance that a beta-distributed share with shapes
// a and b is at most x: the regularised incomplete beta function I_x(a, b),
// DLMF 8.17. It is meant for 0 <= x <= 1 and shapes of 0.1 to 1e5; NaN if x
// is outside or a shape is not above 0.
func BetaProbability(x, a, b float64) float64 {
	if !(a > 0 && b > 0 && x >= 0 && x <= 1) {
		return math.NaN()
	}
	lower, _ := betaTails(x, 1-x, a, b)
	return lower
}

// BetaQuantile returns the x with BetaProbability(x, a, b) = p, for 0 <= p <= 1
// and shapes of 0.1 to 1e5; NaN if p is outside or a shape is not above 0.
func BetaQuantile(p, a, b float64) float64 {
	switch {
	case !(a > 0 && b > 0 && p >= 0 && p <= 1):
		return math.NaN()
	case p == 0 || p == 1:
		return p
	}
	return 1 / (1 + math.Exp(-betaLogit(p, 1-p, a, b)))
}

// TriangularQuantile returns the value that a triangular distribution on low,
// likely and high stays under with chance p, 0 <= p <= 1.
func TriangularQuantile(p, low, likely, high float64) float64 {
	width := high - low
	if width == 0 {
		return low
	}
	if p*width <= likely-low {
		return low + math.Sqrt(p*width*(likely-low))
	}
	return high - math.Sqrt((1-p)*width*(high-likely))
}

// betaLogit returns ln(x / (1-x)) for the x with chance p below and q = 1 - p
// above: exact near both ends, where x itself would be rounded to 0 or 1.
func betaLogit(p, q, a, b float64) float64 {
	const end = 700
	return solve(min(p, q), -end, end, func(u float64) (value, slope float64) {
		x, y := 1/(1+math.Exp(-u)), 1/(1+math.Exp(u))
		lower, upper := betaTails(x, y, a, b)
		// d I_x / du = x^a y^b / B(a, b)
		if p <= q {
			return lower, betaPower(x, y, a, b)
		}
		return upper, -betaPower(x, y, a, b)
	})
}

// betaTails returns I_x(a, b) and 1 - I_x(a, b), y being 1 - x.
func betaTails(x, y, a, b float64) (lower, upper float64) {
	switch {
	case x == 0:
		return 0, 1
	case y == 0:
		return 1, 0
	case x < (a+1)/(a+b+2):
		lower = betaPower(x, y, a, b) / a * betaFraction(x, a, b)
		return lower, 1 - lower
	}
	upper = betaPower(x, y, a, b) / b * betaFraction(y, b, a)
	return 1 - upper, upper
}

// betaPower returns x^a y^b / B(a, b) without the loss that the logarithms of
// large gamma functions would bring.
func betaPower(x, y, a, b float64) float64 {
	d := x*b - y*a // how far x is from a / (a + b)
	power := func(n, v, mean, off float64) float64 {
		if math.Abs(off) < 0.5 {
			return n * math.Log1p(off)
		}
		return n * math.Log(v/mean)
	}
	e := power(a, x, a/(a+b), d/a) + power(b, y, b/(a+b), -d/b)
	e += stirling(a+b) - stirling(a) - stirling(b)
	return math.Exp(e) * math.Sqrt(a/(a+b)*b/(2*math.Pi))
}

// betaFraction is the continued fraction of DLMF 8.17.22, evaluated forwards
// (Lentz); it converges for x < (a + 1) / (a + b + 2).
func betaFraction(x, a, b float64) float64 {
	const tiny = 1e-300
	nonzero := func(v float64) float64 {
		if math.Abs(v) < tiny {
			return tiny
		}
		return v
	}
	c := 1.0
	d := 1 / nonzero(1-(a+b)*x/(a+1))
	h := d
	for m := 1.0; m < 20000; m++ {
		even := m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		d = 1 / nonzero(1+even*d)
		c = nonzero(1 + even/c)
		h *= d * c
		odd := -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		d = 1 / nonzero(1+odd*d)
		c = nonzero(1 + odd/c)
		h *= d * c
		if math.Abs(d*c-1) < 1e-16 {
			break
		}
	}
	return h
}
