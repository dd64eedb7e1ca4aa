package model

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/calc/unit"

	"github.com/google/uuid"
)

// A Wish is something a person wants to be written down, as they typed it: on a
// form, on the command line, in a scenario. The rules that turn it into entries
// stand here and nowhere else.
type Wish struct {
	Name   string
	Values map[string][]string
	Rows   []Row // of a sheet that is brought in, see bring.go
}

// A WishKind describes a wish: forms and commands are made from it.
type WishKind struct {
	Name   string // the command word: "hours"
	Title  string // the heading of its form
	Button string
	Help   string
	Fields []WishField
	Garage bool // concerns the garage, not a build
	do     func(*wishing)
}

// A WishField is one thing a wish asks for.
type WishField struct {
	Name, Label, Hint string
	Type              FieldType
	Required          bool
	Arg               bool     // on the command line it needs no flag
	Choices           []string // of a Choice
}

// A FieldType says what a field holds.
type FieldType string

const (
	TextField       FieldType = "text"
	LongField       FieldType = "long"
	TaskField       FieldType = "task"
	CheckField      FieldType = "check"
	PartField       FieldType = "part"
	PartsField      FieldType = "parts"
	OrderField      FieldType = "order"
	SpecField       FieldType = "spec"
	StageField      FieldType = "stage"
	PlanField       FieldType = "plan"
	EntryField      FieldType = "entry"
	ItemField       FieldType = "item" // a nonconformance, punch item or finding
	HoursField      FieldType = "hours"
	MomentField     FieldType = "moment"
	DateField       FieldType = "date"
	MoneyField      FieldType = "money"
	ValuesField     FieldType = "values"
	EstimateField   FieldType = "estimate"
	ChangesField    FieldType = "changes"
	ChoiceField     FieldType = "choice"
	TickField       FieldType = "tick"
	InstrumentField FieldType = "instrument"
	DeviceField     FieldType = "device"
	HeldField       FieldType = "held"  // entries that a close holds
	PhotoField      FieldType = "photo" // the SHA-256 of a photo that is stored already, in 64 hexadecimal digits
)

// A Desk is the circumstances in which a wish is made.
type Desk struct {
	Now    time.Time // in the person's zone
	Person string    // who makes it
	Owner  string    // the person whose replica this is
	Plans  PlanSource
	NewID  func() uuid.UUID // for a new build
}

// A FieldError says what is wrong with one field of a wish.
type FieldError struct {
	Field string // "" when it concerns the whole wish
	Value string
	Want  string // what is accepted, in words that follow the value
}

func (e *FieldError) Error() string {
	switch {
	case e.Field == "":
		return e.Want
	case e.Value == "":
		return e.Field + " is missing: " + e.Want
	}
	return fmt.Sprintf("%s %q: %s", e.Field, e.Value, e.Want)
}

// A WishError is all that is wrong with a wish.
type WishError struct {
	Wish   string
	Fields []*FieldError
}

func (e *WishError) Error() string {
	lines := make([]string, len(e.Fields))
	for i, f := range e.Fields {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "; ")
}

// WishKindOf returns the description of a wish by name.
func WishKindOf(name string) (*WishKind, bool) {
	for _, k := range WishKinds() {
		if k.Name == name {
			return k, true
		}
	}
	for _, k := range planWishes {
		if k.Name == name {
			return k, true
		}
	}
	return nil, false
}

// Write turns a wish into entries to be written. b is the build it concerns; it
// may be nil for a wish that concerns the garage. The error is a *WishError that
// names each wrong value and what would have been accepted.
func (l *Logbook) Write(b *Build, w Wish, d Desk) ([]Draft, error) {
	if w.Name == BringWish {
		return l.bring(b, w, d)
	}
	k, ok := WishKindOf(w.Name)
	if !ok {
		return nil, &WishError{w.Name, []*FieldError{{Want: fmt.Sprintf("%q is nothing that can be written down here", w.Name)}}}
	}
	if b == nil && !k.Garage {
		return nil, &WishError{w.Name, []*FieldError{{Want: "there is no build yet: start one first"}}}
	}
	l.settle()
	x := &wishing{log: l, b: b, kind: k, values: splitDisposition(w.Values), desk: d}
	x.st = settings(l.garage().regs).Style()
	for name, vs := range x.values {
		known := name == "instead" || name == "by"
		for _, f := range k.Fields {
			known = known || f.Name == name
		}
		if !known && strings.TrimSpace(strings.Join(vs, "")) != "" {
			x.fail(name, vs[0], "is not asked for by "+k.Name)
		}
	}
	for _, f := range k.Fields {
		if f.Required && x.text(f.Name) == "" {
			x.fail(f.Name, "", f.Hint)
		}
		if f.Type == ChoiceField && x.text(f.Name) != "" && !slices.Contains(f.Choices, x.text(f.Name)) {
			x.fail(f.Name, x.text(f.Name), "want one of "+strings.Join(f.Choices, ", "))
		}
	}
	k.do(x)
	x.instead()
	if len(x.errs) > 0 {
		return nil, &WishError{w.Name, x.errs}
	}
	if by := x.text("by"); by != "" {
		x.desk.Person = by
	}
	for i := range x.drafts {
		if x.desk.Person != d.Owner {
			x.drafts[i].Author = x.desk.Person
		}
		if _, err := (&Entry{Replica: uuid.Max, Seq: 1, Stamp: 1, Over: x.drafts[i].Over, Body: x.drafts[i].Body}).Encode(); err != nil {
			return nil, &WishError{w.Name, []*FieldError{{Want: err.Error()}}}
		}
	}
	return x.drafts, nil
}

