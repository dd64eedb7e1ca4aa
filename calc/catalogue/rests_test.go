package catalogue

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"ampwright/calc/desk"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// An output that says what it rests on is moved by each of those inputs and by
// no other; worked out from them alone it is the same to the last bit.
func TestRestsOn(t *testing.T) {
	said := 0
	for _, c := range All() {
		for _, o := range c.Outputs {
			if o.RestsOn == nil {
				continue
			}
			said++
			t.Run(c.Name+"/"+o.Name, func(t *testing.T) {
				f, err := c.Figure(o.Name)
				require.NoError(t, err)
				require.Len(t, f.Takes, len(o.RestsOn), "each is a number among the inputs")
				moved := map[string]bool{}
				same := 0
				rapid.Check(t, func(t *rapid.T) {
					given := make([]float64, len(f.Takes))
					for i, in := range f.Takes {
						given[i] = draw(t, in)
					}
					v, err := f.Number(given)
					if err != nil {
						return
					}
					if full, err := c.Run(typed(t, c, f, given), unit.Style{}); err == nil {
						got, ok := full.Get(o.Name)
						require.True(t, ok)
						require.Equal(t, v, got.Number)
						same++
					}
					for i, in := range f.Takes {
						other := slices.Clone(given)
						other[i] = draw(t, in)
						if w, err := f.Number(other); err == nil && w != v {
							moved[in.Name] = true
						}
					}
				})
				require.Greater(t, same, 3, "hardly any input was accepted")
				for _, name := range o.RestsOn {
					require.True(t, moved[name], "%s never moves it", name)
				}
			})
		}
	}
	require.Greater(t, said, 35)
}

// draw is a number in the range of an input, mostly of a size that others go
// with, or NaN where it may be left out.
func draw(t *rapid.T, in desk.Input) float64 {
	if in.Default != "" && rapid.IntRange(0, 3).Draw(t, in.Name+" left out") == 0 {
		return math.NaN()
	}
	v := rapid.OneOf(rapid.Float64Range(in.Min, min(in.Max, in.Min+20)), rapid.Float64Range(in.Min, in.Max)).Draw(t, in.Name)
	if in.Unit == "count" {
		v = math.Ceil(v)
	}
	return v
}

// typed writes what is given, and any number for the inputs that do not matter.
func typed(t *rapid.T, c *desk.Calc, f *desk.Figure, given []float64) map[string]string {
	typed := map[string]string{}
	for _, in := range c.Inputs {
		v := math.NaN()
		i := slices.IndexFunc(f.Takes, func(t desk.Input) bool { return t.Name == in.Name })
		switch {
		case i >= 0:
			v = given[i]
		case len(in.Choices) > 0 || in.List || in.Text:
		default:
			v = draw(t, in)
		}
		if !math.IsNaN(v) {
			typed[in.Name] = strconv.FormatFloat(v, 'f', -1, 64)
		}
	}
	return typed
}
