package model

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/unit"
)

// A Verdict is what a reading says of its check, by today's limit.
type Verdict string

const (
	NotTaken   Verdict = "not taken"
	Within     Verdict = "within limits"
	Out        Verdict = "out of limits"
	NotShown   Verdict = "not shown"  // inside, but by less than the instrument's uncertainty
	Incomplete Verdict = "incomplete" // fewer points than the check wants
	Stale      Verdict = "stale"
	Conceded   Verdict = "conceded"
	Superseded Verdict = "superseded" // a later reading stands
)

// maxUnix is after every moment.
const maxUnix = math.MaxInt64

// A Side is one side of a limit with its value today.
type Side struct {
	Bound
	Value float64
	Err   string
}

// A Check is one thing to verify, with all its readings.
type Check struct {
	PlanCheck
	Task     *Task
	Added    bool
	Applies  bool // false: its condition does not hold for this build
	Min, Max *Side
	Target   *Side
	Want     int // how many points; 0 when it is not said
	Need     int // sorting checks: good points needed
	Readings []*ReadingLine
	Current  *ReadingLine // the latest reading in force; nil if none
	Verdict  Verdict
	Cause    *Cause // why it is stale
	Conceded *ConcessionLine
	Grants   []*ConcessionLine // all in force, whether they count or not
	Released *ReleaseLine      // the latest release of this point that still holds
	Gates    []*Check          // checks it stands on that are not cleared
	gates    []*Check
	restsOn  []*SpecValue
}

// A ReadingLine is a reading with its verdict.
type ReadingLine struct {
	Fact
	Reading
	Points   []float64
	Verdict  Verdict // Superseded when a later reading stands
	Measured Verdict // by today's limit alone
	Kept     bool    // within today's limit, but it was not within the one it was taken under: that stands until it is measured again
	Bad      []int   // points out of limits
	Doubtful []int   // points inside by less than the uncertainty
	Good     int
	Worst    int     // the point nearest to or farthest past a limit
	Error    float64 // uncertainty of the worst point, unit of the check; 0 unknown
	Cause    *Cause
	Derived  bool // computed from the readings of another check
}

// A Cause says what made a reading stale.
type Cause struct {
	Change  string // kind of change; "" when it is too old
	Title   string
	At      When
	Task    string
	Entry   ID
	Assumed bool // the question after changes was not answered at clock-off
	Spec    bool // an input of the spec sheet took another value
	Apart   bool // what was against it was taken away by devices apart, see apart
}

// A ConcessionLine is a concession with who signed it.
type ConcessionLine struct {
	Fact
	Concession
	Cause  *Cause // set when a later change voids it
	Signed *SignatureLine
}

// Hold reports whether work may not pass the check before it is cleared.
func (c *Check) Hold() bool { return c.Point != "" }

// Witness reports whether a named second person must have seen it.
func (c *Check) Witness() bool { return c.Point == "witness" }

// Cleared reports whether work may pass the check: its reading is current and
// within limits, with a named witness where one is asked for, or it stands
// under a concession.
func (c *Check) Cleared() bool {
	if !c.Applies || c.Verdict == Conceded {
		return true
	}
	return c.Verdict == Within && (!c.Witness() || c.Witnessed() != "")
}

// Witnessed returns who saw the current reading, from the reading itself or from
// a later release; "" if nobody is named.
func (c *Check) Witnessed() string {
	switch {
	case c.Current == nil:
		return ""
	case c.Current.Reading.Witness == "" && c.Released != nil:
		return c.Released.Release.Witness
	}
	return c.Current.Reading.Witness
}

// Why says in a few words why the check is not cleared.
func (c *Check) Why() string {
	switch {
	case c.Cleared():
		return ""
	case c.Verdict == Within:
		return "no witness named"
	case c.Verdict == Stale && c.Cause != nil:
		return "stale: " + c.Cause.Title
	case c.Current != nil && c.Current.Kept && c.Verdict == c.Current.Measured:
		return string(c.Verdict) + " when it was taken, and not measured again since the limit changed"
	case c.Proof && c.Verdict == Incomplete:
		return "incomplete: the tester was not proved before and after"
	case c.Proof && c.Verdict == NotShown && c.Current.unproved(c):
		return "not shown: the tester did not show the known source"
	}
	return string(c.Verdict)
}

