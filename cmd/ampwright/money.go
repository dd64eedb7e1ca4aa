package main

import (
	"time"

	"ampwright/calc/money"

	"github.com/spf13/cobra"
)

type moneyJSON struct {
	head
	Totals  moneyTotals  `json:"totals"`
	Stages  []stageMoney `json:"stages"`
	Lines   []moneyLine  `json:"lines"`   // oldest first
	Doubles [][2]string  `json:"doubles"` // entries that look like one thing paid twice
}

type stageMoney struct {
	Stage string `json:"stage"` // "" for what belongs to no task
	Spent int64  `json:"spentMinor"`
	Sold  int64  `json:"soldMinor"`
	Net   int64  `json:"netMinor"`
}

type moneyLine struct {
	Entry   string    `json:"entry"`
	At      time.Time `json:"at"`
	Kind    string    `json:"kind"` // purchase, order, refund, sale
	What    string    `json:"what"`
	Amount  int64     `json:"amountMinor"` // as paid or got, above zero
	Net     int64     `json:"netMinor"`    // effect on the net spend
	Task    string    `json:"task"`
	Part    string    `json:"part"`
	With    string    `json:"with"` // vendor or buyer
	Receipt string    `json:"receipt"`
	Unpaid  bool      `json:"unpaid"`
}

func (p *program) money() *cobra.Command {
	c := &cobra.Command{
		Use: "money", Short: "what was spent and got, by stage; what is left",
		Example: "  ampwright money\n  ampwright money --lines      every purchase, order, refund and sale", Args: atMost(0),
	}
	all := c.Flags().Bool("lines", false, "show every movement of money too")
	c.RunE = p.look(func(v view, _ []string) error {
		body := newMoney(v)
		return p.answer(body, func(pg *page) { body.words(v, pg, *all) })
	})
	return c
}

func newMoney(v view) moneyJSON {
	m := v.build.Money
	body := moneyJSON{head: v.head("money"), Totals: newTotals(m), Stages: []stageMoney{}, Lines: []moneyLine{}, Doubles: [][2]string{}}
	for _, s := range m.Stages {
		line := stageMoney{Spent: int64(s.Spent), Sold: int64(s.Sold), Net: int64(s.Net)}
		if s.Stage != nil {
			line.Stage = s.Stage.ID
		}
		body.Stages = append(body.Stages, line)
	}
	for _, l := range m.Lines {
		line := moneyLine{
			Entry: l.ID.String(), At: l.At.Time(), Kind: l.Kind, What: l.What, Amount: int64(l.Amount), Net: int64(l.Net), Part: l.Part, With: l.With,
			Receipt: l.Receipt, Unpaid: l.Unpaid,
		}
		if l.Task != nil {
			line.Task = l.Task.ID
		}
		body.Lines = append(body.Lines, line)
	}
	for _, d := range m.Doubles {
		body.Doubles = append(body.Doubles, [2]string{d[0].ID.String(), d[1].ID.String()})
	}
	return body
}

func (m moneyJSON) words(v view, pg *page, all bool) {
	pg.line("%s", v.title())
	m.Totals.words(v, pg)
	section(pg, "by stage", len(m.Stages))
	if len(m.Stages) > 0 {
		pg.row("stage", "spent", "sold", "net")
	}
	for _, s := range m.Stages {
		key := s.Stage
		if key == "" {
			key = "-"
		}
		pg.row(key, v.money(money.Amount(s.Spent)), v.money(money.Amount(s.Sold)), v.money(money.Amount(s.Net)))
	}
	if all {
		section(pg, "lines", len(m.Lines))
		for _, l := range m.Lines {
			pg.row(l.Entry[:8], l.At.Format(time.DateOnly), l.Kind, v.money(money.Amount(l.Amount)), l.Task, l.What, l.With)
		}
	}
	section(pg, "paid twice?", len(m.Doubles))
	for _, d := range m.Doubles {
		pg.row(d[0][:8]+" and "+d[1][:8], "ampwright log "+d[1][:8]+" shows it, ampwright strike "+d[1][:8]+" strikes it out")
	}
}
