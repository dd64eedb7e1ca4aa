package forecast

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Limits of one figure of a task, in hours.
const (
	MaxHours   = 1e6  // some hundred years; more is a slip of the keyboard
	leastHours = 1e-6 // 4 ms; less is taken as nothing
)

// Work is one task as the forecast sees it; all figures are hours from 0 to
// [MaxHours]. Low, Likely and High are the three-point estimate: equal where
// only one figure was given, all 0 where none was. A finished task needed
// exactly what is logged on it.
type Work struct {
	Name              string // of the task, for errors only
	Low, Likely, High float64
	Logged            float64
	Done              bool
}

// check returns an error that names the task unless its figures can be used.
func (w Work) check() error {
	for _, f := range [...]struct {
		name  string
		hours float64
	}{{"low estimate", w.Low}, {"likely estimate", w.Likely}, {"high estimate", w.High}, {"hours logged", w.Logged}} {
		if !(f.hours >= 0 && f.hours <= MaxHours) { // NaN as well
			return fmt.Errorf("task %s: %s %g: want 0 to %.0f hours", w.Name, f.name, f.hours, MaxHours)
		}
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

func (w Work) logged() float64 { return atLeast(w.Logged) }

func atLeast(hours float64) float64 {
	if hours < leastHours {
		return 0
	}
	return hours
}

// inOrder returns the tasks in an order that depends on their figures alone, so
// that sums come out the same whatever order they were given in.
func inOrder(tasks []Work) []Work {
	tasks = slices.Clone(tasks)
	slices.SortFunc(tasks, func(a, b Work) int {
		return cmp.Or(cmp.Compare(a.Likely, b.Likely), cmp.Compare(a.Logged, b.Logged), cmp.Compare(a.Low, b.Low), cmp.Compare(a.High, b.High))
	})
	return tasks
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

// exp and log are e to the x and its inverse from operations that IEEE 754
// rounds in one way. Package math uses other instructions on other processors,
// and two devices must show the same figure. The conversions to float64 keep a
// compiler from fusing a product into a sum (Go specification, "Floating-point
// operators").
func exp(x float64) float64 {
	const high, low = 6.93147180369123816490e-01, 1.90821492927058770002e-10 // ln 2 in two parts, the first short enough that k*high is exact
	k := math.Floor(float64(x/math.Ln2) + 0.5)
	r := x - float64(k*high)
	r -= float64(k * low)
	p := 1.0
	for i := 13.0; i > 0; i-- { // Taylor series; the term left out is below 1e-17
		p = 1 + float64(r*p)/i
	}
	return math.Ldexp(p, int(k))
}

// log is for x > 0.
func log(x float64) float64 {
	m, k := math.Frexp(x)
	if m < math.Sqrt2/2 {
		m *= 2
		k--
	}
	s := (m - 1) / (m + 1)
	s2 := float64(s * s)
	sum := 0.0
	for i := 23.0; i > 0; i -= 2 { // ln m = 2 (s + s³/3 + s⁵/5 + ...)
		sum = float64(sum*s2) + 1/i
	}
	return float64(float64(k)*math.Ln2) + float64(2*float64(s*sum))
}
