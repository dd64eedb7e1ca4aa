package unit

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"
)

// convertedDigits is how far a value converted by other than a power of ten
// is kept: more than any instrument in a garage shows.
const convertedDigits = 9

// Parse reads a quantity as people type it and returns its value in the unit
// want: "84,3 V", "16 mΩ" or "0.016" where ohm is wanted, "45 lbf·ft" or
// "45 ft-lb" where Nm is wanted. A number alone is in want. After a number
// where resistance, voltage, current, power or capacitance is wanted, a bare
// SI prefix (n, u or µ, m, k or K, M, G) stands for that multiple of ohm, V,
// A, W or F: "8,2M", "21k"; "m" only without a space before it, since "5 m"
// is five metres.
//
// The value is exact if the two units differ by a power of ten and is
// otherwise rounded to 9 significant digits. Errors name the text: an
// [*AmbiguousError] as for [ParseNumber], with both readings in want; a unit
// that is not known, or measures something else.
func Parse(s, want string, m Mark) (Decimal, error) {
	wanted, ok := find(want, "")
	if !ok {
		return Decimal{}, fmt.Errorf("unknown unit %q is wanted for %q", want, s)
	}
	text := strings.TrimSpace(s)
	number, after := splitNumber(text)
	rest := strings.TrimSpace(after)
	if rest != "" && !startsUnit(rest) {
		return Decimal{}, notNumber(text, m)
	}
	d, ambiguous, err := readNumber(number, text, m)
	if err != nil {
		return Decimal{}, err
	}
	from, err := wanted.typed(rest, rest == after, text)
	if err != nil {
		return Decimal{}, err
	}
	if ambiguous != nil {
		ambiguous.Small = convert(ambiguous.Small, from, wanted)
		ambiguous.Large = convert(ambiguous.Large, from, wanted)
		ambiguous.Unit = wanted.name
		return Decimal{}, ambiguous
	}
	return convert(d, from, wanted), nil
}

func startsUnit(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLetter(r) || strings.ContainsRune(`%°º"'″′℃℉`, r)
}

// typed returns the unit that a person who was asked for u meant by rest, the
// end of text, attached to the number or after a space.
func (u measure) typed(rest string, attached bool, text string) (measure, error) {
	if rest == "" {
		return u, nil
	}
	if exp, ok := prefix(rest); ok && u.takesPrefix() && (rest != "m" || attached) {
		return measure{dim: u.dim, factor: 1, exp: exp}, nil
	}
	from, ok := find(rest, u.dim)
	if !ok {
		return measure{}, fmt.Errorf("unknown unit %q in %q: %s is typed in %s", rest, text, u.dim, u.spellings())
	}
	if from.dim != u.dim {
		where := string(u.dim)
		if symbol := Symbol(u.name); symbol != "" {
			where += " in " + symbol
		}
		return measure{}, fmt.Errorf("%q where %s is wanted", text, where)
	}
	return from, nil
}

func (u measure) takesPrefix() bool {
	switch u.dim {
	case resistance, voltage, current, power, capacitance:
		return true
	}
	return false
}

func prefix(s string) (exp int8, ok bool) {
	switch s {
	case "n":
		return -9, true
	case "u", "µ", "μ":
		return -6, true
	case "m":
		return -3, true
	case "k", "K":
		return 3, true
	case "M":
		return 6, true
	case "G":
		return 9, true
	}
	return 0, false
}

// spellings lists the units that can be typed where u is wanted, u first.
func (u measure) spellings() string {
	list := u.shown()
	for _, other := range measures {
		if other.dim == u.dim && other.name != u.name {
			list += ", " + other.shown()
		}
	}
	return list
}

func (u measure) shown() string {
	if symbol := Symbol(u.name); symbol != "" {
		return symbol
	}
	return "a plain number"
}

// convert takes d, in unit from, to unit to of the same dimension.
func convert(d Decimal, from, to measure) Decimal {
	if from.factor == to.factor && from.zero == to.zero {
		return d.shift(from.exp - to.exp)
	}
	return FromFloat(from.to(d.Float(), to), convertedDigits)
}

// to returns v, in unit u, in unit w of the same dimension.
func (u measure) to(v float64, w measure) float64 {
	if u.factor != w.factor || u.zero != w.zero {
		v = (v-u.zero)*u.factor/w.factor + w.zero // a unit with a zero has no exp
	}
	// 10^n is exact for n of 0 to 22, 10^-n is not.
	if n := int(u.exp - w.exp); n < 0 {
		return v / math.Pow10(-n)
	} else {
		return v * math.Pow10(n)
	}
}

// Convert returns v, in unit from, in unit to; a spelling of two units ("g",
// "F") is the one that the other unit measures as well. It is an error if a
// unit is not known, if the two do not measure the same, or if v or the result
// is not a number within 1e±100.
func Convert(v float64, from, to string) (float64, error) {
	u, ok := find(from, "")
	if !ok {
		return 0, fmt.Errorf("unknown unit %q to convert from", from)
	}
	w, ok := find(to, u.dim)
	if !ok {
		return 0, fmt.Errorf("unknown unit %q to convert to", to)
	}
	if v, _ := find(from, w.dim); v.dim == w.dim {
		u = v // "g" in lb is a mass, "F" in degC a temperature
	}
	if u.dim != w.dim {
		return 0, fmt.Errorf("%s in %s is not %s in %s", u.dim, u.name, w.dim, w.name)
	}
	const largest = 1e100
	got := u.to(v, w)
	if !(math.Abs(v) <= largest && math.Abs(got) <= largest) {
		return 0, fmt.Errorf("%g %s to %s: out of range, want at most 1e100", v, u.name, w.name)
	}
	return got, nil
}
