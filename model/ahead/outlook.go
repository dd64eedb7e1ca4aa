package ahead

import (
	"errors"
	"math"
	"reflect"
	"slices"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/forecast/spend"
	"ampwright/model"
)

// Trials is how often the rest of a build is played to learn its day.
const Trials = 2000

// An Outlook is the forecast of a build. What cannot be forecast says why in its
// error and is zero.
type Outlook struct {
	Build *model.Build
	Hours forecast.Remaining
	Money spend.Outlook
	Day   day.Outlook

	HoursErr, MoneyErr, DayErr error

	Stages []StageLeft // those with open tasks, in the build's order
	Marks  []MarkLeft  // those not reached, in the build's order
	Tasks  []TaskLeft  // open ones and those whose wait runs, in the build's order
	Parts  []PartLeft  // waited for
	Basis  Basis

	from state // what it was made from
	made figures
}

// StageLeft is what is left of a stage.
type StageLeft struct {
	Stage *model.Stage
	Hours forecast.Distribution
	Share float64 // of the spread of the build's hours, 0 to 1
}

// MarkLeft is the way to a milestone.
type MarkLeft struct {
	Mark  *model.Milestone
	Hours forecast.Distribution
	Day   day.Dates
}

// TaskLeft is one task's part in it.
type TaskLeft struct {
	Task  *model.Task
	Hours float64 // mean, without its share of work not thought of and of rework
	day.TaskDays
}

// PartLeft is a part that is waited for.
type PartLeft struct {
	Part *model.Part
	day.PartDays
}

// A Basis is what the forecast rests on, for a person to judge it by.
type Basis struct {
	Finished, Open int        // tasks
	Last           model.When // the newest work or reading; zero for none
	Few            bool       // fewer than five finished tasks: estimates only
}

// Look returns the forecast of a build; past are the garage's finished builds.
func Look(b *model.Build, past []*model.Build) *Outlook { return Again(nil, b, past) }

// Again is Look with an earlier forecast at hand: if nothing that a forecast
// rests on has changed since, its trials are not played anew. before may be nil.
func Again(before *Outlook, b *model.Build, past []*model.Build) *Outlook {
	s := stateOf(b, past)
	var f figures
	if before != nil && reflect.DeepEqual(before.from, s) {
		f = before.made
	} else {
		f = s.forecast(Trials)
	}
	o := &Outlook{from: s, made: f, Build: b, Hours: f.hours, Money: f.money, Day: f.day, HoursErr: f.hoursErr, MoneyErr: f.moneyErr, DayErr: f.dayErr, Basis: basisOf(b)}
	if o.HoursErr != nil {
		return o
	}
	left := map[string]forecast.TaskLeft{}
	for _, t := range f.hours.Tasks {
		left[s.order[t.Task]] = t
	}
	if o.DayErr == nil {
		for i, t := range f.project.Tasks {
			o.Tasks = append(o.Tasks, TaskLeft{b.Task(t.ID), left[t.ID].Hours, f.day.Tasks[i]})
		}
		for i, p := range f.project.Parts {
			o.Parts = append(o.Parts, PartLeft{b.Part(p.ID), f.day.Parts[i]})
		}
	}
	for _, st := range b.Stages {
		l := StageLeft{Stage: st}
		for _, t := range st.Tasks {
			l.Share += left[t.ID].Spread
		}
		r, _ := s.hours(func(key string) bool { return s.tasks[key].stage == st.ID }) // as good as all of it was
		if l.Hours = r.Total; l.Hours.Mean > 0 {
			o.Stages = append(o.Stages, l)
		}
	}
	for i, m := range b.Marks {
		if m.Reached {
			continue
		}
		on := map[string]bool{}
		for _, t := range m.Open {
			on[t.ID] = true
		}
		r, _ := s.hours(func(key string) bool { return on[key] })
		l := MarkLeft{Mark: m, Hours: r.Total}
		if o.DayErr == nil {
			l.Day = f.day.Marks[i]
		}
		o.Marks = append(o.Marks, l)
	}
	return o
}

// HoursLeft returns the hours of [Look] alone. The error names the task whose
// figures cannot be used.
func HoursLeft(b *model.Build, past []*model.Build) (forecast.Remaining, error) {
	s := stateOf(b, past)
	return s.hours(nil)
}