// wishing is a wish while it is turned into drafts.
type wishing struct {
	log    *Logbook
	b      *Build
	kind   *WishKind
	values map[string][]string
	desk   Desk
	st     unit.Style
	errs   []*FieldError
	drafts []Draft
}

func (x *wishing) fail(field, value, want string) {
	x.errs = append(x.errs, &FieldError{field, value, want})
}

// text returns a field's value without the space around it.
func (x *wishing) text(name string) string {
	if vs := x.values[name]; len(vs) > 0 {
		return strings.TrimSpace(vs[0])
	}
	return ""
}

// list returns all values of a field, split at commas and spaces.
func (x *wishing) list(name string) []string {
	var out []string
	for _, v := range x.values[name] {
		for _, w := range strings.FieldsFunc(v, func(r rune) bool { return r == ',' || r == ' ' || r == ';' || r == '\n' }) {
			if !slices.Contains(out, w) {
				out = append(out, w)
			}
		}
	}
	return out
}

func (x *wishing) ticked(name string) bool {
	switch v := x.text(name); strings.ToLower(v) {
	case "", "no", "false", "off":
		return false
	case "yes", "true", "on", "1":
		return true
	default:
		x.fail(name, v, "want yes or no")
		return false
	}
}

func (x *wishing) write(body Body, over ...ID) {
	d := Draft{Body: body, Over: over}
	if x.b != nil && !x.kind.Garage {
		d.Build = x.b.ID
	}
	x.drafts = append(x.drafts, d)
}

// set writes a field over all its present values.
func (x *wishing) set(at When, what, key, field, value, note string) {
	rs := registers(nil)
	if x.b != nil {
		rs = x.b.regs
	}
	if x.kind.Garage {
		rs = x.log.garage().regs
	}
	x.write(&Set{At: at, What: what, Key: key, Field: field, Value: value, Note: note}, rs.get(what, key, field).over()...)
}

// instead makes the first draft replace an entry of its kind.
func (x *wishing) instead() {
	text := x.text("instead")
	if text == "" || len(x.drafts) == 0 {
		return
	}
	n, ok := x.entry("instead", text)
	if !ok {
		return
	}
	it := &x.log.items[n]
	if it.kind != kindOf(x.drafts[0].Body.Kind()) {
		x.fail("instead", text, "is not of the kind that is written here")
		return
	}
	if it.state&standing != 0 {
		x.fail("instead", text, "is no longer in force")
		return
	}
	x.drafts[0].Over = append(x.drafts[0].Over, it.id)
	if e, err := decode(it.raw, it.id); err == nil {
		if from := rowOf(e.Body); from != nil && *from != (ID{}) {
			*rowOf(x.drafts[0].Body) = *from // a line of a sheet put right is still that line
		}
	}
}

// entry finds an entry of the build (or the garage, where the wish concerns it) by its name or the first letters of it.
func (x *wishing) entry(field, text string) (uint32, bool) {
	build := uint16(0)
	if x.b != nil && !x.kind.Garage {
		build = x.log.build[x.b.ID]
	}
	return x.among(x.log.builds[build].items, field, text, "want the name of an entry of this build as the logbook shows it, at least its first 4 letters")
}

// among finds one of several entries by its name or the first letters of it;
// want says what is accepted.
func (x *wishing) among(list []uint32, field, text, want string) (uint32, bool) {
	found, count := uint32(0), 0
	if len(text) >= 4 {
		for _, n := range list {
			if strings.HasPrefix(x.log.items[n].id.String(), strings.ToLower(text)) {
				found, count = n, count+1
			}
		}
	}
	switch {
	case count == 1:
		return found, true
	case count > 1:
		x.fail(field, text, fmt.Sprintf("%d entries begin like that: give more letters", count))
	default:
		x.fail(field, text, want)
	}
	return 0, false
}

func (x *wishing) task(name string) *Task {
	v := x.text(name)
	if v == "" {
		return nil
	}
	t := x.b.Task(strings.ToLower(v))
	if t == nil {
		x.fail(name, v, "is not a task of this build"+near(v, x.b.Tasks, func(t *Task) string { return t.ID }))
	}
	return t
}

func (x *wishing) taskKey(name string) string {
	if t := x.task(name); t != nil {
		return t.ID
	}
	return ""
}

func (x *wishing) check(name string) *Check {
	v := x.text(name)
	if v == "" {
		return nil
	}
	for _, c := range x.b.Checks {
		if strings.EqualFold(c.ID, v) {
			return c
		}
	}
	x.fail(name, v, "is not a check of this build"+near(v, x.b.Checks, func(c *Check) string { return c.ID }))
	return nil
}

