package day

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// A fault names what of a project cannot be used.
func fault(kind, id, format string, args ...any) error {
	return fmt.Errorf("%s %q: %s", kind, id, fmt.Sprintf(format, args...))
}

func within(x, low, high float64) bool { return x >= low && x <= high } // false for NaN

// check returns an error that names what cannot be used.
func (p Project) check(trials int) error {
	if trials < 1 || trials > MaxTrials {
		return fmt.Errorf("got %d trials, want 1 to %d", trials, MaxTrials)
	}
	if len(p.Tasks) > MaxTasks || len(p.Parts) > MaxTasks {
		return fmt.Errorf("got %d tasks and %d parts, want at most %d of each", len(p.Tasks), len(p.Parts), MaxTasks)
	}
	if len(p.Resources) > 64 {
		return fmt.Errorf("got %d resources, want at most 64", len(p.Resources))
	}
	work := false
	for _, t := range p.Tasks {
		if err := t.check(); err != nil {
			return err
		}
		work = work || t.Hours > 0
	}
	if err := p.checkHours(work); err != nil {
		return err
	}
	for _, t := range p.Parts {
		if t.Low < 0 || t.Low > t.High || t.High > MaxDays {
			return fault("part", t.ID, "lead time %d to %d days: want low to high, within 0 to %d", t.Low, t.High, MaxDays)
		}
	}
	for _, r := range p.Resources {
		for _, s := range r.Days {
			if s.From > s.To {
				return fault("resource", r.ID, "there from day %d to %d: want the first day first", s.From, s.To)
			}
		}
	}
	for _, late := range p.Late {
		if late < -MaxDays || late > MaxDays {
			return fmt.Errorf("order %d days late: want %d to %d", late, -MaxDays, MaxDays)
		}
	}
	return p.checkSessions(work)
}

func (t Task) check() error {
	w := t.Wait
	switch {
	case !within(t.Hours, 0, MaxHours):
		return fault("task", t.ID, "%g hours left: want 0 to %.0f", t.Hours, float64(MaxHours))
	case !within(t.Spread, 0, 2):
		return fault("task", t.ID, "spread %g: want 0 to 2", t.Spread)
	case t.MinStint < 0 || t.MinStint > 1440:
		return fault("task", t.ID, "shortest useful stint %d minutes: want 0 to 1440", t.MinStint)
	case !(w.Low >= 0 && w.Low <= w.Likely && w.Likely <= w.High && w.High <= MaxWait):
		return fault("task", t.ID, "wait %g, %g, %g hours: want low, likely, high, within 0 to %d", w.Low, w.Likely, w.High, MaxWait)
	case !(t.Retest >= 0 && t.Retest < 1):
		return fault("task", t.ID, "chance of a retest %g: want 0 to below 1", t.Retest)
	}
	return nil
}

func (p Project) checkHours(work bool) error {
	h := p.Hours
	for _, x := range h {
		if !within(x, 0, MaxHours) {
			return fmt.Errorf("hours left %g: want 0 to %.0f", x, float64(MaxHours))
		}
	}
	switch {
	case !slices.IsSorted(h[:]):
		return fmt.Errorf("hours left %g: want five quantiles, rising", h)
	case work && h[0] == 0:
		return fmt.Errorf("hours left %g: want above 0, as tasks have hours left", h)
	case !work && h[4] > 0:
		return fmt.Errorf("hours left %g: want 0, as no task has hours left", h)
	}
	return nil
}

func (p Project) checkSessions(work bool) error {
	if p.Planned < 0 || p.Planned > 7*1440 {
		return fmt.Errorf("%d minutes planned a week: want 0 to %d", p.Planned, 7*1440)
	}
	some := p.Planned > 0
	for _, s := range p.Sessions {
		if s.Day > p.Now {
			return fmt.Errorf("session on day %d: want none after today, day %d", s.Day, p.Now)
		}
		if s.Minutes < 0 || s.Minutes > 1440 {
			return fmt.Errorf("session on day %d of %d minutes: want 0 to 1440", s.Day, s.Minutes)
		}
		some = some || s.Minutes > 0 && s.Day < p.Now
	}
	for _, a := range p.Away {
		if a.From > a.To {
			return fmt.Errorf("away from day %d to %d: want the first day first", a.From, a.To)
		}
	}
	if work && !some {
		return errors.New("no session before today and no minutes planned a week: give one")
	}
	return nil
}

// index gives the places of IDs, and refuses what is empty or there twice.
func index(kind string, ids []string) (map[string]int, error) {
	at := make(map[string]int, len(ids))
	for i, id := range ids {
		if id == "" {
			return nil, fmt.Errorf("%s %d of %d has no ID", kind, i+1, len(ids))
		}
		if _, twice := at[id]; twice {
			return nil, fault(kind, id, "is there twice, want every ID once")
		}
		at[id] = i
	}
	return at, nil
}

// places looks up the IDs that something names, once each, in order.
func places(kind, id, what string, names []string, at map[string]int) ([]int32, error) {
	list := make([]int32, 0, len(names))
	for _, name := range names {
		i, ok := at[name]
		if !ok {
			return nil, fault(kind, id, "%s %q is not in the project", what, name)
		}
		list = append(list, int32(i))
	}
	slices.Sort(list)
	return slices.Compact(list), nil
}

// circle names the tasks of one circle among those not placed.
func circle(tasks []Task, before [][]int32, placed []bool) error {
	at := int32(slices.Index(placed, false))
	var path []int32
	for !slices.Contains(path, at) {
		path = append(path, at)
		at = before[at][slices.IndexFunc(before[at], func(j int32) bool { return !placed[j] })]
	}
	path = append(path[slices.Index(path, at):], at)
	slices.Reverse(path)
	var names []string
	for _, i := range path {
		names = append(names, tasks[i].ID)
	}
	if len(names) > 9 {
		names = append(names[:8], "...", names[0])
	}
	return fault("task", names[0], "comes after itself in a circle: %s", strings.Join(names, " before "))
}
