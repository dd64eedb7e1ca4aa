package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/ahead"
	"ampwright/model/ahead/aheadjson"

	"github.com/spf13/cobra"
)

// showJSON is a build at a glance.
type showJSON struct {
	head
	Donor      string      `json:"donor"`
	Plan       string      `json:"plan"` // ID.VERSION
	StartedAt  time.Time   `json:"startedAt"`
	Target     string      `json:"target"` // the day it should ride, 2006-01-02
	Week       int64       `json:"weekMinutes"`
	Hours      hoursJSON   `json:"hours"`
	Stages     []stageJSON `json:"stages"`
	Money      moneyTotals `json:"money"`
	Open       int         `json:"tasksOpen"`
	Stale      int         `json:"staleChecks"`
	Findings   int         `json:"openFindings"`
	Clocks     []clockJSON `json:"clocks"` // that run
	Milestones []markJSON  `json:"milestones"`
}

// hoursJSON is the hours of a build. Left is by the plain rule: what the
// estimates at the build's pace leave, and a quarter of each at least.
type hoursJSON struct {
	LoggedMinutes   int64   `json:"loggedMinutes"`
	NoTaskMinutes   int64   `json:"noTaskMinutes"`
	ReworkMinutes   int64   `json:"reworkMinutes"`
	Finished        int     `json:"tasksFinished"`
	NotNeeded       int     `json:"tasksNotNeeded"`
	InHand          int     `json:"tasksInHand"`
	FinishedActual  float64 `json:"finishedActualHours"`   // logged on finished tasks, rework included
	FinishedPlanned float64 `json:"finishedEstimateHours"` // their mean estimates
	Pace            float64 `json:"pace"`                  // the first by the second
	Left            float64 `json:"leftHours"`             // at that pace
	LeftUnscaled    float64 `json:"leftUnscaledHours"`     // at pace 1

	Ahead *aheadjson.Spread `json:"ahead"` // the hours left as a distribution; null where nothing is to be forecast from
}

type stageJSON struct {
	Key           string  `json:"key"`
	Title         string  `json:"title"`
	LoggedHours   float64 `json:"loggedHours"`
	ReworkHours   float64 `json:"reworkHours"`
	EstimateHours float64 `json:"estimateHours"` // mean, of all tasks that are needed
	Pace          float64 `json:"pace"`          // 0 when none is finished
	Tasks         int     `json:"tasks"`
	Finished      int     `json:"tasksFinished"`
	Open          int     `json:"tasksOpen"`
}

type clockJSON struct {
	Task  string    `json:"task"`
	Who   string    `json:"who"`
	Since time.Time `json:"since"`
}

type markJSON struct {
	Key     string   `json:"key"`
	Title   string   `json:"title"`
	Reached bool     `json:"reached"`
	Open    []string `json:"open"` // tasks still to finish
}

func (p *program) show() *cobra.Command {
	return &cobra.Command{
		Use: "show", Short: "the build at a glance: hours by stage, pace, left; money left",
		Long:    "Shows hours logged by stage, tasks by state, the pace so far, hours left, 8 in\n10 and by the plain rule, and money spent and left.",
		Example: "  ampwright show\n  ampwright show --build heron --as-of 2026-10-31\n  ampwright show --json", Args: atMost(0),
		RunE: p.look(func(v view, _ []string) error {
			past, err := v.past()
			if err != nil {
				return err
			}
			body := newShow(v)
			if left, err := ahead.HoursLeft(v.build, past); err == nil {
				body.Hours.Ahead = new(aheadjson.Spread)
				*body.Hours.Ahead = aheadjson.SpreadOf(left.Total)
			}
			return p.answer(body, func(pg *page) { body.words(v, pg) })
		}),
	}
}

func newShow(v view) showJSON {
	b := v.build
	h, f := b.Hours, b.Hours.Forecast
	s := showJSON{
		head: v.head("show"), Donor: b.Donor, Plan: fmt.Sprintf("%s.%d", b.Plan.ID, b.Plan.Version), StartedAt: b.StartAt.Time(),
		Target: b.Target, Week: b.Week, Money: newTotals(b.Money), Stale: len(b.Stale()), Clocks: []clockJSON{},
		Hours: hoursJSON{
			LoggedMinutes: h.Logged, NoTaskMinutes: h.NoTask, ReworkMinutes: h.Rework, Finished: h.Finished, NotNeeded: h.NotNeeded, InHand: h.InHand,
			FinishedActual: f.Actual, FinishedPlanned: f.Estimate, Pace: f.Pace, Left: f.Left, LeftUnscaled: f.Unscaled,
		},
	}
	for _, st := range h.Stages {
		s.Stages = append(s.Stages, stageJSON{
			st.Stage.ID, st.Stage.Title, st.Logged, st.Rework, st.Estimate, st.Ratio(), st.Tasks, st.Finished, st.Open,
		})
		s.Open += st.Open
	}
	for _, c := range h.Clocks {
		s.Clocks = append(s.Clocks, clockJSON{c.Task, c.Who, c.At.Time()})
	}
	for _, f := range b.Findings {
		if f.Open {
			s.Findings++
		}
	}
	for _, m := range b.Marks {
		s.Milestones = append(s.Milestones, markJSON{m.ID, m.Title, m.Reached, keys(m.Open)})
	}
	return s
}

