package spend

import (
	"math"

	"ampwright/calc/exact"
)

// An Outlook is the forecast of a build's money, in minor units.
type Outlook struct {
	ToSpend Distribution // from today: committed, parts of the list, parts not thought of yet
	Income  Distribution // from today: sales less fees and post, refunds awaited
	Net     Distribution // at the end: all that was and will be spent, less all that came and will come back

	// UnderCeiling is the probability that Net is no more than the ceiling; 1
	// where there is none.
	UnderCeiling float64

	Committed, Listed, Unthought, Sales Piece

	Basis Basis
}

// A Piece is one of the things that Net is still made of.
type Piece struct {
	Mean  float64 // what it adds to ToSpend; for sales, to Income
	Share float64 // its share of the variance of Net, 0 to 1; together 1 unless nothing is uncertain
}

// A Basis is what an [Outlook] rests on.
type Basis struct {
	Spent float64 // net spend today, minor units

	Deals      int     // purchases held against the ranges of their parts
	PriceLevel float64 // what those say of prices to come: 1.1 is a tenth dearer than the ranges; drawn towards 1
	Scatter    float64 // and of the width of ranges: above 1 they are read as wider than written

	Unlisted float64 // what unlisted parts come to over the whole build, over the price of the list, 0 without a list
	Left     float64 // share of the build in which more may turn up: of hours, or of the list's price if more; 0 to 1

	SaleDeals int     // sales held against what was expected of them
	SaleLevel float64 // what those say of prices to come, as PriceLevel
	Sells     float64 // chance that what is listed sells, 0 to 1
	Fees      float64 // fees and post over the price got, 0 to 1
}

// Forecast returns the outlook of p. The error names the figure or the item
// that cannot be used.
func Forecast(p Purse) (Outlook, error) {
	if err := p.check(); err != nil {
		return Outlook{}, err
	}
	spent := float64(p.Paid - p.Refunded - p.Sales + p.Fees) // below 2^53: exact
	committed, awaited := sum{float64(p.Committed)}, sum{float64(p.Awaited)}
	own, list := read(p.Bought), prices(p.ToBuy)
	o := Outlook{Basis: Basis{Spent: spent, Deals: own.deals, PriceLevel: exact.Exp(own.level), Scatter: own.scatter}}
	listed, unthought, sales := own.at(add(list, own.scatter, 1)), p.unthought(add(list, 1, 1)[0], own.list, &o.Basis), p.sales(&o.Basis)
	toSpend, income := committed.plus(listed).plus(unthought), awaited.plus(sales)
	net := sum{spent}.plus(toSpend).plus(income.times(-1))

	o.ToSpend, o.Income = distribution(toSpend, committed[0]), distribution(income, awaited[0])
	least := spent + committed[0] - awaited[0]
	if sales[0] > 0 {
		least = math.Inf(-1)
	}
	o.Net = distribution(net, least)
	o.UnderCeiling = 1
	if p.Ceiling > 0 {
		o.UnderCeiling = o.Net.Within(float64(p.Ceiling))
	}
	piece := func(s sum) Piece {
		if net[1] == 0 {
			return Piece{Mean: s[0]}
		}
		return Piece{Mean: s[0], Share: s[1] / net[1]}
	}
	o.Committed, o.Listed, o.Unthought, o.Sales = piece(committed), piece(listed), piece(unthought), piece(sales)
	return o, nil
}
