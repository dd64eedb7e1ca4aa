package pages

import (
	"fmt"
	"strconv"
	"strings"

	"ampwright/calc/money"
)

// A moneyRule is the money on a rule of its own: filled as it is spent, hatched
// where it is promised away, a span for what the parts to buy may cost, and a
// stop where the ceiling is.
type moneyRule struct {
	Says                   string
	Net, CommitX, Commit   string
	SpanX, Span            string
	Ceiling                string
	CeilingText            ruleText
	Anchor                 string // of the ceiling's text
	Ticks                  string
	HasSpan, Past, HasHeld bool
}

const moneyWidth = 380

func (v *visit) moneyRule() *moneyRule {
	m := &v.b.Money
	net := max(m.Net, 0)
	end := max(m.Ceiling, net+m.Committed+m.ToBuyHigh)
	end += end / 20
	if end <= 0 {
		return nil
	}
	x := func(a money.Amount) float64 { return 1 + float64(a)/float64(end)*(moneyWidth-2) }
	wide := func(a money.Amount) string { return px(float64(a) / float64(end) * (moneyWidth - 2)) }
	r := &moneyRule{
		Net: wide(net), CommitX: px(x(net)), Commit: wide(m.Committed), SpanX: px(x(net + m.Committed + m.ToBuyLow)),
		Span: wide(m.ToBuyHigh - m.ToBuyLow), Ceiling: px(x(m.Ceiling)), HasSpan: m.ToBuyHigh > 0, HasHeld: m.Committed > 0,
		Past: net+m.Committed+m.ToBuyHigh > m.Ceiling, Anchor: "end",
	}
	r.CeilingText = ruleText{px(x(m.Ceiling) - 6), "10", "ceiling"}
	if x(m.Ceiling) < 80 {
		r.Anchor, r.CeilingText.X = "start", px(x(m.Ceiling)+6)
	}
	// A line at each round sum: the largest power of ten that leaves five lines or more.
	step := money.Amount(1)
	for step*10*5 <= end {
		step *= 10
	}
	var ticks strings.Builder
	for n := step; n < end; n += step {
		long := 5
		if (n/step)%5 == 0 {
			long = 9
		}
		fmt.Fprintf(&ticks, "M%s 22v-%d", px(x(n)), long)
	}
	r.Ticks = ticks.String()
	r.Says = "Of a ceiling of " + v.amount(m.Ceiling) + " " + v.amount(m.Net) + " is spent net; the parts still to buy take it to between " +
		v.amount(m.Net+m.Committed+m.ToBuyLow) + " and " + v.amount(m.Net+m.Committed+m.ToBuyHigh) + ". A short line is " + strconv.FormatInt(int64(step), 10) + " in the smallest coin."
	return r
}
