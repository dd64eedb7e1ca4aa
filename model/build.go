package model

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/forecast"
	"ampwright/calc/money"

	"github.com/google/uuid"
)

// PlanSource finds a plan; version 0 is the newest.
type PlanSource func(id string, version int) (*Plan, bool)

// A Build is all that the entries say of one build at one moment. It is a pure
// function of the entries, the plan and the moment; it is made anew after every
// entry and never changed.
type Build struct {
	ID        uuid.UUID
	Title     string
	Donor     string
	Plan      *Plan
	Currency  string
	Target    string // the day it should ride, 2006-01-02; "" for none
	Week      int64  // minutes a week planned
	Started   Fact
	StartAt   When
	Now       time.Time
	Newer     int    // entries of this build, or of the garage, from a newer version of the program
	NewerMust int    // those among them that must be understood before anything is signed
	PlanNote  string // set when the plan the build names is not the one this program has

	Stages   []*Stage
	Tasks    []*Task
	Checks   []*Check
	Parts    []*Part
	Orders   []*OrderLine
	Spec     *Spec
	Money    MoneySheet
	Hours    HourSheet
	Findings []*Finding
	NCRs     []*NCR
	Punches  []*PunchItem
	Releases []ReleaseLine
	Resumes  []ResumeLine
	Notes    []NoteLine
	Photos   []PhotoLine
	Devices  []Device
	Settings Settings
	Clashes  []*Register
	Lists    []PlanList
	Marks    []*Milestone
	Away     []Away
	Shared   []Shared
	ForSale  []*ForSale
	Brought  []BringLine
	Odometer []OdometerLine // oldest first
	Moves    []MoveLine     // to other versions of its plan, oldest first

	task    map[string]*Task
	check   map[string]*Check
	part    map[string]*Part
	regs    registers
	fields  []*Register           // of regs, in a fixed order
	events  map[string][]event    // changes by kind, oldest first
	removed map[string][]removal  // what was against a reading and was taken away, see apart.go
	admits  map[uint32][]uint32   // by entry: what let it in, in force or not
	judged  map[string][][2]event // inputs and limits that were struck out: written, struck
	asked   map[string][]event    // by check: moves of the plan since which it asks for something else
	plans   PlanSource
	signed  map[ID]*SignatureLine // by sign-off
	log     *Logbook
	own     *garage
	rows    rowBook
}

// A Stage is a named area of work.
type Stage struct {
	ID, Title string
	Tasks     []*Task
}

// Settings are the garage's choices.
type Settings struct {
	Comma bool   // decimal mark
	US    bool   // show US customary units
	Paper string // "A4" or "Letter"
	Theme string // "auto", "light", "dark"

	Currency string // of new builds, ISO 4217; "" for none chosen
}

// A Milestone is a moment a person cares about.
type Milestone struct {
	ID, Title string
	Open      []*Task // tasks still to finish, upstream ones included
	Reached   bool
}

// A NoteLine is a remark.
type NoteLine struct {
	Fact
	Note
}

// A ReleaseLine is a release on record.
type ReleaseLine struct {
	Fact
	Release
	Changed []string       // what is no longer as it was signed on; then it does not hold
	Signed  *SignatureLine // under it; nil where its device signs nothing
}

// A ResumeLine says that a checklist was taken up again.
type ResumeLine struct {
	Fact
	Resume
}

// ErrNoBuild is returned for a build that the logbook does not hold.
var ErrNoBuild = errors.New("no such build in this logbook")

// BuildIDs returns the builds in the order they were started.
func (l *Logbook) BuildIDs() []uuid.UUID {
	l.settle()
	type start struct {
		id uuid.UUID
		n  uint32
	}
	var starts []start
	for i := range l.builds {
		if i == 0 {
			continue
		}
		for _, n := range l.builds[i].items {
			if l.items[n].kind == kindBuildStart && l.items[n].state&held == 0 {
				starts = append(starts, start{l.builds[i].id, n})
				break
			}
		}
	}
	slices.SortFunc(starts, func(a, b start) int { return l.compare(a.n, b.n) })
	ids := make([]uuid.UUID, len(starts))
	for i, s := range starts {
		ids[i] = s.id
	}
	return ids
}

// Garage returns the settings and devices when there is no build yet.
func (l *Logbook) Garage() (Settings, []Device) {
	l.settle()
	g := l.garage()
	return settings(g.regs), l.devices(g)
}

