package model

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/calc/unit"
)

// Fields that many wishes share.
var (
	atField      = WishField{Name: "at", Label: "when", Type: MomentField, Hint: "now, if left empty"}
	noteField    = WishField{Name: "note", Label: "note", Type: TextField}
	taskField    = WishField{Name: "task", Label: "task", Type: TaskField, Arg: true}
	changesField = WishField{Name: "changes", Label: "what changed", Type: ChangesField, Hint: "the kinds of change this work caused, or none; unanswered, all that the task may cause count"}
	finishField  = WishField{Name: "finish", Label: "the task is finished", Type: TickField}
)

func required(f WishField, hint string) WishField {
	f.Required = true
	f.Hint = hint
	return f
}

func asArg(f WishField) WishField {
	f.Arg = true
	return f
}

var wishKinds []*WishKind

// WishKinds returns all wishes in the order a person meets them.
func WishKinds() []*WishKind { return wishKinds }

func init() { // one table, filled here because its functions refer to it
	wishKinds = []*WishKind{
		{Name: "start", Title: "Start a build", Button: "Start the build", Garage: true,
			Help: "opens a build from a plan",
			Fields: []WishField{
				{Name: "plan", Label: "plan", Type: PlanField, Required: true, Arg: true, Hint: "want the name of a plan, or with its version, such as kart-chain@2"},
				{Name: "title", Label: "what is it called", Type: TextField, Required: true, Arg: true, Hint: "want a few words"},
				{Name: "donor", Label: "donor", Type: TextField},
				{Name: "currency", Label: "currency", Type: TextField, Hint: "an ISO 4217 code such as EUR; the garage's, if left empty"},
				{Name: "ceiling", Label: "ceiling on net spend", Type: MoneyField},
				{Name: "target", Label: "the day it should ride", Type: DateField},
				{Name: "week", Label: "hands-on hours a week", Type: TextField},
				{Name: "from", Label: "follows the build", Type: TextField, Hint: "words of a past build's title: its own tasks and parts, hours, prices and lead times as they came out"},
				{Name: "learning", Label: "learning rate", Type: TextField, Hint: "with a past build: the share of its hours that the second takes, 0.5 to 1; 1 if left empty"},
				{Name: "curve", Label: "form of the learning curve", Type: ChoiceField, Choices: []string{UnitForm, AverageForm}, Hint: "unit: the second takes the rate times the first; that, if left empty"},
				atField,
			}, do: doStart},
		{Name: "hours", Title: "Log hours", Button: "Log the hours",
			Help: "logs hands-on time on a task",
			Fields: []WishField{
				taskField,
				{Name: "hours", Label: "hours", Type: HoursField, Required: true, Arg: true, Hint: "want hours such as 0.5, 2h30, 150 min or 14:00-16:30"},
				{Name: "at", Label: "began at", Type: MomentField, Hint: "if left empty: so that it ends now"},
				{Name: "who", Label: "who worked", Type: TextField},
				noteField, changesField, finishField,
			}, do: doHours},
		{Name: "on", Title: "Clock on", Button: "Clock on",
			Help:   "starts a clock on a task",
			Fields: []WishField{required(taskField, "want the task to clock on to"), atField, {Name: "who", Label: "who", Type: TextField}},
			do:     doOn},
		{Name: "off", Title: "Clock off", Button: "Clock off",
			Help: "stops a running clock",
			Fields: []WishField{
				taskField, atField,
				{Name: "hours", Label: "hours, if the clock is wrong", Type: HoursField},
				noteField, changesField, finishField,
			}, do: doOff},
		{Name: "finish", Title: "Finish a task", Button: "Finish the task",
			Help:   "says that a task is finished",
			Fields: []WishField{required(taskField, "want the task that is finished"), atField, noteField},
			do:     func(x *wishing) { doState(x, "finished") }},
		{Name: "reopen", Title: "Take a task up again", Button: "Take it up again",
			Help:   "takes a finished or dropped task up again",
			Fields: []WishField{required(taskField, "want the task"), atField, noteField},
			do:     func(x *wishing) { doState(x, "open") }},
		{Name: "drop", Title: "A task is not needed", Button: "It is not needed",
			Help:   "says that a task is not needed, and why",
			Fields: []WishField{required(taskField, "want the task"), asArg(required(noteField, "want the reason why the task is not needed")), atField},
			do:     func(x *wishing) { doState(x, "not needed") }},
		{Name: "read", Title: "Record a reading", Button: "Record the reading",
			Help: "records a reading or an answer to a check",
			Fields: []WishField{
				{Name: "check", Label: "check", Type: CheckField, Required: true, Arg: true, Hint: "want the check that was taken"},
				{Name: "value", Label: "reading", Type: ValuesField, Arg: true, Hint: "what the instrument says, with its unit; yes, no or photo where nothing is measured"},
				{Name: "before", Label: "tester on a known source, before", Type: TextField, Hint: "where the tester is to be proved"},
				{Name: "after", Label: "tester on the known source again", Type: TextField, Hint: "where the tester is to be proved"},
				{Name: "seen", Label: "state seen", Type: TextField},
				{Name: "instrument", Label: "with", Type: InstrumentField},
				{Name: "witness", Label: "witness", Type: TextField},
				{Name: "photo", Label: "photo", Type: PhotoField},
				{Name: Sure, Label: "the instrument does say so", Type: TickField, Hint: "for a value far from what is expected"},
				atField, noteField,
			}, do: doRead},
		{Name: "change", Title: "Something was changed", Button: "Log the change",
			Help: "logs a change that can make readings stale",
			Fields: []WishField{
				asArg(required(changesField, "want at least one kind of change")),
				{Name: "task", Label: "task", Type: TaskField}, atField, noteField,
			}, do: doChange},
		{Name: "buy", Title: "Bought something", Button: "Book the purchase",
			Help: "books a purchase: paid and here",
			Fields: []WishField{
				{Name: "what", Label: "what", Type: TextField, Required: true, Arg: true, Hint: "want what was bought"},
				{Name: "amount", Label: "amount paid", Type: MoneyField, Required: true, Arg: true, Hint: "want the amount paid"},
				{Name: "task", Label: "for task", Type: TaskField}, {Name: "part", Label: "part", Type: PartField},
				{Name: "vendor", Label: "from", Type: TextField}, {Name: "receipt", Label: "receipt", Type: TextField, Hint: "a number, photo or none"},
				{Name: "photo", Label: "photo of the receipt", Type: PhotoField}, atField, noteField,
			}, do: doBuy},
		{Name: "order", Title: "Ordered something", Button: "Book the order",
			Help: "books an order that is still to come",
			Fields: []WishField{
				{Name: "what", Label: "what", Type: TextField, Required: true, Arg: true, Hint: "want what was ordered"},
				{Name: "amount", Label: "amount", Type: MoneyField, Required: true, Arg: true, Hint: "want the amount of the order"},
				{Name: "parts", Label: "parts it brings", Type: PartsField, Hint: "with spaces or commas between"}, {Name: "task", Label: "for task", Type: TaskField},
				{Name: "vendor", Label: "from", Type: TextField}, {Name: "promised", Label: "promised for", Type: DateField},
				{Name: "label", Label: "number", Type: TextField, Hint: "the next one, if left empty"},
				{Name: "unpaid", Label: "not paid yet", Type: TickField}, atField, noteField,
			}, do: doOrder},
		{Name: "arrive", Title: "An order came", Button: "It came",
			Help:   "says that an order arrived",
			Fields: []WishField{{Name: "order", Label: "order", Type: OrderField, Required: true, Arg: true, Hint: "want the order's number, such as O7"}, atField, noteField},
			do:     doArrive},
		{Name: "promise", Title: "A new delivery date", Button: "Note the date",
			Help: "notes a new promised date of an order",
			Fields: []WishField{
				{Name: "order", Label: "order", Type: OrderField, Required: true, Arg: true, Hint: "want the order's number, such as O7"},
				{Name: "promised", Label: "promised for", Type: DateField, Required: true, Arg: true, Hint: "want a day written as 2026-11-20"},
				noteField,
			}, do: doPromise},
		{Name: "pay", Title: "Paid an order", Button: "It is paid",
			Help:   "says that an order is paid",
			Fields: []WishField{{Name: "order", Label: "order", Type: OrderField, Required: true, Arg: true, Hint: "want the order's number, such as O7"}, noteField},
			do:     doPay},
		{Name: "sell", Title: "Sold something", Button: "Book the sale",
			Help: "books a sale with its fees and post",
			Fields: []WishField{
				{Name: "what", Label: "what", Type: TextField, Required: true, Arg: true, Hint: "want what was sold"},
				{Name: "amount", Label: "amount got", Type: MoneyField, Required: true, Arg: true, Hint: "want the amount the buyer paid"},
				{Name: "fee", Label: "fees", Type: MoneyField, Hint: "what went off the amount, without a minus"}, {Name: "post", Label: "post", Type: MoneyField},
				{Name: "task", Label: "for task", Type: TaskField}, {Name: "part", Label: "part", Type: PartField},
				{Name: "buyer", Label: "buyer", Type: TextField}, atField, noteField,
			}, do: doSell},
		{Name: "refund", Title: "Money came back", Button: "Book the refund",
			Help: "books money that came back on an order or a purchase",
			Fields: []WishField{
				{Name: "of", Label: "order or purchase", Type: TextField, Required: true, Arg: true, Hint: "want an order's number or the name of the purchase's entry"},
				{Name: "amount", Label: "amount", Type: MoneyField, Required: true, Arg: true, Hint: "want the amount that came back"},
				{Name: "what", Label: "why", Type: TextField}, atField, noteField,
			}, do: doRefund},
		{Name: "estimate", Title: "Estimate a task", Button: "Write the estimate",
			Help: "writes a task's estimate: low, likely, high hours",
			Fields: []WishField{
				required(taskField, "want the task"),
				{Name: "estimate", Label: "low / likely / high", Type: EstimateField, Required: true, Arg: true, Hint: "want low/likely/high hours, such as 3/8/14"},
				noteField,
			}, do: doEstimate},
		{Name: "spec", Title: "Spec sheet", Button: "Write the value",
			Help: "writes an input of the spec sheet",
			Fields: []WishField{
				{Name: "name", Label: "input", Type: SpecField, Required: true, Arg: true, Hint: "want the name of an input of the spec sheet"},
				{Name: "value", Label: "value", Type: TextField, Required: true, Arg: true, Hint: "want a value with its unit"},
				{Name: "note", Label: "source", Type: TextField},
			}, do: doSpec},
		{Name: "limit", Title: "Change a limit", Button: "Write the limit",
			Help: "changes the limit of a check; readings keep the limit they were taken under",
			Fields: []WishField{
				{Name: "check", Label: "check", Type: CheckField, Required: true, Arg: true, Hint: "want the check"},
				{Name: "min", Label: "at least", Type: TextField, Hint: "a number or factor * name + offset; none takes it away"},
				{Name: "max", Label: "at most", Type: TextField, Hint: "a number or factor * name + offset; none takes it away"},
				required(noteField, "want the reason and the source of the new limit"),
			}, do: doLimit},
		{Name: "due", Title: "When a check is due again", Button: "Write it down",
			Help: "says after how many days or kilometres a check is to be done again",
			Fields: []WishField{
				{Name: "check", Label: "check", Type: CheckField, Required: true, Arg: true, Hint: "want the check"},
				{Name: "days", Label: "days", Type: TextField, Hint: "a whole number; 0 for no matter how old"},
				{Name: "km", Label: "kilometres", Type: TextField, Hint: "a whole number; 0 for no matter how far"},
				required(noteField, "want the reason, or where the interval is from"),
			}, do: doDue},
		{Name: "ride", Title: "The odometer", Button: "Write it down",
			Help: "writes down what the odometer shows",
			Fields: []WishField{
				{Name: "km", Label: "kilometres", Type: TextField, Required: true, Arg: true, Hint: "want what the odometer shows, in km"},
				atField, noteField,
			}, do: doRide},
		{Name: "note", Title: "Write a note", Button: "Write the note",
			Help: "writes a remark on a task, a check or the build",
			Fields: []WishField{
				{Name: "text", Label: "note", Type: LongField, Required: true, Arg: true, Hint: "want a few words"},
				{Name: "task", Label: "task", Type: TaskField}, {Name: "check", Label: "check", Type: CheckField}, atField,
			}, do: doNote},
		{Name: "photo", Title: "Add a photo", Button: "Add the photo",
			Help: "keeps a photo of a task, a check, a part or the build",
			Fields: []WishField{
				{Name: "photo", Label: "photo", Type: PhotoField, Required: true, Arg: true, Hint: "want a photo"},
				{Name: "task", Label: "task", Type: TaskField}, {Name: "check", Label: "check", Type: CheckField},
				{Name: "part", Label: "part", Type: PartField}, atField, noteField,
			}, do: doPhoto},
		{Name: "raise", Title: "Raise a nonconformance", Button: "Raise it",
			Help: "raises a nonconformance, or takes up a finding",
			Fields: append([]WishField{
				{Name: "text", Label: "what is wrong", Type: LongField, Required: true, Arg: true, Hint: "want what is wrong"},
				{Name: "check", Label: "check", Type: CheckField}, {Name: "task", Label: "task", Type: TaskField},
			}, disposeFields(
				WishField{Name: "changes", Label: "what rework or repair will change", Type: ChangesField, Hint: "the kinds of change, or none: what they make stale is measured again"},
				WishField{Name: "finding", Label: "finding", Type: ItemField}, WishField{Name: "label", Label: "number", Type: TextField, Hint: "the next one, if left empty"}, atField,
			)...), do: doRaise},
		{Name: "close", Title: "Close an item", Button: "Close it",
			Help: "closes a nonconformance, a punch item or a finding",
			Fields: append([]WishField{
				{Name: "item", Label: "item", Type: ItemField, Required: true, Arg: true, Hint: "want a nonconformance (NC-2), a punch item or a finding"},
				{Name: "evidence", Label: "evidence", Type: LongField, Required: true, Arg: true, Hint: "want what shows that it is closed"},
			}, disposeFields(
				WishField{Name: "retest", Label: "the check that was read again", Type: CheckField, Hint: "after rework or repair; that of the item, if left empty"},
				WishField{Name: "elsewhere", Label: "it was read again on a device whose entries are not here yet", Type: TickField},
				WishField{Name: "unchanged", Label: "what it was to change was not changed", Type: TickField}, atField,
			)...), do: doClose},
		{Name: "punch", Title: "Open item", Button: "Put it on the punch list",
			Help: "puts an open item on the punch list",
			Fields: []WishField{
				{Name: "class", Label: "class", Type: ChoiceField, Choices: []string{"A", "B"}, Required: true, Arg: true, Hint: "want A (must be closed) or B (should be)"},
				{Name: "text", Label: "what", Type: LongField, Required: true, Arg: true, Hint: "want what is open"},
				{Name: "task", Label: "task", Type: TaskField}, atField,
			}, do: doPunch},
		{Name: "concede", Title: "Sign a concession", Button: "Sign the concession",
			Help: "lets a check stand outside its limit, with a reason and a second name",
			Fields: []WishField{
				{Name: "check", Label: "check", Type: CheckField, Required: true, Arg: true, Hint: "want the check"},
				{Name: "reason", Label: "reason", Type: LongField, Required: true, Arg: true, Hint: "want the reason"},
				{Name: "second", Label: "second name", Type: TextField, Required: true, Hint: "want the name of the second person who signs"}, atField,
			}, do: doConcede},
		{Name: "release", Title: "Release", Button: "Release",
			Help: "releases a hold point or a chunk of a checklist",
			Fields: []WishField{
				{Name: "point", Label: "hold point or chunk", Type: TextField, Required: true, Arg: true, Hint: "want a check or a chunk of a checklist"},
				{Name: "witness", Label: "witness", Type: TextField}, atField, noteField,
			}, do: doRelease},
		{Name: "resume", Title: "Take a checklist up again", Button: "Go on",
			Help: "takes a checklist up again after a break",
			Fields: []WishField{
				{Name: "list", Label: "checklist", Type: TextField, Required: true, Arg: true, Hint: "want the name of a checklist"},
			}, do: doResume},
		{Name: "strike", Title: "Strike out", Button: "Strike it out",
			Help: "strikes out a wrong entry; it stays readable",
			Fields: []WishField{
				{Name: "entry", Label: "entry", Type: EntryField, Required: true, Arg: true, Hint: "want the name of the entry, as the logbook shows it"},
				{Name: "reason", Label: "reason", Type: TextField, Required: true, Arg: true, Hint: "want the reason"}, atField,
			}, do: doStrike},
		{Name: "settle", Title: "Settle what was written apart", Button: "Settle it",
			Help: "settles a field that two devices wrote apart",
			Fields: []WishField{
				{Name: "field", Label: "field", Type: TextField, Required: true, Arg: true, Hint: "want what/key/field, as the clash shows it"},
				{Name: "value", Label: "value", Type: TextField, Required: true, Arg: true, Hint: "want the value that holds"}, noteField,
			}, do: doSettle},
		{Name: "sequence", Title: "What comes first", Button: "Write the order of tasks",
			Help: "says that a task must be finished before another, or no longer",
			Fields: []WishField{
				{Name: "before", Label: "first", Type: TaskField, Required: true, Arg: true, Hint: "want the task that comes first"},
				{Name: "after", Label: "then", Type: TaskField, Required: true, Arg: true, Hint: "want the task that comes after it"},
				{Name: "off", Label: "no longer", Type: TickField}, noteField,
			}, do: doSequence},
		{Name: "add-stage", Title: "Add a stage", Button: "Add the stage",
			Help: "adds a stage to the build",
			Fields: []WishField{
				{Name: "key", Label: "short name", Type: TextField, Required: true, Arg: true, Hint: "want 2 to 8 small letters"},
				{Name: "title", Label: "title", Type: TextField, Required: true, Arg: true, Hint: "want a few words"},
			}, do: doAddStage},
		{Name: "add-task", Title: "Add a task", Button: "Add the task",
			Help: "adds a task to the build",
			Fields: []WishField{
				{Name: "stage", Label: "stage", Type: StageField, Required: true, Arg: true, Hint: "want a stage"},
				{Name: "title", Label: "title", Type: TextField, Required: true, Arg: true, Hint: "want what is to be done"},
				{Name: "estimate", Label: "low / likely / high", Type: EstimateField, Hint: "low/likely/high hours, such as 1/2/4"},
				{Name: "after", Label: "after", Type: TextField, Hint: "tasks that come first"},
				{Name: "block", Label: "shortest useful stint", Type: HoursField}, {Name: "key", Label: "short name", Type: TextField, Hint: "made for you, if left empty"}, noteField,
			}, do: doAddTask},
		{Name: "add-part", Title: "Add a part", Button: "Add the part",
			Help: "adds a part to the bill of materials",
			Fields: []WishField{
				required(taskField, "want the task that needs the part"),
				{Name: "title", Label: "what", Type: TextField, Required: true, Arg: true, Hint: "want what it is"},
				{Name: "qty", Label: "how many", Type: TextField}, {Name: "low", Label: "price from", Type: MoneyField, Hint: "of one piece"}, {Name: "high", Label: "to", Type: MoneyField},
				{Name: "lead", Label: "days to come", Type: TextField}, {Name: "key", Label: "short name", Type: TextField, Hint: "made for you, if left empty"},
			}, do: doAddPart},
		{Name: "add-check", Title: "Add a check", Button: "Add the check",
			Help: "adds a check to a task",
			Fields: []WishField{
				required(taskField, "want the task it belongs to"),
				{Name: "title", Label: "what is verified", Type: TextField, Required: true, Arg: true, Hint: "want what is verified"},
				{Name: "kind", Label: "kind", Type: ChoiceField, Choices: []string{string(Measurement), string(YesNo), string(PhotoCheck)}, Required: true, Hint: "want measurement, yes-no or photo"},
				{Name: "unit", Label: "unit", Type: TextField},
				{Name: "min", Label: "at least", Type: TextField}, {Name: "max", Label: "at most", Type: TextField},
				{Name: "hold", Label: "hold point", Type: TickField}, {Name: "changes", Label: "made stale by", Type: ChangesField},
				{Name: "instrument", Label: "instrument", Type: TextField}, {Name: "basis", Label: "where the limit is from", Type: TextField}, {Name: "key", Label: "short name", Type: TextField, Hint: "made for you, if left empty"},
			}, do: doAddCheck},
		{Name: "part", Title: "Where a part is", Button: "Write it down",
			Help: "says where a part is, or what it should cost",
			Fields: []WishField{
				{Name: "part", Label: "part", Type: PartField, Required: true, Arg: true, Hint: "want the part"},
				{Name: "state", Label: "it is", Type: ChoiceField, Choices: []string{string(PartWanted), string(PartHere), string(PartFitted), string(PartSold), string(PartNo)}, Arg: true},
				{Name: "low", Label: "price from", Type: MoneyField, Hint: "of one piece"}, {Name: "high", Label: "to", Type: MoneyField}, noteField,
			}, do: doPart},
		{Name: "build", Title: "The build", Button: "Write it down",
			Help: "changes the build's title, ceiling, target or hours a week",
			Fields: []WishField{
				{Name: "title", Label: "title", Type: TextField}, {Name: "donor", Label: "donor", Type: TextField},
				{Name: "ceiling", Label: "ceiling on net spend", Type: MoneyField}, {Name: "target", Label: "the day it should ride", Type: DateField},
				{Name: "week", Label: "hands-on hours a week", Type: TextField}, noteField,
			}, do: doBuild},
		{Name: "away", Title: "Away", Button: "Write it down",
			Help: "says on which days nobody works on the build",
			Fields: []WishField{
				{Name: "from", Label: "from", Type: DateField, Required: true, Arg: true, Hint: "want the first day, written as 2026-12-24"},
				{Name: "until", Label: "until", Type: DateField, Arg: true, Hint: "the last day; the same one, if left empty"},
				{Name: "off", Label: "take it back", Type: TickField}, noteField,
			}, do: doAway},
		{Name: "shared", Title: "A helper or a borrowed tool", Button: "Write it down",
			Help: "says on which days a second person or a borrowed tool is there",
			Fields: []WishField{
				{Name: "what", Label: "who or what", Type: TextField, Required: true, Arg: true, Hint: "want second person, or a tool as the job cards name it"},
				{Name: "days", Label: "there on", Type: TextField, Arg: true, Hint: "weekdays (sat sun) or days (2026-12-04..2026-12-06)"},
				{Name: "off", Label: "always there", Type: TickField}, noteField,
			}, do: doShared},
		{Name: "for-sale", Title: "To be sold", Button: "Write it down",
			Help: "says what is to be sold and the price expected, before fees and post",
			Fields: []WishField{
				{Name: "what", Label: "what", Type: TextField, Required: true, Arg: true, Hint: "want what is to be sold, in the words the sale will have"},
				{Name: "low", Label: "price from", Type: MoneyField, Arg: true, Hint: "before fees and post"}, {Name: "high", Label: "to", Type: MoneyField},
				{Name: "off", Label: "not for sale", Type: TickField}, noteField,
			}, do: doForSale},
		{Name: "settings", Title: "Settings", Button: "Keep the settings", Garage: true,
			Help: "changes the garage's settings",
			Fields: []WishField{
				{Name: "mark", Label: "decimal mark", Type: ChoiceField, Choices: []string{"point", "comma"}},
				{Name: "units", Label: "units", Type: ChoiceField, Choices: []string{"metric", "us"}},
				{Name: "paper", Label: "paper", Type: ChoiceField, Choices: []string{"A4", "Letter"}},
				{Name: "theme", Label: "light", Type: ChoiceField, Choices: []string{"auto", "light", "dark"}},
				{Name: "currency", Label: "currency of new builds", Type: TextField, Hint: "an ISO 4217 code such as EUR"},
			}, do: doSettings},
		{Name: "instrument", Title: "An instrument", Button: "Write it down", Garage: true,
			Help: "puts an instrument, its accuracy and its last check on the garage's list",
			Fields: []WishField{
				{Name: "name", Label: "name", Type: TextField, Required: true, Arg: true, Hint: "want the instrument's name"},
				{Name: "accuracy", Label: "accuracy", Type: TextField, Hint: "such as 0.5 % + 0.02 V"},
				{Name: "checked", Label: "last checked", Type: DateField},
			}, do: doInstrument},
		{Name: "name-device", Title: "A device's name", Button: "Keep the name", Garage: true,
			Help: "calls a device by another name, in the list and beside what it wrote",
			Fields: []WishField{
				{Name: "device", Label: "device", Type: DeviceField, Required: true, Arg: true, Hint: "want the name of a device or the first letters of its replica"},
				{Name: "name", Label: "name", Type: TextField, Required: true, Arg: true, Hint: "want a name of at most 40 letters"},
			}, do: doNameDevice},
		{Name: "strike-off", Title: "Strike off a device", Button: "Strike the device off", Garage: true,
			Help: "ends what counts of a device that was lost, copied or given away",
			Fields: []WishField{
				{Name: "device", Label: "device", Type: DeviceField, Required: true, Arg: true, Hint: "want the name of a device or the first letters of its replica"},
				{Name: "reason", Label: "reason", Type: TextField, Required: true, Arg: true, Hint: "want the reason"},
				{Name: "upto", Label: "the last entry that counts", Type: EntryField, Hint: "an entry of that device, or none; its newest that is here, if left empty"}, atField,
			}, do: doStrikeOff},
		{Name: "let-in", Title: "Let held entries in", Button: "Let them in", Garage: true,
			Help: "lets entries count that a device wrote after it was struck off",
			Fields: []WishField{
				{Name: "entries", Label: "entries", Type: HeldField, Arg: true, Hint: "want the names of held entries, as the findings show them"},
				{Name: "device", Label: "or all of a device", Type: DeviceField, Hint: "want the name of a device or the first letters of its replica"},
				{Name: "reason", Label: "reason", Type: TextField, Required: true, Hint: "want the reason"}, atField,
			}, do: doLetIn},
	}
}

