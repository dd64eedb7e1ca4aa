package model

import (
	"math"
	"slices"

	"ampwright/calc/unit"
)

// WhatIf works the spec sheet out with other values for some inputs, by name,
// without touching the build. The error is a [*WishError] that names each wrong
// value.
func (b *Build) WhatIf(typed map[string]string) (*Spec, error) {
	bad := &WishError{Wish: "what if"}
	over := map[string]float64{}
	for name, text := range typed {
		v := b.Spec.Get(name)
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
	inputs := slices.Clone(b.Spec.Inputs)
	for i, v := range inputs {
		if value, ok := over[v.ID]; ok {
			in := *v
			in.Value, in.Err = value, ""
			inputs[i] = &in
		}
	}
	return b.Spec.with(inputs), nil
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