func (s showJSON) words(v view, pg *page) {
	pg.line("%s", v.title())
	pg.line("%s", s.Donor)
	for _, c := range s.Clocks {
		pg.line("a clock of %s runs on %s since %s", c.Who, c.Task, c.Since.Format(minute))
	}

	pg.head("hours")
	pg.row("stage", "logged", "of", "pace", "tasks finished", "")
	for _, st := range s.Stages {
		pace := "-"
		if st.Pace > 0 {
			pace = v.figure(st.Pace, 2)
		}
		pg.row(st.Key, v.hours(int64(math.Round(st.LoggedHours*60))), v.figure(st.EstimateHours, 2)+" h", pace, fmt.Sprintf("%d of %d", st.Finished, st.Finished+st.Open), st.Title)
	}
	h := s.Hours
	if h.NoTaskMinutes > 0 {
		pg.row("-", v.hours(h.NoTaskMinutes), "", "", "", "no task")
	}
	rework := ""
	if h.ReworkMinutes > 0 {
		rework = ", " + v.hours(h.ReworkMinutes) + " of it rework"
	}
	pg.head("logged  %s%s", v.hours(h.LoggedMinutes), rework)
	pg.line("tasks   %d finished, %d in hand, %d open in all, %d not needed", h.Finished, h.InHand, s.Open, h.NotNeeded)
	if a := h.Ahead; a != nil && a.P90 > 0 {
		pg.line("left    8 in 10: %s hours; ampwright forecast says why, and until when", words.Ten(v.figure(a.P10, 0), v.figure(a.P90, 0)))
	}
	if h.Finished > 0 {
		pg.line("pace    %s: %s h on finished tasks that were estimated at %s h", v.figure(h.Pace, 3), v.figure(h.FinishedActual, 1), v.figure(h.FinishedPlanned, 2))
		pg.line("rule    %s h at that pace, %s h as estimated, without a spread", v.figure(h.Left, 2), v.figure(h.LeftUnscaled, 2))
	} else {
		pg.line("rule    %s h as estimated, without a spread", v.figure(h.LeftUnscaled, 2))
	}
	if s.Week > 0 {
		pg.line("week    %s planned%s", v.hours(s.Week), set(", to ride on ", s.Target))
	}
	s.Money.words(v, pg)
	var open []string
	for _, m := range s.Milestones {
		if !m.Reached {
			open = append(open, fmt.Sprintf("%s (%d %s to go)", m.Title, len(m.Open), plural(len(m.Open), "task", "tasks")))
		}
	}
	if len(open) > 0 {
		pg.head("milestones: %s", strings.Join(open[:min(3, len(open))], "; "))
	}
	if s.Stale+s.Findings > 0 {
		pg.line("%d to measure again, %d open %s: ampwright next", s.Stale, s.Findings, plural(s.Findings, "finding", "findings"))
	}
}

// set writes a label and what follows it, or nothing.
func set(label, text string) string {
	if text == "" {
		return ""
	}
	return label + text
}

// moneyTotals is the money of a build in minor units of its currency.
type moneyTotals struct {
	Ceiling   int64   `json:"ceilingMinor"`
	Purchases int64   `json:"purchasesMinor"`
	Orders    int64   `json:"ordersMinor"` // paid ones
	Refunds   int64   `json:"refundsMinor"`
	Gross     int64   `json:"grossMinor"` // purchases + paid orders - refunds
	Sales     int64   `json:"salesMinor"`
	Fees      int64   `json:"feesMinor"` // fees and post
	SalesNet  int64   `json:"salesNetMinor"`
	Net       int64   `json:"netMinor"`       // gross - net sales
	Committed int64   `json:"committedMinor"` // ordered, not paid
	Left      int64   `json:"leftMinor"`      // ceiling - net - committed
	ToBuy     int     `json:"partsToBuy"`
	ToBuyLow  int64   `json:"toBuyLowMinor"`
	ToBuyHigh int64   `json:"toBuyHighMinor"`
	Recovery  float64 `json:"recovery"` // net sales over gross
}

func newTotals(m model.MoneySheet) moneyTotals {
	return moneyTotals{
		int64(m.Ceiling), int64(m.Purchases), int64(m.Orders), int64(m.Refunds), int64(m.Gross), int64(m.Sales), int64(m.Fees), int64(m.SalesNet),
		int64(m.Net), int64(m.Committed), int64(m.Left), len(m.ToBuy), int64(m.ToBuyLow), int64(m.ToBuyHigh), m.Recovery(),
	}
}

func (t moneyTotals) words(v view, pg *page) {
	pg.head("money")
	m := func(minor int64) string { return v.money(money.Amount(minor)) }
	pg.row("spent", m(t.Gross), "purchases "+m(t.Purchases)+", orders "+m(t.Orders)+", refunds "+m(t.Refunds))
	pg.row("sold", m(t.SalesNet), "sales "+m(t.Sales)+", fees and post "+m(t.Fees))
	pg.row("net", m(t.Net))
	if t.Committed > 0 {
		pg.row("committed", m(t.Committed), "ordered and not paid")
	}
	if t.Ceiling > 0 {
		pg.row("left", m(t.Left), "of a ceiling of "+m(t.Ceiling))
	}
	if t.ToBuy > 0 {
		risk := ""
		if t.Ceiling > 0 && t.ToBuyHigh > t.Left {
			risk = "; the ceiling is at risk"
			if t.ToBuyLow > t.Left {
				risk = "; more than is left"
			}
		}
		pg.row("to buy", v.priceRange(t.ToBuyLow, t.ToBuyHigh), fmt.Sprintf("%d %s%s", t.ToBuy, plural(t.ToBuy, "part", "parts"), risk))
	}
}
