package spend

import "ampwright/calc/exact"

// What is believed of sales before a build has its own record: common practice,
// no published source.
const (
	sells      = 0.8  // of what is listed four in five sell in time,
	sellsDeals = 4.0  // which holds as strongly as this many listings do
	fees       = 0.15 // fees and post take this share of the price,
	feesDeals  = 3.0  // which holds as strongly as this many sales do
)

// sales is what the things listed will bring. A thing that does not sell brings
// nothing.
func (p Purse) sales(b *Basis) sum {
	var sold []Deal
	for _, d := range p.Sold {
		if d.Price > 0 {
			sold = append(sold, d)
		}
	}
	r := read(sold)
	b.SaleDeals, b.SaleLevel = r.deals, exact.Exp(r.level)
	b.Sells = (float64(sellsDeals*sells) + float64(len(sold))) / (sellsDeals + float64(len(p.Sold)))
	list := prices(p.ToSell)
	before := 0.0 // what the usual share is held as strongly as
	if len(list) > 0 {
		before = float64(add(list, 1, 1)[0] * (feesDeals / float64(len(list))))
	}
	b.Fees = fees
	if all := before + float64(p.Sales); all > 0 {
		b.Fees = min((float64(fees*before)+float64(p.Fees))/all, 1)
	}
	return r.at(add(list, r.scatter, b.Sells)).times(1 - b.Fees)
}
