package model

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// A FindingKind is a kind of thing the fold raises.
type FindingKind string

const (
	FindingOut       FindingKind = "out of limits"
	FindingUnchecked FindingKind = "finished unchecked"
	FindingEarly     FindingKind = "begun out of order"
	FindingOrdered   FindingKind = "ordered past a hold"
	FindingPastHold  FindingKind = "work past a hold"
	FindingGate      FindingKind = "read before its gate"
	FindingOverlap   FindingKind = "clocks overlap"
	FindingForgotten FindingKind = "clock left running"
	FindingClash     FindingKind = "written apart"
	FindingNoSpare   FindingKind = "no spare left"
	FindingParked    FindingKind = "order left out"
	FindingHeld      FindingKind = "held back"
	FindingForked    FindingKind = "device duplicated"
	FindingClock     FindingKind = "clock off"
	FindingRow       FindingKind = "brought in apart"
	FindingUnsigned  FindingKind = "not signed"
)

// A Finding is what the fold raises about entries that break a rule. Nothing is
// refused after the fact: a person closes the finding with a disposition, or the
// work that mends it does.
type Finding struct {
	Key   string // the same on every replica
	Kind  FindingKind
	Task  *Task
	Check *Check
	Order *OrderLine
	Held  []ID // entries that are held back, oldest first
	Text  string
	At    When
	Open  bool
	NCR   *NCR   // the nonconformance that took it up
	Ended string // why it is no longer open
}

// Nonconformance reports whether the finding is one, not a mere question.
func (f *Finding) Nonconformance() bool {
	switch f.Kind {
	case FindingOut, FindingUnchecked, FindingEarly, FindingOrdered, FindingPastHold, FindingGate:
		return true
	}
	return false
}

// An NCR is a nonconformance a person raised.
type NCR struct {
	Fact
	Nonconformance
	Closed *CloseLine
}

// A CloseLine says who closed something, and with what.
type CloseLine struct {
	Fact
	Close
}

// A PunchItem is an open item with its end.
type PunchItem struct {
	Fact
	Punch
	Closed *CloseLine
}

func (b *Build) makeFindings(led *ledger) {
	ofID, ofKey := map[ID]*CloseLine{}, map[string]*CloseLine{}
	for _, c := range led.closes {
		line := &CloseLine{b.log.fact(b.own, c.n), c.body}
		if c.body.Finding != "" && ofKey[c.body.Finding] == nil {
			ofKey[c.body.Finding] = line
		} else if ofID[c.body.Of] == nil {
			ofID[c.body.Of] = line
		}
	}
	taken := map[string]*NCR{}
	for _, n := range led.ncrs {
		ncr := &NCR{Fact: b.log.fact(b.own, n.n), Nonconformance: n.body}
		ncr.Closed = ofID[ncr.ID]
		b.NCRs = append(b.NCRs, ncr)
		if ncr.Finding != "" {
			taken[ncr.Finding] = ncr
		}
	}
	for _, p := range led.punches {
		item := &PunchItem{Fact: b.log.fact(b.own, p.n), Punch: p.body}
		item.Closed = ofID[item.ID]
		b.Punches = append(b.Punches, item)
	}

	b.findReadings()
	b.findUnchecked()
	b.findOrder()
	b.findOrders()
	b.findClocks()
	b.findClashes()
	b.findDevices()
	b.findRows()
	b.findMoves()
	b.findUnsigned()

	for _, f := range b.Findings {
		if f.NCR == nil {
			f.NCR = taken[f.Key]
		}
		switch c := ofKey[f.Key]; {
		case c != nil:
			f.Open, f.Ended = false, "closed by "+c.Person+": "+c.Disposition
		case f.NCR != nil && f.NCR.Closed != nil:
			f.Open, f.Ended = false, "closed with "+f.NCR.Label+": "+f.NCR.Closed.Evidence
		}
	}
	slices.SortStableFunc(b.Findings, func(x, y *Finding) int {
		if x.Open != y.Open {
			if x.Open {
				return -1
			}
			return 1
		}
		return int(min(max(x.At.Unix-y.At.Unix, -1), 1))
	})
}

func (b *Build) raise(f *Finding) { b.Findings = append(b.Findings, f) }

