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
	Vouch  []byte    // that one's key and signature under this name and Key, see [Vouch]; none if it could not sign
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
	Row      ID       // line of a sheet it was brought in from, see bring.go
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
	Limit      string  // the limit it was taken under
	Proof      []int64 // what the tester showed on a known source before and after, times 10^ProofExp, in Unit
	ProofExp   int64
	Was        string // its verdict when it was written, where that was not "within limits"
	Row        ID     // line of a sheet it was brought in from, see bring.go
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
	Row     ID     // line of a sheet it was brought in from, see bring.go
	Photo   []byte // SHA-256 of the receipt's photo
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
	Row      ID // line of a sheet it was brought in from, see bring.go
}

// Arrival says that an order came.
type Arrival struct {
	At    When
	Order ID
	Note  string
	Row   ID // line of a sheet it was brought in from, see bring.go
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
	Row   ID // line of a sheet it was brought in from, see bring.go
}

// Refund is money that came back on a purchase or an order.
type Refund struct {
	At    When
	What  string
	Cents int64
	Of    ID
	Note  string
	Row   ID // line of a sheet it was brought in from, see bring.go
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
	Row   ID // line of a sheet it was brought in from, see bring.go
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
	Part  string
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

	Changes     []string // kinds of change that rework or repair will bring
	Replacement string   // of what is scrapped; "none"
	Second      string   // of a concession: who signs beside the author
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

	Replacement string // of what is scrapped, where it was not said before
	Second      string // of a concession, the same
}

// Concession lets a check stand outside its limit, signed by two people.
type Concession struct {
	At     When
	Check  string
	Reason string
	Second string // the second name

	On      ID   // the reading it was signed on
	Untaken bool // there was no reading
}

// Release opens what comes after a hold point or a chunk of a checklist.
type Release struct {
	At      When
	Point   string
	Witness string
	Note    string

	On     []ID     // the readings and concessions it was signed on
	Limits []string // the limits in force then, see [Check.Criterion]
}

// Resume takes a checklist up again after a break.
type Resume struct {
	At    When
	List  string
	Check string // the item that was looked at again
	Again bool   // all items from it on are taken again
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

// ReplicaClose closes a replica: of its entries only Upto and those that lead to
// it count from now on; see held.go.
type ReplicaClose struct {
	At      When
	Replica uuid.UUID
	Upto    ID // zero: none of its entries counts
	Reason  string
}

// ReplicaAdmit lets single entries in that a close holds.
type ReplicaAdmit struct {
	At      When
	Entries []ID
	Reason  string
}

// Bring opens a run of entries brought in from a sheet in one act: the Rows
// entries that follow it in its replica's chain.
type Bring struct {
	At   When
	File string // name of the file, without its folder
	Hash []byte // SHA-256 of the file's bytes
	What string // "hours", "money", ...
	Rows int64
	How  string // which column was taken for what

	Pieces []string // of a file that is kept: the names of its blobs, in order
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
func (*Resume) Kind() string         { return "resume" }
func (*ReplicaClose) Kind() string   { return "replica.close" }
func (*ReplicaAdmit) Kind() string   { return "replica.admit" }
func (*Bring) Kind() string          { return "bring" }
func (*PlanFile) Kind() string       { return "plan" }
func (*PlanMove) Kind() string       { return "plan-move" }
func (*Signature) Kind() string      { return "signature" }

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
	kindResume
	kindReplicaClose
	kindReplicaAdmit
	kindBring
	kindPlan
	kindPlanMove
	kindSignature

	kindCount
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
	case "resume":
		return kindResume
	case "replica.close":
		return kindReplicaClose
	case "replica.admit":
		return kindReplicaAdmit
	case "bring":
		return kindBring
	case "plan":
		return kindPlan
	case "plan-move":
		return kindPlanMove
	case "signature":
		return kindSignature
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
	case kindResume:
		return new(Resume)
	case kindReplicaClose:
		return new(ReplicaClose)
	case kindReplicaAdmit:
		return new(ReplicaAdmit)
	case kindBring:
		return new(Bring)
	case kindPlan:
		return new(PlanFile)
	case kindPlanMove:
		return new(PlanMove)
	case kindSignature:
		return new(Signature)
	}
	return nil
}

