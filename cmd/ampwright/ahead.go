package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/ahead"
	"ampwright/model/ahead/aheadjson"
	"ampwright/model/plan"
)

// aheadJSON is the forecast of a build, and what was asked for beside it.
type aheadJSON struct {
	head
	aheadjson.Forecast
	Moved *movedJSON `json:"moved,omitempty"`
	Weeks []weekJSON `json:"weeks,omitempty"`
}

type movedJSON struct {
	Since time.Time  `json:"since"`
	From  pointJSON  `json:"from"`
	To    pointJSON  `json:"to"`
	Moves []moveJSON `json:"moves"` // add up to To less From
}

type pointJSON struct {
	Hours aheadjson.Spread `json:"hours"`
	Net   aheadjson.Spread `json:"netMinor"`
	Done  *aheadjson.Dates `json:"done"` // null where no day can be told
}

type moveJSON struct {
	Cause string   `json:"cause"`
	Hours float64  `json:"hours"`
	Net   float64  `json:"netMinor"`
	Days  int      `json:"days"`
	Tasks []string `json:"tasks"`
}

type weekJSON struct {
	At     time.Time        `json:"at"`
	Logged float64          `json:"loggedHours"`
	Left   aheadjson.Spread `json:"left"`
	Came   float64          `json:"cameOfIt"` // logged since, and the median of what is left today
	Net    aheadjson.Spread `json:"netMinor"`
	Done   *aheadjson.Dates `json:"done"`
}

// past returns the garage's finished builds but for the one in view.
func (v view) past() ([]*model.Build, error) {
	var builds []*model.Build
	for _, id := range v.log.BuildIDs() {
		if id == v.build.ID {
			continue
		}
		b, err := v.log.Build(id, v.now, plan.Builtin)
		if err != nil {
			return nil, err
		}
		builds = append(builds, b)
	}
	return ahead.Past(builds), nil
}

// ahead shows the forecast of a build.
func (p *program) ahead(since string, weeks bool) error {
	return p.look(func(v view, _ []string) error {
		past, err := v.past()
		if err != nil {
			return err
		}
		o := ahead.Look(v.build, past)
		a := aheadJSON{head: v.head("forecast"), Forecast: aheadjson.New(o)}
		if since != "" {
			at, err := moment("since", since, v.now)
			if err != nil {
				return err
			}
			if at.AddDate(0, 0, -1).After(v.now) { // today, to its end, is as good as now
				return wrong("take an earlier moment", "--since %q: is still to come", since)
			}
			then, err := ahead.AsOf(v.log, v.build.ID, at, plan.Builtin)
			if err != nil {
				return wrong("take a later moment", "--since %q: the build was not begun then", since)
			}
			a.Moved = newMoved(at, ahead.Moved(then, v.build, past, 500))
		}
		if weeks {
			list, err := ahead.Weeks(v.log, v.build.ID, v.now, plan.Builtin, past)
			if err != nil {
				return err
			}
			for _, w := range list {
				a.Weeks = append(a.Weeks, weekJSON{w.At.Truncate(time.Second), w.Logged, aheadjson.SpreadOf(w.Hours), w.Truth, aheadjson.MoneySpread(w.Net), aheadjson.DatesOf(w.Day)})
			}
		}
		return p.answer(a, func(pg *page) { a.words(v, o, pg) })
	})(nil, nil)
}

func newMoved(since time.Time, c ahead.Change) *movedJSON {
	at := func(x ahead.Point) pointJSON {
		return pointJSON{aheadjson.SpreadOf(x.Hours), aheadjson.MoneySpread(x.Net), aheadjson.DatesOf(x.Day)}
	}
	m := &movedJSON{Since: since.Truncate(time.Second), From: at(c.From), To: at(c.To), Moves: []moveJSON{}}
	for _, x := range c.Moves {
		tasks := x.Tasks
		if tasks == nil {
			tasks = []string{}
		}
		m.Moves = append(m.Moves, moveJSON{string(x.Cause), x.Hours, x.Net, x.Days, tasks})
	}
	return m
}

