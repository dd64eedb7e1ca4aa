package main

import (
	"fmt"
	"math"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/spf13/cobra"
)

type nextJSON struct {
	head
	FitMinutes   int         `json:"fitMinutes"`   // the time there is; 0 when it was not said
	InHand       []taskJSON  `json:"inHand"`       // begun and not finished
	Ready        []taskJSON  `json:"ready"`        // can go on and fits, in hand or not; what nothing hinders comes first
	MeasureAgain []checkJSON `json:"measureAgain"` // stale readings
	Late         []orderJSON `json:"late"`         // orders out past their promised day
	Findings     int         `json:"findings"`     // open ones
	PunchA       int         `json:"punchA"`       // open items that must be closed
}

func (p *program) next() *cobra.Command {
	c := &cobra.Command{
		Use: "next [--fit TIME]", Short: "what to do next: in hand, ready, held, to measure again, late",
		Long: `Says what is in hand, what can go on now, what is held and by which hold point,
what to measure again and which orders are late. With --fit only tasks whose
shortest useful stint fits into that time are offered.`,
		Example: "  ampwright next\n  ampwright next --fit 30m\n  ampwright next --strict && echo nothing is held",
		Args:    atMost(0),
	}
	fit := c.Flags().String("fit", "", "the `time` there is, such as 30m or 1.5 h")
	strict := c.Flags().Bool("strict", false, "exit with 3 when a task that is in hand or ready is held")
	c.RunE = p.look(func(v view, _ []string) error {
		minutes := math.MaxInt
		body := nextJSON{
			head: v.head("next"), InHand: []taskJSON{}, MeasureAgain: newChecks(v, v.build.Stale()), Late: newOrders(v, v.build.LateOrders()),
		}
		if *fit != "" {
			m, err := unit.ParseHours(*fit, v.style.Mark)
			if err != nil {
				return wrong("", "--fit %v", err)
			}
			minutes, body.FitMinutes = m, m
		}
		held := false
		for _, t := range v.build.Tasks {
			if t.State == model.InHand {
				body.InHand = append(body.InHand, newTask(t))
			}
			held = held || len(t.Held) > 0 && (t.State == model.InHand || t.Ready)
		}
		body.Ready = newTasks(v.build.Fits(minutes))
		for _, f := range v.build.Findings {
			if f.Open {
				body.Findings++
			}
		}
		for _, i := range v.build.Punches {
			if i.Class == "A" && i.Closed == nil {
				body.PunchA++
			}
		}
		err := p.answer(body, func(pg *page) { body.words(v, pg) })
		if err == nil && *strict && held {
			return errNotMet
		}
		return err
	})
	return c
}

func (n nextJSON) words(v view, pg *page) {
	pg.line("%s", v.title())
	if len(n.InHand) > 0 {
		pg.head("in hand")
	}
	for _, t := range n.InHand {
		v.offer(pg, t)
	}
	fits := ""
	if n.FitMinutes > 0 {
		fits = ", fits " + v.hours(int64(n.FitMinutes))
	}
	var free, hindered []taskJSON
	for _, t := range n.Ready {
		switch {
		case t.State == string(model.InHand): // said above
		case len(t.Held) > 0 || len(t.PartsMissing) > 0 || t.RestsUntil != nil:
			hindered = append(hindered, t)
		default:
			free = append(free, t)
		}
	}
	if len(free) > 0 {
		pg.head("ready%s", fits)
	}
	for _, t := range free {
		v.offer(pg, t)
	}
	if len(hindered) > 0 {
		pg.head("ready, but hindered%s", fits)
	}
	for _, t := range hindered {
		v.offer(pg, t)
	}
	if len(n.Ready) == 0 {
		pg.head("nothing else is ready%s", fits)
	}
	if len(n.MeasureAgain) > 0 {
		pg.head("measure again")
	}
	for _, c := range n.MeasureAgain {
		pg.row(c.Key, c.Task, c.Cause.words(), c.Title)
	}
	if len(n.Late) > 0 {
		pg.head("late")
	}
	for _, o := range n.Late {
		pg.row(o.Label, o.late(), o.What, blocks(o.Blocks))
	}
	if n.Findings+n.PunchA > 0 {
		pg.head("%d open %s, %d open class A %s: ampwright findings", n.Findings, plural(n.Findings, "finding", "findings"), n.PunchA, plural(n.PunchA, "item", "items"))
	}
}

// offer writes a task with what hinders it and where it was left.
func (v view) offer(pg *page, t taskJSON) {
	block := ""
	if t.MinBlockMinutes > 0 {
		block = fmt.Sprintf("from %d min", t.MinBlockMinutes)
	}
	pg.row(t.Key, v.hours(t.LoggedMinutes)+" of "+v.estimate(t.Estimate), block, t.Title)
	if t.ClockSince != nil {
		pg.under("a clock runs since ", t.ClockSince.Format(minute))
	}
	for _, h := range t.hindrances() {
		pg.under("", h)
	}
	pg.under("last: ", t.LastNote)
}

func blocks(tasks []string) string {
	if len(tasks) == 0 {
		return ""
	}
	return "blocks " + strings.Join(tasks, ", ")
}
