package pages

import (
	"net/url"

	"ampwright/model"
)

// cardPage is all that card.html can see: the job card of one task.
type cardPage struct {
	*frame
	PDF      string // its job card to be filled in by hand
	Task     taskFacts
	Since    string // when finished, or begun
	Plan     string // the plan's estimate, where another stands
	Clash    *clashLine
	Rework   string
	Logged   string
	Mean     string
	Bar      *hoursBar
	Wait     string
	Before   []taskLine
	Behind   []taskLine
	Held     []checkFacts
	HeldMore []checkFacts // folded
	Parts    []partLine
	Steps    []string
	Checks   []cardCheck
	Work     []workLine
	Notes    []noteLine
	Photos   []photoPic
	Findings []findingLine

	Clock, Half          quick
	Acts                 []quick
	Hours                form
	State                []quick
	Links                []quick
	NoteForm, EstimateIt form
	PhotoForm            form
	HeldStamp            stamp
}

// An hoursBar is the hours of a task on a short rule: the three points of the
// estimate above, the hours logged filled below.
type hoursBar struct {
	Says               string
	Fill, Rework       string
	ReworkX            string
	Low, Likely, High  string
	LowT, LikelyT, End ruleText
	Ticks              string
}

// A cardCheck is a check on a card, with the box for its next reading.
type cardCheck struct {
	checkFacts
	Form  form
	Asks  string // a page of its own where there are many points
	Label string // on the fold: "record", "measure again"
}

type taskLine struct {
	Key, Title, Href string
	Stamp            stamp
}

type workLine struct {
	When, Hours, Who, Note string
	Changes                string
	Assumed, Rework        bool
	Clocked                bool
	Href                   string
}

type noteLine struct {
	When, Who, Text, Href string
}

func (v *visit) taskOf() (*model.Task, error) {
	t := v.b.Task(v.args[0])
	if t == nil {
		return nil, missing("there is no task %s in this build", v.args[0])
	}
	return t, nil
}

func (v *visit) card() (Response, error) {
	t, err := v.taskOf()
	if err != nil {
		return Response{}, err
	}
	here := v.taskHref(t)
	p := cardPage{
		frame: v.frame("job cards", t.ID+" "+t.Title), Task: v.taskFacts(t), Since: v.since(t),
		Logged: v.hours(t.Logged), Mean: v.decimals(t.Estimate.Mean(), 1) + " h", Steps: t.Steps, Bar: v.hoursBar(t), HeldStamp: held, PDF: v.paperPDF(t.ID),
	}
	p.Block[1].Text = "job card " + t.ID
	p.HasActs = true
	v.cardEstimate(&p, t)
	if t.Rework > 0 {
		p.Rework = v.hours(t.Rework)
	}
	if w := t.PlanTask.Wait; w.Likely > 0 {
		p.Wait = v.three(w)
	}
	for _, a := range t.Before {
		p.Before = append(p.Before, v.taskLine(a))
	}
	for _, a := range t.Behind {
		p.Behind = append(p.Behind, v.taskLine(a))
	}
	v.cardHeld(&p, t)
	for _, part := range t.Parts {
		p.Parts = append(p.Parts, v.partLine(part))
	}
	for _, c := range t.Checks {
		p.Checks = append(p.Checks, v.cardCheck(c, here))
	}
	v.cardHistory(&p, t)
	v.cardForms(&p, t, here)
	return v.render(statusOK, "card.html", p)
}

// cardHeld lists what holds the card up: doors shut behind finished work first,
// for they want a person now; the others open by themselves as work goes on.
func (v *visit) cardHeld(p *cardPage, t *model.Task) {
	const inSight = 4
	for _, finished := range []bool{true, false} {
		for _, h := range t.Held {
			switch {
			case (h.Check.Task.State == model.Finished) != finished:
			case len(p.Held) < inSight:
				p.Held = append(p.Held, v.checkFacts(h.Check))
			default:
				p.HeldMore = append(p.HeldMore, v.checkFacts(h.Check))
			}
		}
	}
}

func (v *visit) since(t *model.Task) string {
	switch {
	case t.State == model.Finished:
		return v.whenDay(t.FinishedAt)
	case !t.FirstAt.IsZero():
		return "begun " + v.whenDay(t.FirstAt)
	}
	return ""
}

// whyWaiting says what a task waits for.
func whyWaiting(t *model.Task) string {
	if t.State == model.NotNeeded {
		return t.Reason
	}
	if !t.Open() || t.Ready {
		return ""
	}
	var first []string
	for _, a := range t.Before {
		if a.Open() {
			first = append(first, a.ID)
		}
	}
	return "comes after " + some(first, 4)
}

// cardEstimate shows the plan's figure and what was written apart.
func (v *visit) cardEstimate(p *cardPage, t *model.Task) {
	if t.Estimates == nil {
		return
	}
	p.Plan = v.three(t.PlanTask.Estimate)
	if t.Estimates.Clash() {
		l := v.clashLine(t.Estimates, v.taskHref(t))
		p.Clash = &l
	}
}

