package forecast

import (
	"math"

	"ampwright/calc/exact"
)

// Constants turn evidence into a distribution: the logarithm of the hours left
// is ln Open + Shift·(1, Pace, Crowd), and its spread the exponential of
// Spread·(1, Scatter, Crowd, Exact, Started, Unestimated). Z are the points of
// the distribution in units of the spread at [Levels].
type Constants struct {
	Shift  [3]float64
	Spread [6]float64
	Z      [5]float64
}

// Levels are the probabilities of the quantiles named in a [Distribution].
var Levels = [5]float64{0.10, 0.25, 0.50, 0.75, 0.90}

// Fitted returns the constants in use: `go run ./cmd/dev fit` found them from
// estimates and hours that office workers wrote down; no such record of garage
// work is known. The build's own pace shifts the hours; few open tasks, scatter,
// work begun and tasks without an estimate widen the spread, and estimates met
// exactly narrow it.
func Fitted() Constants {
	return Constants{
		Shift:  [3]float64{0.0608, 1.3799, 0.0328},
		Spread: [6]float64{-0.8984, 0.2434, -0.2984, -0.9398, 1.3353, 1.3582},
		Z:      [5]float64{-1.0112, -0.4782, 0, 0.5102, 0.9888},
	}
}

// Limits of the spread: nobody knows a build's hours to a few percent, and no
// forecast spans more than a factor of about 20 from P10 to P90.
const leastSpread, mostSpread = 0.03, 1.5

// Terms of the two sums of [Constants].
func (e Evidence) Shift() [3]float64 { return [3]float64{1, e.Pace, e.Crowd} }
func (e Evidence) Spread() [6]float64 {
	return [6]float64{1, e.Scatter, e.Crowd, e.Exact, e.Started, e.Unestimated}
}

// A Distribution says how many hours are left, with the probability that it is
// no more. The zero Distribution is that of a finished build: exactly 0.
type Distribution struct {
	P10, P25, P50, P75, P90 float64 // hours
	Mean                    float64 // hours

	spread float64
	z      [5]float64
}

// Hours returns the distribution of the hours left. It is a closed form: no
// chance, the same bits on every device, whatever the order of the tasks. It is
// for lists that are complete, at a moment when a task has just been finished, as
// in the records it was fitted to: see [Rest] for a garage. The error names the
// task whose figures cannot be used.
func Hours(tasks []Work) (Distribution, error) {
	e, err := Read(tasks)
	if err != nil {
		return Distribution{}, err
	}
	return e.Hours(Fitted()), nil
}

// Hours returns the distribution that e gives under c.
func (e Evidence) Hours(c Constants) Distribution {
	if e.Open == 0 {
		return Distribution{}
	}
	var shift, spread float64
	for i, x := range e.Shift() {
		shift += float64(c.Shift[i] * x)
	}
	for i, x := range e.Spread() {
		spread += float64(c.Spread[i] * x)
	}
	d := Distribution{spread: min(max(exact.Exp(min(spread, 1)), leastSpread), mostSpread), z: c.Z}
	d.P50 = float64(e.Open * exact.Exp(min(max(shift, -3), 3)))
	d.name()
	d.Mean = float64(d.P50 * exact.Exp(d.variance()/2))
	return d
}

func (d Distribution) at(z float64) float64 { return float64(d.P50 * exact.Exp(float64(z*d.spread))) }

// variance returns that of the logarithm of the hours, for a normal distribution
// as wide from P10 to P90.
func (d Distribution) variance() float64 {
	sd := float64(d.spread*(d.z[4]-d.z[0])) / rangeWidth
	return float64(sd * sd)
}

// logNormal returns the distribution of that mean and variance of the logarithm,
// and the shape of z.
func logNormal(mean, variance float64, z [5]float64) Distribution {
	d := Distribution{spread: math.Sqrt(variance) * rangeWidth / (z[4] - z[0]), z: z, Mean: mean}
	d.spread = min(max(d.spread, leastSpread), mostSpread)
	d.P50 = float64(mean * exact.Exp(-d.variance()/2))
	d.name()
	return d
}

// name works out the quantiles beside the median.
func (d *Distribution) name() {
	d.P10, d.P25, d.P75, d.P90 = d.at(d.z[0]), d.at(d.z[1]), d.at(d.z[3]), d.at(d.z[4])
}

// Quantile returns the hours that are enough with probability p, 0.001 to 0.999
// (p beyond is taken as the nearer of these). Between the five named quantiles
// it is linear in ln(p/(1-p)) and the logarithm of the hours, and beyond them it
// goes on as it came.
func (d Distribution) Quantile(p float64) float64 {
	if d.P50 == 0 {
		return 0
	}
	p = min(max(p, 0.001), 0.999)
	x := exact.Log(p / (1 - p))
	const ln3, ln9 = 1.0986122886681098, 2.1972245773362196
	knots := [5]float64{-ln9, -ln3, 0, ln3, ln9}
	i := 0
	for i < 3 && x > knots[i+1] {
		i++
	}
	share := (x - knots[i]) / (knots[i+1] - knots[i])
	return d.at(d.z[i] + float64(share*(d.z[i+1]-d.z[i])))
}