func doStart(x *wishing) {
	at := x.moment("at", x.desk.Now)
	currency := strings.ToUpper(x.text("currency"))
	if currency == "" {
		currency = settings(x.log.garage().regs).Currency
	}
	_, err := money.Digits(currency)
	if err != nil {
		x.fail("currency", currency, "want an ISO 4217 code such as EUR")
	}
	if x.text("plan") == "" {
		return
	}
	plan, none := x.log.FindPlan(x.text("plan"), x.desk.Plans)
	if none != nil {
		x.fail("plan", x.text("plan"), strip(none, x.text("plan")))
	}
	if none != nil || err != nil {
		return
	}
	hash, _ := hex.DecodeString(plan.Hash)
	ceiling := x.amount("ceiling", currency)
	week := x.week()
	x.write(&BuildStart{
		At: at, Title: x.text("title"), Donor: x.text("donor"), Plan: plan.ID, PlanVersion: int64(plan.Version), PlanHash: hash,
		Currency: currency, Ceiling: int64(ceiling), Target: x.date("target"), WeekMinutes: week,
	})
	x.drafts[0].Build = x.desk.NewID()
	c := Curve{Rate: 1, Form: x.text("curve")}
	if v := x.text("learning"); v != "" {
		d, err := unit.ParseNumber(v, x.st.Mark)
		if c.Rate = d.Float(); err != nil || x.text("from") == "" {
			x.fail("learning", v, "want a share from 0.5 to 1, and the past build it is about")
		}
	}
	if from := x.text("from"); from != "" {
		past := x.pastBuild(from)
		if past != nil && (past.Plan.ID != plan.ID) {
			x.fail("from", from, "stands on the plan "+past.Plan.ID+", not on "+plan.ID)
		} else if past != nil && len(x.errs) == 0 {
			x.follow(past, c)
		}
	}
}

