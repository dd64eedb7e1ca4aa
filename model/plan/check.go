package plan

import (
	"math"
	"strings"

	"ampwright/model"
)

// check reports what is wrong with check number nth of a task.
func (k *checker) check(c *checkEntry, task, nth int, at place) {
	at.field("kind").oneOf(string(c.Kind), string(model.Measurement), string(model.YesNo), string(model.PhotoCheck))
	at.field("title").text(c.Title)
	// no answer to a check, which asks for the value or state observed (Degani and
	// Wiener 1993, guideline 1)
	if w := findWord(c.Title, "checked"); w != "" {
		at.field("title").errorf("%q is a verdict, want what is seen or measured", w)
	}
	if c.Point != "" {
		at.field("point").oneOf(c.Point, "hold", "witness", "review")
	}
	at.field("basis").basis(c.Basis)
	at.field("source").text(c.Source)
	if c.Kind == model.Measurement {
		k.measurement(c, at)
	} else if given := c.measured(); given != nil {
		at.errorf("not a measurement, so leave out %s", strings.Join(given, ", "))
	}
	k.points(c, at)
	if c.Derive != nil {
		k.derive(c.Derive, task, nth, at.field("derive"))
	}
	if c.AppliesIf != "" {
		k.sheet.formula(c.AppliesIf, at.field("applies_if"))
	}
	at.field("instrument").words(c.Instrument)
	at.field("ppe").words(c.PPE)
	at.field("stop_if").words(c.StopIf)
	at.field("on_fail").words(c.OnFail)
	at.field("depends_on").refs(c.DependsOn, "a check", k.hasCheck)
	for i, id := range c.DependsOn {
		k.earlier(id, task, nth, at.field("depends_on").index(i))
	}
	at.field("invalidated_by").refs(c.StaleBy, "a kind of change", k.changes.has)
	if c.ValidDays < 0 {
		at.field("valid_days").errorf("%d, want 0 or more", c.ValidDays)
	}
	if c.ValidKm < 0 {
		at.field("valid_km").errorf("%d, want 0 or more", c.ValidKm)
	}
}

// measured lists the fields given that only a measurement has.
func (c *checkEntry) measured() (given []string) {
	for _, f := range []struct {
		name  string
		given bool
	}{
		{"quantity", c.Quantity != ""}, {"unit", c.Unit != ""},
		{"min", c.Min != nil}, {"max", c.Max != nil}, {"target", c.Target != nil},
		{"screen_need", c.ScreenNeed != ""}, {"derive", c.Derive != nil}, {"example", c.Example != nil}, {"proof", c.Proof},
	} {
		if f.given {
			given = append(given, f.name)
		}
	}
	return given
}

func (k *checker) measurement(c *checkEntry, at place) {
	switch {
	case !isName(c.Quantity):
		at.field("quantity").errorf("%q is not a name: want letters, digits and underscores, no digit first", c.Quantity)
	case k.sheet.names.has(c.Quantity):
		at.field("quantity").errorf("%q is already a value of the spec sheet", c.Quantity)
	}
	at.field("unit").unit(c.Unit)
	if c.Min == nil && c.Max == nil {
		at.errorf("a measurement without a limit, want min, max or both")
	}
	l := limits{
		min: k.sheet.bound(c.Min, ">", at.field("min")),
		max: k.sheet.bound(c.Max, "<", at.field("max")),
	}
	if l.min != nil && l.max != nil && l.min.value > l.max.value {
		at.errorf("nothing passes with the defaults: want %v", l)
	}
	if c.Target != nil {
		k.target(c.Target, l, at.field("target"))
	}
	// An example is only worth comparing with limits that could be worked out.
	if c.Example != nil && (c.Min == nil) == (l.min == nil) && (c.Max == nil) == (l.max == nil) {
		at := at.field("example")
		if v := c.Example.Pass; v != nil && !l.pass(*v) {
			at.field("pass").errorf("%s fails with the defaults: want %v", number(*v), l)
		}
		if v := c.Example.Fail; v != nil && l.pass(*v) {
			at.field("fail").errorf("%s passes with the defaults: want other than %v", number(*v), l)
		}
	}
}

// A limit is one side of what passes, worked out with the defaults.
type limit struct {
	value  float64
	strict bool
	sign   string // "<" or ">"
}

func (l *limit) String() string {
	if l.strict {
		return l.sign + " " + number(l.value)
	}
	return l.sign + "= " + number(l.value)
}

