// Package forecast says how many hours are left. This file is the plain rule of
// the workshop: one pace for the whole build and no spread; the distribution
// takes its place behind the same input.
package forecast

// A Task is what a forecast needs to know of one task, in hours.
type Task struct {
	Low, Likely, High float64
	Logged            float64
	Finished          bool
}

// Mean returns the mean of a three-point estimate, (low + 4 likely + high) / 6
// ("A simple and logical alternative for making PERT time estimates", IIE
// Transactions, March 1996, eq. 1a).
func Mean(low, likely, high float64) float64 { return (low + 4*likely + high) / 6 }

// A Plain is the plain rule's answer, in hours.
type Plain struct {
	Actual   float64 // logged on finished tasks, rework included
	Estimate float64 // their mean estimates
	Pace     float64 // Actual / Estimate; 1 when nothing is finished
	Left     float64 // at that pace
	Unscaled float64 // at pace 1
}

// Left returns the hours left by the plain rule: over the open tasks, the sum
// of what the mean estimate at the build's pace leaves after the hours logged,
// and at least a quarter of it (common practice, no published source).
func Left(tasks []Task) Plain {
	p := Plain{Pace: 1}
	for _, t := range tasks {
		if t.Finished {
			p.Actual += t.Logged
			p.Estimate += Mean(t.Low, t.Likely, t.High)
		}
	}
	if p.Estimate > 0 && p.Actual > 0 {
		p.Pace = p.Actual / p.Estimate
	}
	for _, t := range tasks {
		if !t.Finished {
			m := Mean(t.Low, t.Likely, t.High)
			p.Left += max(p.Pace*m-t.Logged, p.Pace*m/4)
			p.Unscaled += max(m-t.Logged, m/4)
		}
	}
	return p
}