// newerInGarage returns how many entries of the garage itself are of kinds from a
// newer version.
func (l *Logbook) newerInGarage() (entries int) {
	for _, n := range l.builds[0].items {
		if l.items[n].kind == kindUnknown {
			entries++
		}
	}
	return entries
}

// ledger is the facts of a build, in force, before anything is made of them.
type ledger struct {
	starts      []got[BuildStart]
	work        []got[Work]
	on          []got[ClockOn]
	off         []got[ClockOff]
	readings    []got[Reading]
	changes     []got[Change]
	purchases   []got[Purchase]
	orders      []got[Order]
	arrivals    []got[Arrival]
	sales       []got[Sale]
	refunds     []got[Refund]
	notes       []got[Note]
	photos      []got[Photo]
	ncrs        []got[Nonconformance]
	punches     []got[Punch]
	closes      []got[Close]
	concessions []got[Concession]
	releases    []got[Release]
	stages      []got[AddStage]
	tasks       []got[AddTask]
	parts       []got[AddPart]
	checks      []got[AddCheck]
	resumes     []got[Resume]
	brings      []got[Bring]
	moves       []got[PlanMove] // replaced ones too
	signatures  []got[Signature]
	sets        []uint32
	removed     []uint32 // readings and changes that were struck out or replaced, or are held
	replaced    []uint32 // what other entries stand in the place of, strikes left out
	rows        rowBook
	unknown     int
	must        int
}

func (l *Logbook) ledger(b uint16) *ledger {
	var g ledger
	var count [kindCount]int
	for _, n := range l.builds[b].items {
		count[l.items[n].kind]++
	}
	g.work = make([]got[Work], 0, count[kindWork]) // the many ones
	g.readings = make([]got[Reading], 0, count[kindReading])
	g.sets = make([]uint32, 0, count[kindSet])
	r := &collector{log: l}
	for _, n := range l.builds[b].items {
		it := &l.items[n]
		if it.kind == kindSet && it.state&held == 0 { // replaced writings are the field's history
			g.sets = append(g.sets, n)
			continue
		}
		if it.kind == kindPlanMove && it.state&(struck|held) == 0 {
			collect(r, n, &g.moves)
		}
		if it.state&standing == replaced {
			g.replaced = append(g.replaced, n)
		}
		if it.state&standing != 0 {
			switch it.kind {
			case kindReading, kindChange, kindClockOff, kindWork:
				g.removed = append(g.removed, n)
			}
			continue
		}
		switch it.kind {
		case kindBuildStart:
			collect(r, n, &g.starts)
		case kindWork:
			collect(r, n, &g.work)
		case kindClockOn:
			collect(r, n, &g.on)
		case kindClockOff:
			collect(r, n, &g.off)
		case kindReading:
			collect(r, n, &g.readings)
		case kindChange:
			collect(r, n, &g.changes)
		case kindPurchase:
			collect(r, n, &g.purchases)
		case kindOrder:
			collect(r, n, &g.orders)
		case kindArrival:
			collect(r, n, &g.arrivals)
		case kindSale:
			collect(r, n, &g.sales)
		case kindRefund:
			collect(r, n, &g.refunds)
		case kindNote:
			collect(r, n, &g.notes)
		case kindPhoto:
			collect(r, n, &g.photos)
		case kindNonconformance:
			collect(r, n, &g.ncrs)
		case kindPunch:
			collect(r, n, &g.punches)
		case kindClose:
			collect(r, n, &g.closes)
		case kindConcession:
			collect(r, n, &g.concessions)
		case kindRelease:
			collect(r, n, &g.releases)
		case kindAddStage:
			collect(r, n, &g.stages)
		case kindAddTask:
			collect(r, n, &g.tasks)
		case kindAddPart:
			collect(r, n, &g.parts)
		case kindAddCheck:
			collect(r, n, &g.checks)
		case kindResume:
			collect(r, n, &g.resumes)
		case kindBring:
			collect(r, n, &g.brings)
		case kindSignature:
			collect(r, n, &g.signatures)
		case kindUnknown:
			g.unknown++
			var h header
			if parseHeader(it.raw, &h) == nil && h.Must {
				g.must++
			}
		}
	}
	g.unknown += r.unread
	l.oneOfEachRow(&g)
	byTime(l, g.starts, func(b *BuildStart) When { return b.At })
	byTime(l, g.work, func(b *Work) When { return b.At })
	byTime(l, g.on, func(b *ClockOn) When { return b.At })
	byTime(l, g.off, func(b *ClockOff) When { return b.At })
	byTime(l, g.readings, func(b *Reading) When { return b.At })
	byTime(l, g.changes, func(b *Change) When { return b.At })
	byTime(l, g.purchases, func(b *Purchase) When { return b.At })
	byTime(l, g.orders, func(b *Order) When { return b.At })
	byTime(l, g.arrivals, func(b *Arrival) When { return b.At })
	byTime(l, g.sales, func(b *Sale) When { return b.At })
	byTime(l, g.refunds, func(b *Refund) When { return b.At })
	byTime(l, g.notes, func(b *Note) When { return b.At })
	byTime(l, g.photos, func(b *Photo) When { return b.At })
	byTime(l, g.ncrs, func(b *Nonconformance) When { return b.At })
	byTime(l, g.punches, func(b *Punch) When { return b.At })
	byTime(l, g.closes, func(b *Close) When { return b.At })
	byTime(l, g.concessions, func(b *Concession) When { return b.At })
	byTime(l, g.releases, func(b *Release) When { return b.At })
	byTime(l, g.stages, func(b *AddStage) When { return When{} })
	byTime(l, g.tasks, func(b *AddTask) When { return When{} })
	byTime(l, g.parts, func(b *AddPart) When { return When{} })
	byTime(l, g.checks, func(b *AddCheck) When { return When{} })
	byTime(l, g.resumes, func(b *Resume) When { return b.At })
	byTime(l, g.brings, func(b *Bring) When { return b.At })
	return &g
}

