package model

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/forecast"
)

// A State is where a task stands.
type State string

const (
	Waiting   State = "waiting" // something before it is not finished
	Ready     State = "ready"
	InHand    State = "in hand" // begun and not finished
	Finished  State = "finished"
	NotNeeded State = "not needed"
)

// A Task is the smallest thing with an estimate, and all that was logged on it.
type Task struct {
	PlanTask
	Stage     *Stage
	Estimate  Hours3
	Estimates *Register // nil while the plan's figure stands
	Added     bool      // not from the plan
	Before    []*Task   // must be finished first
	Behind    []*Task   // wait for this one
	Parts     []*Part
	Checks    []*Check
	Work      []*WorkLine
	Notes     []NoteLine
	Photos    []PhotoLine

	State      State
	Ready      bool // everything before it is finished, whatever its state
	StateField *Register
	Reason     string // why it is not needed
	Logged     int64  // minutes, rework included
	Rework     int64  // minutes after it was first finished
	FirstAt    When   // when work on it began
	FinishedAt When
	RestUntil  time.Time // unattended wait after finishing, likely end; zero if none or over
	Clock      *OpenClock
	Held       []Hold // hold points that must open before it goes on

	n      int      // place in Build.Tasks
	up     []uint64 // bit set of the tasks upstream
	doneAt When     // first finish, ever
}

// Open reports whether the task still wants work.
func (t *Task) Open() bool { return t.State != Finished && t.State != NotNeeded }

// PartsMissing returns the parts that are neither here nor fitted.
func (t *Task) PartsMissing() []*Part {
	var missing []*Part
	for _, p := range t.Parts {
		if p.State == PartWanted || p.State == PartOrdered {
			missing = append(missing, p)
		}
	}
	return missing
}

// LastNote returns the newest remark on the task, from a note or from work.
func (t *Task) LastNote() (text string, at When) {
	for _, w := range t.Work {
		if w.Note != "" && w.End.Unix >= at.Unix {
			text, at = w.Note, w.End
		}
	}
	for _, n := range t.Notes {
		if n.At.Unix >= at.Unix {
			text, at = n.Text, n.At
		}
	}
	return text, at
}

// A WorkLine is a stretch of hands-on time.
type WorkLine struct {
	Fact
	Task     string
	At, End  When
	Minutes  int64
	Who      string
	Note     string
	Changes  []string // that count: those confirmed, or all the task may cause
	Assumed  bool     // the question after changes was not answered
	Rework   bool
	Clocked  bool
	ClockOff ID   // the entry that stopped the clock
	DayOnly  bool // from a line of a sheet that gave no time of day: it stands at noon
}

// An OpenClock is a clock that runs.
type OpenClock struct {
	Fact
	Task string
	At   When
	Who  string
}

// A Hold is a hold point that keeps a task from going on.
type Hold struct {
	Check *Check
	Why   string
}

// ForgottenAfter is how long a clock may run before somebody is asked about it.
const ForgottenAfter = 12 * time.Hour

func (b *Build) makeTasks(plan *Plan, led *ledger) {
	stages := map[string]*Stage{}
	for _, s := range plan.Stages {
		st := &Stage{ID: s.ID, Title: s.Title}
		stages[s.ID] = st
		b.Stages = append(b.Stages, st)
	}
	for _, s := range led.stages {
		if stages[s.body.Key] == nil {
			st := &Stage{ID: s.body.Key, Title: s.body.Title}
			stages[s.body.Key] = st
			b.Stages = append(b.Stages, st)
		}
	}
	add := func(p PlanTask, added bool) {
		st := stages[p.Stage]
		if st == nil || b.task[p.ID] != nil {
			return
		}
		t := &Task{PlanTask: p, Stage: st, Estimate: p.Estimate, Added: added}
		t.Title = b.regs.text("task", p.ID, "title", p.Title)
		if r := b.regs.get("task", p.ID, "estimate"); r.Value() != nil {
			if h, err := hours3(r.Value().Value); err == nil {
				t.Estimate, t.Estimates = h, r
			}
		}
		st.Tasks = append(st.Tasks, t)
		b.task[p.ID] = t
	}
	for _, p := range plan.Tasks {
		add(p, false)
	}
	for _, a := range led.tasks {
		h := func(m int64) float64 { return float64(m) / 60 }
		add(PlanTask{
			ID: a.body.Key, Stage: a.body.Stage, Title: a.body.Title, MinBlock: int(a.body.MinBlock), Skill: a.body.Skill,
			Estimate: Hours3{h(a.body.Low), h(a.body.Likely), h(a.body.High)}, After: a.body.After,
		}, true)
	}
	for _, st := range b.Stages {
		for _, t := range st.Tasks {
			t.n = len(b.Tasks)
			b.Tasks = append(b.Tasks, t)
		}
	}
	b.makeGraph()
	for _, n := range b.Notes {
		if t := b.task[n.Note.Task]; t != nil {
			t.Notes = append(t.Notes, n)
		}
	}
	for _, p := range b.Photos {
		if t := b.task[p.Photo.Task]; t != nil {
			t.Photos = append(t.Photos, p)
		}
	}
	b.makeWork(led)
}

