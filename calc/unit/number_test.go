package unit

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseNumber(t *testing.T) {
	for _, tt := range []struct {
		in   string
		m    Mark
		want Decimal
	}{
		{"84.3", Point, Decimal{843, -1}},
		{"84.3", Comma, Decimal{843, -1}},
		{"84,3", Point, Decimal{843, -1}},
		{"84,3", Comma, Decimal{843, -1}},
		{" +5 ", Point, Decimal{5, 0}},
		{"-0.5", Point, Decimal{-5, -1}},
		{"\u22120,5", Comma, Decimal{-5, -1}}, // minus sign
		{".5", Point, Decimal{5, -1}},
		{"3.10", Point, Decimal{310, -2}}, // digits typed are kept
		{"0.00", Point, Decimal{0, -2}},
		{"42000", Point, Decimal{42, 3}},
		{"007", Point, Decimal{7, 0}},
		{"1e6", Point, Decimal{1, 6}},
		{"1.5E-3", Point, Decimal{15, -4}},
		{"1.5e+3", Point, Decimal{15, 2}},
		{"1.234", Point, Decimal{1234, -3}},       // the person's own mark
		{"0,234", Comma, Decimal{234, -3}},        // no group of thousands begins with 0
		{"1234,567", Comma, Decimal{1234567, -3}}, // nor has it four digits
		{"1,2345", Point, Decimal{12345, -4}},
		{"1 234,5", Comma, Decimal{12345, -1}},
		{"1 234,567", Point, Decimal{1234567, -3}},            // spaces are the groups
		{"12\u202f345\u2009678", Point, Decimal{12345678, 0}}, // thin spaces
		{"123456789012345678", Point, Decimal{123456789012345678, 0}},
	} {
		got, err := ParseNumber(tt.in, tt.m)
		require.NoError(t, err)
		require.Equal(t, tt.want, got, "%q", tt.in)
	}
}

func TestParseNumberRejects(t *testing.T) {
	for _, tt := range []struct {
		in   string
		m    Mark
		want string
	}{
		{"", Point, `"" is not a number, want one such as 84.3`},
		{"  ", Comma, `"" is not a number, want one such as 84,3`},
		{"--5", Point, `"--5" is not a number, want one such as 84.3`},
		{"+-5", Point, `"+-5" is not a number, want one such as 84.3`},
		{"- 5", Point, `"- 5" is not a number, want one such as 84.3`},
		{"5-", Point, `"5-" is not a number, want one such as 84.3`},
		{"NaN", Point, `"NaN" is not a number, want one such as 84.3`},
		{"inf", Point, `"inf" is not a number, want one such as 84.3`},
		{"0x10", Point, `"0x10" is not a number, want one such as 84.3`},
		{"1_000", Point, `"1_000" is not a number, want one such as 84.3`},
		{"٣", Point, `"٣" is not a number, want one such as 84.3`},
		{"1e", Point, `"1e" is not a number, want one such as 84.3`},
		{"12 34", Point, `"12 34" is not a number, want one such as 84.3`},
		{"1  234", Point, `"1  234" is not a number, want one such as 84.3`},
		{"1234 567", Point, `"1234 567" is not a number, want one such as 84.3`},
		{"1.234 567", Point, `"1.234 567" is not a number, want one such as 84.3`},
		{"84.3 V", Point, `"84.3 V" is not a number, want one such as 84.3`},
		{".", Point, `"." ends in its decimal mark, want a digit after it`},
		{"5.", Point, `"5." ends in its decimal mark, want a digit after it`},
		{"1.2.3", Point, `"1.2.3" has more than one decimal mark, want one number such as 84.3`},
		{"1,234.5", Comma, `"1,234.5" has more than one decimal mark, want one number such as 84,3`},
		{"1,234,567", Point, `"1,234,567" has more than one decimal mark, want one number such as 84.3`},
		{"1234567890123456789", Point, `"1234567890123456789" has too many digits, want at most 18`},
		{"1e31", Point, `"1e31" is out of range, want an exponent of -30 to 30`},
		{"1e99999999999999999999", Point, `"1e99999999999999999999" is out of range, want an exponent of -30 to 30`},
		{"1,234", Point, `"1,234" can mean 1.234 or 1234: type one of these`},
		{"1,234", Comma, `"1,234" can mean 1,2340 or 1234: type one of these`},
		{"1.234", Comma, `"1.234" can mean 1,2340 or 1234: type one of these`},
		{"-12.345", Comma, `"-12.345" can mean -12,3450 or -12345: type one of these`},
		{"1,234e3", Point, `"1,234e3" can mean 1234 or 1234000: type one of these`},
	} {
		_, err := ParseNumber(tt.in, tt.m)
		require.EqualError(t, err, tt.want)
	}
}

func TestAmbiguousErrorCarriesBothReadings(t *testing.T) {
	_, err := ParseNumber("123,450", Comma)
	var ambiguous *AmbiguousError
	require.ErrorAs(t, err, &ambiguous)
	require.Equal(t, AmbiguousError{
		Text: "123,450", Small: Decimal{123450, -3}, Large: Decimal{12345, 1}, Mark: Comma,
	}, *ambiguous)
}

// What is printed with a person's mark reads back as the same number, or is
// asked back with that number as the first choice; each choice, as the error
// words it, is then accepted.
func TestNumberRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawTyped(t)
		m := rapid.SampledFrom([]Mark{Point, Comma}).Draw(t, "mark")
		got, err := ParseNumber(m.text(d.String()), m)
		if ambiguous, ok := err.(*AmbiguousError); ok {
			require.Equal(t, Comma, m)
			require.Equal(t, d, ambiguous.Small)
			for _, choice := range []Decimal{ambiguous.Small, ambiguous.Large} {
				again, err := ParseNumber(ambiguous.choice(choice), m)
				require.NoError(t, err)
				require.Equal(t, choice.Float(), again.Float())
			}
			return
		}
		require.NoError(t, err)
		require.Equal(t, d, got)
	})
}
