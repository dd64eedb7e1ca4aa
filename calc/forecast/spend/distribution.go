package spend

import (
	"math"

	"ampwright/calc/exact"
)

// A Distribution says what an amount may come to, in minor units. Its shape is a
// log-normal moved along, and turned round where the skew is to the low side, so
// that mean, spread and skew are those of the amount. The zero Distribution is
// exactly 0.
type Distribution struct {
	P10, P25, P50, P75, P90 float64
	Mean                    float64

	spread float64 // standard deviation
	omega  float64 // standard deviation of the logarithm; 0 is a normal distribution, below 0 is turned round
	width  float64 // of e^(omega z), over its mean: √(e^omega² - 1)
	least  float64 // it is no less
}

// Skew below leastSkew is taken as none: it moves no quantile by a ten thousandth
// of the spread. Beyond mostSkew the third moment tells of the far tail only, and
// would draw the rest too narrow.
const leastSkew, mostSkew = 1e-4, 3.0

func distribution(s sum, least float64) Distribution {
	d := Distribution{Mean: s[0], least: least, spread: math.Sqrt(s[1])}
	if d.spread > 0 {
		skew := min(max(s[2]/float64(s[1]*d.spread), -mostSkew), mostSkew)
		if y := float64(skew * skew); y > leastSkew*leastSkew {
			// The skew of a log-normal is (w+2)√(w-1) with w = e^omega²; with
			// w = t-1 that is t³ - 3t = 2 + skew², solved by t = a + 1/a.
			a := exact.Exp(exact.Log(1+y/2+math.Sqrt(y+float64(y*y)/4)) / 3)
			root := math.Sqrt(a)
			d.width = root - 1/root
			d.omega = math.Copysign(math.Sqrt(exact.Log(1+float64(d.width*d.width))), skew)
		}
	}
	d.P10, d.P25, d.P50, d.P75, d.P90 = d.Quantile(0.10), d.Quantile(0.25), d.Quantile(0.50), d.Quantile(0.75), d.Quantile(0.90)
	return d
}

// Quantile returns the amount that is enough with probability p, 0.001 to 0.999
// (p beyond is taken as the nearer of these).
func (d Distribution) Quantile(p float64) float64 {
	if d.spread == 0 {
		return d.Mean
	}
	z := exact.NormalQuantile(min(max(p, 0.001), 0.999))
	if d.omega != 0 {
		z = math.Copysign(1/d.width, d.omega) * (exact.Exp(float64(d.omega*z)-float64(d.omega*d.omega)/2) - 1)
	}
	return max(d.Mean+float64(d.spread*z), d.least)
}

// Within returns the probability that the amount is no more than limit.
func (d Distribution) Within(limit float64) float64 {
	if limit < d.least {
		return 0
	}
	if d.spread == 0 {
		if limit < d.Mean {
			return 0
		}
		return 1
	}
	z := (limit - d.Mean) / d.spread
	if d.omega != 0 {
		sign := math.Copysign(1, d.omega)
		over := 1 + float64(sign*z*d.width)
		if over <= 0 { // beyond the end of the log-normal
			return (1 - sign) / 2
		}
		z = (exact.Log(over) + float64(d.omega*d.omega)/2) / d.omega
	}
	return exact.NormalProbability(z)
}