func (b *Build) makeChecks(led *ledger) {
	for _, t := range b.Tasks {
		for i := range t.PlanTask.Checks {
			b.addCheck(&t.PlanTask.Checks[i], t, false)
		}
		for i := range led.checks {
			if own := &led.checks[i].body; own.Task == t.ID {
				b.addCheck(ownCheck(own), t, true)
			}
		}
	}
	for _, c := range b.Checks {
		for _, d := range c.DependsOn {
			if g := b.check[d]; g != nil {
				c.gates = append(c.gates, g)
			}
		}
	}
	b.addReadings(led)
	for _, k := range led.concessions {
		if c := b.check[k.body.Check]; c != nil {
			c.Grants = append(c.Grants, &ConcessionLine{Fact: b.log.fact(b.own, k.n), Concession: k.body})
		}
	}
	for _, c := range b.Checks {
		b.derive(c)
		b.judge(c)
	}
	for i := range b.Releases {
		r := &b.Releases[i]
		r.Changed = b.changedSince(r)
		why := ""
		if r.Signed, why = b.unsigned(r.ID); why != "" {
			r.Changed = append(r.Changed, why)
		}
		if c := b.check[r.Point]; c != nil && len(r.Changed) == 0 {
			c.Released = r
		}
	}
	for _, c := range b.Checks {
		for _, g := range c.gates {
			if !g.Cleared() {
				c.Gates = append(c.Gates, g)
			}
		}
	}
}

// addCheck adds a check to its task, unless there is one of that ID.
func (b *Build) addCheck(p *PlanCheck, task *Task, added bool) {
	if b.check[p.ID] != nil {
		return
	}
	c := &Check{PlanCheck: *p, Task: task, Added: added, Applies: true}
	b.intervals(c)
	c.Min, c.Max = b.limit(c, "min", p.Min), b.limit(c, "max", p.Max)
	c.Target = b.side(p.Target)
	if p.AppliesIf != "" {
		if v, err := b.Spec.Eval(p.AppliesIf); err == nil {
			c.Applies = v != 0
		}
	}
	c.Want = len(p.Points)
	if p.PointCount != "" {
		if v, err := b.Spec.Eval(p.PointCount); err == nil {
			c.Want = int(math.Round(v))
		}
	}
	if p.ScreenNeed != "" {
		if v, err := b.Spec.Eval(p.ScreenNeed); err == nil {
			c.Need = int(math.Round(v))
		}
	}
	c.restsOn = b.RestsOn(c)
	b.check[p.ID] = c
	b.Checks = append(b.Checks, c)
	task.Checks = append(task.Checks, c)
}

// ownCheck is a check that the builder added, as a plan has it.
func ownCheck(own *AddCheck) *PlanCheck {
	p := &PlanCheck{
		ID: own.Key, Title: own.Title, Kind: CheckKind(own.CheckKind), Unit: own.Unit, Basis: own.Basis,
		Source: "the builder's own", InvalidatedBy: own.InvalidatedBy, Instrument: own.Instrument,
	}
	p.Quantity = strings.ReplaceAll(p.ID, "-", "_")
	if own.Hold {
		p.Point = "hold"
	}
	p.Min, _ = ParseBound(own.Min)
	p.Max, _ = ParseBound(own.Max)
	return p
}

// limit returns one side of a check's limits: the plan's, or what was written since.
func (b *Build) limit(c *Check, name string, plan *Bound) *Side {
	side := b.side(plan)
	for i, w := range b.regs.get("check", c.ID, name).Heads() {
		s := side
		if w.Value == "none" {
			s = nil
		} else if v, err := ParseBound(w.Value); err == nil {
			s = b.side(v)
		}
		if i == 0 {
			side = s
		} else {
			side = stricter(side, s, name == "min")
		}
	}
	return side
}

