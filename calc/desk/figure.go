package desk

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"ampwright/calc/unit"
)

// A Figure is one output of a calculation, worked out from numbers instead of
// from what was typed: a spec sheet needs many of them, often. It does not
// change and may be shared.
type Figure struct {
	Calc   *Calc
	Output Output
	Takes  []Input // numbers that can move the output, in the order they are given

	at   []int    // where each of Takes stands among the inputs of Calc
	rest []*Value // what every input is taken to be when it is not given
}

// Figure returns the output of that name. It must be a number, and the inputs
// that it does not rest on must not want a list or a text.
func (c *Calc) Figure(output string) (*Figure, error) {
	f := &Figure{Calc: c, rest: make([]*Value, len(c.Inputs))}
	var names []string
	for _, o := range c.Outputs {
		if names = append(names, o.Name); o.Name == output {
			f.Output = o
		}
	}
	switch {
	case f.Output.Name == "":
		return nil, fmt.Errorf("%q is no output of %s, want one of %q", output, c.Name, names)
	case f.Output.Unit == "":
		return nil, fmt.Errorf("%q of %s is an answer in words, want a number", output, c.Name)
	}
	for i, in := range c.Inputs {
		number := len(in.Choices) == 0 && !in.List && !in.Text
		moves := f.Output.RestsOn == nil || slices.Contains(f.Output.RestsOn, in.Name)
		if number && moves {
			f.Takes, f.at = append(f.Takes, in), append(f.at, i)
		}
		switch {
		case in.Default == "-":
		case in.Default != "":
			v, err := in.read(c.Name, in.Default, unit.Point, true)
			if err != nil {
				return nil, err
			}
			v.Default = true
			f.rest[i] = v
		case number && !moves: // any number serves, the output does not rest on it
			f.rest[i] = &Value{Name: in.Name, Title: in.Title, Unit: in.Unit, Number: in.Min, Default: true}
		case !number:
			return nil, fmt.Errorf("%s wants %s, which is no number", c.Name, in.Name)
		}
	}
	return f, nil
}

// Number works the output out. given has a number for each of Takes, in its
// unit, or NaN to leave it to its default. The error is an [*InputError], or
// says that these numbers give no such output.
func (f *Figure) Number(given []float64) (float64, error) {
	in, err := f.in(given)
	if err != nil {
		return 0, err
	}
	s := Sheet{calc: f.Calc, in: in, figure: f}
	f.Calc.Do(&s)
	if s.err == nil && !s.found {
		s.err = fmt.Errorf("%s: these figures give no %s", f.Calc.Name, f.Output.Name)
	}
	return s.got, s.err
}

// Work is Number with the whole result: its working, notes and curves.
func (f *Figure) Work(given []float64, st unit.Style) (Result, error) {
	in, err := f.in(given)
	if err != nil {
		return Result{}, err
	}
	for i, v := range in {
		if v != nil && v.Text == "" {
			shown := *v
			shown.Text = plain(v.Number)
			in[i] = &shown
		}
	}
	return f.Calc.work(in, st)
}

// in puts the given numbers where the calculation looks for them.
func (f *Figure) in(given []float64) ([]*Value, error) {
	in := slices.Clone(f.rest)
	values := make([]Value, len(f.Takes))
	for i := range f.Takes {
		t := &f.Takes[i]
		v := given[i]
		switch {
		case math.IsNaN(v) && f.rest[f.at[i]] == nil && t.Default == "":
			return nil, &InputError{f.Calc.Name, t.Name, "", "want " + t.Range()}
		case math.IsNaN(v):
			continue
		case v < t.Min || v > t.Max:
			return nil, &InputError{f.Calc.Name, t.Name, plain(v), "want " + t.Range()}
		}
		values[i] = Value{Name: t.Name, Title: t.Title, Unit: t.Unit, Number: v}
		in[f.at[i]] = &values[i]
	}
	return in, nil
}

// plain writes a number as it can be typed.
func plain(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
