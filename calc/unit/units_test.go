package unit

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// dataUnits are the units of the built-in plans and of this package's users.
var dataUnits = []string{
	"count", "pc", "set", "lot", "ratio", "%", "V", "mV", "A", "mA", "Ah", "mAh", "W", "kW", "J", "Wh", "kWh",
	"ohm", "mohm", "uohm", "kohm", "Mohm", "mohm/m", "ohm/km", "uF", "F", "s", "ms", "min", "h", "d", "Hz", "rpm", "rpm/V",
	"m", "mm", "km", "cm", "mm2", "m2", "l", "ml", "kg", "g", "g0", "kg/m3", "km/h", "m/s", "m/s2", "Nm", "N", "kN",
	"kPa", "bar", "psi", "MPa", "degC", "K", "K/W", "mV/week", "Wh/km", "cents", "cents/kWh", "A/mm2", "deg", "Nm/A", "l/100km", "cents/l", "cents/km",
	"kJ", "MJ", "hp", "PS", "yd", "in2", "gal", "impgal", "oz", "ft/s", "kgf", "Pa", "ksi", "N/mm", "lbf/in", "h2",
	"ohm/kft", "ohmmm2/m", "ohm/V", "mF", "A2s",
}

func TestKnown(t *testing.T) {
	for _, u := range append(dataUnits, "N·m", "ft-lb", "kΩ", "k\u2126", "µF", "μF", "mm²", "in", "°F", "lbs") {
		require.True(t, Known(u), u)
	}
	for _, u := range []string{"", " ", "-", "furlong", "Kg/m", "MV", "MA"} {
		require.False(t, Known(u), u)
	}
}

func TestSymbol(t *testing.T) {
	for unit, want := range map[string]string{
		"Nm": "N·m", "degC": "°C", "ohm": "ohm", "mm2": "mm²", "m/s2": "m/s²", "kg/m3": "kg/m³", "uF": "µF",
		"A/mm2": "A/mm²", "ft-lb": "lbf·ft", "count": "", "ratio": "", "%": "%", "g": "g", "furlong": "furlong",
	} {
		require.Equal(t, want, Symbol(unit), unit)
	}
}

// Every unit is found by its own name, by its symbol and by each alias, where
// its own dimension is wanted: no spelling is shadowed by an earlier unit.
func TestTableIsConsistent(t *testing.T) {
	for _, u := range measures {
		for _, s := range append([]string{u.name, Symbol(u.name)}, strings.Fields(u.aliases)...) {
			if s == "" {
				continue // the symbol of a bare number
			}
			got, ok := find(s, u.dim)
			require.True(t, ok, s)
			require.Equal(t, u.name, got.name, s)
		}
		require.Equal(t, u.name, compact.Replace(u.name), "a name must be spelled as compact leaves it")
		require.Greater(t, u.factor, 0.0, u.name)
		if u.us != "" {
			us, ok := find(u.us, u.dim)
			require.True(t, ok && us.dim == u.dim, u.name)
		}
		if u.zero != 0 {
			require.Zero(t, u.exp, "%s: to takes the zero before the power of ten", u.name)
		}
	}
}

// Factors as printed in NIST SP 811 (2008), appendix B.8, in SI units: those
// to four decimals or less are exact there, the others rounded to seven
// figures. The first four were compared with quotations of the publication,
// the rest are from memory of it.
func TestConvertMatchesSP811(t *testing.T) {
	for _, tt := range []struct {
		from, to string
		factor   float64
		relative float64 // half of the last figure printed
	}{
		{"lbf·ft", "Nm", 1.355818, 5e-7},
		{"lbf·in", "Nm", 0.1129848, 5e-7},
		{"psi", "kPa", 6.894757, 1e-7},
		{"kgf·m", "Nm", 9.80665, 1e-15},
		{"in", "mm", 25.4, 1e-15},
		{"ft", "m", 0.3048, 1e-15},
		{"mi", "km", 1.609344, 1e-15},
		{"mph", "km/h", 1.609344, 1e-15},
		{"mph", "m/s", 0.44704, 1e-15},
		{"lb", "kg", 0.4535924, 2e-7},
		{"lbf", "N", 4.448222, 2e-7},
		{"g0", "m/s2", 9.80665, 1e-15},
		{"bar", "kPa", 100, 1e-15},
		{"kWh", "J", 3.6e6, 1e-15},
		{"km/h", "m/s", 0.2777778, 2e-7},
		{"d", "s", 86400, 1e-15},
		{"l", "ml", 1000, 1e-15},
		{"hp", "W", 745.6999, 1e-7},
		{"PS", "W", 735.4988, 1e-7},
		{"US gal", "l", 3.785412, 2e-7},
		{"imp gal", "l", 4.54609, 1e-15},
		{"oz", "gram", 28.34952, 2e-7},
		{"yd", "m", 0.9144, 1e-15},
		{"in2", "mm2", 645.16, 1e-15},
		{"ft/s", "m/s", 0.3048, 1e-15},
		{"kgf", "N", 9.80665, 1e-15},
		{"psi", "Pa", 6894.757, 1e-7},
		{"ksi", "MPa", 6.894757, 1e-7},
		{"lbf/in", "N/mm", 0.1751268, 3e-7},
		{"N/mm2", "MPa", 1, 1e-15},
		{"kWh", "MJ", 3.6, 1e-15},
		{"Wh", "kJ", 3.6, 1e-15},
		{"h2", "h2", 1, 1e-15},
	} {
		got, err := Convert(1, tt.from, tt.to)
		require.NoError(t, err)
		require.InEpsilon(t, tt.factor, got, tt.relative, "%s in %s", tt.from, tt.to)
		back, err := Convert(got, tt.to, tt.from)
		require.NoError(t, err)
		require.InEpsilon(t, 1, back, 1e-15, "%s in %s", tt.to, tt.from)
	}
}

