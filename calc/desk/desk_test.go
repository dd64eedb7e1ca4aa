package desk

import (
	"math"
	"strings"
	"testing"

	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drop is a small calculation with every form of input.
func drop() *Calc {
	return &Calc{
		Name: "drop", Title: "voltage drop of a cable",
		Inputs: []Input{
			{Name: "batt_cont_A", Title: "current", Unit: "A", Min: 1, Max: 2000},
			{Name: "cable_m", Title: "length", Unit: "m", Default: "1.5", Min: 0, Max: 100},
			{Name: "joints_mohm", Title: "joints", Unit: "mohm", Default: "0.5 0.5", Min: 0, Max: 10, List: true},
			{Name: "share", Title: "share", Unit: "ratio", Default: "1", Max: 1},
			{Name: "wires", Title: "wires", Unit: "count", Default: "2", Min: 1, Max: 4},
			{Name: "metal", Title: "metal", Default: "copper", Choices: []string{"copper", "aluminium"}},
			{Name: "size", Title: "a wire size such as 25 mm²", Text: true, Default: "25"},
			{Name: "limit_V", Title: "limit", Unit: "V", Default: "-", Min: 0, Max: 100},
		},
		Outputs: []Output{
			{Name: "drop_V", Title: "drop", Unit: "V"},
			{Name: "verdict", Title: "verdict"},
		},
		Do: func(s *Sheet) {
			if s.Text("size") == "0" {
				s.Fail("size", "want 16, 25 or 35")
			}
			joints := 0.0
			for _, v := range s.List("joints_mohm") {
				joints += v
			}
			s.Step("sum", joints, "mohm", "sum of joints_mohm")
			r := s.Step("loop_mohm", s.Num("wires")*s.Num("cable_m")*0.8+joints, "mohm", "wires * cable_m * 0.8 mohm/m + sum")
			v := s.Out("drop_V", s.Num("batt_cont_A")*r/1000*s.Num("share"), "batt_cont_A * loop_mohm / 1000 * share")
			if !s.Has("limit_V") {
				s.Note("no limit given for %s", s.Text("metal"))
				return
			}
			if v <= s.Num("limit_V") {
				s.Say("verdict", "within")
			} else {
				s.Say("verdict", "beyond")
			}
		},
	}
}

func TestRun(t *testing.T) {
	r, err := drop().Run(map[string]string{"batt_cont_A": " 70 A ", "limit_V": "0.3"}, unit.Style{})
	require.NoError(t, err)
	// By hand: 2 * 1.5 * 0.8 + 1 = 3.4 mohm; 70 * 3.4 / 1000 = 0.238 V.
	v, ok := r.Get("drop_V")
	require.True(t, ok)
	require.InDelta(t, 0.238, v.Number, 1e-15)
	require.Equal(t, "V", v.Unit)
	require.Equal(t, "drop", v.Title)
	verdict, _ := r.Get("verdict")
	require.Equal(t, "within", verdict.Text)
	_, ok = r.Get("loop_mohm")
	require.False(t, ok, "a step is not an output")
	require.Empty(t, r.Notes)
	require.Equal(t, []Line{
		{"sum", "sum of joints_mohm", "sum of (0.5 0.5)", 1, "mohm"},
		{"loop_mohm", "wires * cable_m * 0.8 mohm/m + sum", "2 * 1.5 m * 0.8 mohm/m + 1 mohm", 3.4000000000000004, "mohm"},
		{"drop_V", "batt_cont_A * loop_mohm / 1000 * share", "70 A * 3.4 mohm / 1000 * 1", v.Number, "V"},
	}, r.Lines)
}

func TestDefaultsAndLeftOut(t *testing.T) {
	r, err := drop().Run(map[string]string{"batt_cont_A": "70", "cable_m": "  ", "limit_V": "-"}, unit.Style{})
	require.NoError(t, err)
	given := map[string]bool{}
	for _, v := range r.In {
		given[v.Name] = !v.Default
	}
	require.Equal(t, map[string]bool{"batt_cont_A": true, "cable_m": false, "joints_mohm": false, "share": false, "wires": false, "metal": false, "size": false}, given)
	require.Equal(t, []string{"no limit given for copper"}, r.Notes)
	_, ok := r.Get("verdict")
	require.False(t, ok)
}

func TestUnitsAndChoices(t *testing.T) {
	for _, tt := range []struct {
		name, typed string
		want        float64
	}{
		{"batt_cont_A", "70000 mA", 70},
		{"cable_m", "150 cm", 1.5},
		{"cable_m", "5 ft", 1.524},
		{"share", "50 %", 0.5},
		{"share", "0,5", 0.5},
		{"wires", "3", 3},
		{"limit_V", "300 mV", 0.3},
	} {
		in := map[string]string{"batt_cont_A": "70"}
		in[tt.name] = tt.typed
		r, err := drop().Run(in, unit.Style{})
		require.NoError(t, err)
		for _, v := range r.In {
			if v.Name == tt.name {
				require.InDelta(t, tt.want, v.Number, 1e-12, tt)
				require.False(t, v.Default)
			}
		}
	}
	r, err := drop().Run(map[string]string{"batt_cont_A": "70", "metal": "ALUMINIUM"}, unit.Style{})
	require.NoError(t, err)
	require.Equal(t, []string{"no limit given for aluminium"}, r.Notes)
}

func TestLists(t *testing.T) {
	for _, typed := range []string{"0.5 1 2", "0.5;1;2", " 0.5  1\n2 ", "0.5\t1; 2", "0,5 1,0 2,0", "500uohm 1mohm 0.002ohm"} {
		r, err := drop().Run(map[string]string{"batt_cont_A": "70", "joints_mohm": typed}, unit.Style{})
		require.NoError(t, err, typed)
		require.InDeltaSlice(t, []float64{0.5, 1, 2}, r.In[2].List, 1e-12, typed)
	}
	// A long list does not fill the working.
	r, err := drop().Run(map[string]string{"batt_cont_A": "70", "joints_mohm": strings.Repeat("0.5 ", 400)}, unit.Style{})
	require.NoError(t, err)
	require.Equal(t, "sum of (0.5 mohm, 400 numbers, 0.5 mohm)", r.Lines[0].Numbers)
}

// The range that a text accepts is its title.
func TestConstructors(t *testing.T) {
	n := Num("wires", "Wires", "count", "2", 1, 4)
	require.Equal(t, Input{Name: "wires", Title: "Wires", Unit: "count", Default: "2", Min: 1, Max: 4}, n)
	require.Equal(t, "1 to 4", n.Range())
	require.Equal(t, "one of copper, aluminium", Choice("metal", "Metal", "copper", "copper", "aluminium").Range())
	require.Equal(t, "thread, such as M8", Input{Title: "Thread, such as M8", Text: true}.Range())
	require.Equal(t, Output{Name: "drop_V", Title: "Drop", Unit: "V", RestsOn: []string{"wires"}}, Out("drop_V", "Drop", "V").On("wires"))
}

func TestWhole(t *testing.T) {
	c := &Calc{Name: "c", Inputs: []Input{Num("wires", "Wires", "count", "2", 1, 4)}, Outputs: []Output{Out("n", "N", "count")},
		Do: func(s *Sheet) { s.Out("n", s.Whole("wires"), "wires") }}
	r, err := c.Run(nil, unit.Style{})
	require.NoError(t, err)
	require.Equal(t, 2.0, r.Out[0].Number)
	_, err = c.Run(map[string]string{"wires": "2.5"}, unit.Style{})
	require.EqualError(t, err, `c: wires "2.5": want a whole number, 1 to 4`)
}

// What is refused, word by word.
func TestRunRejects(t *testing.T) {
	const comma = unit.Comma
	for _, tt := range []struct {
		name, typed string
		mark        unit.Mark
		want        string
	}{
		{"batt_cont_A", "", 0, `drop: batt_cont_A is missing: want 1 to 2000 A`},
		{"batt_cont_A", "-", 0, `drop: batt_cont_A "-": "-" is not a number, want one such as 84.3; want 1 to 2000 A`},
		{"cable_m", "-", 0, `drop: cable_m "-": "-" is not a number, want one such as 84.3; want 0 to 100 m`},
		{"batt_cont_A", "0.5", 0, `drop: batt_cont_A "0.5": want 1 to 2000 A`},
		{"batt_cont_A", "2001", 0, `drop: batt_cont_A "2001": want 1 to 2000 A`},
		{"batt_cont_A", "70 V", 0, `drop: batt_cont_A "70 V": "70 V" where a current in A is wanted; want 1 to 2000 A`},
		{"batt_cont_A", "many", 0, `drop: batt_cont_A "many": "many" is not a number, want one such as 84.3; want 1 to 2000 A`},
		{"batt_cont_A", "many", comma, `drop: batt_cont_A "many": "many" is not a number, want one such as 84,3; want 1 to 2000 A`},
		{"batt_cont_A", "NaN", 0, `drop: batt_cont_A "NaN": "NaN" is not a number, want one such as 84.3; want 1 to 2000 A`},
		{"batt_cont_A", "1,234", 0, `drop: batt_cont_A "1,234": "1,234" can mean 1.234 A or 1234 A: type one of these; want 1 to 2000 A`},
		{"batt_cont_A", "1.234", comma, `drop: batt_cont_A "1.234": "1.234" can mean 1,2340 A or 1234 A: type one of these; want 1 to 2000 A`},
		{"wires", "5,234", 0, `drop: wires "5,234": "5,234" can mean 5.234 or 5234: type one of these; want 1 to 4`},
		{"share", "2", 0, `drop: share "2": want 0 to 1`},
		{"joints_mohm", "0.5 x", 0, `drop: joints_mohm "x": "x" is not a number, want one such as 84.3; want numbers from 0 to 10 mohm, separated by spaces`},
		{"joints_mohm", "0.5 11", 0, `drop: joints_mohm "11": want numbers from 0 to 10 mohm, separated by spaces`},
		{"joints_mohm", "0.5 11,234", 0, `drop: joints_mohm "11,234": "11,234" can mean 11.234 mohm or 11234 mohm: type one of these; want numbers from 0 to 10 mohm, separated by spaces`},
		{"joints_mohm", ";", 0, `drop: joints_mohm ";": want numbers from 0 to 10 mohm, separated by spaces`},
		{"metal", "gold", 0, `drop: metal "gold": want one of copper, aluminium`},
		{"size", "0", 0, `drop: size "0": want 16, 25 or 35`},
		{"volts", "5", 0, `drop: volts "5": is not asked for; the inputs are batt_cont_A, cable_m, joints_mohm, share, wires, metal, size, limit_V`},
		{"Batt_cont_A", "5", 0, `drop: Batt_cont_A "5": is not asked for; the inputs are batt_cont_A, cable_m, joints_mohm, share, wires, metal, size, limit_V`},
	} {
		in := map[string]string{"batt_cont_A": "70"}
		in[tt.name] = tt.typed
		r, err := drop().Run(in, unit.Style{Mark: tt.mark})
		require.EqualError(t, err, tt.want, "%s %q", tt.name, tt.typed)
		var e *InputError
		require.ErrorAs(t, err, &e)
		require.Equal(t, "drop", e.Calc)
		require.Equal(t, tt.name, e.Input)
		require.Nil(t, r.Lines, "no half result")
	}
	// Of two names that are not asked for the first in order, every time.
	for range 20 {
		_, err := drop().Run(map[string]string{"z": "1", "a": "2", "m": "3"}, unit.Style{})
		require.ErrorContains(t, err, `drop: a "2"`)
	}
}

func TestMissingText(t *testing.T) {
	c := &Calc{Name: "c", Inputs: []Input{
		{Name: "thread", Title: "a thread such as M8x1.25", Text: true}}, Do: func(*Sheet) {}}
	_, err := c.Run(nil, unit.Style{})
	require.EqualError(t, err, "c: thread is missing: want a thread such as M8x1.25")
	c.Inputs = []Input{{Name: "class", Choices: []string{"8.8", "10.9"}}}
	_, err = c.Run(nil, unit.Style{})
	require.EqualError(t, err, "c: class is missing: want one of 8.8, 10.9")
}

func TestComma(t *testing.T) {
	r, err := drop().Run(map[string]string{"batt_cont_A": "70,5", "cable_m": "2.5", "joints_mohm": "0,5 0,25"}, unit.Style{Mark: unit.Comma})
	require.NoError(t, err)
	require.Equal(t, "2 * 2,5 m * 0.8 mohm/m + 0,75 mohm", r.Lines[1].Numbers)
	require.Equal(t, "70,5 A * 4,75 mohm / 1000 * 1", r.Lines[2].Numbers)
	// The defaults of the program keep their point.
	require.Equal(t, []float64{0.5, 0.25}, r.In[2].List)
	r, err = drop().Run(map[string]string{"batt_cont_A": "70"}, unit.Style{Mark: unit.Comma})
	require.NoError(t, err)
	require.Equal(t, "2 * 1,5 m * 0.8 mohm/m + 1 mohm", r.Lines[1].Numbers)
}

// Names are replaced as whole words, functions are not. What is shown can be
// read one way only: a power is of the value with its unit, and a minus does
// not follow an operator.
func TestNumbers(t *testing.T) {
	s := &Sheet{calc: &Calc{}, shown: map[string]string{
		"a": "1", "ab": "2", "a_1": "3", "max": "4", "d": "9.26583 mm", "n": "-1", "cold_C": "-40 °C", "list": "(-1 2)", "wire": "2/0 AWG",
	}}
	for formula, want := range map[string]string{
		"a + ab + a_1":     "1 + 2 + 3",
		"max(a, max)":      "max(1, 4)",
		"2a + abc + 3 * a": "21 + abc + 3 * 1",
		"":                 "",
		"|a| ≤ π·ab":       "|1| ≤ π·2",
		"a1":               "a1",
		"a^2 + d^2":        "1^2 + (9.26583 mm)^2",
		"2 * d":            "2 * 9.26583 mm",
		"(36 - n) / n":     "(36 - (-1)) / (-1)",
		"n - 1":            "-1 - 1",
		"(n + 1) *n":       "(-1 + 1) *(-1)",
		"n^2, -n, 92^n":    "(-1)^2, -(-1), 92^(-1)",
		"max(n, n)":        "max(-1, -1)",
		"cold_C * 9 / 5":   "-40 °C * 9 / 5",
		"20 - cold_C":      "20 - (-40 °C)",
		"a * list":         "1 * (-1 2)",
		"area of wire":     "area of 2/0 AWG",
	} {
		require.Equal(t, want, s.numbers(formula), formula)
	}
}

func TestFigure(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		unit string
		mark unit.Mark
		want string
	}{
		{0, "V", 0, "0 V"},
		{84, "V", 0, "84 V"},
		{84.123456789, "V", unit.Comma, "84,1235 V"},
		{1234567.8, "ohm", 0, "1234568 ohm"},
		{10000002, "count", 0, "10000002"},
		{-123456.7, "N", 0, "-123457 N"},
		{1e18, "Pa", 0, "1e+18 Pa"},
		{1.5e-7, "F", unit.Comma, "1,5e-07 F"},
		{0.8, "ratio", 0, "0.8"},
		{45, "Nm", 0, "45 N·m"},
		{3, "bananas", 0, "3 bananas"},
	} {
		require.Equal(t, tt.want, figure(tt.v, tt.unit, unit.Style{Mark: tt.mark}))
	}
	s := &Sheet{style: unit.Style{Mark: unit.Comma}}
	require.Equal(t, "1,5 V", s.Figure(1.5, "V"))
	require.Equal(t, unit.Comma, s.Mark())
}

