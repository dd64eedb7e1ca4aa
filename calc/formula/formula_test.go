package formula

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// values are the lookup of these tests.
func values(name string) (float64, bool) {
	v, ok := map[string]float64{
		"cells_series": 20, "cell_V_max": 4.2, "pack_max_V": 84, "zero": 0, "shift": -2, "nan": math.NaN(), "huge": 1e90,
	}[name]
	return v, ok
}

func TestEval(t *testing.T) {
	for in, want := range map[string]float64{ // by hand
		"cells_series * cell_V_max":           84,
		"500 * pack_max_V":                    42000,
		"2 + 3 * 4":                           14,
		"(2 + 3) * 4":                         20,
		"10 - 4 - 3":                          3,
		"10 - (4 - 3)":                        9,
		"24 / 4 / 2":                          3,
		"24 / (4 / 2)":                        12,
		"-2 * -3":                             6,
		"2 - -3":                              5,
		"--2":                                 2,
		"1e3 + 1.5E-1":                        1000.15,
		"min(3, 1, 2)":                        1,
		"max(3, 1, 2)":                        3,
		"abs(shift) + sqrt(16)":               6,
		"1 < 2":                               1,
		"2 <= 1":                              0,
		"2 > 2 or 2 >= 2":                     1,
		"1 == 1 and 2 == 3":                   0,
		"1 or 1 and 0":                        1, // and binds tighter
		"(1 < 2) == (3 < 4)":                  1,
		"(1 < 2) + 1":                         2,
		"5 and 7":                             1, // anything but 0 holds
		"zero == 0 or 1 / zero > 2":           1, // the right side is not looked at
		"zero > 0 and missing > 2":            0,
		"pack_max_V>=25 and pack_max_V<=98":   1,
		"100 * 0.5 * pack_max_V * pack_max_V": 352800,
	} {
		e, err := Parse(in)
		require.NoError(t, err)
		got, err := e.Eval(values)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-9, in)
	}
}

func TestEvalRejects(t *testing.T) {
	for in, want := range map[string]string{
		"missing_V + 1":               `no value for "missing_V"`,
		"1 / zero":                    `division by zero: "zero" is 0`,
		"1 / (2 - cells_series / 10)": `division by zero: "2 - cells_series / 10" is 0`,
		"sqrt(shift)":                 `"sqrt(shift)": square root of -2, want 0 or more`,
		"nan + 1":                     `value of "nan" is NaN, want a number of at most 1e+100`,
		"1 + huge * huge":             `"huge * huge" is out of range: 1e+180, want at most 1e+100`,
		"1e99 / 1e-300":               `"1e99 / 1e-300" is out of range: +Inf, want at most 1e+100`,
	} {
		e, err := Parse(in)
		require.NoError(t, err)
		_, err = e.Eval(values)
		require.EqualError(t, err, want)
	}
}

func TestParseRejects(t *testing.T) {
	const value = ` where a number, a name or "(" is expected`
	for _, tt := range []struct{ in, want string }{
		{"", `column 1: the formula ends` + value},
		{"   ", `column 4: the formula ends` + value},
		{"1 +", `column 4: the formula ends` + value},
		{"+ 1", `column 1: "+"` + value},
		{"1 + * 2", `column 5: "*"` + value},
		{"and", `column 1: "and"` + value},
		{"1 or or", `column 6: "or"` + value},
		{".5", `column 1: "."` + value},
		{"()", `column 2: ")"` + value},
		{"×", `column 1: "×"` + value},
		{"\xff", `column 1: "\xff"` + value},
		{"5.", `column 2: "." where an operator or the end is expected`},
		{"1,5", `column 2: "," where an operator or the end is expected`},
		{"2 x", `column 3: "x" where an operator or the end is expected`},
		{"2x", `column 2: "x" where an operator or the end is expected`},
		{"1e", `column 2: "e" where an operator or the end is expected`},
		{"a = b", `column 3: "=" where an operator or the end is expected`},
		{"a != b", `column 3: "!" where an operator or the end is expected`},
		{"a ^ 2", `column 3: "^" where an operator or the end is expected`},
		{"µ_r", `column 1: "µ"` + value},
		{"a × b", `column 3: "×" where an operator or the end is expected`},
		{"1)", `column 2: ")" where an operator or the end is expected`},
		{"(1", `column 3: the formula ends where an operator or ")" is expected`},
		{"f(1)", `column 2: "(" where an operator or the end is expected`},
		{"min + 1", `column 5: "+" where "(" after min is expected`},
		{"min(1)", `column 6: ")" where an operator or "," and another value for min is expected`},
		{"min(1, 2", `column 9: the formula ends where an operator or ")" is expected`},
		{"abs(1, 2)", `column 6: "," where an operator or ")" is expected`},
		{"abs()", `column 5: ")"` + value},
		{"1 < 2 < 3", `column 7: "<" after a comparison, want "and" or "or" between comparisons`},
		{"1e101", `column 1: "1e101" where a number of at most 1e+100 is expected`},
		{"1e999", `column 1: "1e999" where a number of at most 1e+100 is expected`},
		{strings.Repeat("(", 101) + "1" + strings.Repeat(")", 101), `column 101: formula nested deeper than 100`},
		{strings.Repeat("-", 300) + "1", `column 101: formula nested deeper than 100`},
		{strings.Repeat("abs(", 200), `column 401: formula nested deeper than 100`},
		{strings.Repeat(" ", 1001), `formula of 1001 bytes, want at most 1000`},
		{"1" + strings.Repeat("+1", 400), `formula of 1601 bytes when spaced, want at most 1000`},
	} {
		_, err := Parse(tt.in)
		require.EqualError(t, err, tt.want)
	}
}

