package plan

import (
	"slices"

	"ampwright/calc/formula"
	"ampwright/model"
)

// A sheet is the spec sheet at its defaults.
type sheet struct {
	names  ids
	units  map[string]string
	values map[string]float64 // lacks what cannot be computed
}

// name adds the name of an input or a derived value.
func (s *sheet) name(name string, at place) {
	if !isName(name) {
		at.errorf("%q is not a name: want letters, digits and underscores, no digit first", name)
		return
	}
	if e, err := formula.Parse(name); err != nil || !slices.Equal(e.Names(), []string{name}) {
		at.errorf("%q is a word of the formula language", name)
		return
	}
	at.unique(name, s.names)
}

// checkSheet also returns the derived values in an order that can be computed.
func checkSheet(f *planFile, root place) (*sheet, []model.PlanDerived) {
	s := &sheet{names: ids{}, units: map[string]string{}, values: map[string]float64{}}
	for i, in := range f.Inputs {
		at := root.field("inputs").index(i)
		s.name(in.ID, at.field("id"))
		at.field("title").text(in.Title)
		at.field("unit").unit(in.Unit)
		at.field("basis").basis(in.Basis)
		s.values[in.ID], s.units[in.ID] = in.Default, in.Unit
	}
	derived := root.field("derived")
	for i, d := range f.Derived {
		at := derived.index(i)
		s.name(d.ID, at.field("id"))
		at.field("title").text(d.Title)
		at.field("unit").unit(d.Unit)
		s.units[d.ID] = d.Unit
	}
	sources := make([]source, len(f.Derived))
	needs := make([][]int, len(f.Derived))
	for i := range f.Derived {
		sources[i] = s.source(&f.Derived[i], derived.index(i))
		for _, n := range sources[i].uses {
			if j := slices.IndexFunc(f.Derived, func(d derivedEntry) bool { return d.ID == n }); j >= 0 {
				needs[i] = append(needs[i], j)
			}
		}
	}
	order, cycle := sorted(needs)
	if cycle != nil {
		derived.errorf("a value is computed from itself: %s",
			chain(cycle, " from ", func(i int) string { return f.Derived[i].ID }))
		return s, nil
	}
	var list []model.PlanDerived
	for _, i := range order {
		d := f.Derived[i]
		if v, ok := s.work(&sources[i], derived.index(i)); ok {
			s.values[d.ID] = v
		}
		list = append(list, model.PlanDerived{
			ID: d.ID, Title: d.Title, Unit: d.Unit, Formula: d.Formula, Figure: sources[i].figure, Names: sources[i].names,
		})
	}
	return s, list
}

// parse returns nil for a formula that it has reported.
func (s *sheet) parse(text string, at place) *formula.Expr {
	e, err := formula.Parse(text)
	if err != nil {
		at.errorf("%v", err)
		return nil
	}
	faults := len(at.report.faults)
	for _, n := range e.Names() {
		s.mustHave(n, at)
	}
	if len(at.report.faults) > faults {
		return nil
	}
	return e
}

// mustHave reports a name that the spec sheet lacks.
func (s *sheet) mustHave(name string, at place) {
	if !s.names.has(name) {
		at.errorf("%q is not an input or derived value of the spec sheet", name)
	}
}

// eval returns the value with the defaults; false if e is nil, or if a name
// in it has no value, which has been reported where the name is introduced.
func (s *sheet) eval(e *formula.Expr, at place) (float64, bool) {
	if e == nil {
		return 0, false
	}
	for _, n := range e.Names() {
		if _, ok := s.values[n]; !ok {
			return 0, false
		}
	}
	v, err := e.Eval(func(name string) (float64, bool) { v, ok := s.values[name]; return v, ok })
	if err != nil {
		at.errorf("with the defaults: %v", err)
		return 0, false
	}
	return v, true
}

// formula is parse and eval in one.
func (s *sheet) formula(text string, at place) (float64, bool) {
	return s.eval(s.parse(text, at), at)
}
