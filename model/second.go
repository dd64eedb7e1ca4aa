package model

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/figures"
)

// A Curve is a learning curve: how the hours of a task shrink when it is done for
// the second time.
type Curve struct {
	Rate float64 // share of the hours left at each doubling, 0.5 to 1; 1 for no learning
	Form string  // UnitForm or AverageForm; "" is UnitForm
}

// The forms of a learning curve, see [figures.CrawfordUnit] and
// [figures.WrightUnit].
const (
	UnitForm    = "unit"               // the second unit takes Rate times the first
	AverageForm = "cumulative-average" // the average of both is Rate times the first
)

// Second returns the share of the first unit's hours that the second takes.
func (c Curve) Second() (float64, error) {
	if !(c.Rate >= 0.5 && c.Rate <= 1) {
		return 0, fmt.Errorf("learning rate %g: want 0.5 to 1, such as 0.85; 1 for no learning", c.Rate)
	}
	switch c.Form {
	case "", UnitForm:
		return figures.CrawfordUnit(1, c.Rate, 2), nil
	case AverageForm:
		if c.Rate <= 0.5 {
			return 0, fmt.Errorf("learning rate %g: want above 0.5 in the %s form, at 0.5 the second would take no time", c.Rate, c.Form)
		}
		return figures.WrightUnit(1, c.Rate, 2), nil
	}
	return 0, fmt.Errorf("learning curve %q: want %s or %s", c.Form, UnitForm, AverageForm)
}

// A Lesson is what a finished task taught: what was planned, what it took, and
// what to plan next time.
type Lesson struct {
	Task    *Task
	Planned Hours3  // the estimate in force
	Real    float64 // hours, first time round
	Rework  float64 // hours after it was first finished
	Next    Hours3  // by the curve; the spread is the plan's, and reaches up to the hours with rework
}

// Ratio returns all its hours over the mean of the estimate; 0 without one.
func (l Lesson) Ratio() float64 {
	if m := l.Planned.Mean(); m > 0 {
		return (l.Real + l.Rework) / m
	}
	return 0
}

// Lessons returns what the finished tasks with hours on them taught, in the order
// of the tasks.
func (b *Build) Lessons(c Curve) ([]Lesson, error) {
	share, err := c.Second()
	if err != nil {
		return nil, err
	}
	var all []Lesson
	for _, t := range b.Tasks {
		if t.State != Finished || t.Logged == 0 {
			continue
		}
		l := Lesson{Task: t, Planned: t.Estimate, Real: float64(t.Logged-t.Rework) / 60, Rework: float64(t.Rework) / 60}
		likely, low, high := l.Real, 1.0, 1.0
		if likely == 0 {
			likely = l.Rework
		}
		if p := l.Planned; p.Likely > 0 {
			low, high = p.Low/p.Likely, p.High/p.Likely
		}
		l.Next.Likely = hundredths(likely * share)
		l.Next.Low = min(hundredths(likely*share*low), l.Next.Likely)
		l.Next.High = max(hundredths(likely*share*high), hundredths((l.Real+l.Rework)*share), l.Next.Likely)
		all = append(all, l)
	}
	return all, nil
}

// hundredths rounds hours as estimates are written; never to nothing.
func hundredths(h float64) float64 { return math.Max(math.Round(h*100)/100, 0.01) }

// A PartLesson is what a part really cost and how long it took to come.
type PartLesson struct {
	Part  *Part
	Price int64 // of one, minor units; -1 where it was never booked alone
	Days  int   // from order to arrival; -1 where it is not known
}

