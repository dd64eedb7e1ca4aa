package spend

import (
	"cmp"
	"slices"

	"ampwright/calc/exact"
)

// What is believed before this build has a record of its own: common practice,
// no published source.
const (
	levelSpread = 0.15 // standard deviation of ln of the build's price level: a build as a whole is dear or cheap by a seventh
	ownDeals    = 10.0 // deals after which the build's own record weighs half
	ratioClip   = 1.0  // a deal says at most e times its range, or 1/e
	farOut      = 9.0  // and its scatter at most 3 standard deviations
	mostScatter = 4.0  // no record makes ranges more than twice as wide
)

// A record is what deals done say about the prices to come.
type record struct {
	deals    int     // those that say something
	list     float64 // what they should have cost by their ranges, minor units
	level    float64 // ln of the price level: what is paid against the middles of the ranges, shrunk towards 0
	variance float64 // of it
	scatter  float64 // variance of ln price over what the ranges say, shrunk towards 1
}

func read(deals []Deal) record {
	type hit struct{ ratio, variance, mean float64 }
	hits := make([]hit, 0, len(deals))
	for _, d := range deals {
		p := d.price()
		if p.middle == 0 {
			continue
		}
		ratio := -ratioClip
		if d.Price > 0 {
			ratio = min(max(exact.Log(float64(d.Price)/p.middle), -ratioClip), ratioClip)
		}
		hits = append(hits, hit{ratio, p.variance, p.moments()[0]})
	}
	slices.SortFunc(hits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(a.ratio, b.ratio), cmp.Compare(a.variance, b.variance), cmp.Compare(a.mean, b.mean))
	})
	n := float64(len(hits))
	r := record{deals: len(hits)}
	for _, h := range hits {
		r.list += h.mean
		r.level += h.ratio
	}
	r.level /= ownDeals + n
	r.variance = float64(levelSpread*levelSpread) * (ownDeals / (ownDeals + n))
	scatter := ownDeals
	for _, h := range hits {
		off := h.ratio - r.level
		scatter += min(float64(off*off)/h.variance, farOut)
	}
	r.scatter = min(scatter/(ownDeals+n), mostScatter)
	return r
}

// at returns the sum at the price level of the record.
func (r record) at(s sum) sum {
	if s[0] == 0 {
		return sum{}
	}
	return s.raw().product(price{exact.Exp(r.level), r.variance}.moments()).sum()
}