// pass also takes nil, which passes everything.
func (l *limit) pass(v float64) bool {
	switch {
	case l == nil:
		return true
	case v == l.value:
		return !l.strict
	case l.sign == "<":
		return v < l.value
	}
	return v > l.value
}

type limits struct{ min, max *limit }

func (l limits) pass(v float64) bool { return l.min.pass(v) && l.max.pass(v) }

func (l limits) String() string {
	switch {
	case l.min == nil && l.max == nil:
		return "anything"
	case l.min == nil:
		return l.max.String()
	case l.max == nil:
		return l.min.String()
	}
	return l.min.String() + " and " + l.max.String()
}

// bound returns nil for none, and for one that has no value with the defaults.
func (s *sheet) bound(b *boundEntry, sign string, at place) *limit {
	if b == nil {
		return nil
	}
	if b.Of == "" {
		if b.Factor != nil {
			at.field("factor").errorf("%s of nothing: want of as well", number(*b.Factor))
		}
		return &limit{b.Offset, b.Strict, sign}
	}
	s.mustHave(b.Of, at.field("of"))
	if b.factor() == 0 {
		at.field("factor").errorf("0 takes nothing of %q: want another factor, or offset alone", b.Of)
	}
	v, ok := s.values[b.Of]
	if !ok {
		return nil
	}
	v = b.factor()*v + b.Offset
	if math.IsInf(v, 0) {
		at.errorf("too large a number with the defaults")
		return nil
	}
	return &limit{v, b.Strict, sign}
}

func (k *checker) target(t *targetEntry, l limits, at place) {
	if (t.Min == nil) == (t.Max == nil) {
		at.errorf("want either min or max")
	}
	for _, b := range []*limit{
		k.sheet.bound(t.Min, ">", at.field("min")),
		k.sheet.bound(t.Max, "<", at.field("max")),
	} {
		if b != nil && !l.pass(b.value) {
			at.errorf("%v is outside the limit with the defaults: want %v", b, l)
		}
	}
}

// points checks how many readings a check takes.
func (k *checker) points(c *checkEntry, at place) {
	at.field("points").texts(c.Points)
	at.field("points").refs(c.Points, "", func(string) bool { return true })
	count := float64(len(c.Points))
	if c.PointCount != "" {
		if c.Points != nil {
			at.errorf("points and point_count together, want one of them")
		}
		count = k.wholeNumber(c.PointCount, at.field("point_count"))
	}
	if c.ScreenNeed == "" || math.IsNaN(count) {
		return
	}
	if need := k.wholeNumber(c.ScreenNeed, at.field("screen_need")); need > count {
		at.field("screen_need").errorf("%s with the defaults, want at most the %s points", number(need), number(count))
	}
}

// wholeNumber returns NaN for what it reports, or what has been reported.
func (k *checker) wholeNumber(text string, at place) float64 {
	v, ok := k.sheet.formula(text, at)
	if !ok {
		return math.NaN()
	}
	if v < 1 || v != math.Trunc(v) {
		at.errorf("%q is %s with the defaults, want a whole number from 1", text, number(v))
		return math.NaN()
	}
	return v
}

func (k *checker) derive(d *deriveEntry, task, nth int, at place) {
	at.field("op").oneOf(d.Op, "spread")
	if d.Scale <= 0 {
		at.field("scale").errorf("%s, want more than 0", number(d.Scale))
	}
	from := k.checks[d.Check].check
	switch {
	case from == nil:
		at.field("check").errorf("%q is not a check", d.Check)
		return
	case from.Kind != model.Measurement || from.Points == nil && from.PointCount == "":
		at.field("check").errorf("%q is not a measurement with several points", d.Check)
	}
	k.earlier(d.Check, task, nth, at.field("check"))
}

func (k *checker) hasCheck(id string) bool { return k.checks[id].check != nil }

// earlier reports a check that cannot have been taken before check number nth
// of the task.
func (k *checker) earlier(id string, task, nth int, at place) {
	c := k.checks[id]
	switch {
	case c.check == nil: // reported as unknown
	case c.task == task && c.nth == nth:
		at.errorf("%q is this check itself", id)
	case c.task == task && c.nth > nth:
		at.errorf("%q comes later in the same task", id)
	case c.task != task && !k.graph.comesAfter(task, c.task):
		at.errorf("%q is not upstream: this task does not come after its task", id)
	}
}
