package main

import (
	"fmt"
	"time"

	"ampwright/model"

	"github.com/spf13/cobra"
)

// checkJSON is a check in an answer.
type checkJSON struct {
	Key      string     `json:"key"`
	Title    string     `json:"title"`
	Task     string     `json:"task"`
	Kind     string     `json:"kind"`  // measurement, yes-no, photo
	Point    string     `json:"point"` // hold, witness, review or ""
	Applies  bool       `json:"applies"`
	Verdict  string     `json:"verdict"`
	Cleared  bool       `json:"cleared"` // work may pass it, as far as the records say
	Why      string     `json:"why"`     // why it is not cleared
	Cause    *causeJSON `json:"cause"`   // what made it stale
	Unit     string     `json:"unit"`
	Min      *float64   `json:"min"` // the limit today, in Unit
	Max      *float64   `json:"max"`
	Limit    string     `json:"limit"`
	Reading  string     `json:"reading"` // the current one, in words
	Points   []float64  `json:"points"`  // and its values, in Unit
	At       *time.Time `json:"readAt"`
	Readings int        `json:"readings"`
}

type causeJSON struct {
	Change string     `json:"change"` // kind of change; "" when it is too old
	Title  string     `json:"title"`
	At     *time.Time `json:"at"`
	Task   string     `json:"task"`
	Entry  string     `json:"entry"`
}

func (c *causeJSON) words() string {
	if c == nil {
		return ""
	}
	text := c.Title
	if c.At != nil {
		text += " " + c.At.Format(time.DateOnly)
	}
	if c.Task != "" {
		text += " (" + c.Task + ")"
	}
	return text
}

func newCause(c *model.Cause) *causeJSON {
	if c == nil {
		return nil
	}
	j := &causeJSON{Change: c.Change, Title: c.Title, At: when(c.At), Task: c.Task}
	if c.Entry != (model.ID{}) {
		j.Entry = c.Entry.String()
	}
	return j
}

func newCheck(v view, c *model.Check) checkJSON {
	j := checkJSON{
		Key: c.ID, Title: c.Title, Task: c.Task.ID, Kind: string(c.Kind), Point: c.Point, Applies: c.Applies, Verdict: string(c.Verdict),
		Cleared: c.Cleared(), Why: c.Why(), Cause: newCause(c.Cause), Unit: c.Unit, Limit: c.LimitText(v.style),
		Reading: c.ValueText(c.Current, v.style), Points: []float64{}, Readings: len(c.Readings),
	}
	side := func(s *model.Side) *float64 {
		if s == nil || s.Err != "" {
			return nil
		}
		return &s.Value
	}
	j.Min, j.Max = side(c.Min), side(c.Max)
	if r := c.Current; r != nil {
		j.Points, j.At = append(j.Points, r.Points...), when(r.At)
	}
	return j
}

func newChecks(v view, list []*model.Check) []checkJSON {
	out := make([]checkJSON, len(list))
	for i, c := range list {
		out[i] = newCheck(v, c)
	}
	return out
}

type checksJSON struct {
	head
	Checks []checkJSON `json:"checks"`
}

func (p *program) checks() *cobra.Command {
	c := &cobra.Command{
		Use: "checks [TASK]", Short: "the checks of the build, with limit, reading and verdict",
		Long: "Lists the checks. A verdict is by today's limit: the limit a reading was taken\nunder stands with the reading (ampwright check KEY).",
		Example: "  ampwright checks\n  ampwright checks mot-05\n  ampwright checks --stale\n" +
			"  ampwright checks --held     hold points that keep open tasks from going on",
		Args: atMost(1),
	}
	stale := c.Flags().Bool("stale", false, "only those to be measured again")
	held := c.Flags().Bool("held", false, "only hold points that hold a task now")
	c.MarkFlagsMutuallyExclusive("stale", "held")
	c.RunE = p.look(func(v view, args []string) error {
		list := v.build.Checks
		switch {
		case len(args) == 1:
			t, err := v.findTask(args[0])
			if err != nil {
				return err
			}
			list = t.Checks
		case *stale:
			list = v.build.Stale()
		case *held:
			list = holding(v.build)
		}
		return p.answerChecks(v, "checks", list)
	})
	return c
}

func (p *program) stale() *cobra.Command {
	return &cobra.Command{
		Use: "stale", Short: "what to measure again, and since what change",
		Long:    "Lists the readings that no longer hold because something they depend on was\nchanged later, or because they are too old.",
		Example: "  ampwright stale\n  ampwright stale --json", Args: atMost(0),
		RunE: p.look(func(v view, _ []string) error { return p.answerChecks(v, "stale", v.build.Stale()) }),
	}
}

func (p *program) answerChecks(v view, command string, list []*model.Check) error {
	body := checksJSON{v.head(command), newChecks(v, list)}
	return p.answer(body, func(pg *page) {
		pg.line("%s", v.title())
		if len(body.Checks) == 0 {
			pg.head("none")
			return
		}
		task := ""
		for _, c := range body.Checks {
			if c.Task != task {
				task = c.Task
				pg.head("%s  %s", task, v.build.Task(task).Title)
			}
			verdict := c.Verdict
			if !c.Applies {
				verdict = "does not apply"
			}
			if c.Cause != nil {
				verdict += ": " + c.Cause.words()
			}
			pg.row(c.Key, c.Point, verdict, c.Reading, c.Limit, c.Title)
		}
	})
}

// holding returns the hold points that hold a task, each once.
func holding(b *model.Build) []*model.Check {
	holds := map[*model.Check]bool{}
	for _, t := range b.Tasks {
		for _, h := range t.Held {
			holds[h.Check] = true
		}
	}
	var list []*model.Check
	for _, c := range b.Checks {
		if holds[c] {
			list = append(list, c)
		}
	}
	return list
}

// atMost refuses more words than a command takes.
func atMost(n int) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) > n {
			return wrong(fmt.Sprintf("%s --help shows how it is used", c.CommandPath()), "%q is one word too many: want %s", args[n], c.UseLine())
		}
		return nil
	}
}

// exactly refuses more or fewer words than a command takes.
func exactly(n int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) < n {
			return wrong(c.CommandPath()+" --help shows how it is used", "%s is missing: want %s", what, c.UseLine())
		}
		return atMost(n)(c, args)
	}
}