// An edge says that one task must be finished before another.
type edge struct {
	before, after string
	added         *Write // nil for an edge of the plan
}

// makeGraph links the tasks. Edges that were added apart and close a cycle
// together are parked: all edges are tried from the oldest to the youngest, and
// one that would close a cycle is left out, the same one on every replica.
func (b *Build) makeGraph() {
	var edges, added []edge
	for _, t := range b.Tasks {
		for _, a := range t.PlanTask.After {
			if r := b.regs.get("edge", a+">"+t.ID, "on"); r.Value() == nil || edgeOn(r) {
				edges = append(edges, edge{a, t.ID, nil})
			}
		}
	}
	for _, r := range b.fields {
		before, after, ok := strings.Cut(r.Key, ">")
		if r.What != "edge" || !ok || !edgeOn(r) || b.task[before] == nil || b.task[after] == nil {
			continue
		}
		if slices.Contains(b.task[after].PlanTask.After, before) {
			continue
		}
		first := &r.Writes[0]
		for i := range r.Writes {
			if r.Writes[i].Head {
				first = &r.Writes[i]
				break
			}
		}
		added = append(added, edge{before, after, first})
	}
	slices.SortStableFunc(added, func(x, y edge) int {
		if x.added.Stamp != y.added.Stamp {
			if x.added.Stamp < y.added.Stamp {
				return -1
			}
			return 1
		}
		return strings.Compare(x.before+">"+x.after, y.before+">"+y.after)
	})
	for _, t := range b.Tasks {
		t.Before, t.Behind = nil, nil
	}
	for _, e := range append(edges, added...) {
		x, y := b.task[e.before], b.task[e.after]
		if x == nil || y == nil || slices.Contains(y.Before, x) {
			continue
		}
		if x == y || reaches(y, x, map[*Task]bool{}) {
			b.Findings = append(b.Findings, &Finding{
				Key: "parked:" + e.before + ">" + e.after, Kind: FindingParked, Task: y, Open: true,
				Text: "the order " + e.before + " before " + e.after + " would close a circle with older ones and is left out",
			})
			continue
		}
		y.Before = append(y.Before, x)
		x.Behind = append(x.Behind, y)
	}
	words := (len(b.Tasks) + 63) / 64
	var close func(t *Task)
	close = func(t *Task) {
		if t.up != nil {
			return
		}
		t.up = make([]uint64, words)
		for _, a := range t.Before {
			close(a)
			for i, w := range a.up {
				t.up[i] |= w
			}
			t.up[a.n/64] |= 1 << (a.n % 64)
		}
	}
	for _, t := range b.Tasks {
		close(t)
	}
}

func edgeOn(r *Register) bool {
	for _, h := range r.Heads() {
		if h.Value == "on" {
			return true
		}
	}
	return false
}

func reaches(from, to *Task, seen map[*Task]bool) bool {
	for _, n := range from.Behind {
		if n == to {
			return true
		}
		if !seen[n] {
			seen[n] = true
			if reaches(n, to, seen) {
				return true
			}
		}
	}
	return false
}

// upstream reports whether task u must be finished before t, directly or not.
func (b *Build) upstream(t, u *Task) bool { return t.up[u.n/64]&(1<<(u.n%64)) != 0 }

// Upstream returns the tasks that must be finished before t, in plan order.
func (b *Build) Upstream(t *Task) []*Task {
	var list []*Task
	for _, u := range b.Tasks {
		if b.upstream(t, u) {
			list = append(list, u)
		}
	}
	return list
}

// clockedOn returns the task of an entry that starts a clock, whatever became of it.
func (l *Logbook) clockedOn(id ID) string {
	if n, ok := l.byID[id]; ok && l.items[n].kind == kindClockOn {
		if on, ok := read[ClockOn](l, n); ok {
			return on.body.Task
		}
	}
	return ""
}

