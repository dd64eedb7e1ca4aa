package forecast

import (
	"cmp"
	"math"
	"slices"

	"ampwright/calc/exact"
)

// A Build is what a garage knows when it asks for the rest of the hours.
type Build struct {
	Tasks []Work
	Past  [][]Work // finished builds of the same garage, each as its tasks
}

// Remaining is the rest of the hours. The mean of Total is the sum of the means
// of its parts. Quantiles do not add up: the parts share the build's pace, but
// are not all long by chance at once.
type Remaining struct {
	Total  Distribution
	Listed Distribution // the open tasks asked about
	Found  Distribution // tasks nobody has thought of yet
	Rework Distribution // work after the first finish, on what is and what will be finished
	Tasks  []TaskLeft   // the open tasks asked about, in the order of Build.Tasks
	Basis  Basis
}

// TaskLeft is an open task's part of [Remaining].Listed. Parts can be added up
// by stage.
type TaskLeft struct {
	Task   int     // in Build.Tasks
	Hours  float64 // of the mean; all together Listed.Mean
	Spread float64 // of the variance of ln hours, 0 to 1; all together 1

	Scatter float64 // standard deviation of ln(actual/estimate) that it has for itself
}

// Rest returns the hours left on the open tasks that ask picks, by their place
// in b.Tasks; nil picks all. Evidence is always taken from the whole build, so
// that the few tasks of a stage, or of the way to a milestone, are forecast from
// all that is known; they get their share of the tasks not thought of yet and of
// the rework. New tasks and rework are taken to come as long as there is work on
// the list, so much for an hour finished: with no open task picked all is
// exactly 0. Unlike [Hours], Rest counts hours logged on an open task as those of
// a task in hand, and lets builds differ more than office work does. Hours are
// taken to be worked, never copied from the estimates, for rework and tasks found on
// the way are not in these. Like it, it is a closed form. The error names the task whose figures cannot be used.
func Rest(b Build, ask func(task int) bool) (Remaining, error) {
	s, err := look(b, ask, atWork)
	if err != nil {
		return Remaining{}, err
	}
	var left Remaining
	h := habits{s.pace(), s.growth(), s.again()}
	var r Reasons
	if s.Open > 0 {
		r = s.split(&left, h, b.Tasks)
	}
	left.Basis = s.basis(&left, h, r, b.Tasks)
	return left, nil
}

type habits struct{ pace, growth, rework Learnt }

// split fills left and says how wide Total is, and why.
func (s *survey) split(left *Remaining, h habits, tasks []Work) Reasons {
	c := Fitted()
	c.Spread[4] = startedAtWork
	office := s.worked(c)
	listed := office.variance() + h.pace.variance
	mean := float64(office.P50 * exact.Exp(listed/2))
	own := min(s.scatters(tasks), listed) // part of the variance that single tasks have for themselves
	common := listed - own

	growth, showing := h.growth.Used, s.showing()
	rework := float64(h.rework.Used * showing)
	all, again := 1/(1-growth), 1+rework // hours first done for an hour on the list; hours for an hour first done
	equal := float64(8*exact.Exp(s.Crowd)) * all
	growing := float64(all*all) * (h.growth.variance + chance(growth, equal)) // relative variance of all
	redoing := float64(showing*showing)*h.rework.variance + chance(rework, equal)
	whole := float64(all * again)

	left.Listed = logNormal(mean, listed, c.Z)
	left.Found = logNormal(float64(mean*(all-1)), common+exact.Log(1+growing/float64(growth*growth)), c.Z)
	left.Rework = logNormal(float64(mean*all)*rework, common+exact.Log(1+growing+redoing/float64(rework*rework)), c.Z)
	left.Total = logNormal(left.Listed.Mean+left.Found.Mean+left.Rework.Mean,
		common+exact.Log(1+own/float64(whole*whole)+growing+redoing/float64(again*again)), c.Z)
	left.Tasks = s.blame(left.Listed.Mean, own/listed)
	return s.reasons(c, office.spread, left)
}

// chance returns the variance of hours that come in lumps, for an hour of work,
// where share is their mean and tasks of equal size are ahead: that of so many
// lumps and one more. Without the one it would be exact, but where less than one
// lump is to be expected it is all in a tail beyond P90, and would put P10 and
// P90 too far apart.
func chance(share, tasks float64) float64 {
	return float64(lumps*float64(share*share)) / (1 + float64(share*tasks))
}

// scatters works out what the scatter of each open task adds to the variance of
// ln Open, and returns the sum.
func (s *survey) scatters(tasks []Work) float64 {
	sum, scatter := 0.0, float64(0.4*exact.Exp(s.Scatter))
	for i := range s.open {
		t := &s.open[i]
		part, variance := t.Hours/s.Open, tasks[t.Task].scatter(scatter)
		t.Scatter = math.Sqrt(variance)
		t.Spread = float64(part*part) * variance
		sum += t.Spread
	}
	return sum
}

// blame shares mean and variance out among the tasks: own of the variance by
// what each one's scatter adds, the rest, which they have in common, by their
// hours.
func (s *survey) blame(mean, own float64) []TaskLeft {
	sum := 0.0
	for _, t := range s.open {
		sum += t.Spread
	}
	for i := range s.open {
		t := &s.open[i]
		part := t.Hours / s.Open
		t.Hours = float64(part * mean)
		t.Spread = float64(own*(t.Spread/sum)) + float64((1-own)*part)
	}
	slices.SortFunc(s.open, func(a, b TaskLeft) int { return cmp.Compare(a.Task, b.Task) })
	return s.open
}
