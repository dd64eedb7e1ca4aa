package day

import "slices"

// An Outlook is what the trials came to. Lists are in the order of the project.
type Outlook struct {
	Dates
	Days      []int // the end in each trial, in order; Now + Horizon is never
	Tasks     []TaskDays
	Order     []int // places of the tasks with work left: in which order to take them
	Parts     []PartDays
	Resources []float64 // share of trials in which waiting for it is on the critical chain
	Marks     []Dates
	Chain     Chain
	Week      [3]float64 // hours worked a week, P10, P50 and P90 of the trials' averages
	Basis     Basis
}

// Dates are quantiles of an end, as days.
type Dates struct {
	P10, P25, P50, P75, P90 int
	Never                   float64 // share of trials in which it is not reached within [Horizon]
}

// TaskDays say when a task is worked on. Days of trials that never get there
// count as Now + Horizon.
type TaskDays struct {
	Start, Finish [3]int // P10, P50, P90; its wait comes after

	// Critical is the share of trials with the task on the critical chain: an
	// hour more on it moves the end. Where nothing but the mechanic's own hours
	// is short, that is true of every task. Resting is the share in which its
	// unattended wait is on the chain.
	Critical, Resting float64

	// Slack is how many days the task could end later, other work taking its
	// place, without moving the end: the median.
	Slack int
}

// PartDays say when a part is needed.
type PartDays struct {
	Need [3]int // P10, P50, P90 of the day on which the mechanic first reaches for it

	// OrderBy are the days on which it must be ordered to come too late in at
	// most 10 % and 20 % of trials; below Now if that is past. 0 if it is here or
	// has a promised day.
	OrderBy [2]int

	TooLate  float64 // chance that it is not there when it is reached for
	Critical float64 // share of trials whose critical chain begins with waiting for it
	Cost     float64 // how many days sooner those would end, on average, with the part here
}

// Chain says what the days to the end are spent on, along the critical chain:
// means of the trials, in days. Work includes the days between sessions.
type Chain struct{ Work, Waits, Parts, Resources float64 }

// Basis are figures for sentences.
type Basis struct {
	Weeks, Empty int      // weeks of the record in use, and those without work among them
	Week         float64  // their mean hours; recent weeks weigh more
	Late         int      // orders that came, of which the lateness is known
	MeanLate     float64  // their mean lateness, days
	TooLong      []string // tasks whose shortest useful stint is longer than 9 of 10 sessions, by ID
}

// sorter gives quantiles of whole numbers by counting.
type sorter struct{ count []int32 }

// quantiles fills out with the values that a share of v, in hundredths, does
// not exceed.
func (s *sorter) quantiles(v []int32, hundredths []int, out []int) {
	low, high := slices.Min(v), slices.Max(v)
	if need := int(high-low) + 1; len(s.count) < need {
		s.count = make([]int32, need)
	}
	count := s.count[:high-low+1]
	clear(count)
	for _, x := range v {
		count[x-low]++
	}
	below, at := int32(0), 0
	for k, h := range hundredths { // rising
		want := int32(rank(h, len(v)))
		for below+count[at] <= want {
			below += count[at]
			at++
		}
		out[k] = int(low) + at
	}
}

// rank is the place of a quantile among n sorted values.
func rank(hundredths, n int) int { return (hundredths*(n-1) + 50) / 100 }

var (
	three = []int{10, 50, 90}
	five  = []int{10, 25, 50, 75, 90}
)

// dates turns days from now on into the quantiles of an end.
func (s *sorter) dates(now int, v []int32) Dates {
	var q [5]int
	s.quantiles(v, five, q[:])
	never := 0
	for _, x := range v {
		if x >= Horizon {
			never++
		}
	}
	return Dates{now + q[0], now + q[1], now + q[2], now + q[3], now + q[4], float64(never) / float64(len(v))}
}

func (s *sorter) three(now int, v []int32) [3]int {
	var q [3]int
	s.quantiles(v, three, q[:])
	return [3]int{now + q[0], now + q[1], now + q[2]}
}