// findReadings raises readings out of limits, readings taken before what they
// stand on, and sorting checks that used up the last spare.
func (b *Build) findReadings() {
	st := b.Settings.Style()
	for _, c := range b.Checks {
		for i, r := range c.Readings {
			if r.Measured == Out && c.Applies {
				f := &Finding{
					Key: "out:" + c.ID + ":" + r.ID.String(), Kind: FindingOut, Task: c.Task, Check: c, At: r.At, Open: true,
					Text: fmt.Sprintf("%s: %s, limit %s", c.Title, c.ValueText(r, st), c.LimitText(st)),
				}
				if r.Kept {
					f.Text += ", when it was taken " + r.Limit
				}
				if c.Kind != Measurement {
					f.Text = c.Title + ": answered " + c.ValueText(r, st)
				}
				next := int64(math.MaxInt64)
				for _, later := range c.Readings[i+1:] {
					if later.Measured == Within {
						f.Open, f.Ended = false, "retest "+c.ValueText(later, st)
						next = later.At.Unix
						break
					}
				}
				for _, n := range b.NCRs {
					if n.Check == c.ID && n.At.Unix >= r.At.Unix && n.At.Unix < next {
						f.NCR = n
						break
					}
				}
				b.raise(f)
			}
			for _, g := range c.gates {
				if !r.Derived && !b.clearedAt(g, r.At.Unix) {
					b.raise(&Finding{
						Key: "gate:" + r.ID.String() + ":" + g.ID, Kind: FindingGate, Task: c.Task, Check: c, At: r.At, Open: true,
						Text: fmt.Sprintf("%s was read before %q was current and within limits", c.Title, g.Title),
					})
				}
			}
		}
		if r := c.Current; r != nil && c.Need > 0 && r.Good == c.Need {
			b.raise(&Finding{
				Key: "no-spare:" + c.ID, Kind: FindingNoSpare, Task: c.Task, Check: c, At: r.At, Open: true,
				Text: fmt.Sprintf("%s: %d good of %d and %d needed: no spare left", c.Title, r.Good, len(r.Points), c.Need),
			})
		}
	}
}

// findUnchecked raises checks of finished tasks that were never taken.
func (b *Build) findUnchecked() {
	for _, c := range b.Checks {
		if c.Applies && c.Task.State == Finished && c.Verdict == NotTaken {
			b.raise(&Finding{
				Key: "unchecked:" + c.ID, Kind: FindingUnchecked, Task: c.Task, Check: c, At: c.Task.FinishedAt, Open: true,
				Text: fmt.Sprintf("%s was finished without %q", c.Task.ID, c.Title),
			})
		}
	}
}

// findOrder raises work begun before what comes first was finished, and work
// past a hold that was shut at the time.
func (b *Build) findOrder() {
	for _, t := range b.Tasks {
		if t.FirstAt.IsZero() {
			continue
		}
		for _, a := range t.Before {
			if !t.Strict && !a.doneAt.IsZero() && a.doneAt.Unix <= t.FirstAt.Unix && a.State != NotNeeded {
				b.findPast(t, a)
			}
			early := a.Open() && a.doneAt.IsZero() || !a.doneAt.IsZero() && a.doneAt.Unix > t.FirstAt.Unix
			if a.State == NotNeeded {
				early = false
			}
			if early {
				b.raise(&Finding{
					Key: "early:" + a.ID + ">" + t.ID, Kind: FindingEarly, Task: t, At: t.FirstAt, Open: true,
					Text: fmt.Sprintf("%s was begun before %s was finished", t.ID, a.ID),
				})
			}
		}
		if !t.Strict {
			continue
		}
		for _, a := range b.Upstream(t) {
			if a.State != NotNeeded {
				b.findPast(t, a)
			}
		}
	}
}

// findPast raises the holds of a task before t that were shut when t was begun.
func (b *Build) findPast(t, before *Task) {
	for _, c := range before.Checks {
		if !t.Strict && c.Verdict == NotTaken {
			continue // "finished unchecked" says so
		}
		if c.Hold() && !b.clearedAt(c, t.FirstAt.Unix) {
			b.raise(&Finding{
				Key: "past-hold:" + t.ID + ":" + c.ID, Kind: FindingPastHold, Task: t, Check: c, At: t.FirstAt, Open: true,
				Text: fmt.Sprintf("%s was begun while the hold %q was shut", t.ID, c.Title),
			})
		}
	}
}

