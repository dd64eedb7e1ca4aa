// Package desktest is what the tests of calculations share: inputs written
// short, the working printed in one form, and the check that every line of a
// working is true.
package desktest

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ampwright/calc/desk"
	"ampwright/calc/formula"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Typed returns inputs by name from "name=value; name=value".
func Typed(in string) map[string]string {
	typed := map[string]string{}
	for _, pair := range strings.Split(in, ";") {
		if name, value, ok := strings.Cut(pair, "="); ok {
			typed[strings.TrimSpace(name)] = strings.TrimSpace(value)
		}
	}
	return typed
}

// Run does the calculation of that name; in is as [Typed] reads it.
func Run(calcs []*desk.Calc, name, in string) (desk.Result, error) {
	for _, c := range calcs {
		if c.Name == name {
			return c.Run(Typed(in), unit.Style{})
		}
	}
	panic("desktest: no calculation " + name)
}

// Show prints the working of a calculation, the answers in words and the notes,
// for examples; in is as [Typed] reads it.
func Show(calcs []*desk.Calc, name, in string) {
	r, err := Run(calcs, name, in)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range r.Lines {
		text := l.Name + " = " + l.Formula
		if l.Numbers != l.Formula {
			text += " = " + l.Numbers
		}
		fmt.Println(text, "=", new(desk.Sheet).Figure(l.Value, l.Unit))
	}
	for _, v := range r.Out {
		if v.Unit == "" {
			fmt.Printf("%s: %s\n", v.Title, v.Text)
		}
	}
	for _, n := range r.Notes {
		fmt.Println("note:", n)
	}
}

// Options are what Working cannot know of a package's calculations.
type Options struct {
	Texts  map[string][]string // what is typed for an input that its calculation reads itself, by name of input
	Unread map[string]string   // calculations of which package formula reads no line: name and reason
}

// Working types anything within the ranges into each calculation. Out comes a
// result or a [*desk.InputError] that names an input, and each line of the
// working whose formula package formula can read is what its formula says.
func Working(t *testing.T, calcs []*desk.Calc, o Options) {
	names := map[string]bool{}
	for _, c := range calcs {
		names[c.Name] = true
		t.Run(c.Name, func(t *testing.T) {
			done, read := 0, 0
			rapid.Check(t, func(t *rapid.T) {
				for range 5 { // where inputs must fit each other, most of what is drawn is refused
					r, err := c.Run(typed(t, c, o.Texts), unit.Style{})
					if err != nil {
						var bad *desk.InputError
						require.ErrorAs(t, err, &bad)
						require.NotEqual(t, "the inputs", bad.Input, "no number came out: %v", err)
						continue
					}
					require.NotEmpty(t, r.Out)
					done++
					n, err := check(r)
					require.NoError(t, err)
					read += n
				}
			})
			require.Greater(t, done, 5, "hardly any input was accepted")
			if why, ok := o.Unread[c.Name]; ok {
				require.Zero(t, read, "lines were read after all, though %s", why)
				return
			}
			require.Positive(t, read, "no line could be read")
		})
	}
	for name := range o.Unread {
		require.True(t, names[name], "no calculation %s", name)
	}
}

func typed(t *rapid.T, c *desk.Calc, texts map[string][]string) map[string]string {
	typed := map[string]string{}
	many := rapid.IntRange(0, 5).Draw(t, "many") // lists are often one beside the other
	for _, in := range c.Inputs {
		if in.Default != "" && rapid.Bool().Draw(t, in.Name+" left out") {
			continue
		}
		switch {
		case len(in.Choices) > 0:
			typed[in.Name] = rapid.SampledFrom(in.Choices).Draw(t, in.Name)
		case in.Text:
			require.NotEmpty(t, texts[in.Name], "no texts for %s", in.Name)
			typed[in.Name] = rapid.SampledFrom(texts[in.Name]).Draw(t, in.Name)
		case in.List:
			text := number(t, in)
			for range many {
				text += " " + number(t, in)
			}
			typed[in.Name] = text
		default:
			typed[in.Name] = number(t, in)
		}
	}
	return typed
}

// number draws one within the range, its ends included; of a count mostly a
// whole one.
func number(t *rapid.T, in desk.Input) string {
	v := rapid.OneOf(rapid.Float64Range(in.Min, in.Max), rapid.Float64Range(in.Min, in.Max), rapid.SampledFrom([]float64{in.Min, in.Max})).Draw(t, in.Name)
	if w := math.Trunc(v); in.Unit == "count" && w >= in.Min && rapid.IntRange(0, 4).Draw(t, "whole") > 0 {
		v = w
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

var square = regexp.MustCompile(`([A-Za-z_][A-Za-z0-9_]*|[0-9.]+|\([^()]*\))\^2\b`)

// check works out the lines that package formula can read, squares written as
// products, and returns how many there were.
func check(r desk.Result) (read int, err error) {
	values := map[string]float64{"pi": math.Pi}
	for _, v := range r.In {
		if n, err := strconv.ParseFloat(v.Text, 64); v.Unit == "" && err == nil {
			values[v.Name] = n // a choice of numbers
		} else if v.Unit != "" && v.List == nil {
			values[v.Name] = v.Number
		}
	}
	lookup := func(name string) (float64, bool) { v, ok := values[name]; return v, ok }
	for _, l := range r.Lines {
		e, err := formula.Parse(square.ReplaceAllString(l.Formula, "($1 * $1)"))
		readable := err == nil
		if readable {
			for _, name := range e.Names() {
				_, known := values[name]
				readable = readable && known
			}
		}
		if readable {
			want, err := e.Eval(lookup)
			if err != nil {
				return read, fmt.Errorf("%s: %s = %s: %w", r.Calc.Name, l.Name, l.Formula, err)
			}
			if math.Abs(want-l.Value) > 1e-9*(1+math.Abs(want)) {
				return read, fmt.Errorf("%s: %s = %s = %s: the line says %v, its formula %v", r.Calc.Name, l.Name, l.Formula, l.Numbers, l.Value, want)
			}
			read++
		}
		values[l.Name] = l.Value
	}
	return read, nil
}
