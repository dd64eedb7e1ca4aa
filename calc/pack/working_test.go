package pack

import (
	"fmt"
	"strconv"
	"testing"

	"ampwright/calc/desk"
	"ampwright/calc/formula"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// typed pairs names with values, numbers or texts.
func typed(pairs ...any) map[string]string {
	in := map[string]string{}
	for i := 0; i < len(pairs); i += 2 {
		text, ok := pairs[i+1].(string)
		if !ok {
			text = strconv.FormatFloat(pairs[i+1].(float64), 'f', 12, 64)
		}
		in[pairs[i].(string)] = text
	}
	return in
}

func find(t *testing.T, name string) *desk.Calc {
	for _, c := range Calcs() {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no calculation %s", name)
	return nil
}

// For whatever is typed within the ranges there is a result or an error that
// names an input, and every line of the working is what its formula says, as
// far as the formulas of spec sheets can say it.
func TestWorkingIsTrue(t *testing.T) {
	for _, c := range Calcs() {
		t.Run(c.Name, func(t *testing.T) {
			done, checked := 0, 0
			rapid.Check(t, func(t *rapid.T) {
				in := map[string]string{}
				for _, i := range c.Inputs {
					if v := draw(t, i); v != "" {
						in[i.Name] = v
					}
				}
				res, err := c.Run(in, unit.Style{})
				if err != nil {
					var bad *desk.InputError
					require.ErrorAs(t, err, &bad)
					require.NotEqual(t, "the inputs", bad.Input, "no number came out: %v", err)
					return
				}
				done++
				checked += checkLines(t, res)
			})
			require.Greater(t, done, 5, "hardly any input was accepted")
			switch c.Name {
			case "peukert-exponent", "self-discharge": // a logarithm, a power: see their own tests
			default:
				require.Positive(t, checked, "no line could be checked")
			}
		})
	}
}

func draw(t *rapid.T, i desk.Input) string {
	if i.Default != "" && rapid.Bool().Draw(t, i.Name+" left out") {
		return ""
	}
	n := func() string {
		v := rapid.Float64Range(i.Min, i.Max).Draw(t, i.Name)
		if i.Name == "cells_series" || i.Name == "cells_parallel" {
			v = float64(int(v))
		}
		return strconv.FormatFloat(v, 'f', 9, 64)
	}
	switch {
	case len(i.Choices) > 0:
		return rapid.SampledFrom(i.Choices).Draw(t, i.Name)
	case i.List:
		text := n()
		for range rapid.IntRange(0, 5).Draw(t, "more") {
			text += " " + n()
		}
		return text
	}
	return n()
}

func checkLines(t require.TestingT, res desk.Result) (checked int) {
	known := map[string]float64{"pi": 3.141592653589793}
	for _, v := range res.In {
		if v.List == nil {
			known[v.Name] = v.Number
		}
	}
	for _, l := range res.Lines {
		e, err := formula.Parse(l.Formula)
		if err == nil {
			got, err := e.Eval(func(name string) (float64, bool) {
				v, ok := known[name]
				return v, ok
			})
			if err == nil {
				require.InDelta(t, got, l.Value, 1e-9*(1+max(got, -got)), fmt.Sprintf("%s: %s = %s", res.Calc.Name, l.Name, l.Formula))
				checked++
			}
		}
		known[l.Name] = l.Value
	}
	return checked
}
