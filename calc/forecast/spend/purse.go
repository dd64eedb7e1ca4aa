// Package spend says what a build will still cost and what it will have cost at
// the end, as distributions: what is committed, the parts still to buy, parts
// nobody has thought of yet, sales and refunds still to come. It is a closed
// form: no chance, the same bits on every device, whatever the order of parts.
package spend

import (
	"fmt"

	"ampwright/calc/money"
)

// A Purse is the money of a build as its logbook knows it today: minor units of
// one currency, 0 to 1e15 each. The zero Purse is that of a build that spent
// nothing and needs nothing.
type Purse struct {
	Ceiling   money.Amount // on net spend; 0 is none
	Paid      money.Amount // purchases and paid orders
	Refunded  money.Amount // came back on these
	Sales     money.Amount // got for what was sold, before fees and post
	Fees      money.Amount // fees and post of these sales
	Committed money.Amount // ordered at a fixed price, not paid yet
	Awaited   money.Amount // refunds agreed, not back yet

	ToBuy  []Item
	Bought []Deal // parts of the list that are paid or ordered, in Paid or Committed as well

	// Unlisted is what of Paid and Committed went on things that the part list
	// did not know at the start: purchases of no part, parts added on the way.
	Unlisted money.Amount
	Along    float64 // how far the build is along: share of all hours worked, 0 to 1

	ToSell []Item // what somebody means to sell, at the price expected before fees and post
	Sold   []Deal // what was listed so and is gone: what was got for it; 0 if it did not sell
}

// An Item is a thing with the range of its price, for all of its quantity. The
// range is read as the 10 % and 90 % points of a price that is skewed to the
// high side, a log-normal; one figure twice is a price met within some tenth.
type Item struct {
	Name      string // for errors only
	Low, High money.Amount
}

// A Deal is one payment for one item or for some together, less what came back
// on it. 0 is a gift.
type Deal struct {
	Items []Item
	Price money.Amount
}

// maxAmount is the most that can be typed (see money.Parse).
const maxAmount = 1e15

func (p Purse) check() error {
	for _, f := range [...]struct {
		name   string
		amount money.Amount
	}{
		{"ceiling", p.Ceiling}, {"paid", p.Paid}, {"refunded", p.Refunded}, {"sales", p.Sales}, {"fees", p.Fees},
		{"committed", p.Committed}, {"refunds awaited", p.Awaited}, {"spent on unlisted parts", p.Unlisted},
	} {
		if err := checkAmount("money", f.name, f.amount); err != nil {
			return err
		}
	}
	if !(p.Along >= 0 && p.Along <= 1) { // NaN as well
		return fmt.Errorf("share of hours worked %g: want 0 to 1", p.Along)
	}
	for _, items := range [...][]Item{p.ToBuy, p.ToSell} {
		for _, i := range items {
			if err := i.check(); err != nil {
				return err
			}
		}
	}
	for _, deals := range [...][]Deal{p.Bought, p.Sold} {
		for _, d := range deals {
			if err := d.check(); err != nil {
				return err
			}
		}
	}
	return nil
}

func (i Item) check() error {
	if err := checkAmount(i.Name, "low price", i.Low); err != nil {
		return err
	}
	if err := checkAmount(i.Name, "high price", i.High); err != nil {
		return err
	}
	if i.Low > i.High {
		return fmt.Errorf("%s: price range %d to %d out of order: want the low price first", i.Name, i.Low, i.High)
	}
	return nil
}

func (d Deal) check() error {
	if len(d.Items) == 0 {
		return fmt.Errorf("a deal at %d names no item: want at least one", d.Price)
	}
	for _, i := range d.Items {
		if err := i.check(); err != nil {
			return err
		}
	}
	return checkAmount(d.Items[0].Name, "price of the deal", d.Price)
}

func checkAmount(item, name string, a money.Amount) error {
	if a < 0 || a > maxAmount {
		return fmt.Errorf("%s: %s %d: want 0 to %.0f minor units", item, name, a, float64(maxAmount))
	}
	return nil
}
