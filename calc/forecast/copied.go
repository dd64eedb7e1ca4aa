package forecast

import "ampwright/calc/exact"

// Some people log the estimate instead of the hours, and then the rest is what
// the estimates say. Five of 16 runs in one set of office work were logged so
// from end to end.

// copiedWithin is how near to the estimates, as a share of them, hours come that
// were copied from them.
const copiedWithin = 0.01

// copying returns the probability that so many open tasks will all meet their
// estimates exactly after hits of finished did: that of a run of hits whose rate
// is unknown, by the prior Beta(1/2, 1/2) (H. Jeffreys, Proc. R. Soc. A 186 (1946)
// 453; from memory).
func copying(hits, finished float64, open int) float64 {
	p := 1.0
	for i := range open {
		p = float64(p * ((hits + 0.5 + float64(i)) / (finished + 1 + float64(i))))
	}
	return p
}

// mixed returns d where with probability copied the hours are planned instead.
func (d Distribution) mixed(planned, copied float64) Distribution {
	if copied == 0 {
		return d
	}
	d.planned, d.copied = planned, copied
	d.Mean = float64((1-copied)*d.Mean) + float64(copied*planned)
	d.name()
	return d
}

// mixture returns the hours that are enough with probability p.
func (d Distribution) mixture(p float64) float64 {
	below := float64((1 - d.copied) * d.below(d.planned))
	switch {
	case p < below:
		return min(d.body(p/(1-d.copied)), d.planned*(1-copiedWithin))
	case p <= below+d.copied:
		return float64(d.planned * (1 + float64(copiedWithin*((p-below)/d.copied*2-1))))
	}
	return max(d.body((p-d.copied)/(1-d.copied)), d.planned*(1+copiedWithin))
}

// body returns the hours that are enough with probability p where they are not
// copied.
func (d Distribution) body(p float64) float64 {
	p = min(max(p, 1e-6), 1-1e-6)
	x := exact.Log(p / (1 - p))
	i := 0
	for i < 3 && x > knots[i+1] {
		i++
	}
	share := (x - knots[i]) / (knots[i+1] - knots[i])
	return d.at(d.z[i] + float64(share*(d.z[i+1]-d.z[i])))
}

// below undoes body: it returns the probability that hours are enough.
func (d Distribution) below(hours float64) float64 {
	z := exact.Log(hours/d.middle) / d.spread
	i := 0
	for i < 3 && z > d.z[i+1] {
		i++
	}
	share := (z - d.z[i]) / (d.z[i+1] - d.z[i])
	x := knots[i] + float64(share*(knots[i+1]-knots[i]))
	return 1 / (1 + exact.Exp(min(max(-x, -30), 30)))
}
