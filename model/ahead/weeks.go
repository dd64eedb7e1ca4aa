package ahead

import (
	"slices"
	"time"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/forecast/spend"
	"ampwright/model"

	"github.com/google/uuid"
)

// A Week is a build as the logbook saw it at one moment.
type Week struct {
	At     time.Time
	Build  *model.Build
	Logged float64 // hours
	Hours  forecast.Distribution
	Net    spend.Distribution
	Day    day.Dates // zero where no day could be told

	// Truth is what came of it, as far as it is known: hours logged since, and
	// the median of what is left at the end of the history.
	Truth float64
}

// weekTrials are fewer than [Trials]: a history shows medians and eight in ten.
const weekTrials = 300

// Weeks returns the forecast as it would have been made at the end of each week
// from the start of a build until now: with what was written down by then, and
// nothing of what was written later. The last one is that of now.
func Weeks(l *model.Logbook, id uuid.UUID, now time.Time, plans model.PlanSource, past []*model.Build) ([]Week, error) {
	latest, err := l.Build(id, now, plans)
	if err != nil {
		return nil, err
	}
	var weeks []Week
	then := l.Fresh()
	written := l.Written()
	for at := endOfWeek(latest.StartAt.Time().In(now.Location())); ; at = at.AddDate(0, 0, 7) {
		if at.After(now) {
			at = now
		}
		limit := model.StampAt(at)
		n := 0
		for n < len(written) && (written[n].Stamp <= limit || at.Equal(now)) {
			n++
		}
		for _, e := range written[:n] {
			if _, err := then.Add(e.Raw); err != nil {
				return nil, err
			}
		}
		written = written[n:]
		b, err := then.Build(id, at, plans)
		if err == nil {
			weeks = append(weeks, week(b, past))
		}
		if at.Equal(now) {
			break
		}
	}
	if n := len(weeks); n > 0 {
		last := weeks[n-1]
		for i := range weeks {
			weeks[i].Truth = last.Logged - weeks[i].Logged + last.Hours.P50
		}
	}
	return weeks, nil
}

func week(b *model.Build, past []*model.Build) Week {
	past = slices.DeleteFunc(slices.Clone(past), func(p *model.Build) bool { return lastWork(p).After(b.Now) })
	s := stateOf(b, past)
	f := s.forecast(weekTrials)
	return Week{At: b.Now, Build: b, Logged: float64(b.Hours.Logged) / 60, Hours: f.hours.Total, Net: f.money.Net, Day: f.day.Dates}
}

func lastWork(b *model.Build) time.Time { return basisOf(b).Last.Time() }

// endOfWeek is the midnight after the Sunday at or after t.
func endOfWeek(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d+1+(7-int(t.Weekday()))%7, 0, 0, 0, 0, t.Location())
}

// Past returns those of a garage's builds that are finished: every task is
// finished or not needed, and some hours were logged.
func Past(builds []*model.Build) []*model.Build {
	return slices.DeleteFunc(slices.Clone(builds), func(b *model.Build) bool {
		return b.Hours.Logged == 0 || slices.ContainsFunc(b.Tasks, (*model.Task).Open)
	})
}

// AsOf returns a build as it was known at a moment: from what was written down
// by then.
func AsOf(l *model.Logbook, id uuid.UUID, at time.Time, plans model.PlanSource) (*model.Build, error) {
	then := l.Fresh()
	for _, e := range l.Written() {
		if e.Stamp > model.StampAt(at) {
			break
		}
		if _, err := then.Add(e.Raw); err != nil {
			return nil, err
		}
	}
	return then.Build(id, at, plans)
}
