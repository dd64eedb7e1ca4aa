package pages

import (
	"fmt"
	"strings"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/model"
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
	Start   string // where a second build is started
	Unknown bool   // no task is finished
}

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
var rates = []struct {
	value string
	rate  float64
	text  string
}{{"1", 1, "none"}, {"0.9", 0.9, "90 %"}, {"0.85", 0.85, "85 %"}, {"0.8", 0.8, "80 %"}}

func (v *visit) lessons() (Response, error) {
	p := lessonsPage{frame: v.frame("lessons", "what this build taught"), Rate: v.req.Query.Get("rate")}
	chosen := rates[0]
	for _, r := range rates {
		if r.value == p.Rate {
			chosen = r
		}
	}
	p.Rate = chosen.text
	for _, r := range rates {
		p.Rates = append(p.Rates, option{Value: r.value, Text: r.text, On: r.value == chosen.value})
	}
	all, err := v.b.Lessons(model.Curve{Rate: chosen.rate})
	if err != nil {
		return Response{}, err
	}
	p.Unknown = len(all) == 0
	p.Next = v.at() + "/export/plan.json"
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
	return v.render(statusOK, "lessons.html", p)
}

func reworkText(h float64, hours func(float64) string) string {
	if h == 0 {
		return ""
	}
	return strings.TrimSpace(hours(h))
}
