package unit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFormat(t *testing.T) {
	si, comma, us := Style{}, Style{Mark: Comma}, Style{US: true}
	for _, tt := range []struct {
		v    float64
		unit string
		st   Style
		want string // by hand, from the rule in the comment of Format
	}{
		{42000, "ohm", si, "42.0 kohm"},
		{55e6, "ohm", si, "55.0 Mohm"},
		{8.2e6, "ohm", comma, "8,20 Mohm"},
		{9990, "ohm", si, "9990 ohm"},
		{999960, "ohm", si, "1.00 Mohm"}, // rounds up into the next unit
		{0.0004, "V", si, "0.400 mV"},
		{0.0004, "ohm", si, "400 µohm"},
		{2.5e-9, "ohm", si, "0.00250 µohm"},
		{12000, "mV", si, "12.0 V"},
		{0.038, "V", si, "0.0380 V"},
		{84, "V", si, "84.0 V"},
		{84, "V", comma, "84,0 V"},
		{105, "Nm", si, "105 N·m"},
		{3264.4, "Wh", si, "3264 Wh"},
		{32640, "Wh", si, "32.6 kWh"},
		{9.996, "mm", si, "10.0 mm"},
		{99.96, "mm", si, "100 mm"},
		{1234567, "mm", si, "1234567 mm"},
		{-0.5, "V", si, "-0.500 V"},
		{0, "V", si, "0 V"},
		{math.Copysign(0, -1), "V", si, "0 V"},
		{20, "count", si, "20"},
		{0.85, "ratio", comma, "0,850"},
		{85, "%", si, "85.0 %"},
		{4, "set", si, "4 set"},
		{2.5, "pc", si, "2.50 pc"},
		{141130, "cents", si, "141130 cents"},
		{1e20, "m", si, "1.00e+20 m"},
		{1e-12, "m", si, "1.00e-12 m"},
		{7, "furlong", si, "7.00 furlong"},
		{math.NaN(), "V", si, "no value"},
		{math.Inf(1), "V", si, "no value"},
		// US customary, factors of NIST SP 811.
		{61.0118, "Nm", us, "45.0 lbf·ft"},
		{2.54, "mm", us, "0.100 in"},
		{0.08, "mm", us, "0.0031 in"},
		{254, "cm", us, "100.000 in"},
		{0, "mm", us, "0 in"},
		{83.9146, "kg", us, "185 lb"},
		{80.4672, "km/h", us, "50.0 mph"},
		{160.9344, "km", us, "100 mi"},
		{241.3165, "kPa", us, "35.0 psi"},
		{2.413165, "bar", us, "35.0 psi"},
		{100, "degC", us, "212 °F"},
		{0.3048, "m", us, "1.00 ft"},
		{4.448222, "N", us, "1.00 lbf"},
		{25, "Wh/km", us, "40.2 Wh/mi"},
		{8, "K", us, "8.00 K"}, // a difference stays in kelvins
		{84, "V", us, "84.0 V"},
	} {
		require.Equal(t, tt.want, Format(tt.v, tt.unit, tt.st), "%g %s", tt.v, tt.unit)
	}
}

func TestFormatDecimal(t *testing.T) {
	si, comma, us := Style{}, Style{Mark: Comma}, Style{US: true}
	for _, tt := range []struct {
		d    Decimal
		unit string
		st   Style
		want string
	}{
		{Decimal{843, -1}, "V", comma, "84,3 V"},
		{Decimal{310, -2}, "V", si, "3.10 V"},
		{Decimal{82, 5}, "ohm", si, "8.2 Mohm"},
		{Decimal{41960, 0}, "ohm", si, "41.960 kohm"},
		{Decimal{41999, 0}, "ohm", si, "41.999 kohm"}, // not 42.0, which may be the limit
		{Decimal{4, -4}, "V", si, "0.4 mV"},
		{Decimal{123456, -4}, "mm", si, "12.3456 mm"},
		{Decimal{2, 1}, "count", si, "20"},
		{Decimal{0, -2}, "V", si, "0.00 V"},
		{Decimal{7, 0}, "furlong", comma, "7 furlong"},
		{Decimal{254, -2}, "mm", us, "0.100 in"},
		{Decimal{843, -1}, "V", us, "84.3 V"},
	} {
		require.Equal(t, tt.want, FormatDecimal(tt.d, tt.unit, tt.st))
	}
}
