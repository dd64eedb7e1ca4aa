package ahead

import (
	"encoding/binary"
	"maps"
	"slices"
	"strings"
	"time"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/forecast/spend"
	"ampwright/calc/money"
	"ampwright/model"
)

// A state is what a forecast rests on, as plain figures taken from a build: so
// one cause at a time can be changed in it.
type state struct {
	today int // days since 1970 in the garage's zone
	seed  uint64
	tasks map[string]task
	order []string // their keys, in plan order
	marks []day.Mark
	past  [][]forecast.Work

	parts    map[string]day.Part
	late     []int
	sessions []day.Session
	planned  int
	away     []day.Span
	shared   []day.Resource

	purse spend.Purse // all but Along
}

// A task is one that is needed.
type task struct {
	forecast.Work
	stage   string
	stint   int
	wait    day.Hours3 // unattended, after its work
	resting bool       // finished, and its wait runs
	after   []string
	parts   []string
	needs   []string
	retest  float64
}

// stateOf takes a build's state. past are finished builds of the same garage.
func stateOf(b *model.Build, past []*model.Build) state {
	s := state{
		today: dayOf(b.Now), seed: binary.BigEndian.Uint64(b.ID[:8]) ^ binary.BigEndian.Uint64(b.ID[8:]),
		tasks: map[string]task{}, parts: map[string]day.Part{}, planned: int(b.Week),
	}
	for _, p := range past {
		s.past = append(s.past, works(p))
	}
	retest := retests(b)
	shared := map[string]bool{}
	for _, r := range b.Shared {
		res := day.Resource{ID: r.Name, Weekdays: r.Weekdays}
		for _, d := range r.Days {
			res.Days = append(res.Days, day.Span{From: dayOf(d.From), To: dayOf(d.Until)})
		}
		s.shared = append(s.shared, res)
		shared[r.Name] = true
	}
	for _, t := range b.Tasks {
		if t.State == model.NotNeeded {
			continue
		}
		k := task{Work: work(t), stage: t.Stage.ID, stint: min(t.MinBlock, 24*60), wait: day.Hours3(t.Wait)}
		for _, a := range t.Before {
			k.after = append(k.after, a.ID)
		}
		if !t.RestUntil.IsZero() {
			left := t.RestUntil.Sub(b.Now).Hours()
			k.resting, k.wait = true, day.Hours3{Low: min(left, max(0, left+t.Wait.Low-t.Wait.Likely)), Likely: left, High: left + t.Wait.High - t.Wait.Likely}
		}
		if t.Open() {
			for _, p := range t.Parts {
				if part, ok := s.part(p); ok {
					s.parts[p.ID] = part
					k.parts = append(k.parts, p.ID)
				}
			}
			if t.WantsSecond() && shared[model.SecondPerson] {
				k.needs = append(k.needs, model.SecondPerson)
			}
			for _, tool := range t.Tools {
				if name := strings.ToLower(tool); shared[name] {
					k.needs = append(k.needs, name)
				}
			}
			if slices.ContainsFunc(t.Checks, func(c *model.Check) bool { return c.Hold() && c.Applies && !c.Cleared() }) {
				k.retest = retest
			}
		}
		s.tasks[t.ID] = k
		s.order = append(s.order, t.ID)
	}
	for _, m := range b.Marks {
		mark := day.Mark{ID: m.ID}
		for _, t := range m.Open {
			mark.Tasks = append(mark.Tasks, t.ID)
		}
		s.marks = append(s.marks, mark)
	}
	s.readWork(b)
	s.readMoney(b)
	return s
}

// work is a task as the forecast of hours sees it.
func work(t *model.Task) forecast.Work {
	return forecast.Work{
		Name: t.ID, Low: t.Estimate.Low, Likely: t.Estimate.Likely, High: t.Estimate.High,
		Logged: float64(t.Logged) / 60, Rework: float64(t.Rework) / 60, Done: t.State == model.Finished, Found: t.Added,
	}
}

func works(b *model.Build) []forecast.Work {
	var list []forecast.Work
	for _, t := range b.Tasks {
		if t.State != model.NotNeeded {
			list = append(list, work(t))
		}
	}
	return list
}

