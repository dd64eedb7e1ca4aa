package main

import (
	"fmt"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/model"

	"github.com/spf13/cobra"
)

// orderJSON is an order in an answer.
type orderJSON struct {
	Entry       string     `json:"entry"`
	Label       string     `json:"label"`
	What        string     `json:"what"`
	Vendor      string     `json:"vendor"`
	AmountMinor int64      `json:"amountMinor"`
	Paid        bool       `json:"paid"`
	OrderedAt   time.Time  `json:"orderedAt"`
	Promised    string     `json:"promised"` // 2006-01-02, the date promised today
	FirstDate   string     `json:"firstPromised"`
	ArrivedAt   *time.Time `json:"arrivedAt"`
	DaysLate    int        `json:"daysLate"` // at arrival, or at this moment while it is out; below zero is early
	Late        bool       `json:"late"`     // out past its day
	Parts       []string   `json:"parts"`
	Blocks      []string   `json:"blocks"` // open tasks that need its parts
}

func newOrders(v view, orders []*model.OrderLine) []orderJSON {
	out := make([]orderJSON, len(orders))
	for i, o := range orders {
		out[i] = orderJSON{
			Entry: o.ID.String(), Label: o.Label, What: o.What, Vendor: o.Vendor, AmountMinor: o.Cents, Paid: o.Paid, OrderedAt: o.At.Time(),
			Promised: o.PromiseAt, FirstDate: o.Promised, DaysLate: o.DaysLate, Late: o.Late(), Parts: list(o.Parts), Blocks: keys(o.Blocks),
		}
		if o.Arrived != nil {
			out[i].ArrivedAt = when(*o.Arrived)
		}
	}
	return out
}

// late says how an order stands against its promised day.
func (o orderJSON) late() string {
	days := func(n int) string { return fmt.Sprintf("%d %s", n, plural(n, "day", "days")) }
	switch {
	case o.Promised == "":
		return "no date"
	case o.ArrivedAt != nil && o.DaysLate > 0:
		return "came " + days(o.DaysLate) + " late"
	case o.ArrivedAt != nil:
		return "came in time"
	case o.DaysLate > 0:
		return days(o.DaysLate) + " late"
	}
	return "due " + o.Promised
}

type ordersJSON struct {
	head
	Orders []orderJSON `json:"orders"`
}

func (p *program) orders() *cobra.Command {
	c := &cobra.Command{
		Use: "orders [ORDER]", Short: "the orders: promised, come, late",
		Example: "  ampwright orders\n  ampwright orders O7\n  ampwright orders --out    not here yet", Args: atMost(1),
	}
	out := c.Flags().Bool("out", false, "only those that have not come")
	c.RunE = p.look(func(v view, args []string) error {
		orders := v.build.Orders
		if len(args) == 1 {
			o, err := v.build.OrderBy(args[0])
			if err != nil {
				return wrong("ampwright orders lists them", "%v", err)
			}
			orders = []*model.OrderLine{o}
		}
		body := ordersJSON{v.head("orders"), []orderJSON{}}
		for _, o := range newOrders(v, orders) {
			if !*out || o.ArrivedAt == nil {
				body.Orders = append(body.Orders, o)
			}
		}
		return p.answer(body, func(pg *page) {
			pg.line("%s", v.title())
			for _, o := range body.Orders {
				paid := "paid"
				if !o.Paid {
					paid = "not paid"
				}
				pg.row(o.Label, o.OrderedAt.Format(time.DateOnly), v.money(money.Amount(o.AmountMinor)), paid, o.late(), o.What, o.Vendor)
				if o.ArrivedAt == nil {
					pg.under("brings ", strings.Join(o.Parts, ", "))
					pg.under("", blocks(o.Blocks))
				}
			}
		})
	})
	return c
}