func (a aheadJSON) words(v view, o *ahead.Outlook, pg *page) {
	pg.line("%s", v.title())
	mark := v.style.Mark
	round := func(minor float64) string { return v.money(money.Amount(math.Round(minor/100) * 100)) }

	pg.head("hours left")
	if a.Hours == nil {
		pg.line("%s", a.HoursWhy)
	} else if o.Basis.Open == 0 {
		pg.line("no task is open")
	} else {
		dots(pg, o.Hours.Total.Quantile, func(f float64) string { return v.figure(f, 0) })
		pg.line("%s. %s", words.HoursLeft(o.Hours.Total, mark), words.Spread(o))
		for _, r := range []struct {
			name string
			d    aheadjson.Spread
		}{{"on the list", a.Hours.Listed}, {"not thought of yet", a.Hours.Found}, {"rework", a.Hours.Rework}} {
			pg.row(r.name, v.figure(r.d.P10, 1)+" to "+v.figure(r.d.P90, 1)+" h", "mean "+v.figure(r.d.Mean, 1)+" h")
		}
	}
	pg.line("%s", words.Basis(o, mark, func(w model.When) string { return w.Time().Format(minute) }))

	pg.head("the day all is done")
	if a.Done == nil {
		pg.line("%s", a.DoneWhy)
	} else {
		days := o.Day.Days
		dots(pg, func(p float64) float64 { return float64(days[min(int(p*float64(len(days))), len(days)-1)]) },
			func(f float64) string { return ahead.Day(int(math.Round(f))).Format("2 Jan 06") })
		w := o.Day.Week
		pg.line("%s, at %s to %s hours a week.", words.Days(o.Day.Dates), v.figure(w[0], 0), v.figure(w[2], 0))
		for _, m := range o.Marks {
			pg.row(m.Mark.Title, words.Days(m.Day), words.HoursLeft(m.Hours, mark))
		}
	}

	pg.head("net spend at the end")
	if a.Money == nil {
		pg.line("%s", a.MoneyWhy)
	} else {
		if m := o.Money.Net; m.P10 < m.P90 {
			dots(pg, m.Quantile, round)
		}
		pg.line("8 in 10: %s.", words.Ten(round(a.Money.Net.P10), round(a.Money.Net.P90)))
		if c := v.build.Money.Ceiling; c > 0 {
			pg.line("Chance of staying under the ceiling of %s: %s.", v.money(c), words.Chance(a.Money.UnderCeiling))
		}
	}
	a.holding(o, pg)
	if next := o.Order(); len(next) > 0 {
		pg.head("work in this order")
		for _, t := range next[:min(5, len(next))] {
			pg.row(t.ID, t.Title)
		}
	}
	a.movedWords(v, pg, round)
	a.weekWords(v, pg, round)
}

// holding says what holds the build up: the next tasks of the critical chain and
// the parts to be ordered.
func (a aheadJSON) holding(o *ahead.Outlook, pg *page) {
	tasks := slices.DeleteFunc(slices.Clone(o.Tasks), func(t ahead.TaskLeft) bool { return max(t.Critical, t.Resting) < 0.5 })
	slices.SortStableFunc(tasks, func(a, b ahead.TaskLeft) int { return a.Start[1] - b.Start[1] })
	if len(tasks) > 0 {
		pg.head("what holds it up: next on the critical chain, in how many of %d trials", a.Basis.Trials)
		for _, t := range tasks[:min(5, len(tasks))] {
			pg.row(t.Task.ID, t.Task.Title, words.Chance(max(t.Critical, t.Resting)), "begins "+ahead.Day(t.Start[0]).Format("2 Jan")+" to "+ahead.Day(t.Start[2]).Format("2 Jan"))
		}
	}
	if late := o.Late(); len(late) > 0 {
		pg.head("parts likely to come too late, if ordered today or as promised")
		for _, k := range late {
			by := "order by " + aheadjson.Day(k.OrderBy[0])
			if k.OrderBy[0] == 0 {
				by = "ordered"
			} else if aheadjson.Day(k.OrderBy[0]) <= o.Build.Now.Format(time.DateOnly) {
				by = "order it now"
			}
			pg.row(k.Part.ID, k.Part.Title, words.Chance(k.TooLate), by)
		}
	}
}