// findOrders raises orders of parts placed before the hold they wait for was
// passed.
func (b *Build) findOrders() {
	for _, o := range b.Orders {
		for _, id := range o.Parts {
			p := b.part[id]
			if p == nil {
				continue
			}
			for _, key := range p.OrderAfter {
				c := b.check[key]
				if c == nil || slices.Contains(o.Early, c) || b.clearedAt(c, o.At.Unix) {
					continue
				}
				o.Early = append(o.Early, c)
				text := fmt.Sprintf("%s (%s) was ordered while the hold %q was shut", o.Label, p.Title, c.Title)
				for _, r := range c.Readings {
					if r.Measured == Within && r.At.Unix > o.At.Unix {
						days := int(math.Round(float64(r.At.Unix-o.At.Unix) / 86400))
						text = fmt.Sprintf("%s (%s) was ordered %d days before the hold %q was passed", o.Label, p.Title, days, c.Title)
						break
					}
				}
				b.raise(&Finding{Key: "ordered:" + o.ID.String() + ":" + c.ID, Kind: FindingOrdered, Task: c.Task, Check: c, Order: o, At: o.At, Open: true, Text: text})
			}
		}
	}
}

// findClocks raises stretches of one person that overlap, and clocks that were
// left running. Nothing is cut: the hours stand until somebody strikes out what
// is wrong.
func (b *Build) findClocks() {
	work := b.Hours.Work // in order of beginning
	end := func(w *WorkLine) int64 { return w.At.Unix + w.Minutes*60 }
	forgotten := func(w *WorkLine) bool { return w.Clocked && w.Minutes > int64(ForgottenAfter/time.Minute) }
	for i, x := range work {
		for _, y := range work[i+1:] {
			if y.At.Unix >= end(x) || forgotten(x) {
				break // of a forgotten clock only that is asked
			}
			if x.Who != y.Who || forgotten(y) || x.DayOnly || y.DayOnly {
				continue
			}
			both := (min(end(x), end(y)) - y.At.Unix) / 60
			if both <= 0 {
				continue
			}
			key := "overlap:" + x.ID.String() + ":" + y.ID.String()
			if y.ID.String() < x.ID.String() {
				key = "overlap:" + y.ID.String() + ":" + x.ID.String()
			}
			b.raise(&Finding{
				Key: key, Kind: FindingOverlap, Task: b.task[y.Task], At: y.At, Open: true,
				Text: fmt.Sprintf("two stretches of %s overlap by %d minutes on %s", x.Who, both, y.At.Time().Format(time.DateOnly)),
			})
		}
		if forgotten(x) {
			b.raise(&Finding{
				Key: "clock:" + x.ID.String(), Kind: FindingForgotten, Task: b.task[x.Task], At: x.At, Open: true,
				Text: fmt.Sprintf("a clock of %s ran %s h", x.Who, HoursText(x.Minutes)),
			})
		}
	}
	for _, c := range b.Hours.Clocks {
		if b.Now.Sub(c.At.Time()) > ForgottenAfter {
			b.raise(&Finding{
				Key: "clock:" + c.ID.String(), Kind: FindingForgotten, Task: b.task[c.Task], At: c.At, Open: true,
				Text: fmt.Sprintf("a clock of %s has run since %s: was it forgotten?", c.Who, c.At.Time().Format("2006-01-02 15:04")),
			})
		}
	}
}

// findClashes raises fields that were written apart.
func (b *Build) findClashes() {
	for _, r := range b.fields {
		name := r.What + " " + r.Key + " " + r.Field
		if r.Key == "" {
			name = r.What + " " + r.Field
		}
		key := "clash:" + r.What + "/" + r.Key + "/" + r.Field
		if r.Clash() {
			heads := r.Heads()
			var said []string
			for _, h := range heads {
				device := h.Device
				if slices.ContainsFunc(heads, func(o Write) bool { return o.Device == device && o.Replica != h.Replica }) {
					device += " " + h.Replica.String()[:8]
				}
				said = append(said, fmt.Sprintf("%s (%s, %s)", h.Value, h.Person, device))
			}
			b.Clashes = append(b.Clashes, r)
			b.raise(&Finding{
				Key: key, Kind: FindingClash, Task: b.task[r.Key], At: heads[0].At, Open: true,
				Text: name + " was written apart: " + strings.Join(said, " and "),
			})
		} else if w := r.Settled(); w != nil {
			b.raise(&Finding{
				Key: key, Kind: FindingClash, Task: b.task[r.Key], At: w.At,
				Text: name + " was written apart on two devices", Ended: "settled as " + w.Value + " by " + w.Person,
			})
		}
	}
}
