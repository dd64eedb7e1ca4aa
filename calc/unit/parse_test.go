package unit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for _, tt := range []struct {
		in, want string
		value    Decimal
	}{
		// Exact, by hand: the point moved by the prefix.
		{"84.3", "V", Decimal{843, -1}},
		{"84,3 V", "V", Decimal{843, -1}},
		{"84.3V", "mV", Decimal{843, 2}},
		{"-0.5 V", "V", Decimal{-5, -1}},
		{"8,2M", "ohm", Decimal{82, 5}},
		{"1.2M", "ohm", Decimal{12, 5}},
		{"1.2 M", "ohm", Decimal{12, 5}},
		{"55 MΩ", "ohm", Decimal{55, 6}},
		{"21k", "ohm", Decimal{21, 3}},
		{"21K", "kohm", Decimal{21, 0}},
		{"2.5G", "Mohm", Decimal{25, 2}},
		{"16 mohm", "ohm", Decimal{16, -3}},
		{"16 mΩ", "mohm", Decimal{16, 0}},
		{"16m", "mohm", Decimal{16, 0}}, // the prefix is of the ohm
		{"16", "mohm", Decimal{16, 0}},
		{"3.10k", "ohm", Decimal{31, 2}},
		{"3.10 mV", "V", Decimal{310, -5}},
		{"470u", "uF", Decimal{470, 0}.canonical()},
		{"0.47 mV", "mV", Decimal{47, -2}},
		{"5m", "V", Decimal{5, -3}},
		{"5n", "F", Decimal{5, -9}},
		{"1 234,5 W", "W", Decimal{12345, -1}},
		{"2.6 mm", "mm", Decimal{26, -1}},
		{"5 m", "mm", Decimal{5, 3}},
		{"2.4 bar", "kPa", Decimal{24, 1}},
		{"85 %", "ratio", Decimal{85, -2}},
		{"500 g", "kg", Decimal{5, -1}}, // grams
		{"6 g", "g", Decimal{6, 0}},     // of free fall
		{"0.8 ohm/km", "mohm/m", Decimal{8, -1}},
		{"2.5 kWh", "Wh", Decimal{25, 2}},
		{"4", "count", Decimal{4, 0}},
		{"45 N m", "Nm", Decimal{45, 0}},
		{"45 nm", "Nm", Decimal{45, 0}}, // nobody types nanometres of torque
		{"30 °C", "degC", Decimal{3, 1}},
		{"3 K", "K", Decimal{3, 0}},
		// Through a factor, by hand from the exact definitions, nine figures.
		{"45 lbf·ft", "Nm", Decimal{610118077, -7}}, // 45 x 1.3558179483314004
		{"45 lbf ft", "Nm", Decimal{610118077, -7}},
		{"45 ft-lb", "Nm", Decimal{610118077, -7}},
		{"45 ft.lbs", "Nm", Decimal{610118077, -7}},
		{"45 lb-ft", "Nm", Decimal{610118077, -7}},
		{"100 in-lb", "Nm", Decimal{112984829, -7}}, // 100 x 0.1129848290276167
		{"2 kgf·m", "Nm", Decimal{196133, -4}},
		{"0.1 in", "mm", Decimal{254, -2}},
		{`2"`, "mm", Decimal{508, -1}},
		{"35 psi", "kPa", Decimal{241316505, -6}}, // 35 x 6.894757293168361
		{"185 lb", "kg", Decimal{839145885, -7}},  // 83.91458845
		{"50 mph", "km/h", Decimal{804672, -4}},
		{"98 °F", "degC", Decimal{366666667, -7}},
		{"98F", "degC", Decimal{366666667, -7}},
		{"-40 °F", "degC", Decimal{-4, 1}},
		{"90 min", "h", Decimal{15, -1}},
		{"1 g", "m/s2", Decimal{980665, -5}},
	} {
		for _, m := range []Mark{Point, Comma} {
			got, err := Parse(tt.in, tt.want, m)
			require.NoError(t, err)
			require.Equal(t, tt.value, got, "%q in %s", tt.in, tt.want)
		}
	}
}