func (b *Build) addReadings(led *ledger) {
	lines := make([]ReadingLine, len(led.readings))
	for i := range led.readings {
		r := &led.readings[i]
		c := b.check[r.body.Check]
		if c == nil {
			continue
		}
		line := &lines[i]
		line.Fact, line.Reading = b.log.fact(b.own, r.n), r.body
		line.Points = r.body.points()
		b.measure(c, line)
		c.Readings = append(c.Readings, line)
	}
}

// judge says how a check stands by its readings and concessions.
func (b *Build) judge(c *Check) {
	for i, r := range c.Readings {
		r.Verdict = Superseded
		if i == len(c.Readings)-1 {
			c.Current = r
			r.Cause = b.cause(c, r.At.Unix, &r.Fact, math.MaxInt64)
			r.Verdict = r.Measured
			if r.Cause != nil && !((r.Cause.Spec || r.Cause.Apart) && r.Measured == Out) { // out by today's limit is out
				r.Verdict = Stale
			}
		}
	}
	c.Verdict = NotTaken
	if c.Current != nil {
		c.Verdict, c.Cause = c.Current.Verdict, c.Current.Cause
	}
	for _, k := range c.Grants {
		k.Cause = b.cause(c, k.At.Unix, &k.Fact, math.MaxInt64)
		unsigned := ""
		k.Signed, unsigned = b.unsigned(k.ID)
		if (c.Verdict == Conceded || !c.Cleared()) && k.Cause == nil && unsigned == "" && k.covers(c) {
			c.Conceded, c.Verdict = k, Conceded
		}
	}
}

// stricter returns the side that lets less pass. It counts where a limit was
// written apart, until somebody settles which holds.
func stricter(x, y *Side, isMin bool) *Side {
	switch {
	case x == nil || y != nil && y.Err != "":
		return y
	case y == nil || x.Err != "":
		return x
	case x.Value == y.Value && x.Strict, x.Value != y.Value && (x.Value > y.Value) == isMin:
		return x
	}
	return y
}

func (b *Build) side(p *Bound) *Side {
	if p == nil {
		return nil
	}
	s := &Side{Bound: *p, Value: p.Offset}
	if p.Of != "" {
		v, ok := b.Spec.lookup(p.Of)
		if !ok {
			s.Err = fmt.Sprintf("%q has no value on the spec sheet", p.Of)
		}
		s.Value = p.Factor*v + p.Offset
	}
	// A limit is not known more finely than the figures it is made of: 4.2*20
	// is 84, not 84.00000000000001.
	s.Value = twelveDigits(s.Value)
	return s
}

// twelveDigits rounds to 12 significant digits.
func twelveDigits(v float64) float64 {
	if n := math.Round(v * 1e4); n/1e4 == v && math.Abs(n) < 1e12 {
		return v // the float next to a decimal of four places, as nearly all are
	}
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	return v
}

// measure gives a reading its verdict: by today's limit, but never a better one
// than when it was written. What was out of limits then is measured again, or
// conceded, whoever changed a limit since.
func (b *Build) measure(c *Check, r *ReadingLine) {
	b.byLimit(c, r)
	if c.Proof && r.Measured == Within && r.unproved(c) {
		r.Measured = NotShown
		if len(r.Proof) != 2 {
			r.Measured = Incomplete
		}
	}
	switch was := Verdict(r.Was); was {
	case Out, NotShown, Incomplete:
		if r.Measured == Within && c.Kind == Measurement {
			r.Measured, r.Kept = was, true
		}
	}
}

// unproved reports whether the tester was not shown to work before and after: on
// the known source it must show what the check would not let pass.
func (r *ReadingLine) unproved(c *Check) bool {
	if len(r.Proof) != 2 {
		return true
	}
	for _, v := range r.ProofValues() {
		if !c.past(v) {
			return true
		}
	}
	return false
}

