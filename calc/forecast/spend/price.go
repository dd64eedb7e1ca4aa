package spend

import (
	"cmp"
	"math"
	"slices"

	"ampwright/calc/exact"
)

// A price is what a range says of it: a log-normal. The zero price is nothing.
type price struct {
	middle   float64 // median, minor units
	variance float64 // of the logarithm
}

const (
	rangeWidth = 2.5631031310892007 // 10 % to 90 % of a normal distribution, in standard deviations
	mostRange  = 10.0               // a range from 0, or as good as from 0, is read as from a tenth
	leastSpan  = 0.1 * 0.1          // variance of ln price about a single figure: common practice, no published source
	mostSpan   = 1.0                // and the most about any range, however far out the build's prices were
)

func (i Item) price() price {
	if i.High == 0 {
		return price{}
	}
	high := float64(i.High)
	low := max(float64(i.Low), high/mostRange)
	sd := 0.0
	if low < high {
		sd = exact.Log(high/low) / rangeWidth
	}
	return price{math.Sqrt(float64(low * high)), float64(sd*sd) + leastSpan}
}

// price returns the log-normal that has the mean and the variance of the sum of
// the items.
func (d Deal) price() price {
	if len(d.Items) == 1 {
		return d.Items[0].price()
	}
	s := add(prices(d.Items), 1, 1)
	if s[0] == 0 {
		return price{}
	}
	w := 1 + s[1]/float64(s[0]*s[0])
	return price{s[0] / math.Sqrt(w), exact.Log(w)}
}

// moments are those of an amount whose logarithm is normal: of n-th order
// middle^n exp(n² variance/2).
func (p price) moments() raw {
	e := exact.Exp(p.variance / 2)
	m, w := float64(p.middle*e), float64(e*e)
	m2 := float64(float64(m*m) * w)
	return raw{m, m2, float64(float64(m2*m) * float64(w*w))}
}

// prices returns the prices of items in an order that depends on them alone, so
// that sums come out the same whatever order the items were given in.
func prices(items []Item) []price {
	list := make([]price, len(items))
	for i, item := range items {
		list[i] = item.price()
	}
	slices.SortFunc(list, func(a, b price) int {
		return cmp.Or(cmp.Compare(a.middle, b.middle), cmp.Compare(a.variance, b.variance))
	})
	return list
}

// add returns the sum of prices, the variance of each widened by scatter, where
// each comes to pass with a chance.
func add(list []price, scatter, chance float64) sum {
	var total sum
	for _, p := range list {
		p.variance = min(float64(scatter*p.variance), mostSpan)
		m := p.moments()
		total = total.plus(raw{float64(chance * m[0]), float64(chance * m[1]), float64(chance * m[2])}.sum())
	}
	return total
}