// makeWork files the stretches of work, and what they changed.
func (b *Build) makeWork(led *ledger) {
	g := b.own
	b.events = map[string][]event{}
	happened := func(kinds []string, at When, f Fact, task string, assumed bool) {
		for _, k := range kinds {
			b.events[k] = append(b.events[k], event{at.Unix, at, f, task, k, assumed})
		}
	}
	file := func(w *WorkLine, answered bool, said []string) {
		t := b.task[w.Task]
		w.Changes = said
		if !answered && t != nil {
			w.Changes, w.Assumed = t.PlanTask.Changes, len(t.PlanTask.Changes) > 0
		}
		happened(w.Changes, w.End, w.Fact, w.Task, w.Assumed)
		b.Hours.Work = append(b.Hours.Work, w)
		if t != nil {
			t.Work = append(t.Work, w)
		}
	}
	lines := make([]WorkLine, len(led.work))
	b.Hours.Work = make([]*WorkLine, 0, len(led.work)+len(led.on))
	for i := range led.work {
		w := &led.work[i]
		f := b.log.fact(g, w.n)
		who := w.body.Who
		if who == "" {
			who = f.Person
		}
		lines[i] = WorkLine{
			Fact: f, Task: w.body.Task, At: w.body.At, End: w.body.At.Add(time.Duration(w.body.Minutes) * time.Minute),
			Minutes: w.body.Minutes, Who: who, Note: w.body.Note,
			DayOnly: w.body.Row != (ID{}) && w.body.At.Time().Format(time.TimeOnly) == "12:00:00",
		}
		file(&lines[i], w.body.Answered || len(w.body.Changes) > 0, w.body.Changes)
	}
	offs := map[ID]got[ClockOff]{}
	for _, o := range led.off {
		if _, ok := offs[o.body.On]; !ok {
			offs[o.body.On] = o // the first to stop it
		}
	}
	started := map[ID]bool{}
	for _, on := range led.on {
		started[b.log.items[on.n].id] = true
	}
	for _, o := range led.off {
		if started[o.body.On] && offs[o.body.On].n == o.n {
			continue
		}
		// What an entry in force says was changed was changed, though the stint it
		// ended was struck out, or ended before by another.
		happened(o.body.Changes, o.body.At, b.log.fact(g, o.n), b.log.clockedOn(o.body.On), false)
	}
	for _, on := range led.on {
		f := b.log.fact(g, on.n)
		who := on.body.Who
		if who == "" {
			who = f.Person
		}
		off, ok := offs[f.ID]
		if !ok {
			c := &OpenClock{Fact: f, Task: on.body.Task, At: on.body.At, Who: who}
			b.Hours.Clocks = append(b.Hours.Clocks, c)
			if t := b.task[c.Task]; t != nil {
				t.Clock = c
			}
			continue
		}
		w := &WorkLine{
			Fact: f, Task: on.body.Task, At: on.body.At, End: off.body.At, Who: who, Note: off.body.Note, Clocked: true,
			ClockOff: b.log.items[off.n].id, Minutes: off.body.Minutes,
		}
		if w.Minutes == 0 {
			w.Minutes = max(0, (w.End.Unix-w.At.Unix+30)/60)
		}
		file(w, off.body.Answered || len(off.body.Changes) > 0, off.body.Changes)
		// The change is said by the entry that stops the clock.
		stop := b.log.fact(g, off.n)
		for _, k := range w.Changes {
			if list := b.events[k]; len(list) > 0 {
				list[len(list)-1].fact = stop
			}
		}
	}
	for _, c := range led.changes {
		happened(c.body.Changes, c.body.At, b.log.fact(g, c.n), c.body.Task, false)
	}
	slices.SortStableFunc(b.Hours.Work, func(x, y *WorkLine) int {
		return int(min(max(x.At.Unix-y.At.Unix, -1), 1))
	})
	for _, list := range b.events {
		slices.SortStableFunc(list, func(x, y event) int { return int(min(max(x.unix-y.unix, -1), 1)) })
	}
	for _, t := range b.Tasks {
		slices.SortStableFunc(t.Work, func(x, y *WorkLine) int {
			return int(min(max(x.At.Unix-y.At.Unix, -1), 1))
		})
		t.StateField = b.regs.get("task", t.ID, "state")
		if w := t.StateField.first("finished"); w != nil {
			t.doneAt = w.At
		}
		for _, w := range t.Work {
			t.Logged += w.Minutes
			if t.FirstAt.IsZero() {
				t.FirstAt = w.At
			}
			if !t.doneAt.IsZero() && w.At.Unix >= t.doneAt.Unix {
				w.Rework = true
				t.Rework += w.Minutes
			}
		}
		switch w := b.taskState(t); {
		case w == nil || w.Value == "open":
			t.State = Waiting // or more: makeStates knows
		case w.Value == "finished":
			t.State, t.FinishedAt = Finished, w.At
			if wait := t.PlanTask.Wait.Likely; wait > 0 {
				until := w.At.Time().Add(time.Duration(wait * float64(time.Hour)))
				if until.After(b.Now) {
					t.RestUntil = until
				}
			}
		case w.Value == "not needed":
			t.State, t.Reason = NotNeeded, w.Note
		}
	}
}

