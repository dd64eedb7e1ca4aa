package day

// Limits of a project.
const (
	Horizon   = 3653 // days played; what takes longer never ends here
	MaxTrials = 100_000
	MaxTasks  = 5000 // as many parts
	MaxHours  = 1e6  // of one task, or of all
	MaxWait   = 24 * 1826
	MaxDays   = 1826 // of a lead time, or late
)

// A Project is the rest of a build. Days are numbered from 1970-01-01 in the
// time zone of the garage. The order of tasks, parts, sessions and
// records does not matter.
type Project struct {
	Now  int    // today
	Seed uint64 // one for a build, kept: then two forecasts differ by what happened, not by chance

	// Hours are all hours left: the quantiles of [forecast.Levels], work not
	// thought of yet and rework included; all 0 only if no task has hours. They
	// are shared out over the tasks.
	Hours [5]float64
	Tasks []Task // those not finished
	Parts []Part
	Late  []int // days late at arrival of this garage's orders, below zero is early

	Sessions  []Session // work really done, up to today; several on one day add up
	Planned   int       // minutes planned a week; 0 is not said
	Away      []Span    // no work, past or to come
	Resources []Resource
	Marks     []Mark
}

// A Task is one that is not finished. Needing no more work, it ends as soon as
// it may begin: so an unattended wait that runs already is a task without hours.
type Task struct {
	ID       string
	Hours    float64  // its middle figure, 0 or more; its share of the hours left goes with it
	Spread   float64  // own scatter: standard deviation of the logarithm of its hours, 0 to 2
	MinStint int      // shortest useful stint, 0 to 1440 minutes
	Wait     Hours3   // unattended, after its work
	After    []string // tasks that must have ended, waits included
	Parts    []string // without which it does not begin
	Needs    []string // resources without which it is not worked on
	Retest   float64  // chance, 0 to below 1, that its hold point stays shut: half of its work and all of its wait once more, three times at most
}

// Hours3 is a three-point estimate in hours. Low and high are read as the 10 %
// and 90 % points (common practice, no published source).
type Hours3 struct{ Low, Likely, High float64 }

// A Part is here, or ordered with a promised day, or on order or to be ordered
// with a lead time.
type Part struct {
	ID        string
	Here      bool
	Promised  int // the day promised; 0 is none
	Ordered   int // the day it is or will be ordered if no day is promised; 0 is today
	Low, High int // lead time in days if no day is promised, read as the 10 % and 90 % points
}

// A Session is work done on one day.
type Session struct{ Day, Minutes int }

// A Span is a stretch of days, both ends included.
type Span struct{ From, To int }

// A Resource is a second person, or a tool that is borrowed. It is there on
// each of the weekdays, counted from Sunday, and in each of the spans.
type Resource struct {
	ID       string
	Weekdays [7]bool
	Days     []Span
}

// A Mark is a moment a person cares about: the end of all its tasks.
type Mark struct {
	ID    string
	Tasks []string
}
