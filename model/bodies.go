package model

import "github.com/google/uuid"

// A Body is what an entry says. Each kind states its layout once, in fields:
// the same lines write and read it. Keys never change their meaning; a new
// field takes a new key at the end.
type Body interface {
	Kind() string
	fields(*codec)
}

// Replica opens a replica's chain: who keeps it, on what.
type Replica struct {
	Key    []byte // Ed25519 public key, 32 bytes
	Device string // "garage laptop"
	Person string
	Was    uuid.UUID // the replica this one continues after a restore
}

// BuildStart opens a build from a plan.
type BuildStart struct {
	At          When
	Title       string
	Donor       string
	Plan        string // plan ID
	PlanVersion int64
	PlanHash    []byte // SHA-256 of the plan's file
	Currency    string // ISO 4217
	Ceiling     int64  // on net spend, minor units; 0 for none
	Target      string // the day it should ride, 2006-01-02
	WeekMinutes int64  // hands-on time planned a week
	Note        string
}

// Work is hands-on time that was typed in, not clocked.
type Work struct {
	At       When // when it began
	Task     string
	Minutes  int64
	Who      string // if not the author
	Note     string
	Changes  []string // kinds of change it caused
	Answered bool     // the question after changes was answered; if not, all that the task may cause count
}

// ClockOn starts a clock on a task.
type ClockOn struct {
	At   When
	Task string
	Who  string
}

// ClockOff stops the clock that On started.
type ClockOff struct {
	At       When
	On       ID
	Minutes  int64 // if other than the clock says: it had been forgotten
	Note     string
	Changes  []string
	Answered bool
}

// Reading is an answer to a check: values, or a state, or a photo.
type Reading struct {
	At         When
	Check      string
	Values     []int64 // times 10^Exp, in Unit
	Exp        int64
	Unit       string
	Answer     int64  // AnswerYes, AnswerNo, AnswerPhoto; 0 with values
	Seen       string // the state that was seen, in words
	Typed      string // what fingers wrote, where it differs from the value
	Instrument string
	Witness    string
	Photo      []byte // SHA-256 of the photo's bytes
	Note       string
	Limit      string // the limit it was taken under
}

// Answers to a check that is not a measurement.
const (
	AnswerYes   = 1
	AnswerNo    = 2
	AnswerPhoto = 3
)

// Change says that something happened that can make readings stale.
type Change struct {
	At      When
	Task    string
	Changes []string
	Note    string
}

// Purchase is money spent over a counter: paid and here.
type Purchase struct {
	At      When
	What    string
	Cents   int64
	Task    string
	Part    string
	Vendor  string
	Receipt string // "photo", "none", a number
	Note    string
}

// Order is money spent on something that is still to come.
type Order struct {
	At       When
	What     string
	Cents    int64
	Task     string
	Parts    []string
	Vendor   string
	Label    string // "O7": what people call it
	Promised string // 2006-01-02
	Unpaid   bool   // committed, not yet paid
	Note     string
}

// Arrival says that an order came.
type Arrival struct {
	At    When
	Order ID
	Note  string
}

// Sale is money from a part of the donor.
type Sale struct {
	At    When
	What  string
	Cents int64
	Fee   int64
	Post  int64
	Task  string
	Part  string
	Buyer string
	Note  string
}

// Refund is money that came back on a purchase or an order.
type Refund struct {
	At    When
	What  string
	Cents int64
	Of    ID
	Note  string
}

// Set writes a field: an estimate, a spec value, a state, an edge of the task
// graph. The writes it saw stand in the entry's Over.
type Set struct {
	At    When
	What  string // "task", "part", "spec", "edge", "build", "order", "instrument", "garage"
	Key   string
	Field string
	Value string
	Note  string // a reason or a source
	Typed string // what fingers wrote, where it differs from the value
}

// Strike cancels the entries in its entry's Over.
type Strike struct {
	At     When
	Reason string
}

// Note is a remark on a task, a check or the build.
type Note struct {
	At    When
	Task  string
	Check string
	Text  string
}

// Photo is a picture kept beside the logbook under its hash.
type Photo struct {
	At    When
	Hash  []byte // SHA-256
	Bytes int64
	Type  string // media type
	Task  string
	Check string
	Note  string
}