// week reads planned hours a week into minutes.
func (x *wishing) week() int64 {
	v := x.text("week")
	if v == "" {
		return 0
	}
	d, err := unit.ParseNumber(v, x.st.Mark)
	if err != nil || d.Float() <= 0 || d.Float() > 168 {
		x.fail("week", v, "want hours a week above 0 and at most 168")
		return 0
	}
	return int64(d.Float()*60 + 0.5)
}

func doHours(x *wishing) {
	min := x.minutes("hours")
	at := x.moment("at", x.desk.Now.Add(-time.Duration(min)*time.Minute))
	task := x.taskKey("task")
	kinds, answered := x.changes()
	x.write(&Work{At: at, Task: task, Minutes: min, Who: x.text("who"), Note: x.text("note"), Changes: kinds, Answered: answered && len(kinds) == 0})
	if x.ticked("finish") {
		x.finish(task, at.Add(time.Duration(min)*time.Minute))
	}
}

func (x *wishing) finish(task string, at When) {
	if task == "" {
		x.fail("finish", "yes", "needs a task")
		return
	}
	x.set(at, "task", task, "state", "finished", "")
}

func doOn(x *wishing) {
	at := x.moment("at", x.desk.Now)
	who := x.text("who")
	if who == "" {
		who = x.desk.Person
	}
	for _, c := range x.b.Hours.Clocks {
		if c.Who == who {
			x.fail("", "", fmt.Sprintf("a clock of %s runs on %s since %s: clock off first", who, c.Task, c.At.Time().Format("2006-01-02 15:04")))
		}
	}
	if t := x.task("task"); t != nil && t.State == NotNeeded {
		x.fail("task", t.ID, "is not needed: take it up again first")
	}
	x.write(&ClockOn{At: at, Task: x.taskKey("task"), Who: x.text("who")})
}

