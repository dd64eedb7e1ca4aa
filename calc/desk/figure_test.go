package desk

import (
	"math"
	"testing"

	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
)

// heat has an output that rests on two inputs of four.
func heat() *Calc {
	return &Calc{
		Name: "heat",
		Inputs: []Input{
			Num("batt_A", "Current", "A", "", 1, 100), Num("pack_mohm", "Resistance", "mohm", "15", 1, 100),
			Num("pack_V", "Voltage", "V", "", 10, 100), Num("least_W", "Shown from here up", "W", "-", 0, 1e6),
		},
		Outputs: []Output{
			Out("heat_W", "Heat", "W").On("batt_A", "pack_mohm"), Out("share", "Of the power", "%"), Out("answer", "Answer", ""),
			Out("shown_W", "Heat worth a word", "W"),
		},
		Do: func(s *Sheet) {
			w := s.Out("heat_W", s.Num("batt_A")*s.Num("batt_A")*s.Num("pack_mohm")/1000, "batt_A^2 * pack_mohm / 1000")
			s.Out("share", 100*w/s.Num("batt_A")/s.Num("pack_V"), "100 * heat_W / batt_A / pack_V")
			s.Say("answer", "warm")
			s.Note("by hand")
			s.Draw(Curve{}, 0, 1, 1, func(x float64) float64 { return x })
			if w >= s.Num("least_W") {
				s.Out("shown_W", w, "heat_W")
			}
			if s.Num("batt_A") == 99 {
				s.Fail("batt_A", "want less")
			}
		},
	}
}

// By hand: (20 A)² x 15 mohm = 6 W.
func TestFigureNumber(t *testing.T) {
	f, err := heat().Figure("heat_W")
	require.NoError(t, err)
	require.Equal(t, "heat_W", f.Output.Name)
	require.Len(t, f.Takes, 2)
	v, err := f.Number([]float64{20, math.NaN()})
	require.NoError(t, err)
	require.Equal(t, 6.0, v)
	r, err := f.Work([]float64{20, math.NaN()}, unit.Style{Mark: unit.Comma})
	require.NoError(t, err)
	require.Equal(t, Line{"heat_W", "batt_A^2 * pack_mohm / 1000", "(20 A)^2 * 15 mohm / 1000", 6, "W"}, r.Lines[0])
	require.Len(t, r.Curves, 1)

	// An output that does not say what it rests on takes every number.
	f, err = heat().Figure("share")
	require.NoError(t, err)
	require.Len(t, f.Takes, 4)
	v, err = f.Number([]float64{20, math.NaN(), 60, math.NaN()})
	require.NoError(t, err)
	require.Equal(t, 0.5, v)
}

func TestFigureRefuses(t *testing.T) {
	for _, tt := range []struct {
		output string
		given  []float64
		want   string
	}{
		{"heat_W", []float64{math.NaN(), 15}, `heat: batt_A is missing: want 1 to 100 A`},
		{"heat_W", []float64{101, 15}, `heat: batt_A "101": want 1 to 100 A`},
		{"heat_W", []float64{0.5, 15}, `heat: batt_A "0.5": want 1 to 100 A`},
		{"heat_W", []float64{math.Inf(1), 15}, `heat: batt_A "+Inf": want 1 to 100 A`},
		{"heat_W", []float64{99, 15}, `heat: batt_A "99": want less`},
		{"shown_W", []float64{20, 15, 60, 7}, `heat: these figures give no shown_W`},
	} {
		f, err := heat().Figure(tt.output)
		require.NoError(t, err)
		_, err = f.Number(tt.given)
		require.EqualError(t, err, tt.want)
	}
	_, err := heat().Figure("cold_W")
	require.EqualError(t, err, `"cold_W" is no output of heat, want one of ["heat_W" "share" "answer" "shown_W"]`)
	_, err = heat().Figure("answer")
	require.EqualError(t, err, `"answer" of heat is an answer in words, want a number`)
	c := heat()
	c.Inputs = append(c.Inputs, Input{Name: "wire", Title: "Wire", Text: true})
	_, err = c.Figure("heat_W")
	require.EqualError(t, err, "heat wants wire, which is no number")
}