// Nonconformance is one that a person raised, or took up from a finding.
type Nonconformance struct {
	At          When
	Label       string // "NC-2"
	Check       string
	Task        string
	Text        string
	Disposition string // "rework: ...", "repair: ...", "scrap: ...", "concession: ..."
	Finding     string // key of the finding it takes up
}

// Punch is an open item: class A must be closed, class B should.
type Punch struct {
	At    When
	Class string
	Text  string
	Task  string
}

// Close ends a nonconformance, a punch item or a finding.
type Close struct {
	At          When
	Of          ID
	Finding     string
	Disposition string
	Evidence    string
}

// Concession lets a check stand outside its limit, signed by two people.
type Concession struct {
	At     When
	Check  string
	Reason string
	Second string // the second name
}

// Release opens what comes after a hold point or a chunk of a checklist.
type Release struct {
	At      When
	Point   string
	Witness string
	Note    string
}

// Meet says that two replicas met.
type Meet struct {
	At     When
	With   uuid.UUID
	Offset int64 // the other clock minus this one, milliseconds
}

// AddStage, AddTask, AddPart and AddCheck extend the plan of a build.
type AddStage struct {
	Key   string
	Title string
}

// AddTask adds a task. Minutes are hands-on.
type AddTask struct {
	At                When
	Key, Stage, Title string
	Low, Likely, High int64 // minutes
	After             []string
	MinBlock          int64
	Skill             string
	Note              string
}

// AddPart adds a line to the bill of materials.
type AddPart struct {
	At               When
	Key, Task, Title string
	Qty              int64
	Low, High        int64 // price of one, minor units
	LeadLow, LeadHi  int64 // days
}

// AddCheck adds a check with fixed or computed limits.
type AddCheck struct {
	At                When
	Key, Task, Title  string
	CheckKind         string
	Unit              string
	Min, Max          string // "500 * pack_max_V + 0", decimal text; "" for none
	Hold              bool
	InvalidatedBy     []string
	Instrument, Basis string
}

func (*Replica) Kind() string        { return "replica" }
func (*BuildStart) Kind() string     { return "build" }
func (*Work) Kind() string           { return "work" }
func (*ClockOn) Kind() string        { return "clock-on" }
func (*ClockOff) Kind() string       { return "clock-off" }
func (*Reading) Kind() string        { return "reading" }
func (*Change) Kind() string         { return "change" }
func (*Purchase) Kind() string       { return "purchase" }
func (*Order) Kind() string          { return "order" }
func (*Arrival) Kind() string        { return "arrival" }
func (*Sale) Kind() string           { return "sale" }
func (*Refund) Kind() string         { return "refund" }
func (*Set) Kind() string            { return "set" }
func (*Strike) Kind() string         { return "strike" }
func (*Note) Kind() string           { return "note" }
func (*Photo) Kind() string          { return "photo" }
func (*Nonconformance) Kind() string { return "nonconformance" }
func (*Punch) Kind() string          { return "punch" }
func (*Close) Kind() string          { return "close" }
func (*Concession) Kind() string     { return "concession" }
func (*Release) Kind() string        { return "release" }
func (*Meet) Kind() string           { return "meet" }
func (*AddStage) Kind() string       { return "add-stage" }
func (*AddTask) Kind() string        { return "add-task" }
func (*AddPart) Kind() string        { return "add-part" }
func (*AddCheck) Kind() string       { return "add-check" }

// A kind is the small number by which the fold knows a kind in memory. It
// never leaves the program.
type kind uint8

const (
	kindUnknown kind = iota
	kindReplica
	kindBuildStart
	kindWork
	kindClockOn
	kindClockOff
	kindReading
	kindChange
	kindPurchase
	kindOrder
	kindArrival
	kindSale
	kindRefund
	kindSet
	kindStrike
	kindNote
	kindPhoto
	kindNonconformance
	kindPunch
	kindClose
	kindConcession
	kindRelease
	kindMeet
	kindAddStage
	kindAddTask
	kindAddPart
	kindAddCheck
)

