package figures

import "math"

// NormalProbability returns the chance that a standard normal value is at most z.
func NormalProbability(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// NormalQuantile returns the z with NormalProbability(z) = p, for p between 0
// and 1, both excluded; NaN otherwise.
func NormalQuantile(p float64) float64 {
	tail := min(p, 1-p)
	switch {
	case !(tail > 0):
		return math.NaN()
	case tail == 0.5:
		return 0
	}
	// Newton on ln Φ, which bends down: from below it rises to the root. Φ is
	// at most half of exp(-z²/2), so that the start is below.
	z := -math.Sqrt(-2 * math.Log(tail))
	for range 60 {
		v := NormalProbability(z)
		next := z - math.Log(v/tail)*v/(math.Exp(-z*z/2)/math.Sqrt(2*math.Pi))
		if next <= z || next >= 0 {
			z = min(next, 0)
			break
		}
		z = next
	}
	if p > 0.5 {
		return -z
	}
	return z
}

// StudentProbability returns the chance that a Student t value with dof degrees
// of freedom is at most t. Half of I_x(dof/2, 1/2) lies beyond |t|, with
// x = dof / (dof + t²) (DLMF 8.17 and Abramowitz and Stegun 26.7.1).
func StudentProbability(t, dof float64) float64 {
	if !(dof > 0) {
		return math.NaN()
	}
	x, y := dof/(dof+t*t), t*t/(dof+t*t)
	beyond, _ := betaTails(x, y, dof/2, 0.5)
	if t > 0 {
		return 1 - beyond/2
	}
	return beyond / 2
}

// StudentQuantile returns the t with StudentProbability(t, dof) = p, for p
// between 0 and 1, both excluded, and dof of 0.1 to 1e6, whole or not; NaN
// otherwise.
func StudentQuantile(p, dof float64) float64 {
	tail := min(p, 1-p)
	switch {
	case !(tail > 0 && dof > 0):
		return math.NaN()
	case tail == 0.5:
		return 0
	}
	t := math.Sqrt(dof) * math.Exp(-betaLogit(2*tail, 1-2*tail, dof/2, 0.5)/2)
	if p < 0.5 {
		return -t
	}
	return t
}

// ChiSquaredProbability returns the chance that a chi-squared value with dof
// degrees of freedom is at most x: the regularised incomplete gamma function
// P(dof/2, x/2), DLMF 8.2.
func ChiSquaredProbability(x, dof float64) float64 {
	if !(x >= 0 && dof > 0) {
		return math.NaN()
	}
	lower, _ := gammaTails(x/2, dof/2)
	return lower
}

// ChiSquaredQuantile returns the x with ChiSquaredProbability(x, dof) = p, for
// p between 0 and 1, both excluded, and dof of 0.1 to 1e6; NaN otherwise.
func ChiSquaredQuantile(p, dof float64) float64 {
	q := 1 - p
	if !(min(p, q) > 0 && dof > 0) {
		return math.NaN()
	}
	a := dof / 2
	u := solve(min(p, q), -700, 700, func(u float64) (value, slope float64) {
		x := math.Exp(u)
		lower, upper := gammaTails(x, a)
		if p <= q {
			return lower, gammaPower(x, a)
		}
		return upper, -gammaPower(x, a)
	})
	return 2 * math.Exp(u)
}

// gammaTails returns P(a, x) and 1 - P(a, x): by the series of DLMF 8.7.1
// below a + 1, else by the continued fraction of DLMF 8.9.2.
func gammaTails(x, a float64) (lower, upper float64) {
	if x == 0 {
		return 0, 1
	}
	power := gammaPower(x, a)
	if power == 0 {
		if x < a {
			return 0, 1
		}
		return 1, 0
	}
	if x < a+1 {
		term := 1 / a
		sum := term
		for n := 1.0; n < 20000 && term > sum*1e-17; n++ {
			term *= x / (a + n)
			sum += term
		}
		lower = power * sum
		return lower, 1 - lower
	}
	b := x + 1 - a
	c, d := 1e300, 1/b
	h := d
	for n := 1.0; n < 20000; n++ {
		an := -n * (n - a)
		b += 2
		d = 1 / (an*d + b)
		c = b + an/c
		h *= d * c
		if math.Abs(d*c-1) < 1e-16 {
			break
		}
	}
	upper = power * h
	return 1 - upper, upper
}

// gammaPower returns x^a e^-x / Γ(a).
func gammaPower(x, a float64) float64 {
	off := (x - a) / a
	e := a * math.Log(x/a)
	if math.Abs(off) < 0.5 {
		e = a * math.Log1p(off)
	}
	return math.Exp(e-(x-a)-stirling(a)) * math.Sqrt(a/(2*math.Pi))
}