// Build returns what the entries say of a build at the moment now. It fails
// with ErrNoBuild, or when the program does not have the build's plan.
func (l *Logbook) Build(id uuid.UUID, now time.Time, plans PlanSource) (*Build, error) {
	l.settle()
	n, ok := l.build[id]
	if !ok || n == 0 {
		return nil, ErrNoBuild
	}
	led := l.ledger(n)
	if len(led.starts) == 0 {
		return nil, ErrNoBuild
	}
	return l.makeBuild(id, now, led, plans, nil)
}

// makeBuild makes a build of its facts; tried is a move to another version of its
// plan that nobody has made, nil for none.
func (l *Logbook) makeBuild(id uuid.UUID, now time.Time, led *ledger, plans PlanSource, tried *MoveLine) (*Build, error) {
	start := led.starts[0]
	g := l.garage()
	plan, note, moves, err := l.planned(g, led, plans, tried)
	if err != nil {
		return nil, err
	}
	b := &Build{
		ID: id, Plan: plan, PlanNote: note, Moves: moves, Now: now, Newer: led.unknown + l.newerInGarage(), NewerMust: led.must, log: l, own: g, plans: plans,
		Started: l.fact(g, start.n), StartAt: start.body.At,
		task: map[string]*Task{}, check: map[string]*Check{}, part: map[string]*Part{},
		regs: registers{}, Settings: settings(g.regs), Devices: l.devices(g), Lists: plan.Lists,
	}
	l.register(g, b.regs, led.sets)
	b.fields = b.regs.sorted()
	s := &start.body
	b.Title = b.regs.text("build", "", "title", s.Title)
	b.Donor = b.regs.text("build", "", "donor", s.Donor)
	b.Target = b.regs.text("build", "", "target", s.Target)
	b.Currency = s.Currency
	b.Week = s.WeekMinutes
	if v, err := strconv.ParseInt(b.regs.text("build", "", "week", ""), 10, 64); err == nil {
		b.Week = v
	}
	b.Money.Currency, b.Money.Ceiling = s.Currency, money.Amount(s.Ceiling)
	if v, err := strconv.ParseInt(b.regs.text("build", "", "ceiling", ""), 10, 64); err == nil {
		b.Money.Ceiling = money.Amount(v)
	}
	for _, n := range led.notes {
		b.Notes = append(b.Notes, NoteLine{l.fact(g, n.n), n.body})
	}
	for _, n := range led.photos {
		b.Photos = append(b.Photos, PhotoLine{l.fact(g, n.n), n.body})
	}
	b.rows = led.rows
	for _, n := range led.brings {
		b.Brought = append(b.Brought, BringLine{l.fact(g, n.n), n.body})
	}
	for _, r := range led.releases {
		b.Releases = append(b.Releases, ReleaseLine{Fact: l.fact(g, r.n), Release: r.body})
	}
	for _, r := range led.resumes {
		b.Resumes = append(b.Resumes, ResumeLine{l.fact(g, r.n), r.body})
	}

	if err := b.makeAsked(plans); err != nil {
		return nil, err
	}
	b.makeSignatures(led)
	b.makeOdometer()
	b.admits = l.admissions()
	b.makeSpec(plan)
	b.makeTasks(plan, led)
	b.makeHours()
	b.makeParts(plan, led)
	b.makeRemoved(led)
	b.makeChecks(led)
	b.makeStates()
	b.makeMoney(led)
	b.makeFindings(led)
	b.makeMilestones(plan)
	b.makePlanned()
	return b, nil
}