// kindOf returns the number of a kind; unknown kinds are kindUnknown.
func kindOf(name string) kind {
	switch name {
	case "replica":
		return kindReplica
	case "build":
		return kindBuildStart
	case "work":
		return kindWork
	case "clock-on":
		return kindClockOn
	case "clock-off":
		return kindClockOff
	case "reading":
		return kindReading
	case "change":
		return kindChange
	case "purchase":
		return kindPurchase
	case "order":
		return kindOrder
	case "arrival":
		return kindArrival
	case "sale":
		return kindSale
	case "refund":
		return kindRefund
	case "set":
		return kindSet
	case "strike":
		return kindStrike
	case "note":
		return kindNote
	case "photo":
		return kindPhoto
	case "nonconformance":
		return kindNonconformance
	case "punch":
		return kindPunch
	case "close":
		return kindClose
	case "concession":
		return kindConcession
	case "release":
		return kindRelease
	case "meet":
		return kindMeet
	case "add-stage":
		return kindAddStage
	case "add-task":
		return kindAddTask
	case "add-part":
		return kindAddPart
	case "add-check":
		return kindAddCheck
	}
	return kindUnknown
}

// newBody returns an empty body of a kind, or nil if it is unknown.
func newBody(name string) Body {
	switch kindOf(name) {
	case kindReplica:
		return new(Replica)
	case kindBuildStart:
		return new(BuildStart)
	case kindWork:
		return new(Work)
	case kindClockOn:
		return new(ClockOn)
	case kindClockOff:
		return new(ClockOff)
	case kindReading:
		return new(Reading)
	case kindChange:
		return new(Change)
	case kindPurchase:
		return new(Purchase)
	case kindOrder:
		return new(Order)
	case kindArrival:
		return new(Arrival)
	case kindSale:
		return new(Sale)
	case kindRefund:
		return new(Refund)
	case kindSet:
		return new(Set)
	case kindStrike:
		return new(Strike)
	case kindNote:
		return new(Note)
	case kindPhoto:
		return new(Photo)
	case kindNonconformance:
		return new(Nonconformance)
	case kindPunch:
		return new(Punch)
	case kindClose:
		return new(Close)
	case kindConcession:
		return new(Concession)
	case kindRelease:
		return new(Release)
	case kindMeet:
		return new(Meet)
	case kindAddStage:
		return new(AddStage)
	case kindAddTask:
		return new(AddTask)
	case kindAddPart:
		return new(AddPart)
	case kindAddCheck:
		return new(AddCheck)
	}
	return nil
}

func (b *Replica) fields(c *codec) {
	c.bytes(1, &b.Key)
	c.text(2, &b.Device)
	c.text(3, &b.Person)
	c.replicaID(4, &b.Was)
}

func (b *BuildStart) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Title)
	c.text(4, &b.Donor)
	c.text(5, &b.Plan)
	c.num(6, &b.PlanVersion)
	c.bytes(7, &b.PlanHash)
	c.text(8, &b.Currency)
	c.num(9, &b.Ceiling)
	c.text(10, &b.Target)
	c.num(11, &b.WeekMinutes)
	c.text(12, &b.Note)
}

func (b *Work) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Task)
	c.num(4, &b.Minutes)
	c.text(5, &b.Who)
	c.text(6, &b.Note)
	c.texts(7, &b.Changes)
	c.flag(8, &b.Answered)
}

func (b *ClockOn) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Task)
	c.text(4, &b.Who)
}

func (b *ClockOff) fields(c *codec) {
	c.when(1, &b.At)
	c.entryID(3, &b.On)
	c.num(4, &b.Minutes)
	c.text(5, &b.Note)
	c.texts(6, &b.Changes)
	c.flag(7, &b.Answered)
}

func (b *Reading) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Check)
	c.nums(4, &b.Values)
	c.num(5, &b.Exp)
	c.text(6, &b.Unit)
	c.num(7, &b.Answer)
	c.text(8, &b.Seen)
	c.text(9, &b.Typed)
	c.text(10, &b.Instrument)
	c.text(11, &b.Witness)
	c.bytes(12, &b.Photo)
	c.text(13, &b.Note)
	c.text(14, &b.Limit)
}

func (b *Change) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Task)
	c.texts(4, &b.Changes)
	c.text(5, &b.Note)
}

