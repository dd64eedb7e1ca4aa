package bring

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// A dayText is a date as it stands in a cell, before the order of day and month
// is settled.
type dayText struct {
	text    string
	a, b, y int        // first and second number, year; 0 where there is none
	month   time.Month // where it is written as a word
	iso     bool
	clock   string // a time of day after the date
}

var monthNames = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// readDay reads a cell as a date; false where it is none.
func readDay(s string) (dayText, bool) {
	d := dayText{text: s}
	s = strings.TrimSpace(s)
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return dayText{text: s, y: t.Year(), month: t.Month(), b: t.Day(), iso: true, clock: t.Format("15:04")}, true
	}
	if at := strings.LastIndexAny(s, " T"); at > 0 && strings.Contains(s[at:], ":") {
		d.clock = strings.TrimSpace(s[at+1:])
		if c, ok := readClock(d.clock); ok {
			d.clock, s = fmt.Sprintf("%02d:%02d", c/60, c%60), s[:at]
		} else {
			return d, false
		}
	}
	f := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return strings.ContainsRune("./-, ", r) })
	if len(f) > 1 && isWeekday(f[0]) {
		f = f[1:]
	}
	if len(f) == 1 && len(f[0]) == 8 { // 20260829
		f = []string{f[0][:4], f[0][4:6], f[0][6:]}
	}
	if len(f) < 2 || len(f) > 3 {
		return d, false
	}
	var n [3]int
	for i, w := range f {
		if m := monthNamed(w); m > 0 && d.month == 0 {
			d.month = m
			continue
		}
		w = strings.TrimRight(w, "stndrh") // 29th
		v, err := strconv.Atoi(w)
		if err != nil || v < 0 || len(w) > 4 || len(w) == 3 {
			return d, false
		}
		if n[i] = v; len(w) == 4 {
			if d.y = v; i == 1 {
				return d, false
			}
			d.iso = i == 0 && d.month == 0
		}
	}
	switch {
	case d.month > 0 && len(f) == 3: // 29 Aug 2026, Aug 29 2026
		var rest []int
		for _, v := range n {
			if v > 0 && v != d.y {
				rest = append(rest, v)
			}
		}
		if d.y == 0 && len(rest) == 2 {
			d.y = 2000 + rest[1]
		}
		if len(rest) > 0 {
			d.b = rest[0]
		}
		return d, d.y >= 2000 && d.b >= 1 && d.b <= 31
	case d.month > 0:
		d.b = max(n[0], n[1])
		return d, d.b >= 1 && d.b <= 31
	case d.iso && len(f) == 3:
		d.month, d.b = time.Month(n[1]), n[2]
		return d, d.y >= 2000 && d.month >= 1 && d.month <= 12 && d.b >= 1 && d.b <= 31
	case d.iso, !strings.ContainsAny(s, "./-"):
		return d, false
	}
	d.a, d.b = n[0], n[1]
	if len(f) == 3 && d.y == 0 {
		d.y = 2000 + n[2]
		if n[2] > 99 {
			return d, false
		}
	}
	if len(f) == 2 && !strings.ContainsAny(s, "/") && strings.Count(s, ".") < 2 {
		return d, false // "2.5" is a number, "29.8." a date
	}
	return d, d.a >= 1 && d.b >= 1 && d.a <= 31 && d.b <= 31 && min(d.a, d.b) <= 12
}

func monthNamed(w string) time.Month {
	for i, m := range monthNames {
		if strings.HasPrefix(w, m) && strings.HasPrefix(strings.ToLower(time.Month(i+1).String()), w) || w == "sept" && m == "sep" {
			return time.Month(i + 1)
		}
	}
	return 0
}

func isWeekday(w string) bool {
	for d := time.Sunday; d <= time.Saturday; d++ {
		if name := strings.ToLower(d.String()); len(w) >= 2 && strings.HasPrefix(name, w) {
			return true
		}
	}
	return false
}

// day returns the date; month first where monthFirst holds and it matters. year
// stands in where none is written.
func (d dayText) day(monthFirst bool, year int) (time.Time, bool) {
	m, day, y := d.month, d.b, d.y
	if m == 0 {
		m, day = time.Month(d.b), d.a
		if monthFirst {
			m, day = time.Month(d.a), d.b
		}
	}
	if y == 0 {
		y = year
	}
	t := time.Date(y, m, day, 0, 0, 0, 0, time.UTC)
	return t, m >= 1 && m <= 12 && t.Day() == day && y >= 2000 && y <= 2200
}

// open reports whether the date reads differently with the month first.
func (d dayText) open() bool { return d.month == 0 && d.a <= 12 && d.b <= 12 && d.a != d.b }

// orders of day and month.
const (
	DayFirst   = "day"
	MonthFirst = "month"
)

// dayOrder settles from the dates of a sheet which comes first, and says why;
// "" where they leave it open.
func dayOrder(days []dayText, now time.Time) (order, why string) {
	open := 0
	for _, d := range days {
		switch {
		case d.month != 0:
		case d.a > 12:
			return DayFirst, fmt.Sprintf("“%s” can only be day first", d.text)
		case d.b > 12:
			return MonthFirst, fmt.Sprintf("“%s” can only be month first", d.text)
		case d.open():
			open++
		}
	}
	if open == 0 {
		return DayFirst, ""
	}
	for _, d := range days {
		if d.open() && strings.Contains(d.text, ".") {
			return DayFirst, "dates with dots are written day first (common practice)"
		}
	}
	fits := map[bool]bool{false: true, true: true}
	climbs := map[bool]bool{false: true, true: true}
	for _, monthFirst := range []bool{false, true} {
		var last time.Time
		for _, d := range days {
			t, ok := d.day(monthFirst, now.Year())
			if !ok || t.After(now.AddDate(0, 0, 1)) {
				fits[monthFirst] = false
			}
			if t.Before(last) {
				climbs[monthFirst] = false
			}
			last = t
		}
	}
	switch {
	case fits[false] && !fits[true]:
		return DayFirst, "month first, a date would still be to come"
	case fits[true] && !fits[false]:
		return MonthFirst, "day first, a date would still be to come"
	case len(days) >= 3 && climbs[false] && !climbs[true]:
		return DayFirst, "only day first do the dates run in order"
	case len(days) >= 3 && climbs[true] && !climbs[false]:
		return MonthFirst, "only month first do the dates run in order"
	}
	return "", ""
}
