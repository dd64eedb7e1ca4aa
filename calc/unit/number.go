package unit

import (
	"fmt"
	"strconv"
	"strings"
)

// Mark is the decimal mark of a person's settings; the zero value is Point.
type Mark byte

// The two decimal marks of ISO 80000-1.
const (
	Point Mark = iota // 84.3
	Comma             // 84,3
)

// text returns plain decimal text, which has a point, with mark m instead.
func (m Mark) text(plain string) string {
	if m == Comma {
		return strings.Replace(plain, ".", ",", 1)
	}
	return plain
}

// An AmbiguousError asks back: Text can be read as Small or as Large and is
// not guessed, because a reading wrong by a thousand can hurt.
type AmbiguousError struct {
	Text         string  // as typed
	Small, Large Decimal // the mark taken as decimal mark, and as group separator
	Unit         string  // of Small and Large; "" if none was wanted
	Mark         Mark    // of the person's settings
}

func (e *AmbiguousError) Error() string {
	return fmt.Sprintf("%q can mean %s or %s: type one of these", e.Text, e.choice(e.Small), e.choice(e.Large))
}

// choice returns d as it can be typed without being asked back again.
func (e *AmbiguousError) choice(d Decimal) string {
	text := e.Mark.text(d.String())
	if whole, decimals, ok := strings.Cut(text, ","); ok && looksGrouped(strings.TrimPrefix(whole, "-"), decimals) {
		text += "0"
	}
	return join(text, Symbol(e.Unit))
}

// Limits of a typed number: 18 digits always fit an int64.
const (
	maxDigits   = 18
	maxExponent = 30
)

// ParseNumber reads a number as people type it: "84.3", "84,3", "+5", "-0.5",
// ".5", "1 234,5" (spaces between groups of three), "1e6". Point and comma
// are both taken as the decimal mark, whatever m is, with one exception: a
// comma, or a point where m is Comma, between one to three digits and exactly
// three may separate thousands. "1,234" is then an [*AmbiguousError] in any
// setting and "1.234" is one where m is Comma; where m is Point, "1.234" is
// accepted. Anything else that is not one number with at most one mark, 18
// digits and a size of 1e30 is an error that names the text.
func ParseNumber(s string, m Mark) (Decimal, error) {
	text := strings.TrimSpace(s)
	number, after := splitNumber(text)
	if after != "" {
		return Decimal{}, notNumber(text, m)
	}
	d, ambiguous, err := readNumber(number, text, m)
	if err == nil && ambiguous != nil {
		err = ambiguous
	}
	return d, err
}

func notNumber(text string, m Mark) error {
	return fmt.Errorf("%q is not a number, want one such as %s", text, m.text("84.3"))
}

// plainSpaces turns the spaces used between digit groups into plain ones, and
// the minus sign into a hyphen.
var plainSpaces = strings.NewReplacer("\u00a0", " ", "\u2007", " ", "\u2009", " ", "\u202f", " ", "\u2212", "-")

// splitNumber cuts s after everything that can belong to a number; whether it
// is one is left to readNumber.
func splitNumber(s string) (number, after string) {
	s = plainSpaces.Replace(s)
	i := 0
	for i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	for i < len(s) {
		switch next := s[i+1:]; {
		case isDigit(s[i]), s[i] == '.', s[i] == ',':
			i++
		case s[i] == ' ' && i > 0 && isDigit(s[i-1]) && next != "" && isDigit(next[0]):
			i++
		case (s[i] == 'e' || s[i] == 'E') && startsExponent(next):
			i += 2
			for i < len(s) && isDigit(s[i]) {
				i++
			}
			return s[:i], s[i:]
		default:
			return s[:i], s[i:]
		}
	}
	return s, ""
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func startsExponent(s string) bool {
	if s != "" && (s[0] == '+' || s[0] == '-') {
		s = s[1:]
	}
	return s != "" && isDigit(s[0])
}

// readNumber reads what splitNumber cut off; text is what to name in errors.
// If the number can be read two ways, both readings come back in ambiguous.
func readNumber(number, text string, m Mark) (d Decimal, ambiguous *AmbiguousError, err error) {
	body, exponent, hasExponent := strings.Cut(strings.ToLower(number), "e")
	negative := strings.HasPrefix(body, "-")
	if negative || strings.HasPrefix(body, "+") {
		body = body[1:]
	}
	at := strings.IndexAny(body, ".,")
	whole, decimals := body, ""
	if at >= 0 {
		whole, decimals = body[:at], body[at+1:]
		if strings.ContainsAny(decimals, ".,") {
			return d, nil, fmt.Errorf("%q has more than one decimal mark, want one number such as %s", text, m.text("84.3"))
		}
		if decimals == "" {
			return d, nil, fmt.Errorf("%q ends in its decimal mark, want a digit after it", text)
		}
	}
	digits, ok := ungroup(whole)
	if !ok || !allDigits(decimals) || digits+decimals == "" {
		return d, nil, notNumber(text, m)
	}
	significant := strings.TrimLeft(digits+decimals, "0")
	exp, expErr := strconv.Atoi("0" + strings.TrimLeft(exponent, "+-"))
	if strings.HasPrefix(exponent, "-") {
		exp = -exp
	}
	if len(significant) > maxDigits || len(decimals) > maxExponent {
		return d, nil, fmt.Errorf("%q has too many digits, want at most %d", text, maxDigits)
	}
	if hasExponent && (expErr != nil || exp > maxExponent || exp < -maxExponent) {
		return d, nil, fmt.Errorf("%q is out of range, want an exponent of -%d to %d", text, maxExponent, maxExponent)
	}
	d.Mantissa, _ = strconv.ParseInt("0"+significant, 10, 64)
	if negative {
		d.Mantissa = -d.Mantissa
	}
	large := Decimal{d.Mantissa, int8(exp)}
	d.Exp = int8(exp - len(decimals))
	d = d.canonical()
	mayGroup := at >= 0 && (body[at] == ',' || m == Comma)
	if mayGroup && looksGrouped(whole, decimals) {
		ambiguous = &AmbiguousError{Text: text, Small: d, Large: large.canonical(), Mark: m}
	}
	return d, ambiguous, nil
}

// looksGrouped reports whether a mark between whole and decimals may separate
// thousands. A group does not begin with 0, and "1 234,567" has its groups.
func looksGrouped(whole, decimals string) bool {
	return len(decimals) == 3 && 1 <= len(whole) && len(whole) <= 3 && whole[0] != '0'
}

// ungroup takes the spaces out of "1 234 567"; ok is false if s is not digits
// in groups of three.
func ungroup(s string) (digits string, ok bool) {
	groups := strings.Split(s, " ")
	for i, g := range groups {
		first := i == 0 && (len(groups) == 1 || 1 <= len(g) && len(g) <= 3)
		if !allDigits(g) || !first && (i == 0 || len(g) != 3) {
			return "", false
		}
	}
	return strings.Join(groups, ""), true
}

func allDigits(s string) bool {
	for i := range len(s) {
		if !isDigit(s[i]) {
			return false
		}
	}
	return true
}
