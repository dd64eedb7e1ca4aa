package pages

import (
	"fmt"
	"strings"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
)

// checkFacts is what every page says of a check.
type checkFacts struct {
	Key, Title, Href    string
	Stamp               stamp
	Hold                string // "hold point", "witness point", "review point" or ""
	Kind, Unit          string
	Value               string // what stands, as a person reads it
	Taken, With, By     string
	Limit               string   // short
	Working             []string // each side of the limit written out
	Target              string
	Basis, Source       string
	Stale               string // what changed, when
	StaleHref           string
	Why                 string // why it is not cleared
	Gates               []link // what must be cleared first and is not
	Stops               []link // tasks it holds up
	PPE, StopIf, OnFail string
	Instrument          string
	StaleBy             []string
	TaskKey, TaskTitle  string
	TaskHref            string
	Many                bool // more than one point
	Points              string
	Applies             bool
}

func (v *visit) checkHref(c *model.Check) string { return v.at() + "/check/" + c.ID }

func (v *visit) taskHref(t *model.Task) string { return v.at() + "/task/" + t.ID }

// bases are the words for where a limit is from.
var bases = map[string]string{"own": "builder's own limit", "recall": "common practice, no published source", "manual": "from a manual or data sheet"}

func basis(b string) string {
	if text, ok := bases[b]; ok {
		return text
	}
	if s, ok := strings.CutPrefix(b, "read:"); ok {
		return "read in a published source (" + s + ")"
	}
	return b
}

func (v *visit) checkFacts(c *model.Check) checkFacts {
	st := v.style()
	f := checkFacts{
		Key: c.ID, Title: c.Title, Href: v.checkHref(c), Stamp: checkStamp(c), Kind: string(c.Kind), Unit: unit.Symbol(c.Unit),
		Value: c.ValueText(c.Current, st), Limit: c.LimitText(st), Basis: basis(c.Basis), Source: c.Source, PPE: c.PPE, StopIf: c.StopIf,
		OnFail: c.OnFail, Instrument: c.Instrument, TaskKey: c.Task.ID, TaskTitle: c.Task.Title, TaskHref: v.taskHref(c.Task),
		Applies: c.Applies,
	}
	if strings.HasPrefix(f.Source, "builder's own") || strings.HasPrefix(f.Source, "the builder's own") { // said once is enough
		f.Basis, f.Source = f.Source, ""
	}
	if c.Point != "" {
		f.Hold = c.Point + " point"
	}
	if r := c.Current; r != nil {
		f.Taken, f.With, f.By = v.when(r.At), r.Reading.Instrument, r.Person
	}
	f.Working = v.working(c)
	if c.Target != nil {
		f.Target = v.b.Explain(c, c.Target, st)
	}
	if c.Want > 1 {
		f.Many, f.Points = true, fmt.Sprintf("%d points", c.Want)
	}
	if c.ScreenNeed != "" {
		f.Many, f.Points = true, fmt.Sprintf("sorts: %d good ones are needed", c.Need)
	}
	f.Stale, f.StaleHref = v.cause(c.Cause)
	if c.Hold() {
		f.Why = c.Why()
	}
	for _, g := range c.Gates {
		f.Gates = append(f.Gates, link{Href: v.checkHref(g), Text: g.ID + ": " + g.Why()})
	}
	for _, t := range v.stops(c) {
		f.Stops = append(f.Stops, link{Href: v.taskHref(t), Text: t.ID})
	}
	for _, k := range c.InvalidatedBy {
		f.StaleBy = append(f.StaleBy, words.Lower(v.b.ChangeTitle(k)))
	}
	if c.ValidDays > 0 {
		f.StaleBy = append(f.StaleBy, fmt.Sprintf("%d days", c.ValidDays))
	}
	return f
}