func doOff(x *wishing) {
	at := x.moment("at", x.desk.Now)
	var clock *OpenClock
	task := x.taskKey("task")
	for _, c := range x.b.Hours.Clocks {
		if task == "" && c.Who == x.desk.Person || task != "" && c.Task == task {
			clock = c
		}
	}
	if clock == nil {
		if x.text("task") == "" || task != "" {
			x.fail("", "", "no clock is running here")
		}
		return
	}
	if at.Unix < clock.At.Unix {
		x.fail("at", x.text("at"), "is before the clock was started, "+clock.At.Time().Format("2006-01-02 15:04"))
	}
	min := x.minutes("hours")
	if min == 0 && at.Unix-clock.At.Unix > int64(ForgottenAfter/time.Second) {
		x.fail("hours", "", "the clock ran longer than 12 h: say how many hours were worked")
	}
	kinds, answered := x.changes()
	x.write(&ClockOff{At: at, On: clock.ID, Minutes: min, Note: x.text("note"), Changes: kinds, Answered: answered && len(kinds) == 0})
	if x.ticked("finish") {
		x.finish(clock.Task, at)
	}
}

func doState(x *wishing, state string) {
	at := x.moment("at", x.desk.Now)
	t := x.task("task")
	if t == nil {
		return
	}
	if t.State == Finished && state == "finished" || t.State == NotNeeded && state == "not needed" || t.Open() && state == "open" {
		x.fail("task", t.ID, "is "+string(t.State)+" already")
	}
	if t.Clock != nil && state != "open" {
		x.fail("task", t.ID, "has a running clock: clock off first")
	}
	x.set(at, "task", t.ID, "state", state, x.text("note"))
}

