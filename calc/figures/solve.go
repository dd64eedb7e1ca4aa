package figures

import "math"

// solve returns the u in [low, high] where f is target. f gives a positive
// value, which rises or falls all the way, and its slope; the steps are
// Newton's on the logarithm, and halving where they would leave the bracket.
func solve(target, low, high float64, f func(u float64) (value, slope float64)) float64 {
	first, _ := f(low)
	last, _ := f(high)
	rising := last > first
	u := (low + high) / 2
	for range 200 {
		v, slope := f(u)
		if v == target {
			return u
		}
		if (v < target) == rising {
			low = u
		} else {
			high = u
		}
		next := u - math.Log(v/target)*v/slope
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-u) <= 1e-16*math.Abs(u) || next == low || next == high {
			return next
		}
		u = next
	}
	return u
}

// stirling returns ln Γ(x) - ((x - 1/2) ln x - x + ln(2π)/2), what Stirling's
// formula leaves over (DLMF 5.11.1); for large x far more exact than the
// difference of the two.
func stirling(x float64) float64 {
	if x >= 16 {
		y := 1 / (x * x)
		return (1./12 - y*(1./360-y*(1./1260-y*(1./1680-y*(1./1188-y*691./360360))))) / x
	}
	l, _ := math.Lgamma(x)
	return l - ((x-0.5)*math.Log(x) - x + 0.5*math.Log(2*math.Pi))
}
