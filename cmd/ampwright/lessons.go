package main

import (
	"fmt"
	"strings"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/spf13/cobra"
)

// lessonsJSON is what a build taught. Hours are of finished tasks with hours on
// them; amounts are minor units of the build's currency.
type lessonsJSON struct {
	head
	Rate  float64          `json:"learningRate"`
	Form  string           `json:"curve"`
	Tasks []lessonJSON     `json:"tasks"`
	Parts []partLessonJSON `json:"parts"`
}

type lessonJSON struct {
	Key     string  `json:"key"`
	Title   string  `json:"title"`
	Stage   string  `json:"stage"`
	Planned float64 `json:"plannedHours"` // mean of the estimate
	Real    float64 `json:"realHours"`    // first time round
	Rework  float64 `json:"reworkHours"`
	Next    string  `json:"next"` // low / likely / high hours, by the curve
}

type partLessonJSON struct {
	Key   string `json:"key"`
	Title string `json:"title"`
	Low   int64  `json:"plannedLowMinor"` // of one
	High  int64  `json:"plannedHighMinor"`
	Paid  *int64 `json:"paidMinor"` // of one; null where it was never booked alone
	Days  *int   `json:"days"`      // from order to arrival; null where it is not known
}

func (p *program) lessons() *cobra.Command {
	c := &cobra.Command{
		Use: "lessons", Short: "what the build taught: planned against real, by stage, task and part",
		Long: `Shows, for the finished tasks, what was planned, what it took, and what to plan the
next time by a learning curve; for parts, what was paid and how long they took to
come. To use it: ampwright plan next, or ampwright start with --from.`,
		Example: "  ampwright lessons\n  ampwright lessons --learning 0.85 --json", Args: atMost(0),
	}
	next := curveFlags(c, "")
	c.RunE = func(c *cobra.Command, args []string) error {
		return p.look(func(v view, _ []string) error {
			all, err := v.build.Lessons(*next)
			if err != nil {
				return wrong("--learning 0.85", "%v", err)
			}
			return p.answer(newLessons(v, *next, all), func(pg *page) { v.showLessons(pg, all) })
		})(c, args)
	}
	return c
}

func newLessons(v view, next model.Curve, all []model.Lesson) lessonsJSON {
	body := lessonsJSON{head: v.head("lessons"), Rate: next.Rate, Form: next.Form, Tasks: []lessonJSON{}, Parts: []partLessonJSON{}}
	for _, l := range all {
		body.Tasks = append(body.Tasks, lessonJSON{l.Task.ID, l.Task.Title, l.Task.Stage.ID, l.Planned.Mean(), l.Real, l.Rework, l.Next.String()})
	}
	for _, l := range v.build.PartLessons() {
		part := partLessonJSON{Key: l.Part.ID, Title: l.Part.Title, Low: l.Part.PriceLow, High: l.Part.PriceHigh}
		if l.Price >= 0 {
			part.Paid = &l.Price
		}
		if l.Days >= 0 {
			part.Days = &l.Days
		}
		body.Parts = append(body.Parts, part)
	}
	return body
}

func (v view) showLessons(pg *page, all []model.Lesson) {
	pg.line("%s", v.title())
	if len(all) == 0 {
		pg.line("no task with hours on it is finished yet")
	}
	h := func(f float64) string { return v.figure(f, 2) + " h" }
	row := func(key, title string, planned, real, rework float64, next string) {
		again := ""
		if rework > 0 {
			again = h(rework)
		}
		pg.row(key, h(planned), h(real), again, next, title)
	}
	var stage *model.Stage
	var planned, real, rework, mean float64
	end := func() {
		if stage != nil {
			row(stage.ID, stage.Title, planned, real, rework, h(mean))
		}
		planned, real, rework, mean = 0, 0, 0, 0
	}
	if len(all) > 0 {
		pg.head("by stage")
		pg.row("stage", "planned", "first time", "rework", "next", "")
		for _, l := range all {
			if l.Task.Stage != stage {
				end()
				stage = l.Task.Stage
			}
			planned, real, rework, mean = planned+l.Planned.Mean(), real+l.Real, rework+l.Rework, mean+l.Next.Mean()
		}
		end()
		pg.head("by task")
		pg.row("task", "planned", "first time", "rework", "next, low / likely / high h", "")
		for _, l := range all {
			row(l.Task.ID, l.Task.Title, l.Planned.Mean(), l.Real, l.Rework, v.marked(l.Next.String()))
		}
	}
	v.showPartLessons(pg)
}

func (v view) showPartLessons(pg *page) {
	list := v.build.PartLessons()
	if len(list) == 0 {
		return
	}
	pg.head("parts")
	pg.row("part", "planned", "paid", "days to come", "")
	for _, l := range list {
		paid, days := "", ""
		if l.Price >= 0 {
			paid = v.money(money.Amount(l.Price * int64(l.Part.Qty)))
		}
		if l.Days >= 0 {
			days = fmt.Sprintf("%d of %d to %d", l.Days, l.Part.LeadLow, l.Part.LeadHigh)
		}
		pg.row(l.Part.ID, v.money(l.Part.Low())+" to "+v.money(l.Part.High()), paid, days, l.Part.Title)
	}
}

// marked writes figures with the decimal mark of the settings.
func (v view) marked(s string) string {
	if v.style.Mark == unit.Comma {
		return strings.ReplaceAll(s, ".", ",")
	}
	return s
}
