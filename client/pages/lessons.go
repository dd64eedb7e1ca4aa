package pages

import (
	"fmt"
	"net/url"
	"strings"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/plan"
)

// lessonsPage is all that lessons.html can see.
type lessonsPage struct {
	*frame
	Says    string // the picture in a sentence
	Bars    []lessonBar
	Height  int
	Stages  []lessonRow
	Tasks   []lessonRow
	Parts   []partRow
	Rates   []option
	Second  string // hours of the finished tasks, the second time
	Rate    string
	Next    string // where the next plan is
	Add     quick  // puts it into the logbook
	Added   *addedPlan
	Faults  []string
	Start   string // where a second build is started
	Unknown bool   // no task is finished
}

// An addedPlan is a plan of this build's that is in the logbook.
type addedPlan struct{ Name, Start, Plans string }

// A lessonBar is a stage in the picture: what was planned over what it took, in
// a viewBox 360 wide, so that its letters are no smaller on a phone than beside it.
type lessonBar struct {
	Name          string
	Y             int
	Planned, Real int
	Text          string
}

type lessonRow struct{ Key, Title, Planned, Real, Rework, Ratio, Next string }

type partRow struct{ Key, Title, Planned, Paid, Days string }

// rates are the learning rates that a person can choose from: the curve of the
// unit form, in which the second takes the rate times the first.
var rates = []rate{{"1", 1, "none"}, {"0.9", 0.9, "90 %"}, {"0.85", 0.85, "85 %"}, {"0.8", 0.8, "80 %"}}

// A rate is a learning rate that can be chosen.
type rate struct {
	value string
	rate  float64
	text  string
}

// rateOf returns the rate of this value, the first where there is none.
func rateOf(value string) rate {
	for _, r := range rates {
		if r.value == value {
			return r
		}
	}
	return rates[0]
}

func (v *visit) lessons() (Response, error) {
	return v.lessonsPage(statusOK, v.req.Query.Get("rate"), nil)
}

// addNext puts the plan that this build makes into the logbook, once.
func (v *visit) addNext() (Response, error) {
	chosen := rateOf(v.req.Form.Get("rate"))
	var data []byte
	var name string
	var has bool
	var err error
	v.cfg.Book.Read(func(l *model.Logbook) { data, name, has, err = plan.NextIn(l, v.b, model.Curve{Rate: chosen.rate}) })
	if err != nil {
		return v.lessonsPage(statusUnprocessable, chosen.value, []string{err.Error()})
	}
	if !has {
		_, faults, err := v.addIt(data)
		if err != nil {
			return Response{}, err
		}
		if faults != nil {
			return v.lessonsPage(statusUnprocessable, chosen.value, faults)
		}
	}
	return Response{Status: statusSeeOther, Location: v.at() + "/lessons?" + url.Values{"rate": {chosen.value}, "plan": {name}}.Encode() + "#next"}, nil
}

// added returns the plan that a link names, if the logbook has it.
func (v *visit) added(name string) (found *addedPlan) {
	v.cfg.Book.Read(func(l *model.Logbook) {
		for _, o := range l.OwnPlans() {
			if o.Plan != nil && o.Ref.String() == name {
				start := url.Values{"plan": {o.Ref.ID}, "currency": {v.b.Currency}}
				found = &addedPlan{name, v.cfg.Base + "/write/start?" + start.Encode(), v.cfg.Base + "/plans"}
			}
		}
	})
	return found
}

func (v *visit) lessonsPage(status int, value string, faults []string) (Response, error) {
	p := lessonsPage{frame: v.frame("settings", "what this build taught"), Faults: faults, Added: v.added(v.req.Query.Get("plan"))}
	chosen := rateOf(value)
	p.Rate = chosen.text
	for _, r := range rates {
		p.Rates = append(p.Rates, option{Value: r.value, Text: r.text, On: r.value == chosen.value})
	}
	all, err := v.b.Lessons(model.Curve{Rate: chosen.rate})
	if err != nil {
		return Response{}, err
	}
	p.Unknown = len(all) == 0
	p.Next = v.at() + "/export/plan.json?learning=" + chosen.value
	p.Add = quick{Button: "add it to the plans", Action: v.at() + "/lessons", Once: v.cfg.Once(), Quiet: true, Hidden: []cell{{"rate", chosen.value}}}
	p.Start = v.cfg.Base + "/write/start?plan=" + v.b.Plan.ID + "&from=" + v.b.ID.String() + "&learning=" + chosen.value + "&currency=" + v.b.Currency
	hours := func(h float64) string { return unit.Format(h, "h", v.style()) }
	ratio := func(real, planned float64) string {
		if planned <= 0 {
			return ""
		}
		return v.mark(fmt.Sprintf("%.2f", real/planned))
	}
	planned, real, next, most := 0.0, 0.0, 0.0, 0.0
	type sum struct {
		stage                       *model.Stage
		planned, real, rework, next float64
	}
	var sums []*sum
	for _, l := range all {
		p.Tasks = append(p.Tasks, lessonRow{
			l.Task.ID, l.Task.Title, hours(l.Planned.Mean()), hours(l.Real), reworkText(l.Rework, hours), ratio(l.Real+l.Rework, l.Planned.Mean()), v.mark(l.Next.String()),
		})
		if len(sums) == 0 || sums[len(sums)-1].stage != l.Task.Stage {
			sums = append(sums, &sum{stage: l.Task.Stage})
		}
		s := sums[len(sums)-1]
		s.planned += l.Planned.Mean()
		s.real += l.Real + l.Rework
		s.rework += l.Rework
		s.next += l.Next.Mean()
		most = max(most, s.planned, s.real)
	}
	for i, s := range sums {
		p.Stages = append(p.Stages, lessonRow{s.stage.ID, s.stage.Title, hours(s.planned), hours(s.real), reworkText(s.rework, hours), ratio(s.real, s.planned), hours(s.next)})
		scale := 276 / max(most, 1)
		p.Bars = append(p.Bars, lessonBar{
			Name: s.stage.ID, Y: i * 34, Planned: int(s.planned * scale), Real: int(s.real * scale), Text: hours(s.planned) + " planned, " + hours(s.real) + " taken",
		})
		planned, real, next = planned+s.planned, real+s.real, next+s.next
	}
	p.Height = len(sums)*34 + 4
	p.Second = hours(next)
	if !p.Unknown {
		p.Says = fmt.Sprintf("%s, planned at %s, took %s with rework: %s of the plan.", count(len(all), "finished task", "finished tasks"), hours(planned), hours(real), ratio(real, planned))
	}
	for _, l := range v.b.PartLessons() {
		row := partRow{Key: l.Part.ID, Title: l.Part.Title, Planned: v.amount(l.Part.Low()) + " to " + v.amount(l.Part.High())}
		if l.Price >= 0 {
			row.Paid = v.amount(money.Amount(l.Price * int64(l.Part.Qty)))
		}
		if l.Days >= 0 {
			row.Days = fmt.Sprintf("%d of %d to %d", l.Days, l.Part.LeadLow, l.Part.LeadHigh)
		}
		p.Parts = append(p.Parts, row)
	}
	return v.render(status, "lessons.html", p)
}

func reworkText(h float64, hours func(float64) string) string {
	if h == 0 {
		return ""
	}
	return strings.TrimSpace(hours(h))
}
