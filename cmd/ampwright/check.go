package main

import (
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/spf13/cobra"
)

type checkAnswer struct {
	limitNow string

	head
	Check      checkJSON     `json:"check"`
	Working    []string      `json:"working"` // how the limit is computed
	Basis      string        `json:"basis"`   // read:S1, recall, own, manual
	Source     string        `json:"source"`
	Wanted     int           `json:"wantedPoints"` // 0 when it is not said
	Needed     int           `json:"neededGood"`   // sorting checks: good points needed
	Instrument string        `json:"instrument"`
	PPE        string        `json:"ppe"`
	StopIf     string        `json:"stopIf"`
	OnFail     string        `json:"onFail"`
	StaleBy    []string      `json:"staleBy"` // kinds of change that make a reading stale
	ValidDays  int           `json:"validDays"`
	StandsOn   []string      `json:"standsOn"` // checks that are to be cleared first
	NotCleared []string      `json:"notCleared"`
	History    []readingJSON `json:"history"` // oldest first
	Concession *concededJSON `json:"concession"`
}

type readingJSON struct {
	Entry      string     `json:"entry"`
	At         time.Time  `json:"at"`
	Who        string     `json:"who"`
	Device     string     `json:"device"`
	Text       string     `json:"text"`
	Points     []float64  `json:"points"`
	Typed      string     `json:"typed"`
	Verdict    string     `json:"verdict"`
	Measured   string     `json:"measured"`   // by today's limit alone
	LimitThen  string     `json:"limitThen"`  // the limit it was taken under
	BadPoints  []int      `json:"badPoints"`  // counted from 1
	Doubtful   []int      `json:"doubtful"`   // inside by less than the instrument's uncertainty
	Instrument string     `json:"instrument"` // it was taken with
	Witness    string     `json:"witness"`
	Note       string     `json:"note"`
	Derived    bool       `json:"derived"` // follows from the readings of another check
	Cause      *causeJSON `json:"cause"`
}

type concededJSON struct {
	Entry  string    `json:"entry"`
	At     time.Time `json:"at"`
	First  string    `json:"first"`
	Second string    `json:"second"`
	Reason string    `json:"reason"`
}

func (p *program) check() *cobra.Command {
	return &cobra.Command{
		Use: "check CHECK", Short: "one check: its limit and where it is from, and every reading",
		Example: "  ampwright check motor-iso\n  ampwright check iso-pack --json", Args: exactly(1, "CHECK"),
		RunE: p.look(func(v view, args []string) error {
			c, err := v.findCheck(args[0])
			if err != nil {
				return err
			}
			body := newCheckAnswer(v, c)
			return p.answer(body, func(pg *page) { body.words(v, pg) })
		}),
	}
}

func (v view) findCheck(key string) (*model.Check, error) {
	var keys []string
	for _, c := range v.build.Checks {
		if strings.EqualFold(c.ID, key) {
			return c, nil
		}
		keys = append(keys, c.ID)
	}
	return nil, unknownKey("check", key, "ampwright checks lists them", keys)
}

func newCheckAnswer(v view, c *model.Check) checkAnswer {
	a := checkAnswer{
		head: v.head("check"), Check: newCheck(v, c), Working: []string{}, Basis: c.Basis, Source: c.Source, Wanted: c.Want, Needed: c.Need,
		Instrument: c.Instrument, PPE: c.PPE, StopIf: c.StopIf, OnFail: c.OnFail, StaleBy: list(c.InvalidatedBy), ValidDays: c.ValidDays,
		StandsOn: list(c.DependsOn), NotCleared: []string{}, History: []readingJSON{},
	}
	for _, side := range []struct {
		name string
		s    *model.Side
	}{{"at least ", c.Min}, {"at most ", c.Max}, {"better: ", c.Target}} {
		if side.s != nil {
			a.Working = append(a.Working, side.name+v.build.Explain(c, side.s, v.style))
		}
	}
	a.limitNow = c.LimitText(unit.Style{}) // as readings keep it
	for _, g := range c.Gates {
		a.NotCleared = append(a.NotCleared, g.ID)
	}
	for _, r := range c.Readings {
		j := readingJSON{
			Entry: r.ID.String(), At: r.At.Time(), Who: r.Person, Device: r.Device, Text: c.ValueText(r, v.style), Points: list(r.Points),
			Typed: r.Typed, Verdict: string(r.Verdict), Measured: string(r.Measured), LimitThen: r.Limit, BadPoints: fromOne(r.Bad),
			Doubtful: fromOne(r.Doubtful), Instrument: r.Instrument, Witness: r.Witness, Note: r.Note, Derived: r.Derived, Cause: newCause(r.Cause),
		}
		a.History = append(a.History, j)
	}
	if k := c.Conceded; k != nil {
		a.Concession = &concededJSON{k.ID.String(), k.At.Time(), k.Person, k.Second, k.Reason}
	}
	return a
}

// fromOne counts places from 1, as people do.
func fromOne(places []int) []int {
	out := make([]int, len(places))
	for i, n := range places {
		out[i] = n + 1
	}
	return out
}

func (a checkAnswer) words(v view, pg *page) {
	c := a.Check
	pg.line("%s  %s", c.Key, c.Title)
	pg.row("task", c.Task+" "+v.build.Task(c.Task).Title)
	verdict := c.Verdict
	switch {
	case !c.Applies:
		verdict = "does not apply to this build"
	case c.Cause != nil:
		verdict += ": " + c.Cause.words()
	case c.Why != "" && c.Why != c.Verdict:
		verdict += ", " + c.Why
	}
	pg.row("verdict", verdict)
	if k := a.Concession; k != nil {
		pg.row("concession", k.At.Format(time.DateOnly)+" "+k.First+" and "+k.Second+": "+k.Reason)
	}
	rows := []struct{ label, text string }{
		{"limit", strings.Join(a.Working, "; ")}, {"source", v.basis(a.Basis, a.Source)}, {"point", c.Point},
		{"instrument", a.Instrument}, {"wear", a.PPE}, {"stop if", a.StopIf}, {"if it fails", a.OnFail},
		{"stale by", strings.Join(a.StaleBy, ", ")}, {"stands on", strings.Join(a.StandsOn, ", ")}, {"not cleared", strings.Join(a.NotCleared, ", ")},
	}
	for _, r := range rows {
		if r.text != "" {
			pg.row(r.label, r.text)
		}
	}
	section(pg, "readings", len(a.History))
	for _, r := range a.History {
		pg.row(r.At.Format(minute), r.Text, r.Verdict, r.Who, r.Instrument, r.Note)
		if r.LimitThen != "" && r.LimitThen != a.limitNow {
			pg.under("limit then: ", r.LimitThen)
		}
	}
}

// basis says what a limit rests on.
func (v view) basis(basis, source string) string {
	switch {
	case basis == "recall":
		return source + " (trade memory that nobody has looked up)"
	case basis == "manual":
		return source + " (the part's manual decides)"
	case strings.HasPrefix(basis, "read:"):
		return source + " (read in excerpt: " + strings.TrimPrefix(basis, "read:") + ")"
	}
	return source
}