// ProofValues returns what the tester showed on the known source, before and
// after; nil if nobody wrote it down.
func (r *ReadingLine) ProofValues() []float64 {
	if r.ProofExp < -100 || r.ProofExp > 100 {
		return nil
	}
	var list []float64
	for _, m := range r.Proof {
		list = append(list, unit.Decimal{Mantissa: m, Exp: int8(r.ProofExp)}.Float())
	}
	return list
}

// past reports whether a value is out of limits.
func (c *Check) past(v float64) bool {
	if s := c.Min; s != nil && (v < s.Value || s.Strict && v == s.Value || s.Err != "") {
		return true
	}
	s := c.Max
	return s != nil && (v > s.Value || s.Strict && v == s.Value || s.Err != "")
}

func (b *Build) byLimit(c *Check, r *ReadingLine) {
	if c.Kind != Measurement {
		switch {
		case r.Answer == AnswerNo:
			r.Measured = Out
		case r.Answer == AnswerYes || r.Answer == AnswerPhoto || len(r.Photo) > 0:
			r.Measured = Within
		default:
			r.Measured = Incomplete
		}
		return
	}
	worst := math.Inf(1)
	for i, v := range r.Points {
		u := b.uncertainty(r.Instrument, v, c.Unit)
		room := math.Inf(1) // distance to the nearest limit, negative when past it
		if s := c.Min; s != nil {
			room = min(room, v-s.Value)
		}
		if s := c.Max; s != nil {
			room = min(room, s.Value-v)
		}
		if room < worst {
			worst, r.Worst, r.Error = room, i, u
		}
		switch {
		case c.past(v):
			r.Bad = append(r.Bad, i)
		case room < u:
			r.Doubtful = append(r.Doubtful, i)
		default:
			r.Good++
		}
	}
	switch {
	case len(r.Points) == 0:
		r.Measured = Incomplete
	case c.ScreenNeed != "":
		r.Measured = Out
		if r.Good >= c.Need {
			r.Measured = Within
		}
	case len(r.Bad) > 0:
		r.Measured = Out
	case c.Want > 0 && len(r.Points) < c.Want:
		r.Measured = Incomplete
	case len(r.Doubtful) > 0:
		r.Measured = NotShown
	default:
		r.Measured = Within
	}
}

// uncertainty returns an instrument's uncertainty at a value, in the unit of the
// check, from its accuracy as the garage's list has it: "0.5 % + 0.02 V". 0 when
// nobody has written it down. A reading inside a limit by less than this has
// not been shown to conform (the guard band of ISO 14253-1 and JCGM 106:2012).
func (b *Build) uncertainty(instrument string, v float64, in string) float64 {
	if instrument == "" {
		return 0
	}
	worst := 0.0 // of accuracies written apart, the worse
	for _, w := range b.own.regs.get("instrument", instrument, "accuracy").Heads() {
		if u, err := Uncertainty(w.Value, v, in); err == nil {
			worst = max(worst, u)
		}
	}
	return worst
}

// Uncertainty computes an accuracy such as "0.5 % + 0.02 V" at a value in the
// given unit.
func Uncertainty(accuracy string, v float64, in string) (float64, error) {
	total := 0.0
	if strings.TrimSpace(accuracy) == "" {
		return 0, nil
	}
	for _, term := range strings.Split(accuracy, "+") {
		term = strings.TrimSpace(term)
		if p, ok := strings.CutSuffix(term, "%"); ok {
			d, err := unit.ParseNumber(strings.TrimSpace(p), unit.Point)
			if err != nil || d.Float() < 0 {
				return 0, fmt.Errorf("accuracy %q: %q is not a share in %%", accuracy, term)
			}
			total += math.Abs(v) * d.Float() / 100
			continue
		}
		d, err := unit.Parse(term, in, unit.Point)
		if err != nil {
			return 0, fmt.Errorf("accuracy %q: want a share and a step, such as 0.5 %% + 0.02 V: %w", accuracy, err)
		}
		if d.Float() < 0 {
			return 0, fmt.Errorf("accuracy %q: %q is below zero", accuracy, term)
		}
		total += d.Float()
	}
	return total, nil
}