// taskState returns the writing that decides a task's state: when heads
// disagree, one that leaves it open.
func (b *Build) taskState(t *Task) *Write {
	heads := t.StateField.Heads()
	for i := range heads {
		if heads[i].Value == "open" {
			return &heads[i]
		}
	}
	if len(heads) == 0 {
		return nil
	}
	return &heads[0]
}

// makeStates says which open tasks wait, are ready or in hand, and what holds
// them.
func (b *Build) makeStates() {
	for _, t := range b.Tasks {
		t.Ready = t.Open()
		for _, a := range t.Before {
			if a.Open() {
				t.Ready = false
			}
		}
	}
	for _, t := range b.Tasks {
		if !t.Open() {
			continue
		}
		switch {
		case t.Logged > 0 || t.Clock != nil:
			t.State = InHand
		case t.Ready:
			t.State = Ready
		default:
			t.State = Waiting
		}
		b.hold(t)
	}
}

// hold notes which holds are shut before a task.
func (b *Build) hold(t *Task) {
	behind := t.Before
	if t.Strict {
		behind = b.Upstream(t)
	}
	for _, a := range behind {
		if a.State == NotNeeded {
			continue
		}
		for _, c := range a.Checks {
			if c.Hold() && c.Applies && !c.Cleared() && (!a.Open() || t.Strict) {
				t.Held = append(t.Held, Hold{c, c.Why()})
			}
		}
	}
}

// An HourSheet is the hours of a build. All figures are minutes unless they
// come from a forecast.
type HourSheet struct {
	Work      []*WorkLine
	Clocks    []*OpenClock
	Logged    int64
	NoTask    int64
	Rework    int64
	Stages    []StageHours
	Finished  int
	NotNeeded int
	InHand    int
	Forecast  forecast.Plain // the plain rule, hours
}

// StageHours is one stage's line. Hours.
type StageHours struct {
	Stage    *Stage
	Logged   float64
	Rework   float64
	Estimate float64 // mean, of all tasks that are needed
	Actual   float64 // on finished tasks, rework included
	Planned  float64 // mean estimate of the finished tasks
	Tasks    int
	Finished int
	Open     int
}

// Ratio is hours logged on finished tasks over their estimates; 0 when none is
// finished.
func (s StageHours) Ratio() float64 {
	if s.Planned == 0 {
		return 0
	}
	return s.Actual / s.Planned
}

func (b *Build) makeHours() {
	h := &b.Hours
	for _, w := range h.Work {
		h.Logged += w.Minutes
		if b.task[w.Task] == nil {
			h.NoTask += w.Minutes
		}
	}
	var tasks []forecast.Task
	for _, st := range b.Stages {
		s := StageHours{Stage: st, Tasks: len(st.Tasks)}
		for _, t := range st.Tasks {
			logged := float64(t.Logged) / 60
			s.Logged += logged
			s.Rework += float64(t.Rework) / 60
			h.Rework += t.Rework
			mean := t.Estimate.Mean()
			switch t.State {
			case NotNeeded:
				h.NotNeeded++
				continue
			case Finished:
				h.Finished++
				s.Finished++
				s.Actual += logged
				s.Planned += mean
			default:
				s.Open++
				if t.Logged > 0 || t.Clock != nil {
					h.InHand++
				}
			}
			s.Estimate += mean
			tasks = append(tasks, forecast.Task{
				Low: t.Estimate.Low, Likely: t.Estimate.Likely, High: t.Estimate.High,
				Logged: logged, Finished: t.State == Finished,
			})
		}
		h.Stages = append(h.Stages, s)
	}
	h.Forecast = forecast.Left(tasks)
}

// Fits returns the tasks that can go on now and whose shortest useful stint is
// at most minutes: those with nothing against them first, in hand before new.
func (b *Build) Fits(minutes int) []*Task {
	var fits []*Task
	for _, t := range b.Tasks {
		if t.Ready && t.MinBlock <= minutes {
			fits = append(fits, t)
		}
	}
	rank := func(t *Task) int {
		r := 0
		if len(t.Held) > 0 {
			r += 4
		}
		if len(t.PartsMissing()) > 0 {
			r += 2
		}
		if t.State != InHand {
			r++
		}
		return r
	}
	slices.SortStableFunc(fits, func(x, y *Task) int { return rank(x) - rank(y) })
	return fits
}

// HoursText writes minutes as hours with at most two decimals: "1.5".
func HoursText(minutes int64) string {
	return strconv.FormatFloat(math.Round(float64(minutes)/0.6)/100, 'f', -1, 64)
}
