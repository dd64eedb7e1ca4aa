package bms

import (
	"strconv"
	"strings"
	"unicode"
)

// columns are what the columns of a log hold; -1 for what it lacks.
type columns struct {
	time, volts, amps, soc, speed, distance int
	cells, temps                            []int // by number, from 1; -1 where a number is missing
	millis                                  bool  // time is in thousandths of a second
	named                                   int
}

// The words over columns (common practice, no published source).
var names = map[string][]string{
	"time":     {"time", "timestamp", "date", "datetime", "date time", "elapsed", "elapsed s", "seconds", "time s", "t s", "uptime", "ms", "time ms", "elapsed ms"},
	"volts":    {"pack v", "pack voltage", "voltage", "total voltage", "volts", "pack volts", "battery voltage", "v", "u", "pack u", "sum voltage", "pack voltage v", "voltage v", "total v"},
	"amps":     {"current", "current a", "amps", "a", "i", "pack current", "battery current", "pack i", "pack a", "pack current a"},
	"soc":      {"soc", "soc %", "state of charge", "charge %", "soc pct"},
	"speed":    {"speed", "speed km/h", "km/h", "velocity", "kmh", "speed kmh"},
	"distance": {"distance", "distance km", "km", "odo", "odometer", "trip", "odo km", "trip km"},
}

// readHeader reads a line as a header. A line that names fewer than two columns
// is none.
func readHeader(fields []string) (columns, bool) {
	c := columns{time: -1, volts: -1, amps: -1, soc: -1, speed: -1, distance: -1}
	places := map[string]*int{"time": &c.time, "volts": &c.volts, "amps": &c.amps, "soc": &c.soc, "speed": &c.speed, "distance": &c.distance}
	for i, f := range fields {
		w := plain(f)
		if w == "" {
			continue
		}
		if n, ok := numbered(w, "cell voltage", "cell v", "cell", "c", "v", "u", "vcell", "group", "group v", "vc"); ok {
			c.cells = put(c.cells, n, i)
			c.named++
			continue
		}
		if n, ok := numbered(w, "temperature", "temp", "t", "ntc", "sensor"); ok {
			c.temps = put(c.temps, n, i)
			c.named++
			continue
		}
		for what, words := range names {
			for _, word := range words {
				if w == word && *places[what] < 0 {
					*places[what] = i
					c.named++
					if what == "time" {
						c.millis = strings.HasSuffix(w, "ms")
					}
				}
			}
		}
	}
	return c, c.named >= 2
}

// put files column i under number n, at most 400.
func put(list []int, n, i int) []int {
	if n < 1 || n > 400 {
		return list
	}
	for len(list) < n {
		list = append(list, -1)
	}
	if list[n-1] < 0 {
		list[n-1] = i
	}
	return list
}

// plain writes a header's words in small letters, set apart by single spaces.
func plain(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '%' && r != '/'
	}), " ")
}

// numbered reads "cell 07", "cell07 v" or "t1": one of the words and a number, a
// unit behind it or not.
func numbered(w string, words ...string) (int, bool) {
	for _, unit := range []string{" mv", " v", " degc", " c", " °c"} {
		w = strings.TrimSuffix(w, unit)
	}
	for _, word := range words {
		if rest, ok := strings.CutPrefix(w, word); ok {
			if n, err := strconv.Atoi(strings.TrimSpace(rest)); err == nil && n > 0 {
				return n, true
			}
		}
	}
	return 0, false
}
