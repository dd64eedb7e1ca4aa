package main

import (
	"strings"

	"ampwright/model"

	"github.com/spf13/cobra"
)

type mayJSON struct {
	head
	Task    taskJSON `json:"task"`
	Held    bool     `json:"held"`   // a hold point, a task or a rest before it keeps it from going on, or it is over
	Stands  []string `json:"stands"` // all that stands against it, in words
	Hazards []string `json:"hazards"`
	Who     string   `json:"competent"`
}

func (p *program) may() *cobra.Command {
	return &cobra.Command{
		Use: "may TASK", Short: "may I go on with a task? says what holds it",
		Long: `Says what keeps a task from going on: tasks and rests before it, and hold points
that are not cleared by a current reading within limits or by a concession.
Exits with 3 when something does, or when the task is finished or not needed.

That nothing on record holds a task is no promise: the program knows only what
was written down. Look before you touch, and follow the maker's manual and the
rules of your place.`,
		Example: "  ampwright may har-01\n  ampwright may har-01 --json\n  ampwright may har-01 >/dev/null || echo not yet",
		Args:    exactly(1, "TASK"),
		RunE: p.look(func(v view, args []string) error {
			t, err := v.findTask(args[0])
			if err != nil {
				return err
			}
			body := mayJSON{head: v.head("may"), Task: newTask(t), Hazards: list(t.Hazards), Who: t.Competent}
			body.Stands = list(body.Task.hindrances())
			body.Held = len(t.Held) > 0 || len(body.Task.WaitsFor) > 0 || body.Task.RestsUntil != nil || !t.Open()
			if err := p.answer(body, func(pg *page) { body.words(v, pg, t) }); err != nil {
				return err
			}
			if body.Held {
				return errNotMet
			}
			return nil
		}),
	}
}

func (m mayJSON) words(v view, pg *page, t *model.Task) {
	pg.line("%s  %s", t.ID, t.Title)
	switch {
	case t.State == model.Finished:
		pg.row("is finished since " + day(t.FinishedAt) + "; to take it up again: ampwright reopen " + t.ID)
	case t.State == model.NotNeeded:
		pg.row("is not needed: " + t.Reason + "; to take it up again: ampwright reopen " + t.ID)
	case m.Held:
		pg.row("no, not by what is on record:")
	default:
		pg.row("nothing on record holds it")
	}
	for _, s := range m.Stands {
		pg.row("- " + s)
	}
	for _, h := range t.Held {
		if h.Check.OnFail != "" && strings.HasPrefix(h.Why, string(model.Out)) {
			pg.under(h.Check.ID+", out of limits: ", h.Check.OnFail)
		}
	}
	v.cautions(pg, m.Hazards, m.Who)
	pg.line("This is what was written down, no promise: look before you touch.")
}
