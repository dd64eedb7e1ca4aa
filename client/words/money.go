package words

import (
	"fmt"

	"ampwright/calc/money"
	"ampwright/model"
)

// Money writes an amount of minor units with the build's currency: "EUR
// 1,411.30". Without a build the currency is not known, and how many decimals
// it has is not guessed.
func (c Context) Money(minor int64) string {
	if c.Build == nil {
		return fmt.Sprintf("%d minor units", minor)
	}
	return c.amount(minor, c.Build.Currency)
}

func (c Context) amount(minor int64, currency string) string {
	return Join(" ", currency, money.Amount(minor).Format(currency, c.Style.Mark))
}

func (c Context) purchase(b *model.Purchase) Said {
	receipt := b.Receipt
	if picture := pictured(b.Photo); picture != "" && (receipt == "" || receipt == "photo") {
		receipt = picture
	} else {
		receipt = Join(", ", receipt, picture)
	}
	return Said{
		Kind: "bought", Note: b.Note, Task: b.Task, Also: []string{b.Part},
		Text: Join("; ", Join(" for ", b.What, c.Money(b.Cents)), before("from ", b.Vendor), before("for ", b.Task), before("receipt ", receipt)),
	}
}

func (c Context) order(b *model.Order) Said {
	unpaid := ""
	if b.Unpaid {
		unpaid = "not paid yet"
	}
	return Said{
		Kind: "ordered", Note: b.Note, Task: b.Task, Also: append([]string{b.Label}, b.Parts...),
		Text: Join("; ", Join(": ", b.Label, Join(" for ", b.What, c.Money(b.Cents))), before("from ", b.Vendor), before("for ", b.Task),
			before("promised for ", c.date(b.Promised)), unpaid),
	}
}

func (c Context) arrival(b *model.Arrival) Said {
	name, label := c.named(b.Order)
	if o, ok := c.body(b.Order).(*model.Order); ok {
		name = Join(": ", name, o.What)
	}
	return Said{Kind: "came", Text: name, Note: b.Note, Also: []string{label}}
}

func (c Context) sale(b *model.Sale) Said {
	costs := ""
	if b.Fee != 0 || b.Post != 0 {
		costs = "fees and post " + c.Money(b.Fee+b.Post)
	}
	return Said{
		Kind: "sold", Note: b.Note, Task: b.Task, Also: []string{b.Part},
		Text: Join("; ", Join(" for ", b.What, c.Money(b.Cents)), costs, before("to ", b.Buyer), before("from ", b.Task)),
	}
}

func (c Context) refund(b *model.Refund) Said {
	name, label := c.named(b.Of)
	return Said{Kind: "money back", Note: b.Note, Text: Join("; ", c.Money(b.Cents)+before(" on ", name), b.What), Also: []string{label}}
}
