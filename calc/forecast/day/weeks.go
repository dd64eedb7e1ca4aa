package day

import (
	"math"
	"slices"

	"ampwright/calc/exact"
)

// How the sessions of the past speak for those to come: common practice, no
// published source.
const (
	halfLife   = 26      // weeks after which a week of the record weighs half
	oldest     = 104     // weeks back; older ones say nothing
	priorWeeks = 4       // the plan weighs as much as so many weeks of the record
	keepOn     = 2.0 / 3 // chance that the week after is the next of the record: blocks of three weeks
	drift      = 0.10    // standard deviation of the logarithm of what changes in a life for good
	maxSession = 840     // minutes; a session longer than that is no forecast
	startsAt   = 600     // minute of the day at which sessions begin: matters to waits of less than a day
)

// How a week goes that was planned, over the plan, and how it falls on the days
// from Sunday on: common practice, no published source.
var (
	planKept = [...]float64{0, 0.3, 0.6, 0.8, 1, 1.2}
	planDays = [7]float64{0.25, 0, 0.15, 0.10, 0.15, 0, 0.35}
)

// weeks are where the weeks to come are taken from. Rows hold the minutes of
// seven days, the first of the weekday of today.
type weeks struct {
	rows    [][7]int32
	record  int      // rows 0, 1, ... are weeks of the record, the youngest first; then planned ones
	upTo    []uint64 // of the running sum of their weights, of 1<<32
	mean    float64  // minutes a week
	spread  float64  // of the level of all weeks to come, on the logarithm
	worked  int32    // minutes today
	empty   int
	longish int32 // minutes that 1 session in 10 exceeds
}

func newWeeks(p Project) *weeks {
	w := &weeks{}
	days := map[int]int32{}
	first := p.Now
	for _, s := range p.Sessions {
		days[s.Day] += int32(s.Minutes)
		if s.Minutes > 0 {
			first = min(first, s.Day)
		}
	}
	w.worked = days[p.Now]
	var weight []float64
	count := 0
	if first < p.Now {
		count = min(max((p.Now-first)/7, 1), oldest)
	}
	for k := range count {
		from := p.Now - 7*(k+1)
		if slices.ContainsFunc(p.Away, func(a Span) bool { return a.From <= from+6 && a.To >= from }) {
			continue
		}
		var row [7]int32
		for d := range row {
			row[d] = min(days[from+d], maxSession)
		}
		w.rows = append(w.rows, row)
		weight = append(weight, exact.Exp(-float64(k)*math.Ln2/halfLife))
	}
	w.record = len(w.rows)
	w.measure(weight)
	w.plan(p, &weight)
	w.settle(weight)
	return w
}

// plan adds weeks as planned; without a plan, and with too little of a record,
// what was done so far is taken for one.
func (w *weeks) plan(p Project, weight *[]float64) {
	minutes := float64(p.Planned)
	if minutes == 0 {
		minutes = w.mean
		if w.record == 0 { // all weeks touched by holidays
			for _, s := range p.Sessions {
				minutes += float64(s.Minutes)
			}
		}
	}
	for _, kept := range planKept {
		var row [7]int32
		for d := range row {
			weekday := ((p.Now+d+4)%7 + 7) % 7 // 1970-01-01 was a Thursday
			row[d] = min(int32(float64(float64(minutes*kept)*planDays[weekday])+0.5), maxSession)
		}
		w.rows = append(w.rows, row)
		*weight = append(*weight, float64(priorWeeks)/float64(len(planKept)))
	}
}

// measure finds the mean of the record.
func (w *weeks) measure(weight []float64) {
	var sum, total float64
	for i, row := range w.rows {
		minutes := rowSum(row)
		if minutes == 0 {
			w.empty++
		}
		sum += float64(weight[i] * minutes)
		total += weight[i]
	}
	if total > 0 {
		w.mean = sum / total
	}
}

// settle works out what all rows together say.
func (w *weeks) settle(weight []float64) {
	var total, sum, squares, heavy float64
	for i, row := range w.rows {
		total += weight[i]
		heavy += float64(weight[i] * weight[i])
		m := rowSum(row)
		sum += float64(weight[i] * m)
		squares += float64(weight[i] * float64(m*m))
	}
	w.upTo = make([]uint64, len(w.rows))
	run := 0.0
	var lengths []int32
	for i, row := range w.rows {
		run += weight[i]
		w.upTo[i] = uint64(float64(run/total*(1<<32)) + 0.5)
		for _, m := range row {
			if m > 0 {
				lengths = append(lengths, m)
			}
		}
	}
	w.upTo[len(w.rows)-1] = 1 << 32
	if len(lengths) > 0 {
		slices.Sort(lengths)
		w.longish = lengths[rank(90, len(lengths))]
	}
	// The mean of few weeks is not known well: its variance is theirs over how
	// many equal ones they are, of which neighbours count as one.
	variance := float64(drift * drift)
	if sum > 0 {
		mean := sum / total
		equal := float64(total*total) / heavy
		variance += max(squares/total/float64(mean*mean)-1, 0) / equal
	}
	w.spread = math.Sqrt(variance)
	if w.record == 0 {
		w.mean = sum / total
	}
}

func rowSum(row [7]int32) float64 {
	sum := int32(0)
	for _, m := range row {
		sum += m
	}
	return float64(sum)
}

// next returns the row after row at, given a draw: the next week of the record, or
// the same planned one, or any.
func (w *weeks) next(at int, draw uint64) int {
	if float64(draw>>40) < keepOn*(1<<24) {
		switch {
		case at > 0 && at < w.record:
			return at - 1
		case at >= w.record && at < len(w.rows):
			return at
		}
	}
	u := draw & (1<<32 - 1)
	low, high := 0, len(w.upTo)-1
	for low < high {
		if m := (low + high) / 2; w.upTo[m] <= u {
			low = m + 1
		} else {
			high = m
		}
	}
	return low
}