func TestLimitsAreReached(t *testing.T) {
	for _, in := range []string{
		strings.Repeat("(", 99) + "1" + strings.Repeat(")", 99),
		strings.Repeat("-", 99) + "1",
		"1" + strings.Repeat(" + 1", 249), // 997 bytes
		strings.Repeat("a", 1000),
	} {
		e, err := Parse(in)
		require.NoError(t, err)
		_, err = Parse(e.String())
		require.NoError(t, err)
	}
}

func TestString(t *testing.T) {
	for in, want := range map[string]string{
		"a*b+c":                "a * b + c",
		"((a*b))+(c)":          "a * b + c",
		"a*(b+c)":              "a * (b + c)",
		"a-(b-c)":              "a - (b - c)",
		"(a-b)-c":              "a - b - c",
		"a+(b+c)":              "a + (b + c)", // as floating point adds
		"-(a*b)":               "-(a * b)",
		"(-a)*b":               "-a * b",
		"-(-a)":                "--a",
		"-(1)":                 "-1",
		"(a<b)==c":             "(a < b) == c",
		"(a<b)and((c<d)or(e))": "a < b and (c < d or e)",
		"min( a,b ,(c))":       "min(a, b, c)",
		"1.50e+3":              "1.50e+3", // numbers stay as written
	} {
		e, err := Parse(in)
		require.NoError(t, err)
		require.Equal(t, want, e.String(), in)
	}
}

func TestNames(t *testing.T) {
	e, err := Parse("min(b, a) + b * sqrt(_x9) - 2 + minimum")
	require.NoError(t, err)
	require.Equal(t, []string{"_x9", "a", "b", "minimum"}, e.Names())
	e, err = Parse("1 + 2")
	require.NoError(t, err)
	require.Empty(t, e.Names())
}

func TestSubstitute(t *testing.T) {
	show := map[string]string{"cells_series": "20", "cell_V_max": "4.2 V", "t": "-2 °C", "u": "\u22123 °C"}
	for in, want := range map[string]string{
		"cells_series * cell_V_max":     "20 × 4.2 V",
		"cell_V_max*(cells_series-1)/2": "4.2 V × (20 - 1) / 2",
		"t - u":                         "(-2 °C) - (\u22123 °C)",
		"max(t, 0) <= 8 and 1":          "max((-2 °C), 0) <= 8 and 1",
	} {
		e, err := Parse(in)
		require.NoError(t, err)
		require.Equal(t, want, e.Substitute(func(name string) string { return show[name] }))
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"0.1 * v + v * v / 25.92 / brake_ms2", "min(a, 0.9 * b)", "a >= 25 and a <= 38", "1e3", "--1", "(1 < 2) == 1", "\xff", "or", "1.",
	} {
		f.Add(s, 1.5)
	}
	f.Fuzz(func(t *testing.T, s string, v float64) {
		e, err := Parse(s)
		if err != nil {
			require.Nil(t, e)
			return
		}
		again, err := Parse(e.String())
		require.NoError(t, err, e.String())
		require.Equal(t, e, again)
		require.True(t, slices.IsSorted(e.Names()))
		got, err := e.Eval(func(string) (float64, bool) { return v, true })
		require.False(t, math.IsNaN(got) || math.IsInf(got, 0))
		if err != nil {
			require.Zero(t, got)
		}
		require.NotEmpty(t, e.Substitute(func(string) string { return "-1 V" }))
	})
}
