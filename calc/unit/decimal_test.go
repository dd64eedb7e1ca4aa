package unit

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestDecimalString(t *testing.T) {
	for _, tt := range []struct {
		in   Decimal
		want string // by hand: the point moved Exp places
	}{
		{Decimal{}, "0"},
		{Decimal{0, 5}, "0"},
		{Decimal{0, -2}, "0.00"},
		{Decimal{310, -2}, "3.10"},
		{Decimal{-5, -1}, "-0.5"},
		{Decimal{5, -3}, "0.005"},
		{Decimal{82, 5}, "8200000"},
		{Decimal{math.MinInt64, 0}, "-9223372036854775808"},
		{Decimal{math.MinInt64, -19}, "-0.9223372036854775808"},
	} {
		require.Equal(t, tt.want, tt.in.String(), "%d e %d", tt.in.Mantissa, tt.in.Exp)
	}
}

func TestScaled(t *testing.T) {
	for _, tt := range []struct {
		in   Decimal
		exp  int8
		want int64
		ok   bool
	}{
		{Decimal{843, -1}, -3, 84300, true},
		{Decimal{84300, -3}, -1, 843, true},
		{Decimal{843, -1}, 0, 0, false},    // 84.3 is no whole number
		{Decimal{1, 19}, 0, 0, false},      // above the largest int64, 9.2e18
		{Decimal{-9, 18}, 0, -9e18, true},  // within it
		{Decimal{0, -2}, 0, 0, true},       // zero at any exponent
		{Decimal{0, 127}, -128, 0, true},   // and the widest step
		{Decimal{1, 127}, -128, 0, false},  // which no int64 spans
		{Decimal{10, -128}, -127, 1, true}, // ends of an int8
	} {
		got, ok := tt.in.Scaled(tt.exp)
		require.Equal(t, tt.ok, ok, "%v at 1e%d", tt.in, tt.exp)
		require.Equal(t, tt.want, got, "%v at 1e%d", tt.in, tt.exp)
	}
}

func TestFromFloat(t *testing.T) {
	for _, tt := range []struct {
		v      float64
		digits int
		want   Decimal
	}{
		{84, 3, Decimal{84, 0}},
		{42000, 3, Decimal{42, 3}},
		{61.01180767491, 9, Decimal{610118077, -7}},
		{0.0999999, 3, Decimal{1, -1}},
		{-2.5, 1, Decimal{-2, 0}}, // half to even, IEEE 754
		{0.1, 17, Decimal{10000000000000001, -17}},
		{0.1, 99, Decimal{10000000000000001, -17}}, // 17 digits at most
		{7, 0, Decimal{7, 0}},                      // and 1 at least
		{5e-324, 17, Decimal{}},
		{1e300, 3, Decimal{1, 120}},
		{-math.MaxFloat64, 3, Decimal{-1, 120}},
	} {
		require.Equal(t, tt.want, FromFloat(tt.v, tt.digits), "%g to %d digits", tt.v, tt.digits)
	}
	require.Panics(t, func() { FromFloat(math.NaN(), 3) })
	require.Panics(t, func() { FromFloat(math.Inf(-1), 3) })
}

// Seventeen significant digits are enough to tell any two float64 apart:
// IEEE 754-2019, 5.12.2.
func TestFloatRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e90, 1e90).Draw(t, "v")
		if v != 0 && math.Abs(v) < 1e-90 {
			v = 0
		}
		require.Equal(t, v, FromFloat(v, 17).Float())
	})
}

// math/big is the oracle: Float is the float64 nearest to the exact number.
func TestFloatIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDecimal(t)
		exact, ok := new(big.Rat).SetString(d.String())
		require.True(t, ok)
		want, _ := exact.Float64()
		require.Equal(t, want, d.Float())
	})
}

func TestScaledAgreesWithString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDecimal(t)
		exp := rapid.Int8Range(-40, 40).Draw(t, "exp")
		if m, ok := d.Scaled(exp); ok {
			a, _ := new(big.Rat).SetString(d.String())
			b, _ := new(big.Rat).SetString(Decimal{m, exp}.String())
			require.Zero(t, a.Cmp(b), "%v and %d e %d", d, m, exp)
		}
	})
}

func drawDecimal(t *rapid.T) Decimal {
	return Decimal{rapid.Int64().Draw(t, "mantissa"), rapid.Int8Range(-40, 40).Draw(t, "exp")}
}

// drawTyped draws a Decimal such as ParseNumber returns.
func drawTyped(t *rapid.T) Decimal {
	const limit = 999_999_999_999
	return Decimal{
		rapid.Int64Range(-limit, limit).Draw(t, "mantissa"),
		rapid.Int8Range(-12, 5).Draw(t, "exp"),
	}.canonical()
}

// The names of units are found as they stand: find looks for them before it compacts
// what was written, and comes to the same.
func TestNamesAreCompact(t *testing.T) {
	for _, u := range measures {
		require.Equal(t, u.name, compact.Replace(u.name))
	}
}
