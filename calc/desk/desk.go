// Package desk is what every calculation of the engineering desk is made of. A
// calculation is one value, a [Calc]: from it come the command, the page with
// its working line by line, and the list of sources.
package desk

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/unit"
)

// A Calc is one calculation of the trade.
type Calc struct {
	Name     string // what is typed: "bolt-torque"
	Title    string // in the trade's words
	Group    string // heading of the list: "bolts and torque"
	Inputs   []Input
	Outputs  []Output
	Formula  []string // as text, in the names of inputs, steps and outputs
	Source   string   // the published source, and how it is known: "ISO 898-1 (read)", "common practice, no published source"
	Valid    string   // where the formula holds, in words; "" when the ranges say it all
	Cautions []string // what stands beside the result because it can hurt someone
	Do       func(*Sheet)
}

// An Output is a value that follows.
type Output struct {
	Name, Title, Unit string   // Unit "" for an answer in words
	RestsOn           []string // the inputs that can move it; nil when that is not said: any may
}

// Out is an output in a unit, "" for an answer in words.
func Out(name, title, unit string) Output { return Output{Name: name, Title: title, Unit: unit} }

// On says which inputs an output rests on: no other one moves it.
func (o Output) On(inputs ...string) Output {
	o.RestsOn = inputs
	return o
}

// A Value is an input or output with its value.
type Value struct {
	Name, Title, Unit string
	Number            float64
	List              []float64
	Text              string // as typed, or an answer in words
	Default           bool   // nobody typed it
}

// A Line is one line of the working: name = formula = the formula with its
// numbers = value.
type Line struct {
	Name, Formula, Numbers string
	Value                  float64
	Unit                   string
}

// A Result is a calculation done.
type Result struct {
	Calc  *Calc
	In    []Value
	Out   []Value
	Lines []Line
	Notes []string // outside the validity of a formula, and the like

	Curves []Curve
}

// A Curve is a picture of the result: points from left to right. Sentence says
// what it shows in words.
type Curve struct {
	Title, Sentence string
	X, Y            Axis
	Points          [][2]float64
}

// An Axis is one axis of a curve.
type Axis struct{ Title, Unit string }

// Get returns an output by name.
func (r *Result) Get(name string) (Value, bool) {
	for _, v := range r.Out {
		if v.Name == name {
			return v, true
		}
	}
	return Value{}, false
}

// An InputError names an input, what was typed and what is accepted.
type InputError struct {
	Calc, Input, Value, Want string
}

func (e *InputError) Error() string {
	if e.Value == "" {
		return fmt.Sprintf("%s: %s is missing: %s", e.Calc, e.Input, e.Want)
	}
	return fmt.Sprintf("%s: %s %q: %s", e.Calc, e.Input, e.Value, e.Want)
}

// A Sheet is a calculation while it is done.
type Sheet struct {
	calc   *Calc
	style  unit.Style
	in     []*Value          // as in calc.Inputs; nil where one was left out
	shown  map[string]string // name -> its value as the working shows it
	result Result
	err    error

	figure *Figure // only this output is wanted, and no working; nil for all
	got    float64
	found  bool
}

// Run does the calculation with what was typed, by input name. The error is an
// [*InputError].
func (c *Calc) Run(typed map[string]string, st unit.Style) (Result, error) {
	for _, name := range slices.Sorted(maps.Keys(typed)) {
		if _, ok := c.input(name); !ok {
			return Result{}, &InputError{c.Name, name, typed[name], "is not asked for; the inputs are " + c.inputNames()}
		}
	}
	in := make([]*Value, len(c.Inputs))
	for i, input := range c.Inputs {
		text, def := strings.TrimSpace(typed[input.Name]), false
		if text == "" {
			text, def = input.Default, true
		}
		if text == "-" && input.Default == "-" {
			continue
		}
		v, err := input.read(c.Name, text, st.Mark, def)
		if err != nil {
			return Result{}, err
		}
		v.Default = def
		in[i] = v
	}
	return c.work(in, st)
}

