package exact

import "math"

// NormalProbability returns the chance that a standard normal value is at most
// z: by the series of its integral (G. Marsaglia, "Evaluating the normal
// distribution", Journal of Statistical Software 11(4), 2004), and beyond 3
// standard deviations by the continued fraction of the tail (DLMF 7.9.1).
func NormalProbability(z float64) float64 {
	x := math.Abs(z)
	if x > 38 {
		x = 38 // the tail is below the smallest float64
	}
	x2 := float64(x * x)
	density := Exp(-x2/2) / 2.5066282746310002 // √(2π)
	if x < 3 {
		sum, term := x, x
		for i := 3.0; term > 1e-17*sum; i += 2 {
			term = float64(term*x2) / i
			sum += term
		}
		half := float64(density * sum)
		if z < 0 {
			return 0.5 - half
		}
		return 0.5 + half
	}
	f := x
	for i := 60.0; i > 0; i-- {
		f = x + i/f
	}
	if z < 0 {
		return density / f
	}
	return 1 - density/f
}

// Coefficients of algorithm AS 241, routine PPND16 (M. J. Wichura, "The
// percentage points of the normal distribution", Applied Statistics 37(3),
// 1988), highest power first; from memory, the test holds them against another
// method.
var (
	middleOver = [...]float64{2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
		13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608}
	middleUnder = [...]float64{5226.495278852854561, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867,
		5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1}
	tailOver = [...]float64{7.7454501427834140764e-4, .0227238449892691845833, .24178072517745061177, 1.27045825245236838258,
		3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959, 1.42343711074968357734}
	tailUnder = [...]float64{1.05075007164441684324e-9, 5.475938084995344946e-4, .0151986665636164571966, .14810397642748007459,
		.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1}
)

// NormalQuantile returns the z with NormalProbability(z) = p, for p of 1e-10 to
// 1 - 1e-10; p beyond is taken as the nearer of these, NaN gives NaN.
func NormalQuantile(p float64) float64 {
	p = min(max(p, 1e-10), 1-1e-10)
	q := p - 0.5
	if math.Abs(q) <= 0.425 {
		r := 0.180625 - float64(q*q)
		return float64(q*polynomial(middleOver, r)) / polynomial(middleUnder, r)
	}
	r := math.Sqrt(-Log(min(p, 1-p))) - 1.6
	z := polynomial(tailOver, r) / polynomial(tailUnder, r)
	if q < 0 {
		return -z
	}
	return z
}

func polynomial(c [8]float64, x float64) float64 {
	sum := 0.0
	for _, k := range c {
		sum = float64(sum*x) + k
	}
	return sum
}