func doRead(x *wishing) {
	c := x.check("check")
	at := x.moment("at", x.desk.Now)
	if c == nil {
		return
	}
	r := &Reading{
		At: at, Check: c.ID, Seen: x.text("seen"), Instrument: x.text("instrument"), Witness: x.text("witness"), Note: x.text("note"),
		Limit: c.LimitText(unit.Style{}), Photo: x.photo("photo"),
	}
	v := strings.TrimSpace(strings.Join(x.values["value"], " "))
	switch {
	case c.Kind == Measurement:
		if x.readValues(c, r, v) {
			x.readProof(c, r)
			line := &ReadingLine{Reading: *r, Points: r.points()}
			if x.b.measure(c, line); line.Measured != Within {
				r.Was = string(line.Measured)
			}
		}
	case c.Kind == PhotoCheck:
		if v != "" && v != "photo" && v != "yes" {
			x.fail("value", v, "want photo: this check is answered with a photo")
		}
		if v == "" && r.Photo == nil {
			x.fail("value", "", "want a photo, or the word photo where it is kept elsewhere")
		}
		r.Answer = AnswerPhoto
	case strings.EqualFold(v, "yes"):
		r.Answer = AnswerYes
	case strings.EqualFold(v, "no"):
		r.Answer = AnswerNo
	default:
		x.fail("value", v, "want yes or no")
	}
	x.write(r)
}

// points are the values as figures; nil where no instrument can have shown them.
func (r *Reading) points() []float64 {
	if r.Exp < -100 || r.Exp > 100 || len(r.Values) == 0 {
		return nil
	}
	points := make([]float64, len(r.Values))
	for i, m := range r.Values {
		points[i] = unit.Decimal{Mantissa: m, Exp: int8(r.Exp)}.Float()
	}
	return points
}

// readProof reads what the tester showed on a known source before and after,
// where the check wants it proved: prove, test, prove.
func (x *wishing) readProof(c *Check, r *Reading) {
	var proof [2]unit.Decimal
	for i, name := range []string{"before", "after"} {
		v := x.text(name)
		switch {
		case !c.Proof && v != "":
			x.fail(name, v, "is only asked for where a tester is proved")
		case c.Proof && v == "":
			x.fail(name, "", "want what the tester shows on a known source "+name+" the test, in "+unit.Symbol(c.Unit))
		case c.Proof:
			d, err := unit.Parse(v, c.Unit, x.st.Mark)
			if err != nil {
				x.fail(name, v, strip(err, v))
			}
			proof[i] = d
		}
	}
	if !c.Proof || len(x.errs) > 0 {
		return
	}
	exp := min(proof[0].Exp, proof[1].Exp)
	for i, d := range proof {
		m, ok := d.Scaled(exp)
		if !ok {
			x.fail([]string{"before", "after"}[i], d.String(), "has too many digits to stand beside the other")
			return
		}
		r.Proof = append(r.Proof, m)
	}
	r.ProofExp = int64(exp)
}

// readValues reads one value, or as many as the check has points. It reports
// whether there is a reading to go on with.
func (x *wishing) readValues(c *Check, r *Reading, typed string) bool {
	var tokens []string
	for _, f := range strings.FieldsFunc(strings.ReplaceAll(typed, ", ", " "), func(r rune) bool { return r == ' ' || r == ';' || r == '\n' || r == '\t' || r == '\r' }) {
		if len(tokens) > 0 && !strings.ContainsAny(f, "0123456789") {
			tokens[len(tokens)-1] += " " + f // a unit that stands apart
			continue
		}
		tokens = append(tokens, f)
	}
	if c.Want <= 1 && c.ScreenNeed == "" && len(tokens) > 0 {
		tokens = []string{typed}
	}
	if len(tokens) == 0 {
		x.fail("value", "", "want what the instrument says, in "+unit.Symbol(c.Unit))
		return false
	}
	if c.Want > 1 && c.ScreenNeed == "" && len(tokens) != c.Want {
		want := fmt.Sprintf("want %d values", c.Want)
		if len(c.Points) > 0 {
			want += " (" + strings.Join(c.Points, ", ") + ")"
		}
		x.fail("value", typed, fmt.Sprintf("%s, got %d", want, len(tokens)))
		return false
	}
	values := make([]unit.Decimal, len(tokens))
	exp := int8(0)
	for i, tok := range tokens {
		d, err := unit.Parse(tok, c.Unit, x.st.Mark)
		if err != nil {
			x.fail("value", tok, strip(err, tok))
			return false
		}
		values[i] = d
		if i == 0 || d.Exp < exp {
			exp = d.Exp
		}
	}
	r.Exp, r.Unit = int64(exp), c.Unit
	for i, d := range values {
		m, ok := d.Scaled(exp)
		if !ok {
			x.fail("value", tokens[i], "has too many digits to stand beside the others")
			return false
		}
		r.Values = append(r.Values, m)
	}
	if len(tokens) == 1 && tokens[0] != values[0].String() {
		r.Typed = typed
	}
	if odd := c.readBack(values, x.st); odd != "" && !x.ticked(Sure) {
		x.fail(Sure, "", odd)
		return false
	}
	return true
}

func doChange(x *wishing) {
	kinds, _ := x.changes()
	if len(kinds) == 0 && x.text("changes") != "" {
		x.fail("changes", x.text("changes"), "want at least one kind of change")
	}
	x.write(&Change{At: x.moment("at", x.desk.Now), Task: x.taskKey("task"), Changes: kinds, Note: x.text("note")})
}

func doBuy(x *wishing) {
	p := &Purchase{
		At: x.moment("at", x.desk.Now), What: x.text("what"), Cents: int64(x.amount("amount", x.b.Currency)), Task: x.taskKey("task"),
		Part: x.partKey("part"), Vendor: x.text("vendor"), Receipt: x.text("receipt"), Note: x.text("note"), Photo: x.photo("photo"),
	}
	if p.Receipt == "" && p.Photo != nil {
		p.Receipt = "photo"
	}
	x.write(p)
}

func doOrder(x *wishing) {
	o := &Order{
		At: x.moment("at", x.desk.Now), What: x.text("what"), Cents: int64(x.amount("amount", x.b.Currency)), Task: x.taskKey("task"),
		Vendor: x.text("vendor"), Label: x.text("label"), Promised: x.date("promised"), Unpaid: x.ticked("unpaid"), Note: x.text("note"),
	}
	for _, p := range x.list("parts") {
		o.Parts = append(o.Parts, x.part("parts", p))
	}
	for _, have := range x.b.Orders {
		if o.Label != "" && strings.EqualFold(have.Label, o.Label) {
			x.fail("label", o.Label, "is the number of another order")
		}
	}
	if o.Label == "" {
		o.Label = nextLabel("O", len(x.b.Orders), func(i int) string { return x.b.Orders[i].Label })
	}
	x.write(o)
}

