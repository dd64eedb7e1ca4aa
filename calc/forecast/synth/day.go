package synth

import (
	"math"
	"slices"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
)

// DayTraits are how a build goes through the calendar. Each is drawn from the
// range beside it, for each build; the ranges are assumptions, wide on purpose,
// no published source.
type DayTraits struct {
	Week     float64    // hours in a usual week: 2 to 16
	Weekdays [7]float64 // chance of a session on a day, as first day of the build comes: 0.05 to 0.9
	Length   float64    // standard deviation of ln session: 0.2 to 0.6
	Bad      float64    // chance that the next week is the first of a bad time: 0 to 0.12
	Better   float64    // chance that it is the last: 0.15 to 0.6
	Slack    float64    // sessions of a bad week, over those of a good one: 0 to 0.5
	Drift    float64    // of the level, from week to week, on the log: 0 to 0.05
	Plan     float64    // hours planned a week over the usual: 0.8 to 1.6
	Holidays float64    // a year: 0 to 3, of 5 to 20 days
	Told     float64    // chance that one is entered beforehand: 0.3 to 1
	Bought   float64    // share of tasks that need a part: 0.1 to 0.6
	Late     float64    // middle of days late: -1 to 6
	Lateness float64    // spread of days late, over the lead time: 0.05 to 0.5
	Ahead    int        // parts are ordered so many tasks ahead: 8 to 60
	Long     float64    // share of tasks with a wait of 3 to 40 days: 0 to 0.05
	Stint    float64    // shortest useful stint, hours: 0.25 to 1
}

// Days are a build in the calendar; day 0 is the first.
type Days struct {
	Build
	Traits   DayTraits
	Stints   []Stint // of work, in order
	Waits    []float64
	Ranges   []day.Hours3
	Parts    []Delivery // by task; High 0 for none
	Holidays []Holiday
	End      int // the day on which everything is finished and rested
}

// A Stint is a stroke on a day.
type Stint struct {
	Stroke
	Day int
	At  float64 // hours from the start of day 0, at its end
}

// A Delivery is a part on its way.
type Delivery struct {
	Low, High                  int // lead time in the plan
	Ordered, Promised, Arrived int
}

// A Holiday is a stretch of days without work.
type Holiday struct {
	day.Span
	Told int // the day it was entered; after its end if never
}

// PlayDays returns build number of a garage in the calendar. Its tasks are those
// of [Play]; their order follows from sessions, waits and deliveries.
func PlayDays(garage, number uint64) Days {
	c := NewChance(garage, number, "days")
	d := Days{Build: Play(garage, number), Traits: DayTraits{
		Week: c.Float(2, 16), Length: c.Float(0.2, 0.6), Bad: c.Float(0, 0.12), Better: c.Float(0.15, 0.6), Slack: c.Float(0, 0.5),
		Drift: c.Float(0, 0.05), Plan: c.Float(0.8, 1.6), Holidays: c.Float(0, 3), Told: c.Float(0.3, 1), Bought: c.Float(0.1, 0.6),
		Late: c.Float(-1, 6), Lateness: c.Float(0.05, 0.5), Ahead: c.Int(8, 60), Long: c.Float(0, 0.05), Stint: c.Float(0.25, 1),
	}}
	for i := range d.Traits.Weekdays {
		d.Traits.Weekdays[i] = c.Float(0.05, 0.9)
	}
	for i := range d.Tasks {
		d.rest(c, i)
		d.delivery(c, i)
	}
	for from := 0; d.Traits.Holidays > 0.05 && from < day.Horizon; {
		from += 1 + int(c.Float(0, 2*365/d.Traits.Holidays))
		h := Holiday{day.Span{From: from, To: from + c.Int(4, 19)}, from - c.Int(20, 90)}
		if !c.Hit(d.Traits.Told) {
			h.Told = h.To + 1
		}
		d.Holidays = append(d.Holidays, h)
		from = h.To
	}
	newYard(&d, c).play()
	return d
}

// rest draws the unattended wait of a task, and what the plan says of it.
func (d *Days) rest(c *Chance, i int) {
	w := d.Tasks[i].Wait
	if c.Hit(d.Traits.Long) {
		w = 24 * c.Float(3, 40)
	}
	d.Waits = append(d.Waits, w)
	likely := w * math.Exp(0.35*c.Normal())
	d.Ranges = append(d.Ranges, day.Hours3{Low: likely / 1.8, Likely: likely, High: 2.2 * likely})
}