// The composed units against their definitions as exact fractions: SP 811
// (2008), appendix B; the gallons: 231 in³, and 4.54609 l.
func TestFactorsAreExact(t *testing.T) {
	r := func(s string) *big.Rat { v, _ := new(big.Rat).SetString(s); return v }
	mul := func(all ...string) *big.Rat {
		p := r("1")
		for _, s := range all {
			p.Mul(p, r(s))
		}
		return p
	}
	const ft, in, lb, g = "0.3048", "0.0254", "0.45359237", "9.80665"
	for _, tt := range []struct {
		from, to string
		want     *big.Rat
	}{
		{"mi", "m", mul("5280", ft)},
		{"yd", "m", mul("3", ft)},
		{"lb", "kg", r(lb)},
		{"oz", "gram", mul(lb, "1000/16")},
		{"lbf", "N", mul(lb, g)},
		{"lbfft", "Nm", mul(lb, g, ft)},
		{"lbfin", "Nm", mul(lb, g, in)},
		{"psi", "Pa", new(big.Rat).Quo(mul(lb, g), mul(in, in))},
		{"ksi", "MPa", new(big.Rat).Quo(mul(lb, g, "1/1000"), mul(in, in))},
		{"gal", "l", mul("231000", in, in, in)},
		{"hp", "W", mul("550", ft, lb, g)},
		{"PS", "W", mul("75", g)},
		{"mph", "m/s", mul("5280/3600", ft)},
		{"ft/s", "m/s", r(ft)},
		{"in2", "mm2", r("645.16")},
	} {
		got, err := Convert(1, tt.from, tt.to)
		require.NoError(t, err)
		want, _ := tt.want.Float64()
		require.InEpsilon(t, want, got, 3e-16, "%s in %s", tt.from, tt.to)
	}
}

func TestConvert(t *testing.T) {
	for _, tt := range []struct {
		v        float64
		from, to string
		want     float64
	}{
		// Ice and steam points, and where the scales meet: from memory.
		{0, "degC", "degF", 32},
		{100, "degC", "degF", 212},
		{-40, "degF", "degC", -40},
		// By hand; powers of ten are correctly rounded.
		{0.1, "V", "mV", 100},
		{0.3, "mohm", "ohm", 0.0003},
		{85, "%", "ratio", 0.85},
		{0.8, "ohm/km", "mohm/m", 0.8},
		{90, "km/h", "m/s", 25},
		// A spelling of two units is read as what the other one measures.
		{500, "g", "kg", 0.5},
		{2, "kg", "g", 2000},
		{32, "F", "degC", 0},
		{1, "g", "m/s2", 9.80665},
		{0.3048, "ohm/1000 ft", "mohm/m", 1}, // 0.3048 ohm over 304.8 m
		{2, "mF", "uF", 2000},
	} {
		got, err := Convert(tt.v, tt.from, tt.to)
		require.NoError(t, err)
		require.InDelta(t, tt.want, got, 1e-13*math.Max(1, math.Abs(tt.want)), "%g %s in %s", tt.v, tt.from, tt.to)
	}
}

func TestConvertRejects(t *testing.T) {
	for _, tt := range []struct {
		v        float64
		from, to string
		want     string
	}{
		{1, "furlong", "m", `unknown unit "furlong" to convert from`},
		{1, "m", "furlong", `unknown unit "furlong" to convert to`},
		{1, "V", "Nm", `a voltage in V is not a torque in Nm`},
		{25, "degC", "K", `a temperature in degC is not a temperature difference in K`},
		{50, "Hz", "rpm", `a frequency in Hz is not a speed of rotation in rpm`},
		{math.NaN(), "V", "mV", `NaN V to mV: out of range, want at most 1e100`},
		{1e99, "V", "mV", `1e+99 V to mV: out of range, want at most 1e100`},
	} {
		_, err := Convert(tt.v, tt.from, tt.to)
		require.EqualError(t, err, tt.want)
	}
}