// nextLabel returns prefix and the number after the highest in use.
func nextLabel(prefix string, n int, label func(int) string) string {
	high := 0
	for i := 0; i < n; i++ {
		if rest, ok := strings.CutPrefix(label(i), prefix); ok {
			if v, err := strconv.Atoi(rest); err == nil {
				high = max(high, v)
			}
		}
	}
	return prefix + strconv.Itoa(high+1)
}

func doArrive(x *wishing) {
	at := x.moment("at", x.desk.Now)
	o := x.order("order")
	if o == nil {
		return
	}
	if o.Arrived != nil {
		x.fail("order", o.Label, "came on "+o.Arrived.Time().Format(time.DateOnly)+" already")
	}
	x.write(&Arrival{At: at, Order: o.ID, Note: x.text("note")})
}

func doPromise(x *wishing) {
	day := x.date("promised")
	if o := x.order("order"); o != nil {
		x.set(WhenOf(x.desk.Now), "order", o.ID.String(), "promised", day, x.text("note"))
	}
}

func doPay(x *wishing) {
	o := x.order("order")
	if o == nil {
		return
	}
	if o.Paid {
		x.fail("order", o.Label, "is paid already")
	}
	x.set(WhenOf(x.desk.Now), "order", o.ID.String(), "paid", "yes", x.text("note"))
}

func doSell(x *wishing) {
	s := &Sale{
		At: x.moment("at", x.desk.Now), What: x.text("what"), Cents: int64(x.amount("amount", x.b.Currency)), Fee: int64(x.amount("fee", x.b.Currency)),
		Post: int64(x.amount("post", x.b.Currency)), Task: x.taskKey("task"), Part: x.partKey("part"), Buyer: x.text("buyer"), Note: x.text("note"),
	}
	x.write(s)
}

func doRefund(x *wishing) {
	r := &Refund{At: x.moment("at", x.desk.Now), What: x.text("what"), Cents: int64(x.amount("amount", x.b.Currency)), Note: x.text("note")}
	of := x.text("of")
	if of == "" {
		return
	}
	paid := money.Amount(0)
	if o, err := x.b.OrderBy(of); err == nil {
		r.Of, paid = o.ID, money.Amount(o.Cents)
	} else if n, ok := x.entry("of", of); ok {
		r.Of = x.log.items[n].id
		for _, l := range x.b.Money.Lines {
			if l.ID == r.Of && (l.Kind == "purchase" || l.Kind == "order") {
				paid = l.Amount
			}
		}
		if paid == 0 {
			x.fail("of", of, "is not an order or a purchase in force")
			return
		}
	}
	if money.Amount(r.Cents) > paid && paid > 0 {
		x.fail("amount", x.text("amount"), "is more than was paid")
	}
	x.write(r)
}

// estimate reads "3/8/14", "3 8 14", "0,5/1/2" or one figure for all three.
func (x *wishing) estimate(name string) (Hours3, bool) {
	v := x.text(name)
	if v == "" {
		return Hours3{}, false
	}
	parts := strings.FieldsFunc(v, func(r rune) bool { return r == '/' || r == ' ' || r == ';' })
	for i, p := range parts {
		d, err := unit.ParseNumber(p, x.st.Mark)
		if err != nil {
			x.fail(name, v, strip(err, p))
			return Hours3{}, false
		}
		parts[i] = d.String()
	}
	h, err := hours3(strings.Join(parts, "/"))
	if err != nil {
		x.fail(name, v, "want low/likely/high hours in ascending order, 0 to 10000, such as 3/8/14")
		return Hours3{}, false
	}
	return h, true
}

func doEstimate(x *wishing) {
	h, ok := x.estimate("estimate")
	if t := x.task("task"); t != nil && ok {
		x.set(WhenOf(x.desk.Now), "task", t.ID, "estimate", h.String(), x.text("note"))
	}
}

func doSpec(x *wishing) {
	name, v := x.text("name"), x.text("value")
	var in *SpecValue
	for _, s := range x.b.Spec.Inputs {
		if strings.EqualFold(s.ID, name) {
			in = s
		}
	}
	if in == nil {
		if s := x.b.Spec.Get(name); s != nil {
			x.fail("name", name, "is computed: "+s.Formula)
		} else if name != "" {
			x.fail("name", name, "is not an input of the spec sheet"+near(name, x.b.Spec.Inputs, func(s *SpecValue) string { return strings.ToLower(s.ID) }))
		}
		return
	}
	if v == "" {
		return
	}
	d, err := unit.Parse(v, in.Unit, x.st.Mark)
	if err != nil {
		x.fail("value", v, strip(err, v))
		return
	}
	x.set(WhenOf(x.desk.Now), "spec", in.ID, "value", d.String(), x.text("note"))
	if v != d.String() {
		x.drafts[len(x.drafts)-1].Body.(*Set).Typed = v
	}
}

func doLimit(x *wishing) {
	c := x.check("check")
	if c == nil {
		return
	}
	if c.Kind != Measurement {
		x.fail("check", c.ID, "has no limit: it is not a measurement")
		return
	}
	wrote := false
	for _, side := range []string{"min", "max"} {
		v := x.text(side)
		if v == "" {
			continue
		}
		if v != "none" && !x.bound(side, v) {
			continue
		}
		wrote = true
		x.set(WhenOf(x.desk.Now), "check", c.ID, side, v, x.text("note"))
	}
	if !wrote && len(x.errs) == 0 {
		x.fail("", "", "want a new lower or upper limit")
	}
}

func (x *wishing) bound(field, v string) bool {
	b, err := ParseBound(v)
	if err != nil {
		x.fail(field, v, "want a number, or factor * name + offset, such as 0.95 * spec_axle_nut_Nm")
		return false
	}
	if b.Of != "" && x.b.Spec.Get(b.Of) == nil {
		x.fail(field, v, fmt.Sprintf("%q is not on the spec sheet", b.Of))
		return false
	}
	return true
}

func doNote(x *wishing) {
	x.write(&Note{At: x.moment("at", x.desk.Now), Task: x.taskKey("task"), Check: x.checkKey("check"), Text: x.text("text")})
}

func (x *wishing) finding(key string) *Finding {
	for _, f := range x.b.Findings {
		if f.Key == key {
			return f
		}
	}
	return nil
}

func doClose(x *wishing) {
	v := x.text("item")
	d := x.disposition()
	c := &Close{At: x.moment("at", x.desk.Now), Disposition: d.text, Evidence: x.text("evidence"), Replacement: d.replacement, Second: d.second}
	if v == "" {
		return
	}
	closed := (*CloseLine)(nil)
	x.write(c)
	for _, n := range x.b.NCRs {
		if strings.EqualFold(n.Label, v) || n.ID.String() == v {
			c.Of, closed = n.ID, n.Closed
			check := x.b.Check(n.Nonconformance.Check)
			if f := x.finding(n.Finding); check == nil && f != nil {
				check = f.Check
			}
			if closed == nil {
				x.settles(c, d, check, n.At, n)
			}
		}
	}
	if c.Of == (ID{}) {
		if f := x.finding(v); f != nil {
			c.Finding = f.Key
			if f.Nonconformance() && f.Open && c.Disposition == "" {
				x.fail("disposition", "", "want rework, repair, scrap or concession, and what was done")
			}
			if !f.Open {
				x.fail("item", v, "is no longer open: "+f.Ended)
			} else if f.Nonconformance() {
				x.settles(c, d, f.Check, f.At, nil)
			}
		} else if n, ok := x.entry("item", v); ok {
			for _, p := range x.b.Punches {
				if p.ID == x.log.items[n].id {
					c.Of, closed = p.ID, p.Closed
				}
			}
			if c.Of == (ID{}) {
				x.fail("item", v, "is not a nonconformance, a punch item or a finding")
			}
		}
	}
	if closed != nil {
		x.fail("item", v, "was closed by "+closed.Person+" on "+closed.At.Time().Format(time.DateOnly)+" already")
	}
}