// PartLessons returns what is known of the parts that were bought, in their order.
func (b *Build) PartLessons() []PartLesson {
	byPart := map[string]*PartLesson{}
	lesson := func(id string) *PartLesson {
		p := b.part[id]
		if p == nil {
			return nil
		}
		if byPart[id] == nil {
			byPart[id] = &PartLesson{p, -1, -1}
		}
		return byPart[id]
	}
	pay := func(id string, cents int64) {
		if l := lesson(id); l != nil {
			l.Price = max(l.Price, 0) + (cents+int64(l.Part.Qty)/2)/int64(max(l.Part.Qty, 1))
		}
	}
	for _, m := range b.Money.Lines {
		if m.Kind == "purchase" && m.Part != "" {
			pay(m.Part, int64(m.Amount))
		}
	}
	for _, o := range b.Orders {
		if len(o.Parts) == 1 {
			pay(o.Parts[0], o.Cents)
		}
		if o.Arrived == nil {
			continue
		}
		for _, id := range o.Parts {
			if l := lesson(id); l != nil {
				l.Days = max(l.Days, int((o.Arrived.Unix-o.At.Unix+43200)/86400), 0)
			}
		}
	}
	var all []PartLesson
	for _, p := range b.Parts {
		if l := byPart[p.ID]; l != nil {
			all = append(all, *l)
		}
	}
	return all
}

// follow writes, behind the start of a build, what a past build taught: its own
// stages, tasks, parts and checks, the sequence of tasks, estimates from real
// hours, real prices and lead times. The drafts belong to the new build.
func (x *wishing) follow(past *Build, c Curve) {
	lessons, err := past.Lessons(c)
	if err != nil {
		x.fail("learning", x.text("learning"), err.Error())
		return
	}
	id, at := x.drafts[0].Build, x.drafts[0].Body.(*BuildStart).At
	add := func(body Body) { x.drafts = append(x.drafts, Draft{Build: id, Body: body}) }
	write := func(what, key, field, value, note string) {
		add(&Set{At: at, What: what, Key: key, Field: field, Value: value, Note: note})
	}
	led := x.log.ledger(x.log.build[past.ID])
	for _, s := range led.stages {
		add(&s.body)
	}
	for _, t := range led.tasks {
		add(&t.body)
	}
	for _, p := range led.parts {
		add(&p.body)
	}
	for _, k := range led.checks {
		add(&k.body)
	}
	for _, r := range past.fields {
		v := r.Value()
		switch {
		case v == nil:
		case r.What == "edge", r.What == "check", r.What == "spec", r.What == "task" && r.Field == "title", r.What == "area":
			write(r.What, r.Key, r.Field, v.Value, v.Note)
		}
	}
	for _, l := range lessons {
		write("task", l.Task.ID, "estimate", l.Next.String(), fmt.Sprintf("%s h the first time, rework %s h, learning rate %g", short(l.Real), short(l.Rework), c.Rate))
	}
	for _, l := range past.PartLessons() {
		if l.Price >= 0 && past.Currency == x.drafts[0].Body.(*BuildStart).Currency {
			write("part", l.Part.ID, "price", fmt.Sprintf("%d/%d", l.Price, l.Price), "paid the first time")
		}
		if l.Days >= 0 {
			write("part", l.Part.ID, "lead", fmt.Sprintf("%d/%d", min(l.Part.LeadLow, l.Days), l.Days), "took so long the first time")
		}
	}
}

func short(h float64) string { return strconv.FormatFloat(math.Round(h*100)/100, 'f', -1, 64) }

// pastBuild finds the build that a new one follows: by its ID or words of its
// title.
func (x *wishing) pastBuild(text string) *Build {
	var found []*Build
	for _, id := range x.log.BuildIDs() {
		b, err := x.log.Build(id, x.desk.Now, x.desk.Plans)
		if err == nil && (strings.HasPrefix(id.String(), strings.ToLower(text)) || strings.Contains(strings.ToLower(b.Title), strings.ToLower(text))) {
			found = append(found, b)
		}
	}
	switch len(found) {
	case 0:
		x.fail("from", text, "is no build of this garage")
	case 1:
		return found[0]
	default:
		titles := make([]string, len(found))
		for i, b := range found {
			titles[i] = b.Title
		}
		slices.Sort(titles)
		x.fail("from", text, "can be "+strings.Join(titles, " or ")+": give more of its title")
	}
	return nil
}
