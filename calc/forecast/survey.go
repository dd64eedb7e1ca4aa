package forecast

import (
	"errors"
	"fmt"
	"slices"

	"ampwright/calc/exact"
)

// A survey is a build looked over.
type survey struct {
	Evidence
	record
	garage []record // past builds that say something
	middle float64  // estimate
	open   []TaskLeft
}

// look gathers what b says of the open tasks that are asked about.
func look(b Build, ask func(int) bool, rule begun) (survey, error) {
	var s survey
	estimates, logged := make([]float64, 0, len(b.Tasks)), []float64(nil)
	asked := 0
	for i, t := range b.Tasks {
		if err := t.check(); err != nil {
			return survey{}, err
		}
		if e := t.estimate(); e > 0 {
			estimates = append(estimates, e)
		}
		if !t.Done {
			if ask == nil || ask(i) {
				asked++
			}
		} else if t.first() > 0 {
			logged = append(logged, t.first())
		}
	}
	if s.middle = median(estimates); s.middle == 0 {
		s.middle = median(logged)
	}
	if s.middle == 0 {
		if asked > 0 {
			return survey{}, errors.New("no task has an estimate or is finished with hours logged: give one")
		}
		return survey{}, nil
	}
	for n, tasks := range b.Past {
		r, err := remember(tasks)
		if err != nil {
			return survey{}, fmt.Errorf("past build %d: %w", n+1, err)
		}
		if r.equal > 0 {
			s.garage = append(s.garage, r)
		}
	}
	slices.SortFunc(s.garage, record.compare)
	order := inOrder(b.Tasks)
	open := rule.open(b.Tasks, s.middle)
	s.record = read(b.Tasks, order, open, s.middle)
	if asked == 0 {
		return s, nil
	}
	s.open = make([]TaskLeft, 0, asked)
	s.ahead(b.Tasks, order, open, ask)
	s.behind(b.Tasks, order)
	return s, nil
}

// ahead looks at the open tasks, where open is what each still takes.
func (s *survey) ahead(tasks []Work, order []int, open []float64, ask func(int) bool) {
	var squares, started, blind float64
	copied := true
	for _, i := range order {
		t := &tasks[i]
		if t.Done || ask != nil && !ask(i) {
			continue
		}
		g := open[i]
		if t.logged() > 0 {
			started += g
		}
		if t.estimate() == 0 {
			blind += g
		}
		if planned := t.estimate() - t.logged(); planned > 0 && t.Low == t.High {
			s.Planned += planned
		} else {
			copied = false
		}
		s.Open += g
		squares += float64(g * g)
		s.open = append(s.open, TaskLeft{Task: i, Hours: g})
	}
	s.Crowd = exact.Log(float64(s.Open*s.Open) / squares / 8)
	s.Started, s.Unestimated = started/s.Open, blind/s.Open
	if copied {
		s.Copied = copying(s.exact, s.tasks, len(s.open))
	}
}

// behind looks at the finished tasks, of this build and of those before. Scatter
// and exact hits are a person's: what a past build says of them counts as much as
// what is usual (of three ways tried, the best on runs of open projects that had
// earlier runs).
func (s *survey) behind(tasks []Work, order []int) {
	s.Pace = s.pace().Used
	before, held := float64(scatterN*scatterBefore(tasks, order)), scatterN
	hits, heldHits := exactN*exactMean, exactN
	for _, r := range s.garage {
		if r.tasks > 2 {
			before += float64(scatterN * (r.deviations / (r.tasks - 1)))
			held += scatterN
			hits += float64(exactN * (r.exact / r.tasks))
			heldHits += exactN
		}
	}
	s.Scatter = exact.Log((before + s.deviations) / (held + max(s.tasks-1, 0)) / 0.4)
	s.Exact = (hits+s.exact)/(heldHits+s.tasks) - exactMiddle
}

// scatterBefore is the scatter to expect before any task is finished: the usual
// one, drawn towards what the ranges of the open tasks say.
func scatterBefore(tasks []Work, order []int) float64 {
	var n, sum float64
	for _, i := range order {
		t := &tasks[i]
		if !t.Done && t.Low < t.High && t.estimate() > 0 {
			sd := t.rangeSD()
			sum += float64(sd * sd)
			n++
		}
	}
	if n == 0 {
		return scatterMean
	}
	weight := float64(n / (n + rangeN) / 2)
	return float64((1-weight)*scatterMean) + float64(weight*(sum/n))
}

// scatter returns the variance of ln(actual/estimate) of an open task, where
// build is that of the whole build. A task nobody estimated is taken to vary as
// much more as [Fitted] says of a build of such tasks.
func (w Work) scatter(build float64) float64 {
	switch {
	case w.estimate() == 0:
		return float64(build * exact.Exp(2*Fitted().Spread[5]))
	case w.Low < w.High:
		sd := w.rangeSD()
		return (build + float64(sd*sd)) / 2
	}
	return build
}
