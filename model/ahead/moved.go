package ahead

import (
	"maps"
	"slices"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/forecast/spend"
	"ampwright/model"
)

// A Cause is one of the things by which a forecast moves.
type Cause string

// The causes, in the order in which they are taken into account.
const (
	WorkDone   Cause = "work logged"           // as if it had gone at the pace expected
	Pace       Cause = "pace"                  // it took more or less than expected; rework
	Estimates  Cause = "estimates changed"     //
	Added      Cause = "tasks added"           //
	StruckOut  Cause = "tasks struck out"      // no longer needed
	Sequence   Cause = "order of work changed" // what comes after what, stints, waits, hold points
	Deliveries Cause = "deliveries"            // ordered, promised anew, arrived, late
	Prices     Cause = "bought and sold"       // and what is still to be
	Capacity   Cause = "hours a week"          // sessions worked or not, days off, helpers; the days that passed
)

var causes = []Cause{WorkDone, Pace, Estimates, Added, StruckOut, Sequence, Deliveries, Prices, Capacity}

// A Move is what one cause did to the medians of a forecast.
type Move struct {
	Cause Cause
	Hours float64 // left
	Net   float64 // spend at the end, minor units
	Days  int     // the day it is all done, later above zero
	Tasks []string
}

// A Change is why a forecast moved: the moves add up to the medians of To less
// those of From.
type Change struct {
	From, To Point
	Moves    []Move // those that moved something
}

// A Point is a forecast at one end of a move.
type Point struct {
	Hours forecast.Distribution
	Net   spend.Distribution
	Day   day.Dates // zero where no day can be told
}

// Moved splits the difference between two forecasts of a build by cause: one
// cause after another is taken from the later state into the earlier one, and
// what each changes is its part. Another order of the causes would split what
// two of them do together in another way.
func Moved(before, after *model.Build, past []*model.Build, trials int) Change {
	old, now := stateOf(before, past), stateOf(after, past)
	at := old.point(trials)
	c := Change{From: at}
	told := at.Day.P50 // the last day that could be told
	for _, cause := range causes {
		touched := old.take(cause, &now)
		next := old.point(trials)
		m := Move{Cause: cause, Hours: next.Hours.P50 - at.Hours.P50, Net: next.Net.P50 - at.Net.P50, Tasks: touched}
		if next.Day.P50 != 0 {
			if told != 0 {
				m.Days = next.Day.P50 - told
			}
			told = next.Day.P50
		}
		if m.Hours != 0 || m.Net != 0 || m.Days != 0 {
			c.Moves = append(c.Moves, m)
		}
		at = next
	}
	c.To = at
	return c
}

func (s *state) point(trials int) Point {
	f := s.forecast(trials)
	return Point{f.hours.Total, f.money.Net, f.day.Dates}
}

// take brings one cause of a later state into s, and returns the tasks it
// touched. After all causes s is the later state.
func (s *state) take(cause Cause, to *state) (touched []string) {
	each := func(f func(key string, old *task, now task) bool) {
		for _, key := range s.order {
			old := s.tasks[key]
			now, ok := to.tasks[key]
			if ok && f(key, &old, now) {
				s.tasks[key] = old
				touched = append(touched, key)
			}
		}
	}
	switch cause {
	case WorkDone:
		each(func(_ string, old *task, now task) bool {
			changed := old.Logged != now.Logged || old.Done != now.Done
			if now.Done && !old.Done { // out of the list, and no evidence yet
				old.Work = forecast.Work{Name: old.Name, Done: true}
				old.wait, old.resting = now.wait, now.resting
			} else if !old.Done && !now.Done {
				old.Logged, old.Rework = now.Logged, now.Rework
			}
			return changed
		})
	case Pace:
		each(func(_ string, old *task, now task) bool {
			was := old.Work
			if old.Done || now.Done {
				low, likely, high := old.Low, old.Likely, old.High
				if old.Done && old.Likely == 0 && old.High == 0 {
					low, likely, high = now.Low, now.Likely, now.High
				}
				old.Work = now.Work
				old.Low, old.Likely, old.High = low, likely, high
			}
			return old.Work != was
		})
	case Estimates:
		each(func(_ string, old *task, now task) bool {
			was := old.Work
			old.Work = now.Work
			return old.Work != was
		})
	case Added:
		for _, key := range to.order {
			if _, ok := s.tasks[key]; !ok {
				s.tasks[key] = to.tasks[key]
				touched = append(touched, key)
			}
		}
		s.order = s.inOrderOf(to)
	case StruckOut:
		for _, key := range s.order {
			if _, ok := to.tasks[key]; !ok {
				delete(s.tasks, key)
				touched = append(touched, key)
			}
		}
		s.order = slices.Clone(to.order)
		s.marks = to.marks
	case Sequence:
		for _, key := range s.order {
			old, now := s.tasks[key], to.tasks[key]
			if !slices.Equal(old.after, now.after) || !old.Done && old.wait != now.wait || old.stint != now.stint {
				touched = append(touched, key)
			}
			parts := old.parts
			old = now
			old.parts = parts
			s.tasks[key] = old
		}
	case Deliveries:
		for _, key := range s.order {
			s.tasks[key] = to.tasks[key]
		}
		s.parts, s.late = to.parts, to.late
	case Prices:
		s.purse = to.purse
	case Capacity:
		s.today, s.sessions, s.planned, s.away, s.shared, s.past = to.today, to.sessions, to.planned, to.away, to.shared, to.past
	}
	return touched
}

// inOrderOf returns the tasks of s in the order of the later state, those it
// lacks at the end.
func (s *state) inOrderOf(to *state) []string {
	order := slices.Clone(to.order)
	for _, key := range slices.Sorted(maps.Keys(s.tasks)) {
		if _, ok := to.tasks[key]; !ok {
			order = append(order, key)
		}
	}
	return order
}
