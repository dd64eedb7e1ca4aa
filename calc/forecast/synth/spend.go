package synth

import (
	"fmt"
	"math"

	"ampwright/calc/forecast/spend"
	"ampwright/calc/money"
)

// A SpendTraits is what the money of a build is like. Each is drawn from the
// range beside it; the ranges are assumptions, wide on purpose, no published
// source.
type SpendTraits struct {
	Parts      int     // on the list: 10 to 120
	Price      float64 // middle price, minor units: 1500 to 12000
	Spread     float64 // standard deviation of ln price: 0.6 to 1.3
	Range      float64 // ln(high/low), on average: 0.4 to 1.6
	Single     float64 // share of parts with a single figure: 0 to 0.4
	Level      float64 // of the whole build, ln(paid/middle of range): -0.2 to 0.3
	Candour    float64 // scatter of true prices over what the ranges say: 0.6 to 1.6
	Tail       int     // degrees of freedom of that error: 4 to 12
	Unlisted   float64 // purchases that no list knew, over the list: 0 to 0.3
	Early      float64 // when parts are bought: 1 is evenly over the hours, 2 early
	Open       float64 // share of purchases ordered, not yet paid: 0 to 0.2
	Refund     float64 // chance that money comes back on a purchase: 0 to 0.08
	Sales      int     // things to sell: 0 to 14
	Worth      float64 // of these, over the list: 0.03 to 0.35
	SaleLevel  float64 // ln(got/expected): -0.4 to 0.15
	SaleChance float64 // that a thing sells: 0.5 to 1
	Fees       float64 // and post, over the price: 0.05 to 0.25
}

// A Spend is the money of a build as it will be; moments are shares of its hours,
// 0 to 1.
type Spend struct {
	Traits SpendTraits
	Bought []Trade // the parts of the list
	Found  []Trade // purchases that no list knew
	Sales  []Trade // 0 if the thing does not sell; given up at When
}

// A Trade is a price and when it is paid.
type Trade struct {
	Item   spend.Item
	When   float64
	Price  money.Amount
	Back   money.Amount // comes back on it at once
	Fees   money.Amount
	Unpaid float64 // ordered so much before When at a fixed price
}

// PlaySpend returns the money of build number of a garage.
func PlaySpend(garage, number uint64) Spend {
	c := NewChance(garage, number, "spend")
	s := Spend{Traits: SpendTraits{
		Parts: c.Int(10, 120), Price: c.Float(1500, 12000), Spread: c.Float(0.6, 1.3), Range: c.Float(0.4, 1.6), Single: c.Float(0, 0.4),
		Level: c.Float(-0.2, 0.3), Candour: c.Float(0.6, 1.6), Tail: c.Int(4, 12), Unlisted: c.Float(0, 0.3), Early: c.Float(1, 2),
		Open: c.Float(0, 0.2), Refund: c.Float(0, 0.08), Sales: c.Int(0, 14), Worth: c.Float(0.03, 0.35), SaleLevel: c.Float(-0.4, 0.15),
		SaleChance: c.Float(0.5, 1), Fees: c.Float(0.05, 0.25),
	}}
	t := s.Traits
	list := 0.0
	for i := range t.Parts {
		b := trade(c, fmt.Sprintf("part %d", i+1), t.Price*math.Exp(t.Spread*c.Normal()), t.Level, t.Range, t)
		b.When = math.Pow(c.Float(0, 1), t.Early)
		if c.Hit(t.Open) {
			b.Unpaid = c.Float(0, 0.1)
		}
		if c.Hit(t.Refund) {
			b.Back = money.Amount(float64(b.Price) * c.Float(0.05, 1))
		}
		list += float64(b.Item.Low+b.Item.High) / 2
		s.Bought = append(s.Bought, b)
	}
	for found := 0.0; found < t.Unlisted*list; {
		f := Trade{When: c.Float(0, 1), Price: money.Amount(t.Price * math.Exp(t.Spread*c.Normal()-0.5))}
		found += float64(f.Price)
		s.Found = append(s.Found, f)
	}
	for i := range t.Sales {
		worth := t.Worth * list / float64(t.Sales)
		sale := trade(c, fmt.Sprintf("sale %d", i+1), worth*math.Exp(0.7*c.Normal()-0.25), t.SaleLevel, t.Range, t)
		sale.When = c.Float(0, 1)
		sale.Fees = money.Amount(float64(sale.Price) * t.Fees * c.Float(0.3, 1.7))
		if !c.Hit(t.SaleChance) {
			sale.Price, sale.Fees = 0, 0
		}
		s.Sales = append(s.Sales, sale)
	}
	return s
}

// trade draws a range about middle and a price that is off it.
func trade(c *Chance, name string, middle, level, width float64, t SpendTraits) Trade {
	wide := width * c.Float(0.5, 1.5)
	off := wide / 2.56 * t.Candour
	if c.Hit(t.Single) {
		wide, off = 0, c.Float(0.02, 0.2)
	}
	low, high := math.Round(middle*math.Exp(-wide/2)), math.Round(middle*math.Exp(wide/2))
	price := math.Round(middle * math.Exp(level+off*c.Heavy(t.Tail)))
	return Trade{Item: spend.Item{Name: name, Low: money.Amount(low), High: money.Amount(high)}, Price: money.Amount(max(price, 1))}
}

// At returns what the logbook knows when a share of all hours is worked, 0 to 1,
// and the net spend that the build ends with.
func (s Spend) At(share float64) (p spend.Purse, net money.Amount) {
	p.Along = share
	for _, b := range s.Bought {
		net += b.Price - b.Back
		switch {
		case b.When <= share:
			p.Paid += b.Price
			p.Refunded += b.Back
		case b.When-b.Unpaid <= share:
			p.Committed += b.Price
		default:
			p.ToBuy = append(p.ToBuy, b.Item)
			continue
		}
		p.Bought = append(p.Bought, spend.Deal{Items: []spend.Item{b.Item}, Price: b.Price})
	}
	for _, f := range s.Found {
		net += f.Price
		if f.When <= share {
			p.Paid += f.Price
			p.Unlisted += f.Price
		}
	}
	for _, x := range s.Sales {
		net -= x.Price - x.Fees
		if x.When > share {
			p.ToSell = append(p.ToSell, x.Item)
			continue
		}
		p.Sales += x.Price
		p.Fees += x.Fees
		p.Sold = append(p.Sold, spend.Deal{Items: []spend.Item{x.Item}, Price: x.Price})
	}
	return p, net
}