// delivery draws the lead time of the part of a task, if it needs one.
func (d *Days) delivery(c *Chance, i int) {
	var p Delivery
	if c.Hit(d.Traits.Bought) {
		middle := math.Exp(c.Float(math.Log(2), math.Log(40)))
		p.Low, p.High = int(middle/2), int(2*middle)+1
		p.Promised = int(middle * math.Exp(0.25*c.Normal())) // from the order
		late := d.Traits.Late + d.Traits.Lateness*middle*c.Heavy(4)
		p.Arrived = p.Promised + max(int(math.Round(late)), -p.Promised/2)
		p.Ordered = -1
	}
	d.Parts = append(d.Parts, p)
}

// A yard is the build while days pass.
type yard struct {
	*Days
	c          *Chance
	now        float64 // hours from the start of day 0
	today      int
	left, redo []float64
	rested     []float64 // when its wait is over; infinite while not finished
	known      []bool
	begun      []bool
	again      []int     // to be done again
	notice     []float64 // as in bench
	plan, past float64
	open       int
}

func newYard(d *Days, c *Chance) *yard {
	n := len(d.Tasks)
	y := &yard{Days: d, c: c, left: make([]float64, n), redo: make([]float64, n), rested: make([]float64, n), known: make([]bool, n), begun: make([]bool, n), open: n}
	for i, t := range d.Tasks {
		y.left[i], y.redo[i], y.rested[i] = t.Hours, t.Rework, math.Inf(1)
		if i < d.Planned {
			y.known[i] = true
			y.plan += t.Hours
		} else {
			y.notice = append(y.notice, math.Pow(c.Float(0, 0.97), d.Build.Traits.Early))
		}
	}
	slices.Sort(y.notice)
	return y
}

// play passes days until all is done.
func (y *yard) play() {
	t, level, good := y.Days.Traits, 0.0, true
	usual := 0.0
	for _, p := range t.Weekdays {
		usual += p
	}
	for y.today = 0; y.today < day.Horizon && (y.open > 0 || len(y.again) > 0); y.today++ {
		if y.today%7 == 0 {
			level += t.Drift * y.c.Normal()
			if good {
				good = !y.c.Hit(t.Bad)
			} else {
				good = y.c.Hit(t.Better)
			}
		}
		y.order()
		p := t.Weekdays[y.today%7]
		if !good {
			p *= t.Slack
		}
		length := t.Week / usual * math.Exp(level+t.Length*y.c.Normal()-t.Length*t.Length/2)
		if y.c.Hit(p) && !slices.ContainsFunc(y.Holidays, func(h Holiday) bool { return h.From <= y.today && y.today <= h.To }) {
			y.session(min(length, 12))
		}
	}
	last := 0.0
	for _, r := range y.rested {
		last = max(last, r)
	}
	y.End = int(last / 24)
	if n := len(y.Stints); n > 0 {
		y.End = max(y.End, y.Stints[n-1].Day)
	}
	if y.open > 0 || len(y.again) > 0 {
		y.End = day.Horizon
	}
}

// order orders the parts of the tasks that come up.
func (y *yard) order() {
	finished := 0
	for _, r := range y.rested {
		if !math.IsInf(r, 1) {
			finished++
		}
	}
	for i := range y.Tasks {
		p := &y.Parts[i]
		if p.High > 0 && p.Ordered < 0 && y.known[i] && (i < finished+y.Days.Traits.Ahead || i >= y.Planned) {
			p.Ordered, p.Promised, p.Arrived = y.today, y.today+p.Promised, y.today+p.Arrived
		}
	}
}

// can reports whether a task can be worked on.
func (y *yard) can(i int) bool {
	if p := y.Parts[i]; !y.known[i] || !math.IsInf(y.rested[i], 1) || p.High > 0 && (p.Ordered < 0 || p.Arrived > y.today) {
		return false
	}
	return !slices.ContainsFunc(y.Tasks[i].After, func(j int) bool { return y.rested[j] > y.now })
}

// session works for some hours from ten o'clock.
func (y *yard) session(hours float64) {
	y.now = float64(y.today)*24 + 10
	for stop := y.now + hours; stop-y.now > 1e-9; {
		if len(y.again) > 0 && (y.open == 0 || y.c.Hit(0.3)) {
			i := y.again[0]
			n := min(y.redo[i], stop-y.now)
			if y.redo[i] -= n; y.redo[i] <= 1e-9 {
				y.again = y.again[1:]
			}
			y.now += n
			y.Stints = append(y.Stints, Stint{Stroke{Task: i, Hours: n, Rework: true}, y.today, y.now})
			continue
		}
		i := y.choose(stop - y.now)
		if i < 0 {
			return
		}
		s := Stroke{Task: i, Hours: min(y.left[i], stop-y.now)}
		y.begun[i] = true
		y.now += s.Hours
		if y.left[i] -= s.Hours; y.left[i] <= 1e-9 {
			s.Finishes = true
			s.Finds = y.finish(i)
		}
		y.Stints = append(y.Stints, Stint{s, y.today, y.now})
	}
}

