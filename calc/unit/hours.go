package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

const minutesPerDay = 24 * 60

// ParseHours reads a time worked and returns whole minutes, 1 to 1440: hours
// "2.5" or "2,5", "2 h", "2h30", "2 h 30 min", "2:30"; minutes "150 min" or
// "150m"; or from and to by the clock, "14:00-16:30", where "23:30-00:15"
// runs past midnight. Parts of a minute are rounded. All else is an error
// that names the text; "1,234" is an [*AmbiguousError].
func ParseHours(s string, m Mark) (minutes int, err error) {
	text := strings.TrimSpace(s)
	if from, to, ok := cutRange(text); ok {
		return clockRange(from, to, text)
	}
	if strings.Contains(text, ":") {
		minutes, ok := clock(text)
		if !ok {
			return 0, notHours(text, m)
		}
		return withinDay(float64(minutes), text)
	}
	return hoursAndMinutes(text, m)
}

func notHours(text string, m Mark) error {
	return fmt.Errorf("%q is not a time worked, want one such as %s, 2h30, 150 min or 14:00-16:30", text, m.text("2.5"))
}

func withinDay(minutes float64, text string) (int, error) {
	r := math.Round(minutes)
	if r < 1 || r > minutesPerDay {
		return 0, fmt.Errorf("%q is %s, want 1 min to 24 h; minutes are typed as in 150 min", text, Format(minutes/60, "h", Style{}))
	}
	return int(r), nil
}

// hoursAndMinutes reads "2.5", "2h30", "2 h 30 min" and "150 min".
func hoursAndMinutes(text string, m Mark) (int, error) {
	number, after := splitNumber(text)
	d, ambiguous, err := readNumber(number, text, m)
	word, tail := splitWord(after)
	u, ok := findTime(word, "h")
	if err != nil || !ok {
		return 0, notHours(text, m)
	}
	if ambiguous != nil {
		ambiguous.Unit = u.name
		return 0, ambiguous
	}
	if tail == "" {
		return withinDay(d.Float()*u.factor/60, text)
	}
	hours, whole := d.Scaled(0)
	number, after = splitNumber(tail)
	minutes, okMinutes := upTo59(number)
	word, tail = splitWord(after)
	end, okEnd := findTime(word, "min")
	cutShort := word == "" && len(number) != 2 // "2h3" may be "2h30"
	if u.name != "h" || !whole || hours < 0 || hours > 24 || !okMinutes || !okEnd || end.name != "min" || tail != "" || cutShort {
		return 0, notHours(text, m)
	}
	return withinDay(float64(int(hours)*60+minutes), text)
}

// findTime returns hours or minutes as word names them; "" names missing.
func findTime(word, missing string) (measure, bool) {
	word = strings.ToLower(word)
	switch word {
	case "":
		word = missing
	case "m":
		word = "min" // nobody works metres
	}
	u, ok := find(word, duration)
	return u, ok && (u.name == "h" || u.name == "min")
}

// splitWord cuts the letters off the front of s, and the spaces around them.
func splitWord(s string) (word, tail string) {
	s = strings.TrimSpace(s)
	i := strings.IndexFunc(s, func(r rune) bool { return !unicode.IsLetter(r) })
	if i < 0 {
		return s, ""
	}
	return s[:i], strings.TrimSpace(s[i:])
}

// cutRange cuts "14:00-16:30" at its hyphen or dash.
func cutRange(s string) (from, to string, ok bool) {
	for _, dash := range [...]string{"-", "–", "—"} {
		from, to, ok = strings.Cut(s, dash)
		if ok && strings.Contains(from, ":") && strings.Contains(to, ":") {
			return strings.TrimSpace(from), strings.TrimSpace(to), true
		}
	}
	return "", "", false
}

func clockRange(from, to, text string) (int, error) {
	start, okFrom := clock(from)
	end, okTo := clock(to)
	if !okFrom || !okTo || start >= minutesPerDay {
		return 0, fmt.Errorf("%q is not a time from and to, want one such as 14:00-16:30", text)
	}
	if start == end {
		return 0, fmt.Errorf("%q begins and ends at the same time, want 1 min to 24 h", text)
	}
	if end < start {
		end += minutesPerDay
	}
	return end - start, nil
}

// clock reads "0:00" to "24:00" and returns the minutes since midnight.
func clock(s string) (minutes int, ok bool) {
	h, m, _ := strings.Cut(s, ":")
	if len(h) < 1 || len(h) > 2 || len(m) != 2 || !allDigits(h) {
		return 0, false
	}
	hours, _ := strconv.Atoi(h)
	minutes, ok = upTo59(m)
	minutes += hours * 60
	return minutes, ok && minutes <= minutesPerDay
}

// upTo59 reads one or two digits.
func upTo59(s string) (n int, ok bool) {
	if len(s) < 1 || len(s) > 2 || !allDigits(s) {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	return n, err == nil && n <= 59
}