// A result that is no number is an error that names the step, and what comes
// after it is not shown.
func TestNoNumber(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		c := &Calc{
			Name:    "c",
			Inputs:  []Input{{Name: "x", Title: "x", Unit: "V", Max: 9}},
			Outputs: []Output{{Name: "y", Unit: "V"}},
			Do: func(s *Sheet) {
				s.Step("half", v, "V", "1 / x")
				s.Out("y", 3, "half + 3")
				s.Fail("x", "is not the first thing wrong")
			},
		}
		r, err := c.Run(map[string]string{"x": "0"}, unit.Style{})
		require.EqualError(t, err, `c: the inputs "together": give no number for half: 1 / 0 V`)
		require.Empty(t, r.Out)
	}
}

func TestOutIn(t *testing.T) {
	c := &Calc{Name: "c", Outputs: []Output{{Name: "y", Title: "Y", Unit: "count"}}, Do: func(s *Sheet) { s.OutIn("y", 3, "mm", "3") }}
	r, err := c.Run(nil, unit.Style{})
	require.NoError(t, err)
	require.Equal(t, []Value{{Name: "y", Title: "Y", Unit: "mm", Number: 3}}, r.Out)
	require.Equal(t, "mm", r.Lines[0].Unit)
}

// An output that is not listed is our own bug.
func TestUnlistedOutputPanics(t *testing.T) {
	for _, do := range []func(*Sheet){
		func(s *Sheet) { s.Out("z", 1, "1") },
		func(s *Sheet) { s.Say("z", "1") },
	} {
		require.PanicsWithValue(t, `desk: c has no output "z"`, func() { (&Calc{Name: "c", Do: do}).Run(nil, unit.Style{}) })
	}
}

