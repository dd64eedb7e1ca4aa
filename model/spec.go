package model

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ampwright/calc/formula"
	"ampwright/calc/unit"
)

// A Spec is the spec sheet: what was typed, and what follows from it.
type Spec struct {
	Inputs  []*SpecValue
	Derived []*SpecValue
	by      map[string]*SpecValue
}

// A SpecValue is one line of the spec sheet.
type SpecValue struct {
	ID, Title, Unit string
	Value           float64
	Default         bool      // nobody has typed it: the plan's placeholder stands
	Field           *Register // its writings
	Basis           string
	Formula         string // derived values
	Uses            []string
	Err             string // why there is no value

	changes []event // when an input took another value
}

// Get returns a line by its name, or nil.
func (s *Spec) Get(id string) *SpecValue { return s.by[id] }

// lookup is the spec sheet as a formula sees it.
func (s *Spec) lookup(id string) (float64, bool) {
	v := s.by[id]
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
	s := &Spec{by: map[string]*SpecValue{}}
	b.Spec = s
	for _, in := range plan.Inputs {
		v := &SpecValue{ID: in.ID, Title: in.Title, Unit: in.Unit, Value: in.Default, Default: true, Basis: in.Basis}
		v.Field = b.regs.get("spec", in.ID, "value")
		if w := v.Field.Value(); w != nil {
			if d, err := unit.Parse(w.Value, in.Unit, unit.Point); err == nil {
				v.Value, v.Default = d.Float(), false
			} else {
				v.Err = err.Error()
			}
		}
		v.changes = specChanges(v.Field, in)
		s.Inputs = append(s.Inputs, v)
		s.by[in.ID] = v
	}
	for _, d := range plan.Derived {
		v := &SpecValue{ID: d.ID, Title: d.Title, Unit: d.Unit, Formula: d.Formula}
		if e, err := formula.Parse(d.Formula); err != nil {
			v.Err = err.Error()
		} else {
			v.Uses = e.Names()
			if v.Value, err = e.Eval(s.lookup); err != nil {
				v.Err = err.Error()
			}
		}
		s.Derived = append(s.Derived, v)
		s.by[d.ID] = v
	}
}

// specChanges returns when an input took another value: writing down the value
// it had changes nothing.
func specChanges(r *Register, in PlanInput) []event {
	if r == nil {
		return nil
	}
	var changes []event
	last := in.Default
	for i := range r.Writes {
		w := &r.Writes[i]
		d, err := unit.Parse(w.Value, in.Unit, unit.Point)
		if w.Struck || err != nil || d.Float() == last {
			continue
		}
		last = d.Float()
		changes = append(changes, event{unix: w.At.Unix, at: w.At, fact: w.Fact, kind: in.ID})
	}
	return changes
}

// inputs adds the inputs that a name of the spec sheet rests on.
func (s *Spec) inputs(name string, to map[string]bool) {
	v := s.by[name]
	if v == nil || to[name] {
		return
	}
	if v.Formula == "" {
		to[name] = true
		return
	}
	for _, u := range v.Uses {
		s.inputs(u, to)
	}
}

// RestsOn returns the inputs of the spec sheet that a check's limits or meaning
// rest on: its bounds, how many points it has and needs, whether it applies.
func (b *Build) RestsOn(c *Check) []*SpecValue {
	on := map[string]bool{}
	for _, side := range []*Side{c.Min, c.Max} {
		if side != nil {
			b.Spec.inputs(side.Of, on)
		}
	}
	for _, text := range []string{c.PointCount, c.ScreenNeed, c.AppliesIf} {
		if text == "" {
			continue
		}
		if e, err := formula.Parse(text); err == nil {
			for _, name := range e.Names() {
				b.Spec.inputs(name, on)
			}
		}
	}
	var list []*SpecValue
	for _, v := range b.Spec.Inputs {
		if on[v.ID] {
			list = append(list, v)
		}
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

// Working writes a derived value out: "cells_series × cell_V_max = 20 × 4.20 V".
func (s *Spec) Working(v *SpecValue, st unit.Style) string {
	e, err := formula.Parse(v.Formula)
	if err != nil {
		return v.Err
	}
	return e.Substitute(func(name string) string {
		if u := s.by[name]; u != nil {
			return unit.Format(u.Value, u.Unit, st)
		}
		return name
	})
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

// WhatIf works the spec sheet out with other values for some inputs, by name,
// without touching the build. The error is a [*WishError] that names each wrong
// value.
func (b *Build) WhatIf(typed map[string]string) (*Spec, error) {
	bad := &WishError{Wish: "what if"}
	over := map[string]float64{}
	for name, text := range typed {
		v := b.Spec.by[name]
		if v == nil || v.Formula != "" {
			bad.Fields = append(bad.Fields, &FieldError{name, text, "is not an input of the spec sheet"})
			continue
		}
		d, err := unit.Parse(text, v.Unit, b.Settings.Style().Mark)
		if err != nil {
			bad.Fields = append(bad.Fields, &FieldError{name, text, strip(err, text)})
			continue
		}
		over[name] = d.Float()
	}
	if len(bad.Fields) > 0 {
		return nil, bad
	}
	s := &Spec{by: make(map[string]*SpecValue, len(b.Spec.by))}
	for _, v := range b.Spec.Inputs {
		in := *v
		if value, ok := over[in.ID]; ok {
			in.Value, in.Err = value, ""
		}
		s.Inputs = append(s.Inputs, &in)
		s.by[in.ID] = &in
	}
	for _, v := range b.Spec.Derived {
		d := *v
		d.Err = ""
		var err error
		if d.Value, err = s.Eval(d.Formula); err != nil {
			d.Err = err.Error()
		}
		s.Derived = append(s.Derived, &d)
		s.by[d.ID] = &d
	}
	return s, nil
}

// VerdictUnder returns what a check's current reading would be worth if the spec
// sheet were s, by measured value alone; NotTaken if there is none.
func (b *Build) VerdictUnder(c *Check, s *Spec) Verdict {
	if c.Current == nil || c.Kind != Measurement {
		return NotTaken
	}
	other := &Build{Spec: s, own: b.own}
	k := *c
	k.Min, k.Max = other.side(boundOf(c.Min)), other.side(boundOf(c.Max))
	r := *c.Current
	r.Bad, r.Doubtful, r.Good = nil, nil, 0
	if v, err := s.Eval(c.ScreenNeed); c.ScreenNeed != "" && err == nil {
		k.Need = int(math.Round(v))
	}
	other.measure(&k, &r)
	return r.Measured
}

func boundOf(s *Side) *Bound {
	if s == nil {
		return nil
	}
	return &s.Bound
}