// cause returns what made a reading, taken at unix by f, stale by the moment
// until; nil if nothing did. Of several changes it is the first that somebody
// confirmed, else the first that is assumed.
func (b *Build) cause(c *Check, unix int64, f *Fact, until int64) *Cause {
	var first *event
	for _, k := range c.InvalidatedBy {
		for i := range b.events[k] {
			e := &b.events[k][i]
			if e.unix > until {
				break
			}
			if !e.before(unix, f) && (first == nil || first.assumed && !e.assumed || first.assumed == e.assumed && e.unix < first.unix) {
				first = e
			}
		}
	}
	for _, v := range c.restsOn {
		for i := range v.changes {
			e := &v.changes[i]
			if e.unix <= until && !e.before(unix, f) && first == nil {
				return &Cause{Change: e.kind, Title: "spec sheet: " + v.Title + " changed", At: e.at, Entry: e.fact.ID, Spec: true}
			}
		}
	}
	for i := range b.asked[c.ID] {
		if e := &b.asked[c.ID][i]; e.unix <= until && !e.before(unix, f) && (first == nil || first.assumed) {
			return &Cause{Change: e.kind, Title: "the plan " + e.kind + " asks for something else", At: e.at, Entry: e.fact.ID}
		}
	}
	if first != nil {
		return &Cause{Change: first.kind, Title: b.ChangeTitle(first.kind), At: first.at, Task: first.task, Entry: first.fact.ID, Assumed: first.assumed}
	}
	if c.ValidDays > 0 {
		end := unix + int64(c.ValidDays)*86400
		if at := min(until, b.Now.Unix()); at > end {
			return &Cause{Title: fmt.Sprintf("older than %d days", c.ValidDays), At: When{Unix: end}}
		}
	}
	if c.ValidKm > 0 {
		for _, o := range b.Odometer {
			if at := o.At.Unix; at > unix && at <= until && o.Km-b.kmAt(unix) > float64(c.ValidKm) {
				return &Cause{Title: fmt.Sprintf("more than %d km ago", c.ValidKm), At: o.At, Entry: o.ID}
			}
		}
	}
	return b.apart(c, unix, f, until)
}

// clearedAt reports whether a check was cleared at the moment unix, as far as
// the entries say today.
func (b *Build) clearedAt(c *Check, unix int64) bool {
	if !c.Applies {
		return true
	}
	var last *ReadingLine
	for _, r := range c.Readings {
		if r.At.Unix <= unix {
			last = r
		}
	}
	if last != nil && last.Measured == Within && b.cause(c, last.At.Unix, &last.Fact, unix) == nil {
		return true
	}
	return c.Conceded != nil && c.Conceded.At.Unix <= unix
}

// derive gives a check that follows from another its reading.
func (b *Build) derive(c *Check) {
	if c.Derive == nil || len(c.Readings) > 0 {
		return
	}
	from := b.check[c.Derive.Check]
	if from == nil || len(from.Readings) == 0 || c.Derive.Op != "spread" {
		return
	}
	if line := b.spread(c, from.Readings[len(from.Readings)-1]); line != nil {
		c.Readings = append(c.Readings, line)
	}
}

// spread is what a check that takes the spread of another makes of a reading of
// it; nil if that has no two points.
func (b *Build) spread(c *Check, r *ReadingLine) *ReadingLine {
	if len(r.Points) < 2 {
		return nil
	}
	spread := (slices.Max(r.Points) - slices.Min(r.Points)) * c.Derive.Scale
	spread, _ = strconv.ParseFloat(strconv.FormatFloat(spread, 'g', 9, 64), 64)
	line := &ReadingLine{Fact: r.Fact, Derived: true, Points: []float64{spread}}
	line.At, line.Check, line.Unit, line.Note = r.At, c.ID, c.Unit, "from "+c.Derive.Check
	b.measure(c, line)
	return line
}

// Stale returns the checks whose reading no longer holds, in plan order.
func (b *Build) Stale() []*Check {
	var list []*Check
	for _, c := range b.Checks {
		if c.Applies && c.Verdict == Stale && c.Task.State != NotNeeded {
			list = append(list, c)
		}
	}
	return list
}

