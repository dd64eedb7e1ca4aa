package forecast

import (
	"math"

	"ampwright/calc/exact"
)

// Constants turn evidence into a distribution: the logarithm of the hours left
// is ln Open + Shift·(Inexact, Pace, Crowd), where Inexact is the share of
// estimates not met exactly, and its spread the exponential of
// Spread·(1, Scatter, Crowd, Exact, Started, Unestimated). Z are the points of
// the distribution in units of the spread at [Levels]. All this is where the hours
// are not copied from the estimates.
type Constants struct {
	Shift  [3]float64
	Spread [6]float64
	Z      [5]float64
}

// Levels are the probabilities of the quantiles named in a [Distribution].
var Levels = [5]float64{0.10, 0.25, 0.50, 0.75, 0.90}

// Fitted returns the constants in use: `go run ./cmd/dev fit` found them from
// estimates and hours that office workers wrote down; no such record of garage
// work is known. The build's own pace shifts the hours, and so does what is usual,
// the less the more estimates were met exactly; few open tasks, scatter, work begun
// and tasks without an estimate widen the spread, and estimates met exactly narrow
// it.
func Fitted() Constants {
	return Constants{
		Shift:  [3]float64{0.1473, 1.4767, 0.0317},
		Spread: [6]float64{-0.8991, 0.2396, -0.3152, -0.7664, 1.4128, 1.4660},
		Z:      [5]float64{-1.0570, -0.5507, 0, 0.4566, 0.9430},
	}
}

// Limits of the spread: nobody knows a build's hours to a few percent, and no
// forecast spans more than a factor of about 20 from P10 to P90.
const leastSpread, mostSpread = 0.03, 1.5

// Terms of the two sums of [Constants].
func (e Evidence) Shift() [3]float64 { return [3]float64{1 - exactMiddle - e.Exact, e.Pace, e.Crowd} }
func (e Evidence) Spread() [6]float64 {
	return [6]float64{1, e.Scatter, e.Crowd, e.Exact, e.Started, e.Unestimated}
}

// A Distribution says how many hours are left, with the probability that it is
// no more. The zero Distribution is that of a finished build: exactly 0.
type Distribution struct {
	P10, P25, P50, P75, P90 float64 // hours
	Mean                    float64 // hours

	middle          float64 // hours: P50 where they are not copied
	spread          float64
	z               [5]float64
	planned, copied float64 // hours, and the probability that they come out so
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
	return e.worked(c).mixed(e.Planned, e.Copied)
}

// worked returns that of hours not copied from the estimates.
func (e Evidence) worked(c Constants) Distribution {
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
	d.middle = float64(e.Open * exact.Exp(min(max(shift, -3), 3)))
	d.name()
	d.Mean = float64(d.middle * exact.Exp(d.variance()/2))
	return d
}

func (d Distribution) at(z float64) float64 {
	return float64(d.middle * exact.Exp(float64(z*d.spread)))
}

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
	d.middle = float64(mean * exact.Exp(-d.variance()/2))
	d.name()
	return d
}

// name works out the quantiles.
func (d *Distribution) name() {
	for i, q := range []*float64{&d.P10, &d.P25, &d.P50, &d.P75, &d.P90} {
		if *q = d.at(d.z[i]); d.copied > 0 {
			*q = d.mixture(Levels[i])
		}
	}
}

// Quantile returns the hours that are enough with probability p, 0.001 to 0.999
// (p beyond is taken as the nearer of these). Between the five named quantiles
// it is linear in ln(p/(1-p)) and the logarithm of the hours, and beyond them it
// goes on as it came; but where hours may be copied from the estimates, it is
// flat at these for as much of p as that is likely.
func (d Distribution) Quantile(p float64) float64 {
	if d.P50 == 0 {
		return 0
	}
	p = min(max(p, 0.001), 0.999)
	if d.copied > 0 {
		return d.mixture(p)
	}
	return d.body(p)
}

// knots are ln(p/(1-p)) of [Levels].
var knots = [5]float64{-ln9, -ln3, 0, ln3, ln9}

const ln3, ln9 = 1.0986122886681098, 2.1972245773362196
