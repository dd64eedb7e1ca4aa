package desk

import (
	"math"
	"strconv"
	"strings"

	"ampwright/calc/unit"
)

// An Input is a value that is typed. Exactly one of the forms number, choice,
// list and text applies; a number is the usual one.
type Input struct {
	Name, Title string
	Unit        string  // of numbers and lists; a symbol of [unit.Known]
	Default     string  // as typed; "" when it must be given, "-" when it may be left out
	Min, Max    float64 // accepted range, both ends included, in Unit
	Choices     []string
	List        bool // several numbers, separated by spaces
	Text        bool // read by the calculation itself: a thread, a tyre, a wire size
}

// Num is a number in a unit. def is as typed, "" when it must be given and "-"
// when it may be left out; least and most are accepted too.
func Num(name, title, unit, def string, least, most float64) Input {
	return Input{Name: name, Title: title, Unit: unit, Default: def, Min: least, Max: most}
}

// Choice is one of some words.
func Choice(name, title, def string, choices ...string) Input {
	return Input{Name: name, Title: title, Default: def, Choices: choices}
}

// Range says in words what an input accepts.
func (in Input) Range() string {
	switch {
	case len(in.Choices) > 0:
		return "one of " + strings.Join(in.Choices, ", ")
	case in.Text:
		return strings.ToLower(in.Title[:1]) + in.Title[1:]
	}
	f := func(v float64) string {
		if a := math.Abs(v); a >= 1e-6 && a < 1e10 {
			return strconv.FormatFloat(v, 'f', -1, 64) // 10000000, not 1e+07
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	text := f(in.Min) + " to " + f(in.Max)
	if sym := unit.Symbol(in.Unit); in.Unit != "count" && in.Unit != "ratio" && sym != "" {
		text += " " + sym
	}
	if in.List {
		return "numbers from " + text + ", separated by spaces"
	}
	return text
}

func (in Input) read(calc, text string, m unit.Mark, def bool) (*Value, error) {
	v := &Value{Name: in.Name, Title: in.Title, Unit: in.Unit, Text: text}
	bad := &InputError{calc, in.Name, text, "want " + in.Range()}
	if text == "" {
		return nil, bad
	}
	if def {
		m = unit.Point // defaults are written in this program
	}
	switch {
	case len(in.Choices) > 0:
		for _, c := range in.Choices {
			if strings.EqualFold(c, text) {
				v.Text = c
				return v, nil
			}
		}
		return nil, bad
	case in.Text:
		return v, nil
	case in.List:
		for _, f := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' || r == '\n' || r == '\t' }) {
			n, err := in.number(calc, f, m)
			if err != nil {
				return nil, err
			}
			v.List = append(v.List, n)
		}
		if len(v.List) == 0 {
			return nil, bad
		}
		return v, nil
	}
	n, err := in.number(calc, text, m)
	v.Number = n
	return v, err
}

func (in Input) number(calc, text string, m unit.Mark) (float64, error) {
	var d unit.Decimal
	var err error
	if in.Unit == "count" || in.Unit == "" {
		d, err = unit.ParseNumber(text, m)
	} else {
		d, err = unit.Parse(text, in.Unit, m)
	}
	if err != nil {
		return 0, &InputError{calc, in.Name, text, err.Error() + "; want " + in.Range()}
	}
	n := d.Float()
	if n < in.Min || n > in.Max {
		return 0, &InputError{calc, in.Name, text, "want " + in.Range()}
	}
	return n, nil
}