func basisOf(b *model.Build) Basis {
	var basis Basis
	for _, t := range b.Tasks {
		switch {
		case t.Open():
			basis.Open++
		case t.State == model.Finished:
			basis.Finished++
		}
	}
	for _, w := range b.Hours.Work {
		if w.End.Unix > basis.Last.Unix {
			basis.Last = w.End
		}
	}
	for _, c := range b.Checks {
		for _, r := range c.Readings {
			if r.At.Unix > basis.Last.Unix {
				basis.Last = r.At
			}
		}
	}
	basis.Few = basis.Finished < 5
	return basis
}

// Late returns the parts that must be ordered by a day that is near or past, or
// that are likely to keep the work waiting: those with a chance of one in ten or
// more to come too late.
func (o *Outlook) Late() []PartLeft {
	var list []PartLeft
	for _, p := range o.Parts {
		if p.TooLate >= 0.1 {
			list = append(list, p)
		}
	}
	return list
}

// Order returns the open tasks with work left in the order in which the build is
// done soonest, as the trials take them; nil where no day can be told.
func (o *Outlook) Order() []*model.Task {
	var list []*model.Task
	for _, i := range o.Day.Order {
		list = append(list, o.Tasks[i].Task)
	}
	return list
}

// figures is a forecast of a state; what could not be made is zero.
type figures struct {
	hours                      forecast.Remaining
	money                      spend.Outlook
	day                        day.Outlook
	project                    day.Project
	hoursErr, moneyErr, dayErr error
}

func (s *state) forecast(trials int) figures {
	var f figures
	f.hours, f.hoursErr = s.hours(nil)
	f.money, f.moneyErr = spend.Forecast(s.money(f.hours.Total.Mean))
	switch f.project = s.project(f.hours); {
	case f.hoursErr != nil:
		f.dayErr = f.hoursErr
	case f.hours.Total.Mean > 0 && s.planned == 0 && !slices.ContainsFunc(s.sessions, func(w day.Session) bool { return w.Day < s.today }):
		f.dayErr = errors.New("nobody has worked on it before today and no hours a week are planned: say how many")
	default:
		f.day, f.dayErr = day.Simulate(f.project, trials)
	}
	return f
}

// hours is the forecast of the open tasks that ask picks; nil picks all.
func (s *state) hours(ask func(key string) bool) (forecast.Remaining, error) {
	b := forecast.Build{Past: s.past}
	for _, key := range s.order {
		b.Tasks = append(b.Tasks, s.tasks[key].Work)
	}
	if ask == nil {
		return forecast.Rest(b, nil)
	}
	return forecast.Rest(b, func(i int) bool { return ask(s.order[i]) })
}

// money is the purse when so many hours are left.
func (s *state) money(left float64) spend.Purse {
	worked := 0.0
	for _, t := range s.tasks {
		worked += math.Round(t.Logged * 60) // whole minutes: the same sum in any order
	}
	p := s.purse
	if worked += left * 60; worked > 0 {
		p.Along = 1 - left*60/worked
	}
	return p
}

// project is what the simulation of days plays.
func (s *state) project(h forecast.Remaining) day.Project {
	p := day.Project{
		Now: s.today, Seed: s.seed, Late: s.late, Sessions: s.sessions, Planned: s.planned, Away: s.away, Resources: s.shared,
	}
	t := h.Total
	p.Hours = [5]float64{t.P10, t.P25, t.P50, t.P75, t.P90}
	left := map[string]forecast.TaskLeft{}
	for _, t := range h.Tasks {
		left[s.order[t.Task]] = t
	}
	played := map[string]bool{}
	for _, key := range s.order {
		t := s.tasks[key]
		played[key] = !t.Done || t.resting
	}
	used := map[string]bool{}
	for _, key := range s.order {
		t := s.tasks[key]
		if !played[key] {
			continue
		}
		k := day.Task{ID: key, Wait: t.wait}
		if !t.Done {
			k.Hours, k.Spread, k.MinStint, k.Parts, k.Needs, k.Retest = left[key].Hours, min(left[key].Scatter, 2), t.stint, t.parts, t.needs, t.retest
			for _, a := range t.after {
				if played[a] {
					k.After = append(k.After, a)
				}
			}
			for _, id := range t.parts {
				if !used[id] {
					used[id] = true
					p.Parts = append(p.Parts, s.parts[id])
				}
			}
		}
		p.Tasks = append(p.Tasks, k)
	}
	for _, m := range s.marks {
		mark := day.Mark{ID: m.ID}
		for _, key := range m.Tasks {
			if played[key] {
				mark.Tasks = append(mark.Tasks, key)
			}
		}
		p.Marks = append(p.Marks, mark)
	}
	return p
}
