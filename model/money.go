package model

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/money"
)

// A PartState is where a part is.
type PartState string

const (
	PartWanted  PartState = "wanted"
	PartOrdered PartState = "ordered"
	PartHere    PartState = "here"
	PartFitted  PartState = "fitted"
	PartSold    PartState = "sold"
	PartNo      PartState = "not needed"
)

// A Part is a line of the bill of materials.
type Part struct {
	PlanPart
	Task  *Task
	State PartState
	Order *OrderLine // the order that brings or brought it
	Added bool
}

// Low and High are the price range for all of its quantity.
func (p *Part) Low() money.Amount  { return money.Amount(p.PriceLow * int64(p.Qty)) }
func (p *Part) High() money.Amount { return money.Amount(p.PriceHigh * int64(p.Qty)) }

// Quantity returns how many of a part this sheet asks for, a part of one counted
// whole: the part's own number where that follows no value, or the value is none.
func (s *Spec) Quantity(p *PlanPart) int {
	const most = 1_000_000 // keeps sums of prices exact
	v := s.Get(p.QtyOf)
	if v == nil || v.Err != "" {
		return p.Qty
	}
	return int(math.Ceil(min(max(v.Value, 0), most)))
}

// PartsCost returns the price range of all parts the build needs, bought or not,
// in the numbers that a sheet asks for.
func (b *Build) PartsCost(s *Spec) (low, high money.Amount) {
	for _, p := range b.Parts {
		if p.State != PartNo {
			n := int64(s.Quantity(&p.PlanPart))
			low += money.Amount(n * p.PriceLow)
			high += money.Amount(n * p.PriceHigh)
		}
	}
	return low, high
}

// An OrderLine is an order with what became of it.
type OrderLine struct {
	Fact
	Order
	Arrived   *When
	PromiseAt string // the date promised today; Order.Promised is the first one
	DaysLate  int    // at arrival, or today while it is out; below zero is early
	Paid      bool
	Blocks    []*Task // open tasks that need its parts
	Early     []*Check
}

// Late reports whether the order is out past its promised day.
func (o *OrderLine) Late() bool { return o.Arrived == nil && o.DaysLate > 0 }

// A MoneySheet is the money of a build, minor units of one currency.
// Net = purchases + paid orders - refunds - net sales; Left = Ceiling - Net -
// Committed.
type MoneySheet struct {
	Currency              string
	Ceiling               money.Amount
	Purchases, Orders     money.Amount // Orders: paid ones
	Refunds, Gross        money.Amount // Gross = purchases + paid orders - refunds
	Sales, Fees, SalesNet money.Amount // Fees: fees and post
	Net, Committed, Left  money.Amount
	ToBuy                 []*Part // wanted by open tasks
	ToBuyLow, ToBuyHigh   money.Amount
	Lines                 []*MoneyLine // oldest first
	Stages                []StageMoney
	Doubles               [][2]*MoneyLine // suspected: same amount, same thing, within two weeks
	SaleMinutes           int64           // hours logged on tasks that brought sales
}

// Recovery is net sales over gross spend, 0 to 1.
func (m *MoneySheet) Recovery() float64 {
	if m.Gross <= 0 {
		return 0
	}
	return float64(m.SalesNet) / float64(m.Gross)
}

// StageMoney is one stage's line.
type StageMoney struct {
	Stage            *Stage
	Spent, Sold, Net money.Amount
}

// A MoneyLine is one movement of money.
type MoneyLine struct {
	Fact
	At      When
	Kind    string // "purchase", "order", "refund", "sale"
	What    string
	Amount  money.Amount // as paid or got, above zero
	Net     money.Amount // effect on net spend
	Task    *Task
	Part    string
	With    string // vendor or buyer
	Receipt string
	Photo   []byte // SHA-256 of the receipt's photo
	Unpaid  bool
}

