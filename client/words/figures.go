package words

import (
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"ampwright/calc/unit"
	"ampwright/model"
)

// Figure writes f with n decimals. Halves go up; the sixths that estimates are
// made of come out of a sum a hair below.
func Figure(f float64, n int, m unit.Mark) string {
	p := math.Pow10(n)
	return marked(strconv.FormatFloat(math.Floor(f*p+0.5+1e-6)/p, 'f', n, 64), m)
}

// Hours writes minutes as hours: "1.5 h", or "0.83 h" where a tenth is too
// coarse.
func Hours(minutes int64, m unit.Mark) string {
	n := 2
	if minutes%6 == 0 {
		n = 1
	}
	return Figure(float64(minutes)/60, n, m) + " h"
}

// Short writes f, zero or more, with as many decimals as it has, at most two:
// "0.25", "3".
func Short(f float64, m unit.Mark) string {
	return strings.TrimRight(strings.TrimRight(Figure(f, 2, m), "0"), ".,")
}

// marked puts the decimal mark into plain figures.
func marked(text string, m unit.Mark) string {
	if m == unit.Comma {
		return strings.ReplaceAll(text, ".", ",")
	}
	return text
}

// Ahead says how another clock stands against this one: "4 min 05 s ahead".
func Ahead(offset time.Duration) string {
	text := model.Apart(offset)
	switch offset = offset.Round(time.Second); {
	case offset == 0:
		return "the same to the second"
	case offset > 0:
		return text + " ahead"
	}
	return text + " behind"
}

// date writes a day kept as 2006-01-02; anything else as it is.
func (c Context) date(s string) string {
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		return c.day(t)
	}
	return s
}

func (c Context) day(t time.Time) string {
	if c.Day == nil {
		return t.Format(time.DateOnly)
	}
	return c.Day(t)
}

// moment writes a moment by the clock face it was given by.
func (c Context) moment(w model.When) string {
	if w.IsZero() {
		return ""
	}
	return c.day(w.Time()) + w.Time().Format(" 15:04")
}

// Join joins the parts that are not empty.
func Join(sep string, parts ...string) string {
	var full []string
	for _, p := range parts {
		if p != "" {
			full = append(full, p)
		}
	}
	return strings.Join(full, sep)
}

// before puts a word before what may be missing.
func before(word, s string) string {
	if s == "" {
		return ""
	}
	return word + s
}

// Lower makes the first letter small, unless the word is an abbreviation:
// "Pack case opened" but "BMS limit changed".
func Lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	if next, _ := utf8.DecodeRuneInString(s[n:]); unicode.IsUpper(next) || unicode.IsDigit(next) {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}