func doPunch(x *wishing) {
	x.write(&Punch{At: x.moment("at", x.desk.Now), Class: x.text("class"), Text: x.text("text"), Task: x.taskKey("task")})
}

// maySign refuses a signature while there are entries that this program must
// understand first and does not.
func (x *wishing) maySign() bool {
	if x.b.NewerMust > 0 {
		x.fail("", "", fmt.Sprintf("%d entries of this build need a newer version of the program: update it before signing", x.b.NewerMust))
	}
	return x.b.NewerMust == 0
}

func doConcede(x *wishing) {
	if !x.maySign() {
		return
	}
	c := x.check("check")
	if c == nil {
		return
	}
	if c.Verdict == Within {
		x.fail("check", c.ID, "is within limits: there is nothing to concede")
	}
	if sameName(x.signer(), x.text("second")) {
		x.fail("second", x.text("second"), "is the first name too: a concession is signed by two people")
	}
	k := &Concession{At: x.moment("at", x.desk.Now), Check: c.ID, Reason: x.text("reason"), Second: x.text("second")}
	if k.Untaken = c.Current == nil; !k.Untaken {
		k.On = c.Current.ID
	}
	x.write(k)
}

func doRelease(x *wishing) {
	if !x.maySign() {
		return
	}
	p := x.text("point")
	if p == "" {
		return
	}
	r := &Release{At: x.moment("at", x.desk.Now), Point: p, Witness: x.text("witness"), Note: x.text("note")}
	if r.Witness != "" && sameName(r.Witness, x.signer()) {
		x.fail("witness", r.Witness, "is the name of the one who releases too: a witness is another person")
	}
	checks := x.b.released(p)
	c := x.b.Check(p)
	switch {
	case len(checks) == 0:
		x.fail("point", p, "is neither a hold point nor a chunk of a checklist")
	case c == nil:
		x.releaseChunk(p)
	case !c.Hold():
		x.fail("point", p, "is not a hold point")
	case !c.Cleared() && !(c.Verdict == Within && r.Witness != ""):
		x.fail("point", p, fmt.Sprintf("stays shut: %s is %s", c.ID, c.Why()))
	}
	r.sign(checks)
	x.write(r)
}

// signer is who signs the wish.
func (x *wishing) signer() string {
	if by := x.text("by"); by != "" {
		return by
	}
	return x.desk.Person
}

// releaseChunk refuses to close a chunk with an open item, out of turn, or
// before its last item was looked at again after a break.
func (x *wishing) releaseChunk(p string) {
	for _, l := range x.b.Lists {
		w, _ := x.b.Walk(l.ID, x.desk.Now, x.signer())
		for _, ch := range w.Chunks {
			if why := w.Complete(ch); ch.ID == p && why != "" {
				x.fail("point", p, "stays shut: "+why)
			}
		}
	}
}

func doResume(x *wishing) {
	v := x.text("list")
	if v == "" {
		return
	}
	w, ok := x.b.Walk(v, x.desk.Now, x.signer())
	switch {
	case !ok:
		x.fail("list", v, "is not a checklist of this build"+near(v, x.b.Lists, func(l PlanList) string { return l.ID }))
	case w.Break == "":
		x.fail("list", v, "was not left: there is nothing to take up again")
	default:
		x.write(&Resume{At: WhenOf(x.desk.Now), List: v, Check: w.From.ID, Again: w.Again})
	}
}

func doStrike(x *wishing) {
	room := x.strikable()
	var over []ID
	for _, v := range x.list("entry") {
		n, ok := x.among(room, "entry", v, "want the name of an entry of this build as the logbook shows it, at least its first 4 letters")
		if !ok {
			continue
		}
		it := &x.log.items[n]
		switch {
		case it.kind == kindBuildStart:
			x.fail("entry", v, "opens the build: it cannot be struck out")
		case it.state&struck != 0:
			x.fail("entry", v, "is struck out already")
		case len(over) > 0 && it.build != x.log.items[x.log.byID[over[0]]].build:
			x.fail("entry", v, "is not of the build as the others are: strike it out by itself")
		}
		over = append(over, it.id)
		if it.kind == kindBring {
			over = append(over, x.log.broughtIn(n)...)
		}
	}
	at := x.moment("at", x.desk.Now)
	for some := range slices.Chunk(over, maxOver) {
		x.write(&Strike{At: at, Reason: x.text("reason")}, some...)
	}
	if len(over) == 0 {
		x.write(&Strike{At: at, Reason: x.text("reason")})
	}
	for i := range x.drafts {
		if len(over) > 0 {
			x.drafts[i].Build = x.log.builds[x.log.items[x.log.byID[over[0]]].build].id
		}
	}
}

// strikable returns the entries that may be struck out: those of the build, and
// of the garage's what closes a device or lets entries in, and plans: they are no
// longer offered then, and builds that stand on them stand.
func (x *wishing) strikable() []uint32 {
	list := slices.Clone(x.log.builds[x.log.build[x.b.ID]].items)
	for _, n := range x.log.builds[0].items {
		switch x.log.items[n].kind {
		case kindReplicaClose, kindReplicaAdmit, kindPlan, kindStrike: // a strike: of one of these
			list = append(list, n)
		}
	}
	return list
}

func doSettle(x *wishing) {
	parts := strings.Split(x.text("field"), "/")
	if len(parts) != 3 {
		if x.text("field") != "" {
			x.fail("field", x.text("field"), "want what/key/field, as the clash shows it")
		}
		return
	}
	r := x.b.regs.get(parts[0], parts[1], parts[2])
	if !r.Clash() {
		x.fail("field", x.text("field"), "was not written apart")
		return
	}
	v := x.text("value")
	var values []string
	for _, h := range r.Heads() {
		values = append(values, h.Value)
		if h.Value == v {
			x.set(WhenOf(x.desk.Now), r.What, r.Key, r.Field, v, x.text("note"))
			return
		}
	}
	x.fail("value", v, "want one of "+strings.Join(values, ", ")+"; for another value write the field itself")
}

func doSequence(x *wishing) {
	a, c := x.task("before"), x.task("after")
	if a == nil || c == nil {
		return
	}
	value := "on"
	if x.ticked("off") {
		value = "off"
	} else if a == c || x.b.upstream(a, c) {
		x.fail("after", c.ID, "comes before "+a.ID+" already: the order would close a circle")
	}
	x.set(WhenOf(x.desk.Now), "edge", a.ID+">"+c.ID, "on", value, x.text("note"))
}

// key reads a short name, or makes one from a title.
func (x *wishing) key(name, title string, taken func(string) bool) string {
	v := x.text(name)
	if v != "" {
		if !isKey(v) {
			x.fail(name, v, "want small letters, digits and -, at most 40")
		} else if taken(v) {
			x.fail(name, v, "is taken")
		}
		return v
	}
	var words []string
	for _, w := range strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') }) {
		if words = append(words, w); len(words) == 3 {
			break
		}
	}
	base := strings.Join(words, "-")
	if base == "" {
		base = "added"
	}
	if len(base) > 30 {
		base = base[:30]
	}
	// Two devices may add the same thing apart: the moment tells them apart.
	key := base + "-" + strconv.FormatInt(x.desk.Now.Unix()%46656, 36)
	for i := 2; taken(key); i++ {
		key = base + "-" + strconv.Itoa(i)
	}
	return key
}