func (x *wishing) checkKey(name string) string {
	if c := x.check(name); c != nil {
		return c.ID
	}
	return ""
}

func (x *wishing) partKey(name string) string {
	v := x.text(name)
	if v == "" {
		return ""
	}
	return x.part(name, v)
}

func (x *wishing) part(name, v string) string {
	p := x.b.Part(strings.ToLower(v))
	if p == nil {
		x.fail(name, v, "is not a part of this build"+near(v, x.b.Parts, func(p *Part) string { return p.ID }))
		return ""
	}
	return p.ID
}

func (x *wishing) order(name string) *OrderLine {
	v := x.text(name)
	if v == "" {
		return nil
	}
	o, err := x.b.OrderBy(v)
	if err != nil {
		x.errs = append(x.errs, &FieldError{Want: err.Error()})
		return nil
	}
	return o
}

// near names up to three keys that begin like v, to help who mistyped.
func near[T any](v string, list []T, key func(T) string) string {
	var like []string
	for n := min(len(v), 6); n >= 2 && len(like) == 0; n-- {
		for _, t := range list {
			if k := key(t); strings.HasPrefix(k, strings.ToLower(v[:n])) && len(like) < 3 {
				like = append(like, k)
			}
		}
	}
	if len(like) == 0 {
		return ""
	}
	return "; there is " + strings.Join(like, ", ")
}

// momentLayouts are the ways a moment may be typed, in the person's zone.
var momentLayouts = []string{time.RFC3339, "2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15.04"}

// moment reads a moment; def when nothing was typed.
func (x *wishing) moment(name string, def time.Time) When {
	v := x.text(name)
	if v == "" {
		return WhenOf(def)
	}
	t, err := x.parseMoment(v)
	if err != nil {
		x.fail(name, v, "want a moment such as 2026-11-20 19:30, 19:30 (today) or 2026-11-20T19:30:00+01:00")
		return WhenOf(def)
	}
	if t.After(x.desk.Now.Add(24 * time.Hour)) {
		x.fail(name, v, "is more than a day ahead of this device's clock")
	}
	if t.Year() < 2000 {
		x.fail(name, v, "is before the year 2000")
	}
	return WhenOf(t)
}

func (x *wishing) parseMoment(v string) (time.Time, error) {
	zone := x.desk.Now.Location()
	for _, layout := range momentLayouts {
		if t, err := time.ParseInLocation(layout, v, zone); err == nil {
			return t, nil
		}
	}
	if t, err := time.ParseInLocation(time.DateOnly, v, zone); err == nil {
		return t.Add(12 * time.Hour), nil
	}
	t, err := time.ParseInLocation("15:04", v, zone)
	if err != nil {
		return t, err
	}
	y, m, d := x.desk.Now.Date()
	return time.Date(y, m, d, t.Hour(), t.Minute(), 0, 0, zone), nil
}

func (x *wishing) date(name string) string {
	v := x.text(name)
	if v == "" {
		return ""
	}
	if t, err := time.Parse(time.DateOnly, v); err != nil || t.Year() < 2000 || t.Year() > 2200 {
		x.fail(name, v, "want a day written as 2026-11-20")
	}
	return v
}

func (x *wishing) minutes(name string) int64 {
	v := x.text(name)
	if v == "" {
		return 0
	}
	m, err := unit.ParseHours(v, x.st.Mark)
	if err != nil {
		x.fail(name, v, strip(err, v))
	}
	return int64(m)
}

func (x *wishing) amount(name, currency string) money.Amount {
	v := x.text(name)
	if v == "" {
		return 0
	}
	a, err := money.Parse(v, currency, x.st.Mark)
	if err != nil {
		x.fail(name, v, strip(err, v))
	} else if a < 0 {
		x.fail(name, v, "want an amount above zero: money that comes back is a refund, money earned a sale")
	}
	return a
}

// strip leaves out of an error the value that the FieldError names already.
func strip(err error, v string) string {
	text := err.Error()
	for _, p := range []string{fmt.Sprintf("%q: ", v), fmt.Sprintf("%q ", v)} {
		if i := strings.Index(text, p); i >= 0 && i < 24 {
			text = text[i+len(p):]
			break
		}
	}
	if rest, ok := strings.CutPrefix(text, "where "); ok { // "45 V" where a torque is wanted
		return rest + " here"
	}
	return text
}

// changes reads what happened after a stint: the kinds, and whether the
// question was answered at all.
func (x *wishing) changes() (kinds []string, answered bool) {
	for _, k := range x.list("changes") {
		if k == "none" {
			answered = true
			continue
		}
		known := false
		for _, c := range x.b.Plan.Changes {
			known = known || c.ID == k
		}
		if !known {
			x.fail("changes", k, "is not a kind of change"+near(k, x.b.Plan.Changes, func(c PlanChange) string { return c.ID })+"; or none")
		}
		kinds = append(kinds, k)
	}
	if len(kinds) > 0 && answered {
		x.fail("changes", "none", "was given beside "+strings.Join(kinds, ", "))
	}
	return kinds, answered || len(kinds) > 0
}