func (b *Purchase) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.What)
	c.num(4, &b.Cents)
	c.text(5, &b.Task)
	c.text(6, &b.Part)
	c.text(7, &b.Vendor)
	c.text(8, &b.Receipt)
	c.text(9, &b.Note)
}

func (b *Order) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.What)
	c.num(4, &b.Cents)
	c.text(5, &b.Task)
	c.texts(6, &b.Parts)
	c.text(7, &b.Vendor)
	c.text(8, &b.Label)
	c.text(9, &b.Promised)
	c.flag(10, &b.Unpaid)
	c.text(11, &b.Note)
}

func (b *Arrival) fields(c *codec) {
	c.when(1, &b.At)
	c.entryID(3, &b.Order)
	c.text(4, &b.Note)
}

func (b *Sale) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.What)
	c.num(4, &b.Cents)
	c.num(5, &b.Fee)
	c.num(6, &b.Post)
	c.text(7, &b.Task)
	c.text(8, &b.Part)
	c.text(9, &b.Buyer)
	c.text(10, &b.Note)
}

func (b *Refund) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.What)
	c.num(4, &b.Cents)
	c.entryID(5, &b.Of)
	c.text(6, &b.Note)
}

func (b *Set) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.What)
	c.text(4, &b.Key)
	c.text(5, &b.Field)
	c.text(6, &b.Value)
	c.text(7, &b.Note)
	c.text(8, &b.Typed)
}

func (b *Strike) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Reason)
}

func (b *Note) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Task)
	c.text(4, &b.Check)
	c.text(5, &b.Text)
}

func (b *Photo) fields(c *codec) {
	c.when(1, &b.At)
	c.bytes(3, &b.Hash)
	c.num(4, &b.Bytes)
	c.text(5, &b.Type)
	c.text(6, &b.Task)
	c.text(7, &b.Check)
	c.text(8, &b.Note)
}

func (b *Nonconformance) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Label)
	c.text(4, &b.Check)
	c.text(5, &b.Task)
	c.text(6, &b.Text)
	c.text(7, &b.Disposition)
	c.text(8, &b.Finding)
}

func (b *Punch) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Class)
	c.text(4, &b.Text)
	c.text(5, &b.Task)
}

func (b *Close) fields(c *codec) {
	c.when(1, &b.At)
	c.entryID(3, &b.Of)
	c.text(4, &b.Finding)
	c.text(5, &b.Disposition)
	c.text(6, &b.Evidence)
}

func (b *Concession) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Check)
	c.text(4, &b.Reason)
	c.text(5, &b.Second)
}

func (b *Release) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Point)
	c.text(4, &b.Witness)
	c.text(5, &b.Note)
}

func (b *Meet) fields(c *codec) {
	c.when(1, &b.At)
	c.replicaID(3, &b.With)
	c.num(4, &b.Offset)
}

func (b *AddStage) fields(c *codec) {
	c.text(1, &b.Key)
	c.text(2, &b.Title)
}

func (b *AddTask) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Key)
	c.text(4, &b.Stage)
	c.text(5, &b.Title)
	c.num(6, &b.Low)
	c.num(7, &b.Likely)
	c.num(8, &b.High)
	c.texts(9, &b.After)
	c.num(10, &b.MinBlock)
	c.text(11, &b.Skill)
	c.text(12, &b.Note)
}

func (b *AddPart) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Key)
	c.text(4, &b.Task)
	c.text(5, &b.Title)
	c.num(6, &b.Qty)
	c.num(7, &b.Low)
	c.num(8, &b.High)
	c.num(9, &b.LeadLow)
	c.num(10, &b.LeadHi)
}

func (b *AddCheck) fields(c *codec) {
	c.when(1, &b.At)
	c.text(3, &b.Key)
	c.text(4, &b.Task)
	c.text(5, &b.Title)
	c.text(6, &b.CheckKind)
	c.text(7, &b.Unit)
	c.text(8, &b.Min)
	c.text(9, &b.Max)
	c.flag(10, &b.Hold)
	c.texts(11, &b.InvalidatedBy)
	c.text(12, &b.Instrument)
	c.text(13, &b.Basis)
}