func (b *Replica) fields(c *codec) {
	c.Bytes(1, &b.Key)
	c.Text(2, &b.Device)
	c.Text(3, &b.Person)
	c.replicaID(4, &b.Was)
	c.Bytes(5, &b.Vouch)
}

func (b *BuildStart) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Title)
	c.Text(4, &b.Donor)
	c.Text(5, &b.Plan)
	c.Num(6, &b.PlanVersion)
	c.Bytes(7, &b.PlanHash)
	c.Text(8, &b.Currency)
	c.Num(9, &b.Ceiling)
	c.Text(10, &b.Target)
	c.Num(11, &b.WeekMinutes)
	c.Text(12, &b.Note)
}

func (b *Work) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Task)
	c.Num(4, &b.Minutes)
	c.Text(5, &b.Who)
	c.Text(6, &b.Note)
	c.Texts(7, &b.Changes)
	c.Flag(8, &b.Answered)
	c.entryID(9, &b.Row)
}

func (b *ClockOn) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Task)
	c.Text(4, &b.Who)
}

func (b *ClockOff) fields(c *codec) {
	c.when(1, &b.At)
	c.entryID(3, &b.On)
	c.Num(4, &b.Minutes)
	c.Text(5, &b.Note)
	c.Texts(6, &b.Changes)
	c.Flag(7, &b.Answered)
}

func (b *Reading) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Check)
	c.Nums(4, &b.Values)
	c.Num(5, &b.Exp)
	c.Text(6, &b.Unit)
	c.Num(7, &b.Answer)
	c.Text(8, &b.Seen)
	c.Text(9, &b.Typed)
	c.Text(10, &b.Instrument)
	c.Text(11, &b.Witness)
	c.Bytes(12, &b.Photo)
	c.Text(13, &b.Note)
	c.Text(14, &b.Limit)
	c.Nums(15, &b.Proof)
	c.Num(16, &b.ProofExp)
	c.Text(17, &b.Was)
	c.entryID(18, &b.Row)
}

func (b *Change) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Task)
	c.Texts(4, &b.Changes)
	c.Text(5, &b.Note)
}

func (b *Purchase) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.What)
	c.Num(4, &b.Cents)
	c.Text(5, &b.Task)
	c.Text(6, &b.Part)
	c.Text(7, &b.Vendor)
	c.Text(8, &b.Receipt)
	c.Text(9, &b.Note)
	c.entryID(10, &b.Row)
	c.Bytes(11, &b.Photo)
}

func (b *Order) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.What)
	c.Num(4, &b.Cents)
	c.Text(5, &b.Task)
	c.Texts(6, &b.Parts)
	c.Text(7, &b.Vendor)
	c.Text(8, &b.Label)
	c.Text(9, &b.Promised)
	c.Flag(10, &b.Unpaid)
	c.Text(11, &b.Note)
	c.entryID(12, &b.Row)
}

func (b *Arrival) fields(c *codec) {
	c.when(1, &b.At)
	c.entryID(3, &b.Order)
	c.Text(4, &b.Note)
	c.entryID(5, &b.Row)
}

func (b *Sale) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.What)
	c.Num(4, &b.Cents)
	c.Num(5, &b.Fee)
	c.Num(6, &b.Post)
	c.Text(7, &b.Task)
	c.Text(8, &b.Part)
	c.Text(9, &b.Buyer)
	c.Text(10, &b.Note)
	c.entryID(11, &b.Row)
}

func (b *Refund) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.What)
	c.Num(4, &b.Cents)
	c.entryID(5, &b.Of)
	c.Text(6, &b.Note)
	c.entryID(7, &b.Row)
}

func (b *Set) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.What)
	c.Text(4, &b.Key)
	c.Text(5, &b.Field)
	c.Text(6, &b.Value)
	c.Text(7, &b.Note)
	c.Text(8, &b.Typed)
}

