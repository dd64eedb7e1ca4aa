package model

import (
	"fmt"
	"math"
	"slices"

	"ampwright/calc/desk"
	"ampwright/calc/formula"
	"ampwright/calc/unit"
)

// A blank is the spec sheet of a plan made ready: where each line stands, how
// each value follows, and the sheet on which nobody has typed anything.
type blank struct {
	at    map[string]int // line by name
	rules []rule         // of the derived values, in their order
	sheet *Spec
}

// A rule is how a value follows from other lines.
type rule struct {
	expr   *formula.Expr
	figure *desk.Figure
	takes  []int // line of each input that figure takes; -1 leaves it to its default
	uses   []int // lines it follows from
	err    string
}

// Sheet returns the plan's spec sheet with its defaults, worked out the first
// time it is asked for.
func (p *Plan) Sheet() *Spec {
	p.once.Do(func() {
		p.blank = &blank{at: make(map[string]int, len(p.Inputs)+len(p.Derived))}
		s := &Spec{blank: p.blank}
		p.blank.sheet = s
		for i, in := range p.Inputs {
			p.blank.at[in.ID] = i
			s.Inputs = append(s.Inputs, &SpecValue{ID: in.ID, Title: in.Title, Unit: in.Unit, Value: in.Default, Default: true, Basis: in.Basis})
		}
		for i := range p.Derived {
			d := &p.Derived[i]
			v := &SpecValue{ID: d.ID, Title: d.Title, Unit: d.Unit, Formula: d.Formula}
			r := p.blank.rule(d, v)
			v.Value, v.Err = s.follow(&r)
			p.blank.rules = append(p.blank.rules, r)
			p.blank.at[d.ID] = len(p.Inputs) + i
			s.Derived = append(s.Derived, v)
		}
	})
	return p.blank.sheet
}

// rule makes a derived value ready, from the lines before it, and says in v how
// it follows.
func (b *blank) rule(d *PlanDerived, v *SpecValue) (r rule) {
	if d.Figure != nil {
		r.figure, v.Calc = d.Figure, d.Figure.Calc
		v.Formula = d.Figure.Output.Name + " of " + d.Figure.Calc.Name
		for _, name := range d.Names {
			if name != "" {
				v.Uses = append(v.Uses, name)
			}
		}
	} else if e, err := formula.Parse(d.Formula); err != nil {
		r.err = err.Error()
	} else {
		r.expr, v.Uses = e, e.Names()
	}
	line := func(name string) int {
		i, ok := b.at[name]
		if !ok && r.err == "" {
			r.err = fmt.Sprintf("no value for %q", name)
		}
		return i
	}
	for _, name := range v.Uses {
		r.uses = append(r.uses, line(name))
	}
	if d.Figure != nil {
		for _, name := range d.Names {
			i := -1
			if name != "" {
				i = line(name)
			}
			r.takes = append(r.takes, i)
		}
	}
	return r
}

// follow works one value out; the text is why there is none.
func (s *Spec) follow(r *rule) (v float64, fault string) {
	var err error
	switch {
	case r.err != "":
		return 0, r.err
	case r.figure == nil:
		v, err = r.expr.Eval(s.lookup)
	default:
		var given []float64
		if given, err = s.given(r); err == nil {
			v, err = r.figure.Number(given)
		}
	}
	if err != nil {
		return 0, err.Error()
	}
	return v, ""
}

// given returns what a rule's calculation takes from the sheet.
func (s *Spec) given(r *rule) ([]float64, error) {
	given := make([]float64, len(r.takes))
	for i, n := range r.takes {
		if n < 0 {
			given[i] = math.NaN()
			continue
		}
		v := s.line(n)
		if v.Err != "" {
			return nil, fmt.Errorf("no value for %q", v.ID)
		}
		given[i] = v.Value
	}
	return given, nil
}

// with returns the sheet with these inputs in place of its own. What depends on
// an input that differs is worked out, and nothing else: the other lines are
// shared.
func (s *Spec) with(inputs []*SpecValue) *Spec {
	n := &Spec{Inputs: inputs, Derived: s.Derived, blank: s.blank}
	moved := make([]bool, len(inputs)+len(s.Derived))
	differs := false
	for i, v := range inputs {
		moved[i] = !v.same(s.Inputs[i])
		differs = differs || moved[i]
	}
	if !differs {
		return n
	}
	n.Derived = slices.Clone(s.Derived)
	for i := range s.blank.rules {
		r := &s.blank.rules[i]
		if !slices.ContainsFunc(r.uses, func(n int) bool { return moved[n] }) {
			continue
		}
		v := *s.Derived[i]
		v.Value, v.Err = n.follow(r)
		n.Derived[i] = &v
		moved[len(inputs)+i] = !v.same(s.Derived[i])
	}
	return n
}

func (v *SpecValue) same(o *SpecValue) bool { return v.Value == o.Value && v.Err == o.Err }

// Working writes a derived value out: its formula in the names of the sheet, and
// the formula with their values, "20 * 4.2 V". Where a calculation gives the
// value both are a line of its working. Numbers is "" where there is no value.
func (s *Spec) Working(v *SpecValue, st unit.Style) desk.Line {
	l := desk.Line{Name: v.ID, Formula: v.Formula, Value: v.Value, Unit: v.Unit}
	i, ok := s.blank.at[v.ID]
	if !ok || i < len(s.Inputs) || v.Err != "" {
		return l
	}
	r := &s.blank.rules[i-len(s.Inputs)]
	if r.figure == nil {
		l.Numbers = r.expr.Substitute(func(name string) string {
			if u := s.Get(name); u != nil {
				return unit.Format(u.Value, u.Unit, st)
			}
			return name
		})
		return l
	}
	given, err := s.given(r)
	if err != nil {
		return l
	}
	result, err := r.figure.Work(given, st)
	if err != nil {
		return l
	}
	for _, w := range result.Lines {
		if w.Name == r.figure.Output.Name {
			l.Formula, l.Numbers = desk.Rename(w.Formula, s.names(r)), w.Numbers
		}
	}
	return l
}

// names are the inputs of a rule's calculation that are called something else on
// the sheet.
func (s *Spec) names(r *rule) map[string]string {
	names := map[string]string{}
	for i, in := range r.figure.Takes {
		if n := r.takes[i]; n >= 0 && s.line(n).ID != in.Name {
			names[in.Name] = s.line(n).ID
		}
	}
	return names
}

// Given returns what the calculation of a derived value is to be asked with
// beside what has its name on the sheet, by input: a line that is called
// otherwise there, or nil for an input that is left to its default though the
// sheet has its name.
func (s *Spec) Given(v *SpecValue) map[string]*SpecValue {
	given := map[string]*SpecValue{}
	if v.Calc == nil {
		return given
	}
	r := &s.blank.rules[s.blank.at[v.ID]-len(s.Inputs)]
	for input, name := range s.names(r) {
		given[input] = s.Get(name)
	}
	for i, in := range r.figure.Takes {
		if r.takes[i] < 0 && s.Get(in.Name) != nil {
			given[in.Name] = nil
		}
	}
	return given
}
