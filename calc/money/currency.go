package money

import (
	"fmt"
	"strings"
)

// The active codes of ISO 4217, list one, by number of minor unit digits, as
// published by the maintenance agency and read in a copy of 2025 (XCG in, ANG
// out). Codes without a minor unit, such as XAU for gold, are left out: no
// amount can be counted in them.
const (
	digits0 = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
	digits2 = "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD " +
		"CAD CDF CHE CHF CHW CNY COP COU CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD " +
		"HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR " +
		"MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP " +
		"SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD USN UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG"
	digits3 = "BHD IQD JOD KWD LYD OMR TND"
	digits4 = "CLF UYW"
)

// Digits returns the number of minor unit digits of an ISO 4217 currency
// code: 2 for EUR, 0 for JPY. A code that is not active is an error.
func Digits(currency string) (int, error) {
	switch {
	case listed(digits2, currency):
		return 2, nil
	case listed(digits0, currency):
		return 0, nil
	case listed(digits3, currency):
		return 3, nil
	case listed(digits4, currency):
		return 4, nil
	}
	return 0, fmt.Errorf("unknown currency %q, want an ISO 4217 code such as EUR or USD", currency)
}

func listed(codes, code string) bool {
	return len(code) == 3 && !strings.Contains(code, " ") && strings.Contains(" "+codes+" ", " "+code+" ")
}

// signs are those that a keyboard has, with the currencies that use them:
// common practice, no published source.
var signs = [...]struct{ sign, codes string }{
	{"€", "EUR"},
	{"£", "GBP EGP FKP GIP LBP SDG SHP SSP SYP"},
	{"$", "USD ARS AUD BBD BMD BND BSD BZD CAD CLP COP CUP CVE DOP FJD GYD HKD JMD KYD LRD MOP MXN NAD NIO NZD SBD SGD SRD TOP TTD TWD USN UYU WST XCD"},
	{"¥", "JPY CNY"},
	{"₹", "INR"},
	{"₩", "KRW KPW"},
	{"₺", "TRY"},
	{"₴", "UAH"},
	{"₽", "RUB"},
	{"₪", "ILS"},
	{"₫", "VND"},
	{"₱", "PHP"},
	{"฿", "THB"},
	{"zł", "PLN"},
	{"Kč", "CZK"},
	{"kr", "DKK NOK SEK ISK"},
	{"Ft", "HUF"},
	{"Fr.", "CHF"},
}

// takeCurrency returns the number in text without the sign or code before or
// after it, which must be one of currency.
func takeCurrency(text, currency string) (string, error) {
	const digits = "0123456789"
	first, last := strings.IndexAny(text, digits), strings.LastIndexAny(text, digits)
	if first < 0 {
		return text, nil // no number, as unit.ParseNumber will say
	}
	// The mark of ".50" belongs to the number, that of "Fr.50" does not.
	if i := first - 1; i >= 0 && (text[i] == '.' || text[i] == ',') && (i == 0 || !isLetter(text[i-1])) {
		first = i
	}
	before, number, after := strings.TrimSpace(text[:first]), text[first:last+1], strings.TrimSpace(text[last+1:])
	// A minus stands on either side of a sign: "-€5" and "€-5".
	for _, sign := range [...]string{"-", "\u2212", "+"} {
		if rest := strings.TrimSuffix(strings.TrimPrefix(before, sign), sign); len(before)-len(rest) == len(sign) {
			before, number = strings.TrimSpace(rest), sign+number
			break
		}
	}
	for _, mark := range [...]string{before, after} {
		if mark != "" && (before != "" && after != "" || !names(mark, currency)) {
			return "", fmt.Errorf("%q has %q where an amount in %s is wanted", text, mark, currency)
		}
	}
	return number, nil
}

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// names reports whether mark is the code or a sign of currency.
func names(mark, currency string) bool {
	for _, s := range signs {
		if mark == s.sign && listed(s.codes, currency) {
			return true
		}
	}
	return strings.EqualFold(mark, currency)
}
