package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ampwright/model"

	"github.com/spf13/cobra"
)

// taskJSON is a task in an answer.
type taskJSON struct {
	Key             string     `json:"key"`
	Title           string     `json:"title"`
	Stage           string     `json:"stage"`
	State           string     `json:"state"` // waiting, ready, in hand, finished, not needed
	Ready           bool       `json:"ready"` // all that comes before it is finished
	Estimate        hours3JSON `json:"estimateHours"`
	LoggedMinutes   int64      `json:"loggedMinutes"`
	ReworkMinutes   int64      `json:"reworkMinutes"`
	MinBlockMinutes int        `json:"minBlockMinutes"` // shortest useful stint
	WaitsFor        []string   `json:"waitsFor"`        // open tasks that come first
	RestsUntil      *time.Time `json:"restsUntil"`      // likely end of a cure or rest before it
	Held            []holdJSON `json:"held"`            // hold points that are shut
	PartsMissing    []awayJSON `json:"partsMissing"`
	ClockSince      *time.Time `json:"clockSince"` // a clock runs on it
	LastNote        string     `json:"lastNote"`
}

type hours3JSON struct {
	Low    float64 `json:"low"`
	Likely float64 `json:"likely"`
	High   float64 `json:"high"`
}

type holdJSON struct {
	Check string `json:"check"`
	Title string `json:"title"`
	Why   string `json:"why"`
}

// awayJSON is a part that is neither here nor fitted.
type awayJSON struct {
	Key   string `json:"key"`
	State string `json:"state"` // wanted or ordered
	Order string `json:"order"` // label of the order that brings it
	Late  int    `json:"daysLate"`
}

func newTask(t *model.Task) taskJSON {
	note, _ := t.LastNote()
	j := taskJSON{
		Key: t.ID, Title: t.Title, Stage: t.Stage.ID, State: string(t.State), Ready: t.Ready,
		Estimate:      hours3JSON{t.Estimate.Low, t.Estimate.Likely, t.Estimate.High},
		LoggedMinutes: t.Logged, ReworkMinutes: t.Rework, MinBlockMinutes: t.MinBlock,
		WaitsFor: []string{}, Held: []holdJSON{}, PartsMissing: []awayJSON{}, LastNote: note,
	}
	if t.Open() {
		for _, a := range t.Before {
			if a.Open() {
				j.WaitsFor = append(j.WaitsFor, a.ID)
			}
			if u := a.RestUntil; !u.IsZero() && (j.RestsUntil == nil || u.After(*j.RestsUntil)) {
				j.RestsUntil = &u
			}
		}
		for _, p := range t.PartsMissing() {
			away := awayJSON{Key: p.ID, State: string(p.State)}
			if p.Order != nil {
				away.Order, away.Late = p.Order.Label, max(0, p.Order.DaysLate)
			}
			j.PartsMissing = append(j.PartsMissing, away)
		}
	}
	for _, h := range t.Held {
		j.Held = append(j.Held, holdJSON{h.Check.ID, h.Check.Title, h.Why})
	}
	if t.Clock != nil {
		j.ClockSince = when(t.Clock.At)
	}
	return j
}

func newTasks(list []*model.Task) []taskJSON {
	out := make([]taskJSON, len(list))
	for i, t := range list {
		out[i] = newTask(t)
	}
	return out
}

// hindrances says in words what a task waits for and what holds it.
func (t taskJSON) hindrances() []string {
	var out []string
	if len(t.WaitsFor) > 0 {
		out = append(out, "waits for "+strings.Join(t.WaitsFor, ", "))
	}
	if t.RestsUntil != nil {
		out = append(out, "what comes before it rests until about "+t.RestsUntil.Format(minute))
	}
	for _, h := range t.Held {
		out = append(out, "held by "+h.Check+" ("+h.Why+"): "+h.Title)
	}
	var away []string
	for _, p := range t.PartsMissing {
		text := p.Key + " (" + p.State + set(" ", p.Order)
		if p.Late > 0 {
			text += fmt.Sprintf(", %d %s late", p.Late, plural(p.Late, "day", "days"))
		}
		away = append(away, text+")")
	}
	if len(away) > 0 {
		out = append(out, "not here: "+strings.Join(away, ", "))
	}
	return out
}

type tasksJSON struct {
	head
	Tasks []taskJSON `json:"tasks"`
}

func (p *program) tasks() *cobra.Command {
	c := &cobra.Command{
		Use: "tasks [STAGE]", Short: "the tasks of the build, by stage",
		Long:    "Lists the tasks with their state, hours logged and estimate (low/likely/high).",
		Example: "  ampwright tasks\n  ampwright tasks pkb --open\n  ampwright tasks --json",
		Args:    atMost(1),
	}
	open := c.Flags().Bool("open", false, "only what is not finished")
	c.RunE = p.look(func(v view, args []string) error {
		stages := v.build.Stages
		if len(args) == 1 {
			at := slices.IndexFunc(stages, func(s *model.Stage) bool { return s.ID == strings.ToLower(args[0]) })
			if at < 0 {
				var keys []string
				for _, s := range stages {
					keys = append(keys, s.ID)
				}
				return wrong("the stages are "+strings.Join(keys, ", "), "stage %q is not in this build", args[0])
			}
			stages = stages[at : at+1]
		}
		body := tasksJSON{head: v.head("tasks"), Tasks: []taskJSON{}}
		for _, s := range stages {
			for _, t := range s.Tasks {
				if !*open || t.Open() {
					body.Tasks = append(body.Tasks, newTask(t))
				}
			}
		}
		return p.answer(body, func(pg *page) {
			pg.line("%s", v.title())
			for _, s := range stages {
				pg.head("%s  %s", s.ID, s.Title)
				for _, t := range body.Tasks {
					if t.Stage == s.ID {
						pg.row(t.Key, t.State, v.hours(t.LoggedMinutes), v.estimate(t.Estimate), t.Title)
					}
				}
			}
		})
	})
	return c
}

// estimate writes a three-point estimate: "3/8/14 h".
func (v view) estimate(h hours3JSON) string {
	return v.short(h.Low) + "/" + v.short(h.Likely) + "/" + v.short(h.High) + " h"
}
