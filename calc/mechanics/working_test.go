package mechanics

import (
	"regexp"
	"strconv"
	"testing"

	"ampwright/calc/desk"
	"ampwright/calc/formula"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// For whatever is typed within the ranges there is a result or an error that
// names an input, and every line of the working is what its formula says,
// worked out by the evaluator of the spec sheets. It has no powers, tangent
// or sums over lists; squares are rewritten, the other lines have tests of
// their own.
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
			require.Greater(t, checked, done/2, "hardly any line could be checked")
		})
	}
}

func draw(t *rapid.T, i desk.Input) string {
	if i.Default != "" && rapid.Bool().Draw(t, i.Name+" left out") {
		return ""
	}
	number := func() string {
		v := rapid.Float64Range(i.Min, i.Max).Draw(t, i.Name)
		if i.Unit == "count" {
			v = float64(int(v))
		}
		return strconv.FormatFloat(v, 'f', 9, 64)
	}
	switch {
	case i.Name == "thread":
		return rapid.SampledFrom([]string{"M5", "M8", "M10x1.25", "M20", "1/4-20", "3/8-24 UNF", "7/8 UNC", "#10-32"}).Draw(t, i.Name)
	case i.Name == "tyre":
		return rapid.SampledFrom([]string{"130/80-17", "3.00-18", "4.10-18", "MT90-16"}).Draw(t, i.Name)
	case len(i.Choices) > 0:
		return rapid.SampledFrom(i.Choices).Draw(t, i.Name)
	case i.List:
		return number() + " " + number()
	}
	return number()
}

var square = regexp.MustCompile(`\(([^()]+)\)\^2`)

// checkLines works out the lines that the evaluator can read.
func checkLines(t *rapid.T, res desk.Result) (n int) {
	values := map[string]float64{"pi": 3.141592653589793}
	for _, v := range res.In {
		values[v.Name] = v.Number
	}
	for _, l := range res.Lines {
		e, err := formula.Parse(square.ReplaceAllString(l.Formula, "(($1)*($1))"))
		known := err == nil
		if known {
			for _, name := range e.Names() {
				if _, ok := values[name]; !ok || name == l.Name {
					known = false
				}
			}
		}
		if known && l.Formula != "wheelbase_m" { // the same length in mm
			got, err := e.Eval(func(name string) (float64, bool) { v, ok := values[name]; return v, ok })
			require.NoError(t, err, l.Formula)
			require.InDelta(t, got, l.Value, 1e-9*(1+max(got, -got)), "%s = %s = %s", l.Name, l.Formula, l.Numbers)
			n++
		}
		values[l.Name] = l.Value
	}
	return n
}