// working writes each side of a limit out, with the words for its side.
func (v *visit) working(c *model.Check) []string {
	if c.Kind != model.Measurement {
		return nil
	}
	var list []string
	for _, side := range []struct {
		s             *model.Side
		loose, strict string
	}{{c.Min, "at least ", "more than "}, {c.Max, "at most ", "less than "}} {
		if side.s == nil {
			continue
		}
		word := side.loose
		if side.s.Strict {
			word = side.strict
		}
		list = append(list, word+v.b.Explain(c, side.s, v.style()))
	}
	if len(list) == 0 {
		list = append(list, "no limit: the figure is kept")
	}
	return list
}

// cause says what made a reading stale: "pack case opened, 15 Nov, pkb-10".
func (v *visit) cause(c *model.Cause) (text, href string) {
	if c == nil {
		return "", ""
	}
	if c.Change == "" {
		return c.Title + ", since " + v.whenDay(c.At), ""
	}
	return words.Join(", ", words.Lower(c.Title), v.whenDay(c.At), c.Task), v.at() + "/entry/" + c.Entry.String()
}

// stops returns the open tasks that a check holds up.
func (v *visit) stops(c *model.Check) []*model.Task {
	var list []*model.Task
	for _, t := range v.b.Tasks {
		for _, h := range t.Held {
			if h.Check == c {
				list = append(list, t)
				break
			}
		}
	}
	return list
}

// taskFacts is what every page says of a task.
type taskFacts struct {
	Key, Title, Href  string
	Stage, StageTitle string
	Stamp             stamp
	Logged, Mean      string // "1.5 h", "3.5 h"
	Of                string // "1.5 of 3.5 h"
	Estimate          string
	Stint             string // shortest useful one
	Needs             string // tools
	Lacks             string // parts that are not here
	Held              string
	Competent         string
	Hazards           []signal
	Clock             string
	Rest              string
	Last              string // last note, with its day
	May               string // changes the work may cause
	Why               string // why it waits, or is not needed
	Shut              bool   // work on it goes past a hold or out of order
	Open              bool
}

func (v *visit) taskFacts(t *model.Task) taskFacts {
	f := taskFacts{
		Key: t.ID, Title: t.Title, Href: v.taskHref(t), Stage: t.Stage.ID, StageTitle: t.Stage.Title, Stamp: taskStamp(t),
		Logged: v.hours(t.Logged), Mean: v.decimals(t.Estimate.Mean(), 1) + " h", Estimate: v.three(t.Estimate),
		Stint: v.stint(t.MinBlock), Needs: strings.Join(t.Tools, ", "), Competent: t.Competent, Hazards: signals(t.Hazards, false),
		May: v.wording().Changes(t.PlanTask.Changes), Why: whyWaiting(t), Shut: shut(t), Open: t.Open(),
	}
	f.Of = v.hoursOnly(t.Logged) + " of " + f.Mean
	var lacks []string
	for _, p := range t.PartsMissing() {
		text := words.Lower(p.Title)
		if o := p.Order; o != nil && p.State == model.PartOrdered {
			text += ", " + o.Label
			if o.Late() {
				text += fmt.Sprintf(" %d days late", o.DaysLate)
			}
		}
		lacks = append(lacks, text)
	}
	f.Lacks = some(lacks, 2)
	var shut []string
	for _, h := range t.Held {
		shut = append(shut, h.Check.ID+" "+string(h.Check.Verdict))
	}
	f.Held = some(shut, 2)
	if c := t.Clock; c != nil {
		f.Clock = fmt.Sprintf("clock of %s runs since %s, %s", c.Who, v.when(c.At), minutesText(v.now().Sub(c.At.Time())))
	}
	if !t.RestUntil.IsZero() {
		f.Rest = "left alone until about " + v.moment(t.RestUntil.In(v.now().Location()))
	}
	if text, at := t.LastNote(); text != "" {
		f.Last = text + ", " + v.whenDay(at)
	}
	return f
}

// stint writes the shortest useful stretch of work.
func (v *visit) stint(minutes int) string {
	if minutes == 0 {
		return "any"
	}
	if minutes < 60 {
		return fmt.Sprintf("%d min", minutes)
	}
	return v.short(float64(minutes)/60) + " h"
}
