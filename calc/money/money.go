// Package money reads and shows amounts of money, counted in minor units of
// an ISO 4217 currency so that two devices agree exactly.
package money

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"ampwright/calc/unit"
)

// Amount is a sum of money in minor units of a currency: 1250 is 12.50 in
// EUR, 1250 in JPY and 1.250 in KWD. Which currency is kept elsewhere, once.
type Amount int64

// maxAmount bounds what can be typed, so that sums of amounts never overflow.
const maxAmount = 1e15

// Parse reads an amount of currency as people type it: "12.50", "12,50",
// "€12,50", "EUR 12.50", "12.50 EUR", "-5", "1 234,50", "1,234.50". Where both
// point and comma are there the last is the decimal mark; a mark that is
// there twice separates thousands. "1,234" is not guessed, as in
// [unit.ParseNumber]: for a currency with three decimals or more it is a
// [*unit.AmbiguousError], for others it has too many decimals. Errors name the
// text: a sign or code of another currency, more decimals than the currency
// has (even zeros), more than 1e15 minor units.
func Parse(s, currency string, m unit.Mark) (Amount, error) {
	digits, err := Digits(currency)
	if err != nil {
		return 0, err
	}
	text := strings.TrimSpace(s)
	number, err := takeCurrency(text, currency)
	if err != nil {
		return 0, err
	}
	example := Amount(1250).Format(currency, m)
	if strings.ContainsAny(number, "eE") { // 1e6 is for quantities
		return 0, fmt.Errorf("%q is not an amount, want one such as %s", text, example)
	}
	number, ok := ungroup(number)
	if !ok {
		return 0, fmt.Errorf("%q has its marks in odd places, want an amount such as %s", text, example)
	}
	d, err := unit.ParseNumber(number, m)
	var ambiguous *unit.AmbiguousError
	if errors.As(err, &ambiguous) {
		if digits < 3 {
			return 0, fmt.Errorf("%q has too many decimals, %s has %d; thousands are typed as in %v", text, currency, digits, ambiguous.Large)
		}
		ambiguous.Text, ambiguous.Unit = text, currency
		return 0, ambiguous
	}
	if err != nil {
		return 0, fmt.Errorf("%q is not an amount, want one such as %s", text, example)
	}
	if -int(d.Exp) > digits {
		return 0, fmt.Errorf("%q has too many decimals, %s has %d", text, currency, digits)
	}
	minor, ok := d.Scaled(int8(-digits))
	if !ok || minor > maxAmount || minor < -maxAmount {
		return 0, fmt.Errorf("%q is too large, want at most %s", text, Amount(maxAmount).Format(currency, m))
	}
	return Amount(minor), nil
}

// ungroup takes the thousands separators out of a number that holds both
// marks, or one of them more than once. It is false where what stands between
// them is not groups of three digits; a lone mark is left to unit.ParseNumber.
func ungroup(s string) (string, bool) {
	last := strings.LastIndexAny(s, ".,")
	if last < 0 || strings.IndexAny(s, ".,") == last {
		return s, true
	}
	group := s[strings.IndexAny(s, ".,")]
	whole, decimals := s, ""
	if s[last] != group {
		whole, decimals = s[:last], "."+s[last+1:]
	}
	sign := ""
	if strings.HasPrefix(whole, "-") || strings.HasPrefix(whole, "+") {
		sign, whole = whole[:1], whole[1:]
	}
	groups := strings.Split(whole, string(group))
	for i, g := range groups {
		if strings.Trim(g, "0123456789") != "" || len(g) == 0 || len(g) > 3 || i > 0 && len(g) != 3 {
			return "", false
		}
	}
	digits := strings.Join(groups, "")
	// Group again with spaces, which unit.ParseNumber never takes for a
	// decimal mark: "1,234.567" is not to be asked back.
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + " " + digits[i:]
	}
	return sign + digits + decimals, true
}

// Format shows a with thousands separated and all decimals of the currency:
// "1,411.30" where m is Point, "1.411,30" where it is Comma, "-0.05". It
// prints no currency. A code that Digits does not know gets two decimals, as
// most have.
func (a Amount) Format(currency string, m unit.Mark) string {
	decimals, err := Digits(currency)
	if err != nil {
		decimals = 2
	}
	group, mark := ",", "."
	if m == unit.Comma {
		group, mark = ".", ","
	}
	size := uint64(a)
	sign := ""
	if a < 0 {
		size, sign = -size, "-"
	}
	text := strconv.FormatUint(size, 10)
	if missing := decimals + 1 - len(text); missing > 0 {
		text = strings.Repeat("0", missing) + text
	}
	whole, rest := text[:len(text)-decimals], text[len(text)-decimals:]
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + group + whole[i:]
	}
	if decimals > 0 {
		rest = mark + rest
	}
	return sign + whole + rest
}