// Task returns a task by its key, or nil.
func (b *Build) Task(key string) *Task { return b.task[key] }

// Check returns a check by its key, or nil.
func (b *Build) Check(key string) *Check { return b.check[key] }

// Part returns a part by its key, or nil.
func (b *Build) Part(key string) *Part { return b.part[key] }

// Field returns a field's register, or nil if it was never written.
func (b *Build) Field(what, key, field string) *Register { return b.regs.get(what, key, field) }

// ChangeTitle returns the words for a kind of change.
func (b *Build) ChangeTitle(id string) string {
	for _, c := range b.Plan.Changes {
		if c.ID == id {
			return c.Title
		}
	}
	return id
}

// Lines returns the build's entries, newest first.
func (b *Build) Lines(offset, limit int) []Line { return b.log.Lines(b.ID, offset, limit) }

// Entry returns any entry of the logbook with its standing.
func (b *Build) Entry(id ID) (Line, bool) { return b.log.Line(id) }

// FactOf tells where an entry comes from.
func (b *Build) FactOf(id ID) (Fact, bool) {
	n, ok := b.log.byID[id]
	if !ok {
		return Fact{}, false
	}
	return b.log.fact(b.own, n), true
}

func settings(rs registers) Settings {
	return Settings{
		Comma: rs.text("garage", "", "mark", "point") == "comma",
		US:    rs.text("garage", "", "units", "metric") == "us",
		Paper: rs.text("garage", "", "paper", "A4"),
		Theme: rs.text("garage", "", "theme", "auto"),

		Currency: rs.text("garage", "", "currency", ""),
	}
}

// An event is a change of some kind, at the moment it was over.
type event struct {
	unix    int64
	at      When
	fact    Fact
	task    string
	kind    string
	assumed bool // the question after changes was not answered
}

// before reports whether the event left a reading taken at unix by f as it was:
// it was over before the reading, or at the same moment but earlier in the same
// replica's chain.
func (e *event) before(unix int64, f *Fact) bool {
	if e.unix != unix {
		return e.unix < unix
	}
	return e.fact.Replica == f.Replica && e.fact.Seq < f.Seq
}

func (b *Build) makeMilestones(plan *Plan) {
	for _, m := range plan.Milestones {
		mark := &Milestone{ID: m.ID, Title: m.Title}
		for _, t := range b.Tasks {
			up := false
			for _, key := range m.After {
				a := b.task[key]
				up = up || a != nil && (a == t || b.upstream(a, t))
			}
			if up && t.Open() {
				mark.Open = append(mark.Open, t)
			}
		}
		mark.Reached = len(mark.Open) == 0
		b.Marks = append(b.Marks, mark)
	}
}

// hours3 reads an estimate as a field holds it: "3/8/14" hours.
func hours3(s string) (Hours3, error) {
	var h Hours3
	parts := strings.Split(s, "/")
	if len(parts) == 1 {
		parts = []string{s, s, s}
	}
	if len(parts) != 3 {
		return h, fmt.Errorf("estimate %q: want low/likely/high hours, such as 3/8/14", s)
	}
	for i, to := range []*float64{&h.Low, &h.Likely, &h.High} {
		v, err := strconv.ParseFloat(strings.TrimSpace(parts[i]), 64)
		if err != nil || v < 0 || v > 10000 {
			return h, fmt.Errorf("estimate %q: %q is not a number of hours from 0 to 10000", s, parts[i])
		}
		*to = v
	}
	if h.Low > h.Likely || h.Likely > h.High {
		return h, fmt.Errorf("estimate %q: the three must ascend: low, likely, high", s)
	}
	return h, nil
}

func (h Hours3) String() string {
	f := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return f(h.Low) + "/" + f(h.Likely) + "/" + f(h.High)
}

// Mean returns (low + 4 likely + high) / 6.
func (h Hours3) Mean() float64 { return forecast.Mean(h.Low, h.Likely, h.High) }