func (b *Build) makeParts(plan *Plan, led *ledger) {
	add := func(p PlanPart, t *Task, added bool) {
		if t == nil || b.part[p.ID] != nil {
			return
		}
		p.Qty = b.Spec.Quantity(&p)
		part := &Part{PlanPart: p, Task: t, State: PartWanted, Added: added}
		if low, high, ok := strings.Cut(b.regs.text("part", p.ID, "price", ""), "/"); ok {
			l, err1 := strconv.ParseInt(low, 10, 64)
			h, err2 := strconv.ParseInt(high, 10, 64)
			if err1 == nil && err2 == nil {
				part.PriceLow, part.PriceHigh = l, h
			}
		}
		if low, high, ok := strings.Cut(b.regs.text("part", p.ID, "lead", ""), "/"); ok {
			l, err1 := strconv.Atoi(low)
			h, err2 := strconv.Atoi(high)
			if err1 == nil && err2 == nil && 0 <= l && l <= h {
				part.LeadLow, part.LeadHigh = l, h
			}
		}
		if t.State == NotNeeded {
			part.State = PartNo
		}
		b.part[p.ID] = part
		b.Parts = append(b.Parts, part)
		t.Parts = append(t.Parts, part)
	}
	for _, t := range b.Tasks {
		for _, p := range t.PlanTask.Parts {
			add(p, t, false)
		}
		for _, a := range led.parts {
			if a.body.Task == t.ID {
				add(PlanPart{
					ID: a.body.Key, Title: a.body.Title, Unit: "pc", Qty: int(max(a.body.Qty, 1)), PriceLow: a.body.Low, PriceHigh: a.body.High,
					LeadLow: int(a.body.LeadLow), LeadHigh: int(a.body.LeadHi),
				}, t, true)
			}
		}
	}
	arrived := map[ID]When{}
	for _, a := range led.arrivals {
		if of := b.rows.standing(a.body.Order); arrived[of].IsZero() {
			arrived[of] = a.body.At
		}
	}
	for _, o := range led.orders {
		line := &OrderLine{Fact: b.log.fact(b.own, o.n), Order: o.body, PromiseAt: o.body.Promised, Paid: !o.body.Unpaid}
		for _, id := range slices.Concat(b.rows.again[line.ID], []ID{line.ID}) {
			line.PromiseAt = b.regs.text("order", id.String(), "promised", line.PromiseAt)
			line.Paid = line.Paid || b.regs.text("order", id.String(), "paid", "") == "yes"
		}
		day := b.Now
		if at, ok := arrived[line.ID]; ok {
			line.Arrived = &at
			day = at.Time()
		}
		if due, err := time.Parse(time.DateOnly, line.PromiseAt); err == nil {
			y, m, d := day.Date()
			line.DaysLate = int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Sub(due).Hours() / 24)
		}
		for _, id := range o.body.Parts {
			p := b.part[id]
			if p == nil {
				continue
			}
			p.Order = line
			if line.Arrived != nil {
				p.State = PartHere
			} else if p.State != PartHere {
				p.State = PartOrdered
			}
			if line.Arrived == nil && p.Task.Open() && !slices.Contains(line.Blocks, p.Task) {
				line.Blocks = append(line.Blocks, p.Task)
			}
		}
		b.Orders = append(b.Orders, line)
	}
	for _, p := range led.purchases {
		if part := b.part[p.body.Part]; part != nil {
			part.State = PartHere
		}
	}
	for _, s := range led.sales {
		if part := b.part[s.body.Part]; part != nil {
			part.State = PartSold
		}
	}
	for _, p := range b.Parts {
		switch s := PartState(b.regs.text("part", p.ID, "state", "")); s {
		case PartWanted, PartHere, PartFitted, PartSold, PartNo:
			p.State = s
		}
	}
}