// choose takes what is in hand, mostly, else one of the next few of the list.
func (y *yard) choose(hours float64) int {
	var some []int
	for i := range y.Tasks {
		if !y.can(i) || hours < min(y.Days.Traits.Stint, y.left[i]) {
			continue
		}
		if y.begun[i] && y.c.Hit(0.8) {
			return i
		}
		some = append(some, i)
	}
	if len(some) == 0 {
		return -1
	}
	return some[y.c.Int(0, min(3, len(some)-1))]
}

func (y *yard) finish(i int) (finds []int) {
	y.rested[i] = y.now + y.Waits[i]
	y.open--
	if y.Tasks[i].Rework > 0 {
		y.again = append(y.again, i)
	}
	if i < y.Planned {
		y.past += y.Tasks[i].Hours
	}
	for len(y.notice) > 0 && y.past >= y.notice[0]*y.plan {
		f := len(y.Tasks) - len(y.notice)
		y.notice = y.notice[1:]
		y.known[f] = true
		finds = append(finds, f)
	}
	return finds
}

// At returns what is known in the morning of a day, and a project that wants
// nothing but hours: Project.Hours, and Hours and Spread of the first
// len(index) tasks, which are those open of the state, by place there.
func (d Days) At(today int) (s State, p day.Project, index []int) {
	work, known := d.logged(today, &s)
	p.Now, p.Planned = today, int(60*d.Traits.Week*d.Traits.Plan)
	for _, h := range d.Holidays {
		if h.Told <= today {
			p.Away = append(p.Away, h.Span)
		}
	}
	for _, t := range d.Stints[:s.Strokes] {
		p.Sessions = append(p.Sessions, day.Session{Day: t.Day, Minutes: int(t.Hours*60 + 0.5)})
	}
	for i := range d.Tasks {
		if !known[i] {
			continue
		}
		s.Tasks, s.Index = append(s.Tasks, work[i]), append(s.Index, i)
		part := d.Parts[i]
		bought := part.High > 0 && part.Ordered >= 0 && part.Ordered < today
		if bought && part.Arrived < today {
			p.Late = append(p.Late, part.Arrived-part.Promised)
		}
		if work[i].Done {
			continue
		}
		index = append(index, len(s.Tasks)-1)
		t := day.Task{ID: work[i].Name, MinStint: int(d.Traits.Stint * 60)}
		if d.Waits[i] > 0 {
			t.Wait = d.Ranges[i]
		}
		for _, j := range d.Tasks[i].After {
			t.After = append(t.After, work[j].Name)
		}
		if part.High > 0 {
			q := day.Part{ID: work[i].Name, Low: part.Low, High: part.High}
			if bought {
				q.Promised, q.Here = max(part.Promised, 1), part.Arrived < today
			}
			p.Parts, t.Parts = append(p.Parts, q), []string{q.ID}
		}
		p.Tasks = append(p.Tasks, t)
	}
	d.resting(today, work, &p)
	return s, p, index
}

// logged is what the logbook says of the tasks.
func (d Days) logged(today int, s *State) (work []forecast.Work, known []bool) {
	work, known = make([]forecast.Work, len(d.Tasks)), make([]bool, len(d.Tasks))
	for i, t := range d.Tasks {
		work[i], known[i] = t.Work, i < d.Planned
	}
	for _, t := range d.Stints {
		if t.Day >= today {
			break
		}
		s.Strokes++
		s.Logged += t.Hours
		w := &work[t.Task]
		w.Logged += t.Hours
		if t.Rework {
			w.Rework += t.Hours
		}
		w.Done = w.Done || t.Finishes
		for _, f := range t.Finds {
			known[f] = true
		}
	}
	return work, known
}

// resting puts in, for each finished task, what is left of its wait, or leaves
// it out of what the others come after.
func (d Days) resting(today int, work []forecast.Work, p *day.Project) {
	open := len(p.Tasks)
	for _, t := range d.Stints {
		if t.Day >= today || !t.Finishes {
			continue
		}
		if end := t.At + d.Waits[t.Task]; end > float64(today)*24 {
			since := float64(today)*24 - t.At
			least := func(h float64) float64 { return max(h-since, 1) }
			r := d.Ranges[t.Task]
			p.Tasks = append(p.Tasks, day.Task{ID: work[t.Task].Name, Wait: day.Hours3{Low: least(r.Low), Likely: least(r.Likely), High: least(r.High)}})
		}
	}
	waits := map[string]bool{}
	for _, t := range p.Tasks {
		waits[t.ID] = true
	}
	for i := range open {
		p.Tasks[i].After = slices.DeleteFunc(p.Tasks[i].After, func(id string) bool { return !waits[id] })
	}
}
