package model

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/desk"
	"ampwright/calc/formula"
	"ampwright/calc/unit"
)

// A Spec is the spec sheet: what was typed, and what follows from it.
type Spec struct {
	Inputs  []*SpecValue
	Derived []*SpecValue
	blank   *blank
}

// A SpecValue is one line of the spec sheet. Sheets share the lines in which
// they do not differ, so it is never changed.
type SpecValue struct {
	ID, Title, Unit string
	Value           float64
	Default         bool      // nobody has typed it: the plan's placeholder stands
	Field           *Register // its writings
	Basis           string
	Formula         string     // derived values: the formula, or the output and the calculation that gives it
	Calc            *desk.Calc // the calculation that gives it; nil for inputs and formulas
	Uses            []string
	Err             string // why there is no value

	changes []event // when an input took another value
}

// Get returns a line by its name, or nil.
func (s *Spec) Get(id string) *SpecValue {
	if i, ok := s.blank.at[id]; ok {
		return s.line(i)
	}
	return nil
}

// line returns a line by its place: inputs first, then what follows from them;
// nil while it has not been worked out.
func (s *Spec) line(i int) *SpecValue {
	if i < len(s.Inputs) {
		return s.Inputs[i]
	}
	if i -= len(s.Inputs); i < len(s.Derived) {
		return s.Derived[i]
	}
	return nil
}

// lookup is the spec sheet as a formula sees it.
func (s *Spec) lookup(id string) (float64, bool) {
	v := s.Get(id)
	if v == nil || v.Err != "" {
		return 0, false
	}
	return v.Value, true
}

// Eval computes a formula over the spec sheet.
func (s *Spec) Eval(text string) (float64, error) {
	e, err := formula.Parse(text)
	if err != nil {
		return 0, err
	}
	return e.Eval(s.lookup)
}

func (b *Build) makeSpec(plan *Plan) {
	empty := plan.Sheet()
	inputs := slices.Clone(empty.Inputs)
	for i, in := range plan.Inputs {
		field := b.regs.get("spec", in.ID, "value")
		if field == nil {
			continue
		}
		v := *empty.Inputs[i]
		v.Field = field
		if w := field.Value(); w != nil {
			if d, err := unit.Parse(w.Value, in.Unit, unit.Point); err == nil {
				v.Value, v.Default = d.Float(), false
			} else {
				v.Err = err.Error()
			}
		}
		v.changes = b.specChanges(field, in)
		inputs[i] = &v
	}
	b.Spec = empty.with(inputs)
}

// specChanges returns when an input took another value: writing down the value
// it had changes nothing. One that counts again changes it again.
func (b *Build) specChanges(r *Register, in PlanInput) []event {
	if r == nil {
		return nil
	}
	var changes []event
	values := map[ID]float64{}
	for i := range r.Writes {
		w := &r.Writes[i]
		d, err := unit.Parse(w.Value, in.Unit, unit.Point)
		if err != nil {
			continue
		}
		v := d.Float()
		values[w.ID] = v // struck out as well: who wrote over it knew it
		if w.Struck {
			continue
		}
		// What counts is the value its writer knew, not what another device had
		// written apart.
		known, another := false, false
		for _, id := range w.Over {
			if was, ok := values[id]; ok {
				known, another = true, another || was != v
			}
		}
		if another || !known && v != in.Default {
			changes = append(changes, event{unix: w.At.Unix, at: w.At, fact: w.Fact, kind: in.ID})
			for _, n := range b.returned(b.log.byID[w.ID]) {
				e := b.stamped(n)
				e.kind = in.ID
				changes = append(changes, e)
			}
		}
	}
	return changes
}

// inputs adds the inputs that a name of the spec sheet rests on, by their places.
func (s *Spec) inputs(name string, to []int) []int {
	i, ok := s.blank.at[name]
	switch {
	case !ok || slices.Contains(to, i):
	case i < len(s.Inputs):
		return append(to, i)
	default:
		if v := s.line(i); v != nil {
			for _, u := range v.Uses {
				to = s.inputs(u, to)
			}
		}
	}
	return to
}

// RestsOn returns the inputs of the spec sheet that a check's limits or meaning
// rest on: its bounds, how many points it has and needs, whether it applies. The
// bounds it had once count too: another device may have judged by them.
func (b *Build) RestsOn(c *Check) []*SpecValue {
	var on []int
	for _, bound := range []*Bound{c.PlanCheck.Min, c.PlanCheck.Max} {
		if bound != nil {
			on = b.Spec.inputs(bound.Of, on)
		}
	}
	for _, side := range []string{"min", "max"} {
		if r := b.regs.get("check", c.ID, side); r != nil {
			for i := range r.Writes {
				if bound, err := ParseBound(r.Writes[i].Value); err == nil {
					on = b.Spec.inputs(bound.Of, on)
				}
			}
		}
	}
	for _, text := range []string{c.PointCount, c.ScreenNeed, c.AppliesIf} {
		if text == "" {
			continue
		}
		if e, err := formula.Parse(text); err == nil {
			for _, name := range e.Names() {
				on = b.Spec.inputs(name, on)
			}
		}
	}
	slices.Sort(on)
	var list []*SpecValue
	for _, i := range on {
		list = append(list, b.Spec.Inputs[i])
	}
	return list
}

// WouldStale returns the checks whose current reading another value of an input
// would make stale, in plan order.
func (b *Build) WouldStale(input string) []*Check {
	var list []*Check
	for _, c := range b.Checks {
		if c.Current == nil || c.Verdict == Stale {
			continue
		}
		for _, v := range c.restsOn {
			if v.ID == input {
				list = append(list, c)
			}
		}
	}
	return list
}

// Style is how the garage wants numbers shown.
func (s Settings) Style() unit.Style {
	st := unit.Style{US: s.US}
	if s.Comma {
		st.Mark = unit.Comma
	}
	return st
}

// ParseBound reads a limit as people write it: "500 * pack_max_V - 3", "2.5",
// "0.95 * spec_axle_nut_Nm".
func ParseBound(text string) (*Bound, error) {
	bad := fmt.Errorf("limit %q: want a number, or factor * name + offset, such as 0.95 * spec_axle_nut_Nm", text)
	f := strings.Fields(strings.NewReplacer("*", " * ", "+ ", " + ", "- ", " - ").Replace(text))
	b := &Bound{}
	switch {
	case len(f) == 1:
		if v, err := strconv.ParseFloat(f[0], 64); err == nil {
			b.Offset = v
		} else if isName(f[0]) {
			b.Factor, b.Of = 1, f[0]
		} else {
			return nil, bad
		}
		return b, nil
	case len(f) >= 3 && f[1] == "*":
		v, err := strconv.ParseFloat(f[0], 64)
		if err != nil || !isName(f[2]) {
			return nil, bad
		}
		b.Factor, b.Of = v, f[2]
		f = f[3:]
	case len(f) == 3 && isName(f[0]):
		b.Factor, b.Of = 1, f[0]
		f = f[1:]
	default:
		return nil, bad
	}
	if len(f) == 0 {
		return b, nil
	}
	v, err := strconv.ParseFloat(f[len(f)-1], 64)
	if len(f) != 2 || err != nil || f[0] != "+" && f[0] != "-" {
		return nil, bad
	}
	if f[0] == "-" {
		v = -v
	}
	b.Offset = v
	return b, nil
}

func isName(s string) bool {
	for i, r := range s {
		if !(r == '_' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || i > 0 && r >= '0' && r <= '9') {
			return false
		}
	}
	return s != ""
}
