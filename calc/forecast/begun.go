package forecast

// A begun is a rule for open tasks that are begun: such a task still takes part
// of its estimate, less part of the hours so far, and at least part of those.
type begun struct{ estimate, logged, least float64 }

// How it is with tasks begun depends on the moment of asking. Both rules were
// found in the logs of one set of office work.
var (
	// When a task has just been finished, more than half of the others on which
	// hours are logged need nothing more: they are done but for the tick. What
	// the rest takes stops near the estimate or far beyond it.
	atFinish = begun{0.40, 0.57, 0.06}
	// At a moment of work, and done tasks ticked, as in a garage where the clock
	// asks whether the task is finished: up to its estimate a task shows little of
	// how much is left, and then the longer it has taken the more is left. (1,125
	// moments; the score of the hours listed is 0.265 by this rule, 0.347 by the
	// other.)
	atWork = begun{0.80, 0.35, 0.40}
)

// startedAtWork takes the place of the term of begun tasks in [Constants].Spread
// where atWork is used: little is left of it.
const startedAtWork = 0.10

// open returns what each open task still takes at the pace of the estimates,
// in hours, where middle is the middle estimate of the build.
func (r begun) open(tasks []Work, middle float64) []float64 {
	hours := make([]float64, len(tasks))
	for i := range tasks {
		if t := &tasks[i]; !t.Done {
			hours[i] = expected(t.estimate(), middle)
			if s := t.logged(); s > 0 {
				hours[i] = max(float64(r.estimate*hours[i])-float64(r.logged*s), float64(r.least*s))
			}
		}
	}
	return hours
}