// work does the calculation with all its working.
func (c *Calc) work(in []*Value, st unit.Style) (Result, error) {
	s := &Sheet{calc: c, style: st, in: in, shown: map[string]string{}, result: Result{Calc: c}}
	for _, v := range in {
		if v != nil {
			s.show(v)
			s.result.In = append(s.result.In, *v)
		}
	}
	c.Do(s)
	if s.err != nil {
		return Result{}, s.err
	}
	return s.result, nil
}

func (c *Calc) input(name string) (Input, bool) {
	for _, in := range c.Inputs {
		if in.Name == name {
			return in, true
		}
	}
	return Input{}, false
}

func (c *Calc) inputNames() string {
	var names []string
	for _, in := range c.Inputs {
		names = append(names, in.Name)
	}
	return strings.Join(names, ", ")
}

func (s *Sheet) show(v *Value) {
	switch {
	case v.List != nil:
		s.shown[v.Name] = "(" + v.Text + ")"
		if n := len(v.List); n > 12 {
			s.shown[v.Name] = fmt.Sprintf("(%s, %d numbers, %s)", figure(v.List[0], v.Unit, s.style), n, figure(v.List[n-1], v.Unit, s.style))
		}
	case v.Unit == "" || v.Text != "" && v.Number == 0 && v.Text != "0":
		s.shown[v.Name] = v.Text
	default:
		s.shown[v.Name] = figure(v.Number, v.Unit, s.style)
	}
}

// value returns an input that was given or has a default, else nil.
func (s *Sheet) value(name string) *Value {
	for i := range s.calc.Inputs {
		if s.calc.Inputs[i].Name == name {
			return s.in[i]
		}
	}
	return nil
}

// figure writes a number with its unit and enough digits to check it by hand.
func figure(v float64, u string, st unit.Style) string {
	text := strconv.FormatFloat(v, 'g', 6, 64)
	if size := math.Abs(v); size >= 1e5 && size < 1e15 {
		text = strconv.FormatFloat(v, 'f', 0, 64) // no digit before the mark is dropped
	}
	if st.Mark == unit.Comma {
		text = strings.Replace(text, ".", ",", 1)
	}
	if sym := unit.Symbol(u); u != "" && u != "count" && u != "ratio" && sym != "" {
		text += " " + sym
	}
	return text
}

// Num returns a number that was typed, in the unit of its input; 0 if it was
// left out.
func (s *Sheet) Num(name string) float64 {
	if v := s.value(name); v != nil {
		return v.Number
	}
	return 0
}

// Whole returns a number of things; a fraction of one is refused.
func (s *Sheet) Whole(name string) float64 {
	n := s.Num(name)
	if in, _ := s.calc.input(name); n != math.Trunc(n) {
		s.Fail(name, "want a whole number, "+in.Range())
	}
	return n
}

// List returns the numbers of a list.
func (s *Sheet) List(name string) []float64 {
	if v := s.value(name); v != nil {
		return v.List
	}
	return nil
}

// Text returns a choice or a text.
func (s *Sheet) Text(name string) string {
	if v := s.value(name); v != nil {
		return v.Text
	}
	return ""
}

// Has reports whether an input was given or has a default.
func (s *Sheet) Has(name string) bool { return s.value(name) != nil }

// Mark is the decimal mark of a text that the calculation reads itself.
func (s *Sheet) Mark() unit.Mark { return s.style.Mark }

// Figure writes a number as the working does.
func (s *Sheet) Figure(v float64, u string) string { return figure(v, u, s.style) }

// Fail ends the calculation: an input does not fit, want says what is accepted.
func (s *Sheet) Fail(input, want string) {
	if s.err == nil {
		text := s.Text(input)
		if v := s.value(input); v != nil && text == "" {
			text = plain(v.Number)
		}
		s.err = &InputError{s.calc.Name, input, text, want}
	}
}

// Note adds a remark to the result: outside a formula's validity, a reading of
// the source that was chosen.
func (s *Sheet) Note(format string, args ...any) {
	if s.figure != nil {
		return
	}
	s.result.Notes = append(s.result.Notes, fmt.Sprintf(format, args...))
}