// part is a part as the simulation of days sees it, unless it is not waited for.
func (s *state) part(p *model.Part) (day.Part, bool) {
	part := day.Part{ID: p.ID, Low: p.LeadLow, High: max(p.LeadLow, p.LeadHigh)}
	switch p.State {
	case model.PartWanted:
	case model.PartOrdered:
		part.Ordered = dayOf(p.Order.At.Time())
		if due, err := time.Parse(time.DateOnly, p.Order.PromiseAt); err == nil {
			part.Promised = dayOf(due)
		}
	default:
		return day.Part{}, false
	}
	return part, true
}

// retests is the chance that a hold point stays shut at its first try: this
// build's own share of first readings out of limits, drawn towards one in ten as
// if ten had been seen (common practice, no published source).
func retests(b *model.Build) float64 {
	seen, out := 10.0, 1.0
	for _, c := range b.Checks {
		if c.Hold() && len(c.Readings) > 0 {
			seen++
			if c.Readings[0].Measured == model.Out {
				out++
			}
		}
	}
	return out / seen
}

// readWork takes the sessions that were really worked, and days off.
func (s *state) readWork(b *model.Build) {
	minutes := map[int]int64{}
	for _, w := range b.Hours.Work {
		if d := dayOf(w.At.Time()); d <= s.today {
			minutes[d] += w.Minutes
		}
	}
	for _, d := range slices.Sorted(maps.Keys(minutes)) {
		s.sessions = append(s.sessions, day.Session{Day: d, Minutes: int(min(minutes[d], 24*60))}) // two people, or a clock forgotten
	}
	for _, a := range b.Away {
		s.away = append(s.away, day.Span{From: dayOf(a.From), To: dayOf(a.Until)})
	}
	for _, o := range b.Orders {
		if o.Arrived != nil && o.PromiseAt != "" {
			s.late = append(s.late, o.DaysLate)
		}
	}
}

// readMoney takes what was paid and what is still to be bought and sold.
func (s *state) readMoney(b *model.Build) {
	m := &b.Money
	s.purse = spend.Purse{
		Ceiling: m.Ceiling, Paid: m.Purchases + m.Orders, Refunded: m.Refunds, Sales: m.Sales, Fees: m.Fees, Committed: m.Committed,
	}
	item := func(p *model.Part) spend.Item { return spend.Item{Name: p.ID, Low: p.Low(), High: p.High()} }
	for _, p := range m.ToBuy {
		s.purse.ToBuy = append(s.purse.ToBuy, item(p))
	}
	for _, o := range b.Orders {
		d := spend.Deal{Price: money.Amount(o.Cents)}
		for _, id := range o.Parts {
			if p := b.Part(id); p != nil && !p.Added && p.PriceHigh > 0 {
				d.Items = append(d.Items, item(p))
			}
		}
		s.pay(d)
	}
	for _, l := range m.Lines {
		if l.Kind != "purchase" {
			continue
		}
		d := spend.Deal{Price: l.Amount}
		if p := b.Part(l.Part); p != nil && !p.Added && p.PriceHigh > 0 {
			d.Items = append(d.Items, item(p))
		}
		s.pay(d)
	}
	for _, f := range b.ForSale {
		i := spend.Item{Name: f.What, Low: f.Low, High: f.High}
		if len(f.Sold) == 0 {
			s.purse.ToSell = append(s.purse.ToSell, i)
			continue
		}
		d := spend.Deal{Items: []spend.Item{i}}
		for _, l := range f.Sold {
			d.Price += l.Amount
		}
		s.purse.Sold = append(s.purse.Sold, d)
	}
}

func (s *state) pay(d spend.Deal) {
	if len(d.Items) == 0 {
		s.purse.Unlisted += d.Price
		return
	}
	s.purse.Bought = append(s.purse.Bought, d)
}

// dayOf numbers the day of t in t's own zone from 1970-01-01.
func dayOf(t time.Time) int {
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// Day is the midnight, in UTC, of a day so numbered.
func Day(n int) time.Time { return time.Unix(int64(n)*86400, 0).UTC() }
