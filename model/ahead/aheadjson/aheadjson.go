// Package aheadjson is the forecast of a build as JSON: what the command ahead
// answers, and the file that a page hands out.
package aheadjson

import (
	"time"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/forecast/spend"
	"ampwright/model/ahead"
	"ampwright/model/jsontext"

	"github.com/google/uuid"
)

// A Forecast is the forecast of a build. A figure that cannot be told is null, with
// the reason beside it.
type Forecast struct {
	Hours      *Hours      `json:"hours"`
	HoursWhy   string      `json:"hoursMissing,omitempty"`
	Done       *Dates      `json:"done"` // the day all is done
	DoneWhy    string      `json:"doneMissing,omitempty"`
	Money      *Money      `json:"money"`
	MoneyWhy   string      `json:"moneyMissing,omitempty"`
	Stages     []Stage     `json:"stages"`
	Milestones []Milestone `json:"milestones"` // not reached
	Tasks      []Task      `json:"tasks"`      // open, or with a wait that runs
	Order      []string    `json:"order"`      // keys of tasks with work left: taken so, it is done soonest
	Parts      []Part      `json:"parts"`      // waited for
	Basis      Basis       `json:"basis"`
}

// A Spread is a distribution: hours, or minor units of the build's currency.
type Spread struct {
	P10  float64 `json:"p10"`
	P25  float64 `json:"p25"`
	P50  float64 `json:"p50"`
	P75  float64 `json:"p75"`
	P90  float64 `json:"p90"`
	Mean float64 `json:"mean"`
}

type Hours struct {
	Left   Spread `json:"left"`
	Listed Spread `json:"listed"` // open tasks
	Found  Spread `json:"notThoughtOfYet"`
	Rework Spread `json:"rework"`
}

// Dates are days, 2006-01-02.
type Dates struct {
	P10   string  `json:"p10"`
	P25   string  `json:"p25"`
	P50   string  `json:"p50"`
	P75   string  `json:"p75"`
	P90   string  `json:"p90"`
	Never float64 `json:"notWithinTenYears"` // share of the trials
}

type Money struct {
	ToSpend      Spread  `json:"toSpendMinor"`
	Income       Spread  `json:"toComeInMinor"`
	Net          Spread  `json:"netMinor"` // at the end
	UnderCeiling float64 `json:"underCeiling"`
}

type Stage struct {
	Key   string  `json:"key"`
	Title string  `json:"title"`
	Left  Spread  `json:"left"`
	Share float64 `json:"shareOfSpread"`
}

type Milestone struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	Hours Spread `json:"hours"`
	Day   *Dates `json:"day"`
}

type Task struct {
	Key      string  `json:"key"`
	Title    string  `json:"title"`
	Hours    float64 `json:"meanHours"`
	Critical float64 `json:"critical"` // share of trials on the critical chain
	Waiting  float64 `json:"waitCritical"`
	Slack    int     `json:"slackDays"`
	Start    Days    `json:"start"`
	Finish   Days    `json:"finish"`
}

// Days are days, 2006-01-02.
type Days struct {
	P10 string `json:"p10"`
	P50 string `json:"p50"`
	P90 string `json:"p90"`
}

func daysOf(d [3]int) Days { return Days{Day(d[0]), Day(d[1]), Day(d[2])} }

type Part struct {
	Key      string  `json:"key"`
	Title    string  `json:"title"`
	Need     Days    `json:"need"`
	OrderBy  string  `json:"orderBy"` // too late in one trial of ten; "" where it is ordered
	TooLate  float64 `json:"tooLate"` // chance, if ordered today or as promised
	Critical float64 `json:"critical"`
}

type Basis struct {
	Finished  int     `json:"tasksFinished"`
	Open      int     `json:"tasksOpen"`
	Pace      float64 `json:"pace"`     // of finished tasks
	PaceUsed  float64 `json:"paceUsed"` // after weighing it with what is usual
	WeekHours float64 `json:"weekHours"`
	Orders    int     `json:"ordersArrived"`
	Late      float64 `json:"meanDaysLate"`
	Past      int     `json:"pastBuilds"`
	Trials    int     `json:"trials"`
}

