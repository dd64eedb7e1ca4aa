package forecast

import "ampwright/calc/exact"

import "slices"

// A Basis is what a forecast rests on, for a page to say it in a sentence.
type Basis struct {
	Finished    int     // tasks, of those with an estimate
	Hours       float64 // theirs, until first finished
	Estimate    float64 // theirs, the mean of low, likely and high
	Pace        Learnt  // hours a task takes over its estimate, as a ratio; Weight holds for its logarithm
	Counted     float64 // middle of Listed for an hour that the open tasks would take at their estimates
	Growth      Learnt  // hours of tasks nobody had thought of, in an hour finished
	FoundTasks  int     // found so far, finished or open
	FoundHours  float64 // theirs, those to come included
	Rework      Learnt  // hours after the first finish, for an hour until then
	ReworkHours float64 // hours of rework logged

	Past        int // finished builds that were used
	Begun       int // of the open tasks asked about, those with hours logged
	Unestimated int // of these, those without an estimate
	Reasons     Reasons
}

// Reasons are factors on the spread of Total (of ln hours); their product is the
// spread over that of an ordinary rest of eight equal tasks. Above 1 widens. A
// spread never grows but by one of these.
type Reasons struct {
	Few         float64 // few open tasks share the rest, or a few big ones
	Scatter     float64 // finished tasks were far from the estimates, each its own way; wide ranges
	Inexact     float64 // few estimates were met exactly: hours are not rounded to them
	Begun       float64 // much of the rest is in tasks begun
	Unestimated float64 // much of the rest is in tasks without an estimate
	Pace        float64 // little is known of the pace
	Unforeseen  float64 // tasks found on the way, and rework; below 1 where they average out
}

// list returns the factors in the order of the fields.
func (r Reasons) list() []float64 {
	return []float64{r.Few, r.Scatter, r.Inexact, r.Begun, r.Unestimated, r.Pace, r.Unforeseen}
}

// Widest returns the name of the reason that widens most, "" where none does.
func (r Reasons) Widest() string {
	l := r.list()
	most := slices.Max(l)
	if most <= 1 {
		return ""
	}
	return [...]string{"few", "scatter", "inexact", "begun", "unestimated", "pace", "unforeseen"}[slices.Index(l, most)]
}

// reasons tells them, where office is the spread before the garage's own were
// added.
func (s *survey) reasons(c Constants, office float64, left *Remaining) Reasons {
	x := s.Evidence.Spread()
	factor := func(i int) float64 { return exact.Exp(float64(c.Spread[i] * x[i])) }
	r := Reasons{Few: factor(2), Scatter: factor(1), Inexact: factor(3), Begun: factor(4), Unestimated: factor(5)}
	r.Pace = left.Listed.spread / office
	r.Unforeseen = left.Total.spread / left.Listed.spread
	return r
}

func (s *survey) basis(left *Remaining, h habits, r Reasons, tasks []Work) Basis {
	b := Basis{
		Finished: int(s.tasks), Hours: s.hours, Estimate: s.estimate,
		Pace:       Learnt{Own: exact.Exp(h.pace.Own), Usual: exact.Exp(h.pace.Usual), Used: exact.Exp(h.pace.Used), Weight: h.pace.Weight},
		Growth:     h.growth,
		FoundTasks: s.foundTasks, FoundHours: s.found,
		Rework: h.rework, ReworkHours: s.rework,
		Past:    len(s.garage),
		Reasons: r,
	}
	if s.Open > 0 {
		b.Counted = left.Listed.P50 / s.Open
	}
	for _, t := range left.Tasks {
		if tasks[t.Task].logged() > 0 {
			b.Begun++
		}
		if tasks[t.Task].estimate() == 0 {
			b.Unestimated++
		}
	}
	return b
}