func (a aheadJSON) movedWords(v view, pg *page, round func(float64) string) {
	exact := func(minor float64) string { return v.money(money.Amount(math.Round(minor))) } // or the causes would not be seen to add up
	m := a.Moved
	if m == nil {
		return
	}
	pg.head("why the middles moved since %s", m.Since.Format(minute))
	pg.row("", "hours", "net spend", "day", "")
	end := func(name string, x pointJSON) {
		done, in := "not told", ""
		if x.Done != nil {
			done, in = x.Done.P50, x.Done.P10+" to "+x.Done.P90
		}
		pg.row(name, v.figure(x.Hours.P50, 1), exact(x.Net.P50), done)
		pg.row("  8 in 10", v.figure(x.Hours.P10, 0)+" to "+v.figure(x.Hours.P90, 0), round(x.Net.P10)+" to "+round(x.Net.P90), in)
	}
	end("then", m.From)
	for _, x := range m.Moves {
		pg.row(x.Cause, plus(x.Hours, v.figure(x.Hours, 1)), plus(x.Net, exact(x.Net)), plus(float64(x.Days), fmt.Sprint(x.Days)), strings.Join(x.Tasks[:min(6, len(x.Tasks))], " "))
	}
	end("now", m.To)
}

func plus(f float64, text string) string {
	if f > 0 {
		return "+" + text
	}
	return text
}

func (a aheadJSON) weekWords(v view, pg *page, round func(float64) string) {
	if len(a.Weeks) == 0 {
		return
	}
	pg.head("week by week, 8 in 10 as seen then")
	pg.row("", "logged", "hours left", "came of it", "net spend", "all done")
	for _, w := range a.Weeks {
		done := "not told"
		if w.Done != nil {
			done = w.Done.P10 + " to " + w.Done.P90
		}
		pg.row(w.At.Format(minute), v.figure(w.Logged, 1), v.figure(w.Left.P10, 0)+" to "+v.figure(w.Left.P90, 0), v.figure(w.Came, 0), round(w.Net.P10)+" to "+round(w.Net.P90), done)
	}
}

// dots draws 20 chances of one in twenty each, over a line of 61 places.
func dots(pg *page, quantile func(float64) float64, text func(float64) string) {
	const n, wide = 20, 61
	low, high := quantile(0.5/n), quantile(1-0.5/n)
	if high <= low {
		return
	}
	var stack [wide]int
	tall := 0
	for i := range n {
		at := int(math.Round((quantile((float64(i)+0.5)/n) - low) / (high - low) * (wide - 1)))
		at = min(max((at+2)/4*4, 0), wide-1) // every fourth place, so that they stack
		stack[at]++
		tall = max(tall, stack[at])
	}
	for row := tall; row > 0; row-- {
		line := []byte(strings.Repeat(" ", wide))
		for at, k := range stack {
			if k >= row {
				line[at] = 'o'
			}
		}
		pg.plain("  " + strings.TrimRight(string(line), " "))
	}
	pg.plain("  " + strings.Repeat("-", wide))
	left, middle, right := text(low), text((low+high)/2), text(high)
	gap := func(k int) string { return strings.Repeat(" ", max(k, 1)) }
	pg.plain("  " + left + gap(wide/2-len(left)-len(middle)/2) + middle + gap(wide-wide/2-len(middle)+len(middle)/2-len(right)) + right)
}