func (b *Strike) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Reason)
}

func (b *Note) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Task)
	c.Text(4, &b.Check)
	c.Text(5, &b.Text)
	c.entryID(6, &b.Row)
}

func (b *Photo) fields(c *codec) {
	c.when(1, &b.At)
	c.Bytes(3, &b.Hash)
	c.Num(4, &b.Bytes)
	c.Text(5, &b.Type)
	c.Text(6, &b.Task)
	c.Text(7, &b.Check)
	c.Text(8, &b.Note)
	c.Text(9, &b.Part)
}

func (b *Nonconformance) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Label)
	c.Text(4, &b.Check)
	c.Text(5, &b.Task)
	c.Text(6, &b.Text)
	c.Text(7, &b.Disposition)
	c.Text(8, &b.Finding)
	c.Texts(9, &b.Changes)
	c.Text(10, &b.Replacement)
	c.Text(11, &b.Second)
}

func (b *Punch) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Class)
	c.Text(4, &b.Text)
	c.Text(5, &b.Task)
}

func (b *Close) fields(c *codec) {
	c.when(1, &b.At)
	c.entryID(3, &b.Of)
	c.Text(4, &b.Finding)
	c.Text(5, &b.Disposition)
	c.Text(6, &b.Evidence)
	c.Text(7, &b.Replacement)
	c.Text(8, &b.Second)
}

func (b *Concession) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Check)
	c.Text(4, &b.Reason)
	c.Text(5, &b.Second)
	c.entryID(6, &b.On)
	c.Flag(7, &b.Untaken)
}

func (b *Release) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Point)
	c.Text(4, &b.Witness)
	c.Text(5, &b.Note)
	c.ids(6, &b.On)
	c.Texts(7, &b.Limits)
}

func (b *Resume) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.List)
	c.Text(4, &b.Check)
	c.Flag(5, &b.Again)
}

func (b *Meet) fields(c *codec) {
	c.when(1, &b.At)
	c.replicaID(3, &b.With)
	c.Num(4, &b.Offset)
}

func (b *AddStage) fields(c *codec) {
	c.Text(1, &b.Key)
	c.Text(2, &b.Title)
}

func (b *AddTask) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Key)
	c.Text(4, &b.Stage)
	c.Text(5, &b.Title)
	c.Num(6, &b.Low)
	c.Num(7, &b.Likely)
	c.Num(8, &b.High)
	c.Texts(9, &b.After)
	c.Num(10, &b.MinBlock)
	c.Text(11, &b.Skill)
	c.Text(12, &b.Note)
}

func (b *AddPart) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Key)
	c.Text(4, &b.Task)
	c.Text(5, &b.Title)
	c.Num(6, &b.Qty)
	c.Num(7, &b.Low)
	c.Num(8, &b.High)
	c.Num(9, &b.LeadLow)
	c.Num(10, &b.LeadHi)
}

func (b *AddCheck) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.Key)
	c.Text(4, &b.Task)
	c.Text(5, &b.Title)
	c.Text(6, &b.CheckKind)
	c.Text(7, &b.Unit)
	c.Text(8, &b.Min)
	c.Text(9, &b.Max)
	c.Flag(10, &b.Hold)
	c.Texts(11, &b.InvalidatedBy)
	c.Text(12, &b.Instrument)
	c.Text(13, &b.Basis)
}

func (b *ReplicaClose) fields(c *codec) {
	c.when(1, &b.At)
	c.replicaID(3, &b.Replica)
	c.entryID(4, &b.Upto)
	c.Text(5, &b.Reason)
}

func (b *ReplicaAdmit) fields(c *codec) {
	c.when(1, &b.At)
	c.ids(3, &b.Entries)
	c.Text(4, &b.Reason)
}

func (b *Bring) fields(c *codec) {
	c.when(1, &b.At)
	c.Text(3, &b.File)
	c.Bytes(4, &b.Hash)
	c.Text(5, &b.What)
	c.Num(6, &b.Rows)
	c.Text(7, &b.How)
	c.Texts(8, &b.Pieces)
}