func (v *visit) hoursBar(t *model.Task) *hoursBar {
	e := t.Estimate
	logged, rework := float64(t.Logged)/60, float64(t.Rework)/60
	end := max(e.High, logged) * 1.04
	if end <= 0 {
		return nil
	}
	const wide = 600
	x := func(h float64) string { return px(1 + h/end*(wide-2)) }
	b := &hoursBar{
		Says: "estimate " + v.three(e) + ", logged " + v.hours(t.Logged),
		Fill: px((logged - rework) / end * (wide - 2)), ReworkX: x(logged - rework), Rework: px(rework / end * (wide - 2)),
		Low: x(e.Low), Likely: x(e.Likely), High: x(e.High),
	}
	d := draftsman{from: 0, to: end, scale: (wide - 2) / end, width: wide}
	var leg ruleLeg
	if e.High <= 4 { // quarter hours on a short rule
		d.to, d.scale = end*4, (wide-2)/(end*4)
	}
	d.graduate(&leg, 38)
	b.Ticks = leg.Fine + leg.Long
	return b
}

func (v *visit) taskLine(t *model.Task) taskLine {
	return taskLine{t.ID, t.Title, v.taskHref(t), taskStamp(t)}
}

func (v *visit) cardCheck(c *model.Check, back string) cardCheck {
	cc := cardCheck{checkFacts: v.checkFacts(c), Label: "record a reading"}
	switch {
	case c.Kind == model.YesNo:
		cc.Label = "answer it"
	case c.Kind == model.PhotoCheck:
		cc.Label = "add the photo"
	}
	if c.Verdict == model.Stale || c.Verdict == model.Out {
		cc.Label = "measure again"
		if c.Kind != model.Measurement {
			cc.Label = "look again"
		}
	}
	if cc.Many {
		cc.Asks = v.at() + "/write/read?" + url.Values{"check": {c.ID}, "back": {back}}.Encode()
		return cc
	}
	k, _ := model.WishKindOf("read")
	cc.Form = v.form(k, url.Values{"check": {c.ID}, "back": {back}}, []string{"check"}, nil)
	return cc
}

// cardHistory lists what was done and said, newest first.
func (v *visit) cardHistory(p *cardPage, t *model.Task) {
	for i := len(t.Work) - 1; i >= 0; i-- {
		w := t.Work[i]
		p.Work = append(p.Work, workLine{
			When: v.when(w.At), Hours: v.hours(w.Minutes), Who: w.Who, Note: w.Note, Changes: v.wording().Changes(w.Changes), Assumed: w.Assumed,
			Rework: w.Rework, Clocked: w.Clocked, Href: v.at() + "/entry/" + w.ID.String(),
		})
	}
	for i := len(t.Notes) - 1; i >= 0; i-- {
		n := t.Notes[i]
		p.Notes = append(p.Notes, noteLine{v.when(n.At), n.Person, n.Text, v.at() + "/entry/" + n.ID.String()})
	}
	p.Photos = v.photosTaken(t.Photos, t.Title)
	for _, f := range v.b.Findings {
		if f.Task == t && f.Open {
			p.Findings = append(p.Findings, v.findingLine(f))
		}
	}
}

func (v *visit) cardForms(p *cardPage, t *model.Task, here string) {
	p.Clock, p.Half = v.clock(t, here), v.half(t, here)
	if p.Half.Href != "" {
		p.Half.Href = "#hours"
		p.Half.Button = "log hours"
	}
	fixed := url.Values{"task": {t.ID}, "back": {here}}
	make := func(name string) form {
		k, _ := model.WishKindOf(name)
		return v.form(k, fixed, []string{"task"}, nil)
	}
	p.Hours = make("hours")
	switch {
	case t.State == model.NotNeeded:
		p.State = append(p.State, v.quick("reopen", "take it up again", here, "task", t.ID))
	case t.State == model.Finished:
		p.State = append(p.State, v.quick("reopen", "take it up again", here, "task", t.ID))
	default:
		if t.Clock == nil {
			p.State = append(p.State, v.quick("finish", "it is finished", here, "task", t.ID), v.asks("drop", "it is not needed", here, "task", t.ID))
		}
	}
	for i := range p.State {
		p.State[i].Quiet = true
	}
	p.NoteForm = make("note")
	p.NoteForm.Fields = dropField(p.NoteForm.Fields, "check")
	p.PhotoForm = make("photo")
	for _, name := range []string{"check", "part"} {
		p.PhotoForm.Fields = dropField(p.PhotoForm.Fields, name)
	}
	p.EstimateIt = make("estimate")
	p.Links = append(p.Links, v.asks("raise", "raise a nonconformance", here, "task", t.ID), v.asks("change", "log a change", here, "task", t.ID),
		v.asks("add-check", "add a check", here, "task", t.ID), v.asks("add-part", "add a part", here, "task", t.ID), v.asks("sequence", "what comes first", here, "after", t.ID))
}

// dropField leaves out a field that makes no sense where the form stands.
func dropField(fields []field, name string) []field {
	var kept []field
	for _, f := range fields {
		if f.Name != name {
			kept = append(kept, f)
		}
	}
	return kept
}