func isKey(s string) bool {
	for _, r := range s {
		if !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-') {
			return false
		}
	}
	return s != "" && len(s) <= 40
}

func (x *wishing) stage(name string) string {
	v := x.text(name)
	for _, s := range x.b.Stages {
		if s.ID == v {
			return v
		}
	}
	if v != "" {
		x.fail(name, v, "is not a stage of this build"+near(v, x.b.Stages, func(s *Stage) string { return s.ID }))
	}
	return ""
}

func doAddStage(x *wishing) {
	key := x.text("key")
	if key != "" && (!isKey(key) || len(key) < 2 || len(key) > 8) {
		x.fail("key", key, "want 2 to 8 small letters or digits")
	}
	for _, s := range x.b.Stages {
		if s.ID == key {
			x.fail("key", key, "is taken")
		}
	}
	x.write(&AddStage{Key: key, Title: x.text("title")})
}

func doAddTask(x *wishing) {
	stage := x.stage("stage")
	h, _ := x.estimate("estimate")
	m := func(v float64) int64 { return int64(v*60 + 0.5) }
	t := &AddTask{
		At: WhenOf(x.desk.Now), Stage: stage, Title: x.text("title"), Low: m(h.Low), Likely: m(h.Likely), High: m(h.High),
		MinBlock: x.minutes("block"), Note: x.text("note"),
	}
	t.Key = x.key("key", stage+" "+t.Title, func(k string) bool { return x.b.Task(k) != nil })
	for _, a := range x.list("after") {
		if x.b.Task(a) == nil {
			x.fail("after", a, "is not a task of this build"+near(a, x.b.Tasks, func(t *Task) string { return t.ID }))
		}
		t.After = append(t.After, a)
	}
	x.write(t)
}

// count reads a whole number from min to max; def when nothing was typed.
func (x *wishing) count(name string, def, low, high int64) int64 {
	v := x.text(name)
	if v == "" {
		return def
	}
	n, err := strconv.ParseInt(v, 10, 64)
	if err != nil || n < low || n > high {
		x.fail(name, v, fmt.Sprintf("want a whole number from %d to %d", low, high))
		return def
	}
	return n
}

func (x *wishing) prices() (low, high money.Amount) {
	low, high = x.amount("low", x.b.Currency), x.amount("high", x.b.Currency)
	if x.text("high") == "" {
		high = low
	}
	if low > high {
		x.fail("low", x.text("low"), "is above the highest price")
	}
	return low, high
}

func doAddPart(x *wishing) {
	low, high := x.prices()
	lead := x.count("lead", 0, 0, 1000)
	p := &AddPart{
		At: WhenOf(x.desk.Now), Task: x.taskKey("task"), Title: x.text("title"), Qty: x.count("qty", 1, 1, 10000), Low: int64(low), High: int64(high),
		LeadLow: lead, LeadHi: lead,
	}
	p.Key = x.key("key", p.Title, func(k string) bool { return x.b.Part(k) != nil })
	x.write(p)
}

func doAddCheck(x *wishing) {
	c := &AddCheck{
		At: WhenOf(x.desk.Now), Task: x.taskKey("task"), Title: x.text("title"), CheckKind: x.text("kind"), Unit: x.text("unit"),
		Min: x.text("min"), Max: x.text("max"), Hold: x.ticked("hold"), Instrument: x.text("instrument"), Basis: x.text("basis"),
	}
	c.InvalidatedBy, _ = x.changes()
	c.Key = x.key("key", c.Title, func(k string) bool { return x.b.Check(k) != nil })
	if c.CheckKind == string(Measurement) {
		if !unit.Known(c.Unit) {
			x.fail("unit", c.Unit, "want a unit this program knows, such as V, ohm, Nm, mm")
		}
		if c.Min == "" && c.Max == "" {
			x.fail("min", "", "want a lower or an upper limit")
		}
		for field, v := range map[string]string{"min": c.Min, "max": c.Max} {
			if v != "" {
				x.bound(field, v)
			}
		}
	} else if c.Unit != "" || c.Min != "" || c.Max != "" {
		x.fail("unit", c.Unit, "only a measurement has a unit and limits")
	}
	x.write(c)
}

func doPart(x *wishing) {
	p := x.partKey("part")
	if p == "" {
		return
	}
	at := WhenOf(x.desk.Now)
	low, high := x.prices()
	if s := x.text("state"); s != "" {
		x.set(at, "part", p, "state", s, x.text("note"))
	}
	if x.text("low") != "" {
		x.set(at, "part", p, "price", fmt.Sprintf("%d/%d", low, high), x.text("note"))
	}
	if len(x.drafts) == 0 && len(x.errs) == 0 {
		x.fail("state", "", "want where the part is, or a price")
	}
}

func doBuild(x *wishing) {
	at := WhenOf(x.desk.Now)
	for _, f := range []string{"title", "donor"} {
		if v := x.text(f); v != "" {
			x.set(at, "build", "", f, v, x.text("note"))
		}
	}
	if v := x.text("ceiling"); v != "" {
		x.set(at, "build", "", "ceiling", strconv.FormatInt(int64(x.amount("ceiling", x.b.Currency)), 10), x.text("note"))
	}
	if v := x.date("target"); v != "" {
		x.set(at, "build", "", "target", v, x.text("note"))
	}
	if v := x.week(); v > 0 {
		x.set(at, "build", "", "week", strconv.FormatInt(v, 10), x.text("note"))
	}
	if len(x.drafts) == 0 && len(x.errs) == 0 {
		x.fail("", "", "nothing was filled in")
	}
}

func doSettings(x *wishing) {
	at := WhenOf(x.desk.Now)
	now := x.log.garage().regs
	for _, f := range x.kind.Fields {
		v := x.text(f.Name)
		if f.Name == "currency" && v != "" {
			v = strings.ToUpper(v)
			if _, err := money.Digits(v); err != nil {
				x.fail("currency", v, "want an ISO 4217 code such as EUR")
			}
		}
		if v != "" && v != now.text("garage", "", f.Name, "") {
			x.set(at, "garage", "", f.Name, v, "")
		}
	}
	if len(x.drafts) == 0 && len(x.errs) == 0 {
		x.fail("", "", "nothing was changed")
	}
}

func doInstrument(x *wishing) {
	at := WhenOf(x.desk.Now)
	name := x.text("name")
	if v := x.text("accuracy"); v != "" {
		if err := checkAccuracy(v); err != nil {
			x.fail("accuracy", v, "want a share and a step, such as 0.5 % + 0.02 V")
		}
		x.set(at, "instrument", name, "accuracy", v, "")
	}
	if v := x.date("checked"); v != "" {
		x.set(at, "instrument", name, "checked", v, "")
	}
	if len(x.drafts) == 0 && len(x.errs) == 0 {
		x.fail("accuracy", "", "want the accuracy or the day it was last checked")
	}
}

// checkAccuracy reads an accuracy without knowing the unit it will be used in.
func checkAccuracy(text string) error {
	for _, term := range strings.Split(text, "+") {
		f := strings.Fields(strings.ReplaceAll(term, "%", " %"))
		if len(f) != 2 || f[1] != "%" && !unit.Known(f[1]) {
			return fmt.Errorf("accuracy term %q", term)
		}
		if d, err := unit.ParseNumber(f[0], unit.Point); err != nil || d.Float() < 0 {
			return fmt.Errorf("accuracy term %q", term)
		}
	}
	return nil
}