// Draw adds a curve of n+1 points of y over x from low to high.
func (s *Sheet) Draw(c Curve, low, high float64, n int, y func(x float64) float64) {
	if s.figure != nil {
		return
	}
	for i := 0; i <= n; i++ {
		x := low + (high-low)*float64(i)/float64(n)
		v := y(x)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return // no picture of what is no number
		}
		c.Points = append(c.Points, [2]float64{x, v})
	}
	s.result.Curves = append(s.result.Curves, c)
}

// Step records an intermediate value and returns it. The formula is written in
// the names of inputs and earlier steps; the working shows it with their values.
func (s *Sheet) Step(name string, v float64, u, formula string) float64 {
	if s.err != nil {
		return v
	}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		s.err = &InputError{s.calc.Name, "the inputs", "together", "give no number for " + name + ": " + s.numbers(formula)}
		return 0
	}
	if s.figure != nil {
		return v
	}
	s.result.Lines = append(s.result.Lines, Line{Name: name, Formula: formula, Numbers: s.numbers(formula), Value: v, Unit: u})
	s.shown[name] = figure(v, u, s.style)
	return v
}

// Out records an output and returns it.
func (s *Sheet) Out(name string, v float64, formula string) float64 {
	return s.OutIn(name, v, "", formula)
}

// OutIn is Out in another unit than the one the output is listed with.
func (s *Sheet) OutIn(name string, v float64, u, formula string) float64 {
	for i := range s.calc.Outputs {
		if o := &s.calc.Outputs[i]; o.Name == name {
			if u == "" {
				u = o.Unit
			}
			v = s.Step(name, v, u, formula)
			if s.figure != nil {
				if name == s.figure.Output.Name && u == o.Unit {
					s.got, s.found = v, true
				}
				return v
			}
			s.result.Out = append(s.result.Out, Value{Name: name, Title: o.Title, Unit: u, Number: v})
			return v
		}
	}
	panic(fmt.Sprintf("desk: %s has no output %q", s.calc.Name, name))
}

// Say records an output in words.
func (s *Sheet) Say(name, text string) {
	for _, o := range s.calc.Outputs {
		if o.Name == name {
			s.result.Out = append(s.result.Out, Value{Name: name, Title: o.Title, Text: text})
			return
		}
	}
	panic(fmt.Sprintf("desk: %s has no output %q", s.calc.Name, name))
}

// numbers writes a formula with the values of its names. A value with a unit
// stands in parentheses before a power, and one below 0 after an operator.
func (s *Sheet) numbers(formula string) string {
	return replaceNames(formula, func(word string, i, j int) string {
		v, ok := s.shown[word]
		if !ok || j < len(formula) && formula[j] == '(' {
			return word
		}
		power := j < len(formula) && formula[j] == '^'
		before := strings.TrimRight(formula[:i], " ")
		after := before != "" && strings.Contains("+-*/^", before[len(before)-1:])
		minus := strings.HasPrefix(v, "-")
		if minus && (after || power) || power && strings.Contains(v, " ") {
			return "(" + v + ")"
		}
		return v
	})
}

// Rename writes a formula with other names in place of some.
func Rename(formula string, names map[string]string) string {
	return replaceNames(formula, func(word string, _, _ int) string {
		if n, ok := names[word]; ok {
			return n
		}
		return word
	})
}

// replaceNames writes a formula with each of its names, which stands from i to
// j, replaced by what it is to be.
func replaceNames(formula string, by func(name string, i, j int) string) string {
	var out strings.Builder
	for i := 0; i < len(formula); {
		j := i
		for j < len(formula) && nameByte(formula[j], j > i) {
			j++
		}
		if j == i {
			out.WriteByte(formula[i])
			i++
			continue
		}
		out.WriteString(by(formula[i:j], i, j))
		i = j
	}
	return out.String()
}

func nameByte(b byte, later bool) bool {
	return b == '_' || b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || later && b >= '0' && b <= '9'
}
