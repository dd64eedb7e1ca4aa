package main

import (
	"strings"
	"time"

	"ampwright/model"

	"github.com/spf13/cobra"
)

// taskAnswer is one task with all that is on record about it.
type taskAnswer struct {
	head
	Task    taskJSON    `json:"task"`
	Before  []string    `json:"before"` // tasks that come first, finished or not
	Behind  []string    `json:"behind"` // tasks that wait for it
	Reason  string      `json:"reason"` // why it is not needed
	Done    *time.Time  `json:"finishedAt"`
	Hazards []string    `json:"hazards"`
	Who     string      `json:"competent"` // whom local rules or prudence ask for
	Tools   []string    `json:"tools"`
	Steps   []string    `json:"steps"`
	Changes []string    `json:"mayChange"` // kinds of change the work may cause
	Parts   []partJSON  `json:"parts"`
	Checks  []checkJSON `json:"checks"`
	Work    []workJSON  `json:"work"`
	Notes   []noteJSON  `json:"notes"`
}

type workJSON struct {
	Entry   string    `json:"entry"`
	At      time.Time `json:"at"`
	Minutes int64     `json:"minutes"`
	Who     string    `json:"who"`
	Rework  bool      `json:"rework"`
	Changes []string  `json:"changes"`
	Assumed bool      `json:"assumed"` // the question after changes was not answered: all that may be count
	Note    string    `json:"note"`
}

type noteJSON struct {
	Entry string    `json:"entry"`
	At    time.Time `json:"at"`
	Who   string    `json:"who"`
	Text  string    `json:"text"`
}

func (p *program) task() *cobra.Command {
	return &cobra.Command{
		Use: "task TASK", Short: "one task: state, steps, parts, checks, hours, notes",
		Example: "  ampwright task pkb-05\n  ampwright task pkb-05 --json", Args: exactly(1, "TASK"),
		RunE: p.look(func(v view, args []string) error {
			t, err := v.findTask(args[0])
			if err != nil {
				return err
			}
			body := newTaskAnswer(v, t)
			return p.answer(body, func(pg *page) { body.words(v, pg) })
		}),
	}
}

func (v view) findTask(key string) (*model.Task, error) {
	if t := v.build.Task(strings.ToLower(key)); t != nil {
		return t, nil
	}
	var keys []string
	for _, t := range v.build.Tasks {
		keys = append(keys, t.ID)
	}
	return nil, unknownKey("task", key, "ampwright tasks lists them", keys)
}

func newTaskAnswer(v view, t *model.Task) taskAnswer {
	a := taskAnswer{
		head: v.head("task"), Task: newTask(t), Before: keys(t.Before), Behind: keys(t.Behind), Reason: t.Reason, Done: when(t.FinishedAt),
		Hazards: list(t.Hazards), Who: t.Competent, Tools: list(t.Tools), Steps: list(t.Steps), Changes: list(t.Changes), Parts: newParts(t.Parts),
		Checks: newChecks(v, t.Checks), Work: []workJSON{}, Notes: []noteJSON{},
	}
	for _, w := range t.Work {
		a.Work = append(a.Work, workJSON{w.ID.String(), w.At.Time(), w.Minutes, w.Who, w.Rework, list(w.Changes), w.Assumed, w.Note})
	}
	for _, n := range t.Notes {
		a.Notes = append(a.Notes, noteJSON{n.ID.String(), n.At.Time(), n.Person, n.Text})
	}
	return a
}

func keys(tasks []*model.Task) []string {
	out := make([]string, len(tasks))
	for i, t := range tasks {
		out[i] = t.ID
	}
	return out
}

// list is a list that JSON shows as [] where it is empty.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}

func (a taskAnswer) words(v view, pg *page) {
	t := a.Task
	pg.line("%s  %s", t.Key, t.Title)
	state := t.State
	switch {
	case a.Done != nil:
		state += " " + a.Done.Format(time.DateOnly)
	case a.Reason != "":
		state += ": " + a.Reason
	}
	pg.row("state", state)
	rework := ""
	if t.ReworkMinutes > 0 {
		rework = ", " + v.hours(t.ReworkMinutes) + " of it rework"
	}
	pg.row("hours", v.hours(t.LoggedMinutes)+" of "+v.estimate(t.Estimate)+rework)
	if len(a.Before) > 0 {
		pg.row("after", strings.Join(a.Before, ", "))
	}
	if len(a.Behind) > 0 {
		pg.row("before", strings.Join(a.Behind, ", "))
	}
	for _, h := range t.hindrances() {
		pg.row("!", h)
	}
	v.cautions(pg, a.Hazards, a.Who)
	if len(a.Tools) > 0 {
		pg.row("tools", strings.Join(a.Tools, ", "))
	}
	if len(a.Changes) > 0 {
		pg.row("may change", strings.Join(a.Changes, ", "))
	}
	section(pg, "steps", len(a.Steps))
	for _, s := range a.Steps {
		pg.row(s)
	}
	section(pg, "parts", len(a.Parts))
	for _, p := range a.Parts {
		v.partRow(pg, p)
	}
	section(pg, "checks", len(a.Checks))
	for _, c := range a.Checks {
		pg.row(c.Key, c.Point, c.Verdict, c.Reading, c.Limit, c.Title)
	}
	section(pg, "work", len(a.Work))
	for _, w := range a.Work {
		rework := ""
		if w.Rework {
			rework = "rework"
		}
		pg.row(w.At.Format(minute), v.hours(w.Minutes), w.Who, rework, w.Note)
		if w.Assumed {
			pg.under("counts as changed, since nobody said: ", strings.Join(w.Changes, ", "))
		}
	}
	section(pg, "notes", len(a.Notes))
	for _, n := range a.Notes {
		pg.row(n.At.Format(minute), n.Who, n.Text)
	}
}

func section(pg *page, title string, n int) {
	if n > 0 {
		pg.head("%s", title)
	}
}

// cautions writes what to watch, and who should do or see it.
func (v view) cautions(pg *page, hazards []string, who string) {
	if len(hazards) > 0 {
		pg.row("hazards", strings.Join(hazards, ", "))
	}
	if who != "" {
		pg.row("who", who)
	}
}