func TestDraw(t *testing.T) {
	draw := func(y func(float64) float64) []Curve {
		c := &Calc{Do: func(s *Sheet) { s.Draw(Curve{Title: "t"}, 1, 3, 4, y) }}
		r, err := c.Run(nil, unit.Style{})
		require.NoError(t, err)
		return r.Curves
	}
	require.Equal(t, []Curve{{Title: "t", Points: [][2]float64{{1, 1}, {1.5, 2.25}, {2, 4}, {2.5, 6.25}, {3, 9}}}}, draw(func(x float64) float64 { return x * x }))
	require.Empty(t, draw(func(x float64) float64 { return 1 / (x - 2) }), "no picture of what is no number")
}

// Whatever is within the ranges gives a result, and the same one each time.
func TestWithinRangeIsAnswered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := map[string]string{
			"batt_cont_A": figure(rapid.Float64Range(1, 1000).Draw(t, "A"), "A", unit.Style{}),
			"cable_m":     figure(float64(rapid.IntRange(0, 1e5).Draw(t, "m"))/1000, "m", unit.Style{}),
			"share":       rapid.SampledFrom([]string{"0", "0.5", "100 %", "1"}).Draw(t, "share"),
		}
		a, err := drop().Run(in, unit.Style{})
		require.NoError(t, err)
		b, err := drop().Run(in, unit.Style{})
		require.NoError(t, err)
		require.Equal(t, a.Out, b.Out)
		require.Equal(t, a.Lines, b.Lines)
	})
}

func FuzzRun(f *testing.F) {
	f.Add("70", "1,5 m", "0.5 0.5", "50 %", "2", "copper", "25", "-", false)
	f.Add("1,234", "-", ";", "", "1e30", "Gold", "0", "\x00", true)
	f.Fuzz(func(t *testing.T, amps, m, joints, share, wires, metal, size, limit string, comma bool) {
		var st unit.Style
		if comma {
			st.Mark = unit.Comma
		}
		r, err := drop().Run(map[string]string{
			"batt_cont_A": amps, "cable_m": m, "joints_mohm": joints, "share": share,
			"wires": wires, "metal": metal, "size": size, "limit_V": limit}, st)
		if err != nil {
			if _, ok := err.(*InputError); !ok || len(r.Out) > 0 {
				t.Fatalf("%T %v beside %v", err, err, r.Out)
			}
			return
		}
		v, ok := r.Get("drop_V")
		if !ok || math.IsNaN(v.Number) || v.Number < 0 {
			t.Fatalf("%+v", r.Out)
		}
	})
}