func SpreadOf(d forecast.Distribution) Spread {
	return Spread{d.P10, d.P25, d.P50, d.P75, d.P90, d.Mean}
}

func MoneySpread(d spend.Distribution) Spread {
	return Spread{d.P10, d.P25, d.P50, d.P75, d.P90, d.Mean}
}

func DatesOf(d day.Dates) *Dates {
	if d.P50 == 0 {
		return nil
	}
	at := Day
	return &Dates{at(d.P10), at(d.P25), at(d.P50), at(d.P75), at(d.P90), d.Never}
}

func Day(n int) string {
	if n == 0 {
		return ""
	}
	return ahead.Day(n).Format(time.DateOnly)
}

// New makes the answer.
func New(o *ahead.Outlook) Forecast {
	a := Forecast{
		Stages: []Stage{}, Milestones: []Milestone{}, Tasks: []Task{}, Order: []string{}, Parts: []Part{},
		Basis: Basis{
			o.Basis.Finished, o.Basis.Open, o.Hours.Basis.Pace.Own, o.Hours.Basis.Pace.Used, o.Day.Basis.Week, o.Day.Basis.Late, o.Day.Basis.MeanLate,
			o.Hours.Basis.Past, ahead.Trials,
		},
	}
	why := func(err error) string {
		if err == nil {
			return ""
		}
		return err.Error()
	}
	a.HoursWhy, a.DoneWhy, a.MoneyWhy = why(o.HoursErr), why(o.DayErr), why(o.MoneyErr)
	if o.HoursErr == nil {
		h := o.Hours
		a.Hours = &Hours{SpreadOf(h.Total), SpreadOf(h.Listed), SpreadOf(h.Found), SpreadOf(h.Rework)}
	}
	if o.DayErr == nil {
		a.Done = DatesOf(o.Day.Dates)
	}
	if m := o.Money; o.MoneyErr == nil {
		a.Money = &Money{
			MoneySpread(m.ToSpend), MoneySpread(m.Income), MoneySpread(m.Net), m.UnderCeiling,
		}
	}
	for _, s := range o.Stages {
		a.Stages = append(a.Stages, Stage{s.Stage.ID, s.Stage.Title, SpreadOf(s.Hours), s.Share})
	}
	for _, m := range o.Marks {
		a.Milestones = append(a.Milestones, Milestone{m.Mark.ID, m.Mark.Title, SpreadOf(m.Hours), DatesOf(m.Day)})
	}
	for _, t := range o.Tasks {
		a.Tasks = append(a.Tasks, Task{t.Task.ID, t.Task.Title, t.Hours, t.Critical, t.Resting, t.Slack, daysOf(t.Start), daysOf(t.Finish)})
	}
	for _, t := range o.Order() {
		a.Order = append(a.Order, t.ID)
	}
	for _, k := range o.Parts {
		by := Day(k.OrderBy[0])
		a.Parts = append(a.Parts, Part{k.Part.ID, k.Part.Title, daysOf(k.Need), by, k.TooLate, k.Critical})
	}
	return a
}

// A file is the forecast as the command answers it with --json.
type file struct {
	Schema string    `json:"schema"` // "ampwright/forecast/1"
	At     time.Time `json:"at"`
	Build  struct {
		ID       uuid.UUID `json:"id"`
		Title    string    `json:"title"`
		Currency string    `json:"currency"`
	} `json:"build"`
	Forecast
}

// File is the forecast as a file: what the command answers with --json.
func File(o *ahead.Outlook) []byte {
	f := file{Schema: "ampwright/forecast/1", At: o.Build.Now.Truncate(time.Second), Forecast: New(o)}
	f.Build.ID, f.Build.Title, f.Build.Currency = o.Build.ID, o.Build.Title, o.Build.Currency
	return append(jsontext.Indent(jsontext.Append(nil, f), "  "), '\n')
}