func (b *Build) makeMoney(led *ledger) {
	m := &b.Money
	byStage := map[*Stage]*StageMoney{}
	other := &StageMoney{}
	stage := func(t *Task) *StageMoney {
		if t == nil {
			return other
		}
		if byStage[t.Stage] == nil {
			byStage[t.Stage] = &StageMoney{Stage: t.Stage}
		}
		return byStage[t.Stage]
	}
	for _, p := range led.purchases {
		a := money.Amount(p.body.Cents)
		t := b.task[p.body.Task]
		m.Purchases += a
		stage(t).Spent += a
		m.Lines = append(m.Lines, &MoneyLine{
			Fact: b.log.fact(b.own, p.n), At: p.body.At, Kind: "purchase", What: p.body.What, Amount: a, Net: a, Task: t,
			Part: p.body.Part, With: p.body.Vendor, Receipt: p.body.Receipt, Photo: p.body.Photo,
		})
	}
	ofTask := map[ID]*Task{}
	for _, l := range m.Lines {
		ofTask[l.ID] = l.Task
	}
	for _, o := range b.Orders {
		a := money.Amount(o.Cents)
		t := b.task[o.Task]
		ofTask[o.ID] = t
		line := &MoneyLine{
			Fact: o.Fact, At: o.At, Kind: "order", What: o.What, Amount: a, Net: a, Task: t, With: o.Vendor, Unpaid: !o.Paid,
		}
		if o.Paid {
			m.Orders += a
			stage(t).Spent += a
		} else {
			m.Committed += a
			line.Net = 0
		}
		m.Lines = append(m.Lines, line)
	}
	for _, r := range led.refunds {
		a := money.Amount(r.body.Cents)
		t := ofTask[b.rows.standing(r.body.Of)]
		m.Refunds += a
		stage(t).Spent -= a
		m.Lines = append(m.Lines, &MoneyLine{
			Fact: b.log.fact(b.own, r.n), At: r.body.At, Kind: "refund", What: r.body.What, Amount: a, Net: -a, Task: t,
		})
	}
	sold := map[*Task]bool{}
	for _, s := range led.sales {
		a, cost := money.Amount(s.body.Cents), money.Amount(s.body.Fee+s.body.Post)
		t := b.task[s.body.Task]
		if t != nil && !sold[t] {
			sold[t] = true
			m.SaleMinutes += t.Logged
		}
		m.Sales += a
		m.Fees += cost
		stage(t).Sold += a - cost
		m.Lines = append(m.Lines, &MoneyLine{
			Fact: b.log.fact(b.own, s.n), At: s.body.At, Kind: "sale", What: s.body.What, Amount: a, Net: cost - a, Task: t,
			Part: s.body.Part, With: s.body.Buyer,
		})
	}
	m.SalesNet = m.Sales - m.Fees
	m.Gross = m.Purchases + m.Orders - m.Refunds
	m.Net = m.Gross - m.SalesNet
	m.Left = m.Ceiling - m.Net - m.Committed
	slices.SortStableFunc(m.Lines, func(x, y *MoneyLine) int { return int(min(max(x.At.Unix-y.At.Unix, -1), 1)) })
	for _, st := range b.Stages {
		if s := byStage[st]; s != nil {
			s.Net = s.Spent - s.Sold
			m.Stages = append(m.Stages, *s)
		}
	}
	if *other != (StageMoney{}) {
		other.Net = other.Spent - other.Sold
		m.Stages = append(m.Stages, *other)
	}
	for _, p := range b.Parts {
		if p.State == PartWanted && p.Task.Open() {
			m.ToBuy = append(m.ToBuy, p)
			m.ToBuyLow += p.Low()
			m.ToBuyHigh += p.High()
		}
	}
	const fortnight = 14 * 86400
	for i, x := range m.Lines {
		for _, y := range m.Lines[i+1:] {
			if y.At.Unix-x.At.Unix > fortnight {
				break
			}
			same := x.Part != "" && x.Part == y.Part || strings.EqualFold(x.What, y.What)
			if x.Kind == y.Kind && x.Amount == y.Amount && same {
				m.Doubles = append(m.Doubles, [2]*MoneyLine{x, y})
			}
		}
	}
}

// LateOrders returns the orders that are out past their promised day.
func (b *Build) LateOrders() []*OrderLine {
	var late []*OrderLine
	for _, o := range b.Orders {
		if o.Late() {
			late = append(late, o)
		}
	}
	return late
}

// OrderBy finds an order by its label or by the start of its name.
func (b *Build) OrderBy(text string) (*OrderLine, error) {
	var found *OrderLine
	for _, o := range b.Orders {
		if strings.EqualFold(o.Label, text) || len(text) >= 4 && strings.HasPrefix(o.ID.String(), strings.ToLower(text)) {
			if found != nil {
				return nil, fmt.Errorf("order %q: more than one is called that; give the first letters of its name (%s or %s)", text, found.ID.Short(), o.ID.Short())
			}
			found = o
		}
	}
	if found == nil {
		return nil, fmt.Errorf("order %q is not in this build; there are %s", text, b.orderLabels())
	}
	return found, nil
}

func (b *Build) orderLabels() string {
	if len(b.Orders) == 0 {
		return "none yet"
	}
	var labels []string
	for _, o := range b.Orders {
		labels = append(labels, o.Label)
	}
	return strings.Join(labels, ", ")
}
