package pages

import (
	"fmt"

	"ampwright/calc/money"
)

// hoursLeft is the plain rule's answer with what it stands on.
type hoursLeft struct {
	Paced, Unscaled, Pace, Actual, Estimate string
	Finished, Open                          string
	Few                                     bool // too few tasks are finished to speak of a pace
	None                                    bool
}

type moneyLeft struct {
	Currency                          string
	Ceiling, Net, Left, Committed     string
	ToBuy, ToBuyLow, ToBuyHigh        string
	Says                              string
	Risk                              stamp
	Over                              bool
	Rule                              *moneyRule
	Purchases, Orders, Refunds, Gross string
	Sales, Fees, SalesNet, Recovery   string
	MinusRefunds, MinusFees, MinusNet string
	MinusCommitted                    string
	HasCeiling, HasToBuy              bool
}

func (v *visit) hoursLeft() hoursLeft {
	h := &v.b.Hours
	open := 0
	for _, s := range h.Stages {
		open += s.Open
	}
	f := h.Forecast
	return hoursLeft{
		Paced: v.decimals(f.Left, 2), Unscaled: v.decimals(f.Unscaled, 2), Pace: v.decimals(f.Pace, 3), Actual: v.decimals(f.Actual, 1),
		Estimate: v.decimals(f.Estimate, 2), Finished: count(h.Finished, "finished task", "finished tasks"),
		Open: count(open, "open task", "open tasks"), Few: h.Finished < 5, None: open == 0,
	}
}

func (v *visit) moneyLeft() moneyLeft {
	m := &v.b.Money
	s := moneyLeft{
		Currency: m.Currency, Ceiling: v.amount(m.Ceiling), Net: v.amount(m.Net), Left: v.amount(m.Left), Committed: v.amount(m.Committed),
		ToBuy: count(len(m.ToBuy), "part", "parts"), ToBuyLow: v.amount(m.ToBuyLow), ToBuyHigh: v.amount(m.ToBuyHigh),
		Purchases: v.amount(m.Purchases), Orders: v.amount(m.Orders), Refunds: v.amount(m.Refunds), Gross: v.amount(m.Gross),
		Sales: v.amount(m.Sales), Fees: v.amount(m.Fees), SalesNet: v.amount(m.SalesNet), Recovery: v.decimals(m.Recovery()*100, 1) + " %",
		HasCeiling: m.Ceiling > 0, HasToBuy: len(m.ToBuy) > 0, MinusRefunds: v.amount(-m.Refunds),
		MinusFees: v.amount(-m.Fees), MinusNet: v.amount(-m.Net), MinusCommitted: v.amount(-m.Committed),
	}
	if m.Ceiling > 0 {
		s.Says, s.Over = v.ceilingSays(m.Left-m.ToBuyHigh, m.Left-m.ToBuyLow)
		s.Rule = v.moneyRule()
	}
	if s.Over {
		s.Risk = stamp{"AT RISK", "stale"}
	}
	if m.Ceiling > 0 && m.Left < m.ToBuyLow {
		s.Risk = stamp{"OVER", "out"}
	}
	return s
}

// ceilingSays tells in plain words how the ceiling stands when the parts still
// to buy cost the most and the least.
func (v *visit) ceilingSays(worst, best money.Amount) (says string, risk bool) {
	switch {
	case best < 0:
		return fmt.Sprintf("even at the lowest prices the ceiling is passed by %s", v.amount(-best)), true
	case worst < 0:
		return fmt.Sprintf("the ceiling is at risk: at the lowest prices %s stays, at the highest %s is missing", v.amount(best), v.amount(-worst)), true
	case worst == best:
		return fmt.Sprintf("%s stays under the ceiling", v.amount(best)), false
	}
	return fmt.Sprintf("at the highest prices %s stays under the ceiling, at the lowest %s", v.amount(worst), v.amount(best)), false
}