// PhotoElsewhere is what a person reads of a photo check that was answered
// without the picture.
const PhotoElsewhere = "photo taken, kept elsewhere"

// ValueText writes a reading for a person: "8.2 Mohm", "yes", "45 good of 46".
func (c *Check) ValueText(r *ReadingLine, st unit.Style) string {
	switch {
	case r == nil:
		return ""
	case c.Kind == PhotoCheck && len(r.Photo) > 0:
		return "photo in the logbook"
	case c.Kind == PhotoCheck && r.Answer == AnswerPhoto:
		return PhotoElsewhere
	case c.Kind == YesNo && r.Seen != "":
		return r.Seen
	case c.Kind != Measurement && r.Answer == AnswerNo:
		return "no"
	case c.Kind == YesNo || c.Kind == PhotoCheck && r.Answer == AnswerYes: // asked before the plan wanted a photo
		return "yes"
	case c.ScreenNeed != "":
		return fmt.Sprintf("%d good of %d, %d needed", r.Good, len(r.Points), c.Need)
	case len(r.Points) == 0:
		return ""
	case len(r.Points) == 1:
		return r.point(c, 0, st)
	}
	low, high := 0, 0
	for i, v := range r.Points {
		if v < r.Points[low] {
			low = i
		}
		if v > r.Points[high] {
			high = i
		}
	}
	if r.Points[low] == r.Points[high] {
		return fmt.Sprintf("%s, %d points", r.point(c, low, st), len(r.Points))
	}
	return fmt.Sprintf("%s to %s, %d points", r.point(c, low, st), r.point(c, high, st), len(r.Points))
}

// point writes one point with the digits it was typed with.
func (r *ReadingLine) point(c *Check, i int, st unit.Style) string {
	if i >= len(r.Values) {
		return unit.Format(r.Points[i], c.Unit, st)
	}
	return unit.FormatDecimal(unit.Decimal{Mantissa: r.Values[i], Exp: int8(r.Exp)}, c.Unit, st)
}

// LimitText writes a limit short: ">= 42.0 kohm", "0.95 to 1.05 V".
func (c *Check) LimitText(st unit.Style) string {
	f := func(s *Side) string { return unit.Format(s.Value, c.Unit, st) }
	op := func(s *Side, loose, strict string) string {
		if s.Strict {
			return strict
		}
		return loose
	}
	switch {
	case c.Kind != Measurement:
		return ""
	case c.Min != nil && c.Max != nil:
		return f(c.Min) + " to " + f(c.Max)
	case c.Min != nil:
		return op(c.Min, "≥ ", "> ") + f(c.Min)
	case c.Max != nil:
		return op(c.Max, "≤ ", "< ") + f(c.Max)
	}
	return ""
}

// Explain writes a side of a limit out: "500 ohm/V × 84.0 V = 42.0 kohm".
func (b *Build) Explain(c *Check, s *Side, st unit.Style) string {
	if s == nil {
		return ""
	}
	total := unit.Format(s.Value, c.Unit, st)
	if s.Of == "" {
		return total
	}
	of := b.Spec.Get(s.Of)
	if of == nil || s.Err != "" {
		return s.Err
	}
	text := unit.Format(of.Value, of.Unit, st)
	if s.Factor != 1 {
		factor := strconv.FormatFloat(s.Factor, 'f', -1, 64)
		if st.Mark == unit.Comma {
			factor = strings.Replace(factor, ".", ",", 1)
		}
		if of.Unit != c.Unit {
			factor += " " + unit.Symbol(c.Unit) + "/" + unit.Symbol(of.Unit)
		}
		text = factor + " × " + text
	}
	if s.Offset > 0 {
		text += " + " + unit.Format(s.Offset, c.Unit, st)
	} else if s.Offset < 0 {
		text += " - " + unit.Format(-s.Offset, c.Unit, st)
	}
	if text == total {
		return total + " (" + of.Title + ")"
	}
	return text + " = " + total + " (" + of.Title + ")"
}
