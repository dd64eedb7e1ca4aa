package main

import (
	"strconv"
	"strings"

	"ampwright/calc/money"
	"ampwright/model"

	"github.com/spf13/cobra"
)

// partJSON is a part in an answer.
type partJSON struct {
	Key        string   `json:"key"`
	Title      string   `json:"title"`
	Task       string   `json:"task"`
	State      string   `json:"state"` // wanted, ordered, here, fitted, sold, not needed
	Quantity   int      `json:"quantity"`
	Unit       string   `json:"unit"`
	LowMinor   int64    `json:"lowMinor"` // price range for all of it
	HighMinor  int64    `json:"highMinor"`
	LeadLow    int      `json:"leadLowDays"`
	LeadHigh   int      `json:"leadHighDays"`
	Order      string   `json:"order"`      // label of the order that brings or brought it
	OrderAfter []string `json:"orderAfter"` // holds to be passed before it is ordered, not cleared yet
}

func newParts(parts []*model.Part) []partJSON {
	out := make([]partJSON, len(parts))
	for i, p := range parts {
		out[i] = partJSON{
			Key: p.ID, Title: p.Title, Task: p.Task.ID, State: string(p.State), Quantity: p.Qty, Unit: p.Unit,
			LowMinor: int64(p.Low()), HighMinor: int64(p.High()), LeadLow: p.LeadLow, LeadHigh: p.LeadHigh, OrderAfter: []string{},
		}
		if p.Order != nil {
			out[i].Order = p.Order.Label
		}
	}
	return out
}

type partsJSON struct {
	head
	Parts     []partJSON `json:"parts"`
	LowMinor  int64      `json:"lowMinor"`
	HighMinor int64      `json:"highMinor"`
}

func (p *program) parts() *cobra.Command {
	c := &cobra.Command{
		Use: "parts [PART]", Short: "the bill of materials: where each part is, what it costs",
		Example: "  ampwright parts\n  ampwright parts --wanted     what is still to buy\n  ampwright parts contactor", Args: atMost(1),
	}
	wanted := c.Flags().Bool("wanted", false, "only what open tasks need and nobody has ordered")
	c.RunE = p.look(func(v view, args []string) error {
		parts := v.build.Parts
		switch {
		case len(args) == 1:
			part := v.build.Part(strings.ToLower(args[0]))
			if part == nil {
				var keys []string
				for _, p := range parts {
					keys = append(keys, p.ID)
				}
				return unknownKey("part", args[0], "ampwright parts lists them", keys)
			}
			parts = []*model.Part{part}
		case *wanted:
			parts = v.build.Money.ToBuy
		}
		body := partsJSON{head: v.head("parts"), Parts: newParts(parts)}
		for i, part := range parts {
			body.LowMinor += int64(part.Low())
			body.HighMinor += int64(part.High())
			for _, key := range part.OrderAfter {
				if c := v.build.Check(key); c != nil && !c.Cleared() {
					body.Parts[i].OrderAfter = append(body.Parts[i].OrderAfter, key)
				}
			}
		}
		return p.answer(body, func(pg *page) {
			pg.line("%s", v.title())
			for _, part := range body.Parts {
				v.partRow(pg, part)
			}
			if *wanted {
				pg.head("%d %s, %s", len(parts), plural(len(parts), "part", "parts"), v.priceRange(body.LowMinor, body.HighMinor))
			}
		})
	})
	return c
}

func (v view) partRow(pg *page, p partJSON) {
	state := p.State
	if p.Order != "" && p.State == string(model.PartOrdered) {
		state += " " + p.Order
	}
	quantity := strconv.Itoa(p.Quantity) + " " + p.Unit
	pg.row(p.Key, p.Task, state, quantity, v.priceRange(p.LowMinor, p.HighMinor), p.Title)
	if len(p.OrderAfter) > 0 && p.State == string(model.PartWanted) {
		pg.under("order it only after ", strings.Join(p.OrderAfter, ", "))
	}
}

func (v view) priceRange(low, high int64) string {
	if low == high {
		return v.money(money.Amount(low))
	}
	return v.money(money.Amount(low)) + " to " + money.Amount(high).Format(v.build.Currency, v.style.Mark)
}