func TestParseRejects(t *testing.T) {
	for _, tt := range []struct {
		in, want string
		m        Mark
		err      string
	}{
		{"45 V", "Nm", Point, `"45 V" where a torque in N·m is wanted`},
		{"5 m", "V", Point, `"5 m" where a voltage in V is wanted`},
		{"5 V", "count", Point, `"5 V" where a count is wanted`},
		{"35 °C", "K", Point, `"35 °C" where a temperature difference in K is wanted`},
		{"21k", "Nm", Point, `unknown unit "k" in "21k": a torque is typed in N·m, lbf·ft, lbf·in, kgf·m`},
		{"3 furlong", "mm", Point, `unknown unit "furlong" in "3 furlong": a length is typed in mm, m, cm, km, in, ft, mi, yd`},
		{"5 MV", "V", Point, `unknown unit "MV" in "5 MV": a voltage is typed in V, mV`},
		{"3 of", "ratio", Point, `unknown unit "of" in "3 of": a ratio is typed in a plain number, %`},
		{"45", "furlong", Point, `unknown unit "furlong" is wanted for "45"`},
		{"", "V", Comma, `"" is not a number, want one such as 84,3`},
		{"V", "V", Point, `"V" is not a number, want one such as 84.3`},
		{"NaN V", "V", Point, `"NaN V" is not a number, want one such as 84.3`},
		{"inf", "V", Point, `"inf" is not a number, want one such as 84.3`},
		{"--5 V", "V", Point, `"--5 V" is not a number, want one such as 84.3`},
		{"5-6 V", "V", Point, `"5-6 V" is not a number, want one such as 84.3`},
		{"<5 V", "V", Point, `"<5 V" is not a number, want one such as 84.3`},
		{"1.2.3 V", "V", Point, `"1.2.3 V" has more than one decimal mark, want one number such as 84.3`},
		{"5. V", "V", Point, `"5. V" ends in its decimal mark, want a digit after it`},
		{"0x10 V", "V", Point, `unknown unit "x10 V" in "0x10 V": a voltage is typed in V, mV`},
		{"1,234", "V", Point, `"1,234" can mean 1.234 V or 1234 V: type one of these`},
		{"1,234 V", "mV", Comma, `"1,234 V" can mean 1234 mV or 1234000 mV: type one of these`},
		{"1.234 Nm", "Nm", Comma, `"1.234 Nm" can mean 1,2340 N·m or 1234 N·m: type one of these`},
		{"4,200k", "ohm", Comma, `"4,200k" can mean 4200 ohm or 4200000 ohm: type one of these`},
		{"1,270 in", "mm", Comma, `"1,270 in" can mean 32,2580 mm or 32258 mm: type one of these`},
	} {
		_, err := Parse(tt.in, tt.want, tt.m)
		require.EqualError(t, err, tt.err)
	}
}

// What FormatDecimal shows, Parse reads back as the same number, or asks back
// with that number as its first choice.
func TestParseUndoesFormatDecimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawTyped(t)
		u := rapid.SampledFrom(dataUnits).Draw(t, "unit")
		st := Style{Mark: rapid.SampledFrom([]Mark{Point, Comma}).Draw(t, "mark")}
		text := FormatDecimal(d, u, st)
		got, err := Parse(text, u, st.Mark)
		if ambiguous, ok := err.(*AmbiguousError); ok {
			got, err = ambiguous.Small, nil
			require.Equal(t, Comma, st.Mark)
		}
		require.NoError(t, err)
		require.Equal(t, d.Float(), got.Float(), text)
	})
}

// Shown in whatever style and read back, a value stays within half of the last
// digit shown: three significant figures, or three decimals of an inch.
func TestParseNearFormat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")
		if math.Abs(v) < 1e-20 { // below what can be typed
			v = 0
		}
		u := rapid.SampledFrom(dataUnits).Draw(t, "unit")
		st := Style{
			Mark: rapid.SampledFrom([]Mark{Point, Comma}).Draw(t, "mark"),
			US:   rapid.Bool().Draw(t, "US"),
		}
		text := Format(v, u, st)
		got, err := Parse(text, u, st.Mark)
		if ambiguous, ok := err.(*AmbiguousError); ok {
			got, err = ambiguous.Small, nil
		}
		require.NoError(t, err)
		half := 0.0051 * math.Abs(v) // half a digit of 1.00, and a little for nine figures
		switch Symbol(u) {
		case "mm":
			half = max(half, 0.0005*25.4)
		case "cm":
			half = max(half, 0.0005*2.54)
		case "°C":
			half = max(half, 0.0051*math.Abs(v+32/1.8))
		}
		require.InDelta(t, v, got.Float(), half, text)
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"84,3 V", "8.2M", "45 lbf·ft", "1 234,5", "1,234", "--5", "1e30k", "-98 °F", "9e-30 in", "\u22125\u2009000"} {
		f.Add(s, uint8(0), false)
	}
	f.Fuzz(func(t *testing.T, s string, unit uint8, comma bool) {
		want, m := dataUnits[int(unit)%len(dataUnits)], Point
		if comma {
			m = Comma
		}
		got, err := Parse(s, want, m)
		if ambiguous, ok := err.(*AmbiguousError); ok {
			got, err = ambiguous.Small, nil
			require.NotEqual(t, ambiguous.Small.Float(), ambiguous.Large.Float())
		}
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		v := got.Float()
		require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%q is %v", s, got)
		again, err := ParseNumber(got.String(), Point)
		if err == nil { // more than 18 digits are refused
			require.Equal(t, v, again.Float(), "%q", s)
		}
	})
}
