package model

import (
	"sync"

	"ampwright/calc/desk"
)

// A Plan is what a build starts from: the stages, tasks, checks, parts and
// spec sheet of one kind of conversion. Plans are data files loaded by
// [ampwright/model/plan]; a build names its plan by ID, version and hash, so
// that a later edition of a plan never changes a build that is under way.
type Plan struct {
	ID      string
	Version int
	Hash    string // lower-case hex SHA-256 of the file's bytes
	Title   string
	Notes   string

	Inputs  []PlanInput   // spec sheet: what a person types
	Derived []PlanDerived // spec sheet: what follows from it, in an order that can be computed
	Changes []PlanChange  // kinds of change that can make a reading stale

	Stages     []PlanStage
	Tasks      []PlanTask
	Milestones []PlanMilestone
	Lists      []PlanList // checklists, step by step

	once  sync.Once
	blank *blank // made once, see Sheet
}

// A PlanInput is one input of the spec sheet with its default.
type PlanInput struct {
	ID, Title, Unit string
	Default         float64
	Basis           string // where the default is from: "read:S1", "recall", "own", "manual"
}

// A PlanDerived is a value of the spec sheet computed from others: by a
// calculation of the engineering desk, or by a formula of the plan's own.
type PlanDerived struct {
	ID, Title, Unit string
	Formula         string       // in the grammar of [ampwright/calc/formula]; "" where a calculation gives it
	Figure          *desk.Figure // the output of a calculation; nil where a formula gives it
	Names           []string     // for each input that Figure takes its name on the sheet; "" leaves it to its default
}

// A PlanChange is a kind of change, such as "axle-disturbed".
type PlanChange struct{ ID, Title string }

// A PlanStage is a named area of work.
type PlanStage struct{ ID, Title string }

// A PlanTask is the smallest thing with an estimate.
type PlanTask struct {
	ID, Stage, Title string
	Estimate         Hours3   // hands-on hours
	Wait             Hours3   // unattended hours after the work: cure, rest, post; zero for none
	After            []string // tasks that must be finished first
	Skill            string
	MinBlock         int    // shortest useful stint, minutes
	Competent        string // whom local rules or prudence ask for; "" for nobody
	Strict           bool   // no entry while any hold upstream is not current or conceded
	Parts            []PlanPart
	Tools, Hazards   []string
	Steps            []string
	Changes          []string // kinds of change the work may cause
	Checks           []PlanCheck
}

// Hours3 is a three-point estimate in hours.
type Hours3 struct{ Low, Likely, High float64 }

// A PlanPart is a line of the bill of materials.
type PlanPart struct {
	ID, Title, Unit     string
	Qty                 int
	QtyOf               string // value of the spec sheet that says how many; "" for Qty
	PriceLow, PriceHigh int64  // minor units of the plan's placeholder currency, for one
	LeadLow, LeadHigh   int    // days from order to arrival
	UsedOK              bool
	OrderAfter          []string // hold checks to be passed before it is ordered
}

// A PlanCheck is one thing to verify.
type PlanCheck struct {
	ID, Title string
	Kind      CheckKind
	Point     string // "hold", "witness" (a hold that a named second person sees), "review" or ""
	Basis     string // "read:S1", "recall", "own", "manual"
	Source    string

	Quantity, Unit string // measurements: the quantity's name and the unit it is recorded in
	Min, Max       *Bound
	Target         *Bound // better than the limit; nil for none
	TargetIsMax    bool
	Points         []string // labels of separate readings
	PointCount     string   // or a formula for how many
	ScreenNeed     string   // formula: sorting check that passes when this many points are good
	Derive         *Derive

	InvalidatedBy []string // change kinds
	DependsOn     []string // gate: checks to be current and within limits first
	ValidDays     int
	ValidKm       int
	AppliesIf     string // formula; "" applies always
	Proof         bool   // the tester is proved on a known source before and after

	Instrument, PPE, StopIf, OnFail string
	ExamplePass, ExampleFail        *float64
}

// CheckKind says how a check is answered.
type CheckKind string

const (
	Measurement CheckKind = "measurement"
	YesNo       CheckKind = "yes-no"
	PhotoCheck  CheckKind = "photo"
)

// A Bound is one side of a limit: Factor times the spec value Of, plus Offset,
// in the unit of the check. With Of empty it is Offset alone.
type Bound struct {
	Factor float64
	Of     string
	Offset float64
	Strict bool // the limit itself does not pass
}

// Derive says that a check's value follows from the readings of another.
type Derive struct {
	Check string
	Op    string // "spread": highest minus lowest
	Scale float64
}

// A PlanMilestone is a moment a person cares about.
type PlanMilestone struct {
	ID, Title string
	After     []string
}

// A PlanList is a checklist in chunks; each chunk ends with a named release.
type PlanList struct {
	ID, Title, Mode, Rule string
	Chunks                []PlanChunk
}

// A PlanChunk is a run of steps released together.
type PlanChunk struct {
	ID, Title string
	Steps     []string // check IDs
	Release   string   // what the release must name
}
