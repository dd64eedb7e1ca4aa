package forecast

import (
	"fmt"
	"slices"

	"ampwright/calc/exact"
)

// Limits of one figure of a task, in hours.
const (
	MaxHours   = 1e6  // some hundred years; more is a slip of the keyboard
	leastHours = 1e-6 // 4 ms; less is taken as nothing
)

// Work is one task as the forecast sees it; all figures are hours from 0 to
// [MaxHours]. Low, Likely and High are the three-point estimate: equal where
// only one figure was given, all 0 where none was. A finished task needed what
// is logged on it less Rework until it was first finished.
type Work struct {
	Name              string // of the task, for errors only
	Low, Likely, High float64
	Logged            float64
	Rework            float64 // part of Logged: after it was first finished
	Done              bool
	Found             bool // was not in the plan: came up on the way
}

// check returns an error that names the task unless its figures can be used.
func (w Work) check() error {
	for _, f := range [...]struct {
		name  string
		hours float64
	}{{"low estimate", w.Low}, {"likely estimate", w.Likely}, {"high estimate", w.High}, {"hours logged", w.Logged}, {"rework", w.Rework}} {
		if !(f.hours >= 0 && f.hours <= MaxHours) { // NaN as well
			return fmt.Errorf("task %s: %s %g: want 0 to %.0f hours", w.Name, f.name, f.hours, MaxHours)
		}
	}
	if w.Rework > w.Logged {
		return fmt.Errorf("task %s: rework %g: want 0 to the %g hours logged", w.Name, w.Rework, w.Logged)
	}
	if w.Low > w.Likely || w.Likely > w.High {
		return fmt.Errorf("task %s: estimate %g, %g, %g out of order: want low, likely, high", w.Name, w.Low, w.Likely, w.High)
	}
	return nil
}

// estimate returns the mean of the three points (see [Mean]); 0 is none.
func (w Work) estimate() float64 {
	e := w.Low/6 + float64(w.Likely*4)/6 + w.High/6
	if w.Low == w.High {
		e = w.Likely
	}
	return atLeast(e)
}

// rangeSD returns the standard deviation of ln hours that the person's low and
// high speak of.
func (w Work) rangeSD() float64 { return exact.Log(w.High/max(w.Low, w.High/100)) / rangeWidth }

func (w Work) logged() float64 { return atLeast(w.Logged) }

// first returns the hours logged until it was first finished.
func (w Work) first() float64 { return atLeast(w.Logged - w.Rework) }

func atLeast(hours float64) float64 {
	if hours < leastHours {
		return 0
	}
	return hours
}

// inOrder returns the tasks' indices in an order that depends on their figures
// alone, so that sums come out the same whatever order they were given in.
func inOrder(tasks []Work) []int {
	order := make([]int, len(tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		a, b := &tasks[i], &tasks[j]
		switch {
		case a.Likely != b.Likely:
			return sign(a.Likely < b.Likely)
		case a.Logged != b.Logged:
			return sign(a.Logged < b.Logged)
		case a.Low != b.Low:
			return sign(a.Low < b.Low)
		case a.High != b.High:
			return sign(a.High < b.High)
		case a.Rework != b.Rework:
			return sign(a.Rework < b.Rework)
		}
		return 0
	})
	return order
}

func sign(less bool) int {
	if less {
		return -1
	}
	return 1
}

// median returns the middle value, 0 of none. It sorts v.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}
