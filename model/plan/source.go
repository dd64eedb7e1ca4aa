package plan

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"ampwright/calc/catalogue"
	"ampwright/calc/desk"
	"ampwright/calc/formula"
)

// A source is where a derived value comes from: a formula or a calculation. It
// has neither after a fault, which has been reported.
type source struct {
	expr   *formula.Expr
	figure *desk.Figure
	names  []string // on the sheet, of what figure takes; "" for its default
	uses   []string
}

// source reads where a derived value comes from.
func (s *sheet) source(d *derivedEntry, at place) source {
	if (d.Formula == "") == (d.Calc == "") {
		at.errorf("want either formula or calc")
		return source{}
	}
	if d.Calc != "" {
		return s.calculation(d, at)
	}
	if d.Output != "" || d.With != nil {
		at.errorf("output and with belong to a calculation, leave them out")
	}
	e := s.parse(d.Formula, at.field("formula"))
	if e == nil {
		return source{}
	}
	return source{expr: e, uses: e.Names()}
}

func (s *sheet) calculation(d *derivedEntry, at place) source {
	c, err := catalogue.Find(d.Calc)
	if err != nil {
		at.field("calc").errorf("%v", err)
		return source{}
	}
	f, err := c.Figure(cmp.Or(d.Output, d.ID))
	if err != nil {
		at.field("output").errorf("%v", err)
		return source{}
	}
	if f.Output.Unit != d.Unit {
		at.field("unit").errorf("%q, want %q as %s gives it", d.Unit, f.Output.Unit, c.Name)
	}
	from := source{figure: f}
	known := map[string]bool{}
	for _, in := range f.Takes {
		known[in.Name] = true
		name, renamed := d.With[in.Name]
		switch {
		case renamed:
			s.mustHave(name, at.field("with").field(in.Name))
		case s.names.has(in.Name) && in.Name != d.ID:
			name = in.Name
		case in.Default == "":
			at.errorf("%s wants %s, which is not on the spec sheet: want its name there in with", c.Name, in.Name)
		}
		if u := s.units[name]; name != "" && s.names.has(name) && u != in.Unit {
			at.errorf("%s is in %s, want %s as %s takes it", name, u, in.Unit, c.Name)
		}
		from.names = append(from.names, name)
		if name != "" {
			from.uses = append(from.uses, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(d.With)) {
		if !known[name] {
			at.field("with").field(name).errorf("%s of %s does not rest on it", f.Output.Name, c.Name)
		}
	}
	return from
}

// work returns a value with the defaults; false if it has no source, or if
// something it follows from has no value, which has been reported already.
func (s *sheet) work(from *source, at place) (float64, bool) {
	if from.figure == nil {
		return s.eval(from.expr, at.field("formula"))
	}
	given := make([]float64, len(from.names))
	for i, name := range from.names {
		v, ok := s.values[name]
		switch {
		case name == "":
			v = math.NaN()
		case !ok:
			return 0, false
		}
		given[i] = v
	}
	v, err := from.figure.Number(given)
	if err != nil {
		at.field("calc").errorf("with the defaults: %v", err)
		return 0, false
	}
	return v, true
}
