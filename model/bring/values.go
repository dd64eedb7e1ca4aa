package bring

import (
	"fmt"
	"strconv"
	"strings"

	"ampwright/calc/unit"
)

// readClock reads a time of day and returns the minutes since midnight: "14:00",
// "14.00", "1400", "2pm", "2:15 pm", "24:00".
func readClock(s string) (int, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	s = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(s, "uhr"), "h"))
	add, twelve := 0, false
	for _, half := range []struct {
		suffix string
		add    int
	}{{"am", 0}, {"a.m.", 0}, {"pm", 720}, {"p.m.", 720}} {
		if rest, ok := strings.CutSuffix(s, half.suffix); ok {
			s, add, twelve = strings.TrimSpace(rest), half.add, true
		}
	}
	h, m := s, "00"
	if i := strings.IndexAny(s, ":."); i > 0 {
		h, m = s[:i], s[i+1:]
		if j := strings.IndexByte(m, ':'); j == 2 { // seconds
			m = m[:j]
		}
	} else if len(s) == 4 {
		h, m = s[:2], s[2:]
	} else if !twelve {
		return 0, false
	}
	hours, err1 := strconv.Atoi(h)
	minutes, err2 := strconv.Atoi(m)
	if err1 != nil || err2 != nil || len(m) != 2 || minutes > 59 || minutes < 0 || hours < 0 {
		return 0, false
	}
	if twelve {
		if hours < 1 || hours > 12 {
			return 0, false
		}
		hours = hours%12 + add/60
	}
	return hours*60 + minutes, hours*60+minutes <= 24*60
}

// readHour reads a time of day of which the minutes may be left out: "8", as
// people write it under "from".
func readHour(s string) (int, bool) {
	if h, err := strconv.Atoi(strings.TrimSpace(s)); err == nil && len(strings.TrimSpace(s)) <= 2 && h >= 0 && h <= 24 {
		return h * 60, true
	}
	return readClock(s)
}

// shares are the fractions that keyboards and spreadsheets make.
var shares = strings.NewReplacer("½", ".5", "¼", ".25", "¾", ".75")

// fractions are the same as people type them behind a whole number: 1 1/2.
var fractions = strings.NewReplacer(" 1/2", "½", " 1/4", "¼", " 3/4", "¾")

// hourWords are turned into what [unit.ParseHours] reads.
var hourWords = []string{"hours", "hour", "hrs", "hr", "stunden", "std.", "std"}

// readHours reads a time worked in minutes.
func readHours(s string, m unit.Mark) (int, error) {
	text := fractions.Replace(strings.ToLower(strings.TrimSpace(s)))
	if strings.ContainsAny(text, "½¼¾") {
		text = strings.ReplaceAll(shares.Replace(strings.ReplaceAll(text, " ", "")), ",", "")
	}
	for _, w := range hourWords {
		text = strings.ReplaceAll(text, w, "h")
	}
	text = strings.ReplaceAll(text, "minutes", "min")
	text = strings.ReplaceAll(text, "mins", "min")
	if a, b, ok := strings.Cut(text, "h"); ok && strings.HasSuffix(strings.TrimSpace(b), "min") && !strings.HasPrefix(b, " ") && strings.Contains(b, " ") {
		text = a + " h " + b
	}
	n, err := unit.ParseHours(text, m)
	if err != nil {
		if whole, second, ok := strings.Cut(text, ":"); ok && len(second) == 5 { // 2:30:00
			if n, err := unit.ParseHours(whole+":"+second[:2], m); err == nil {
				return n, nil
			}
		}
		_, err = unit.ParseHours(s, m) // the error names what stands in the cell
		if err == nil {
			n, err = unit.ParseHours(text, m)
		}
	}
	return n, err
}

// numberFields are the columns of numbers.
var numberFields = []string{"hours", "break", "price", "post", "got", "fee", "asked", "found", "ir", "ah", "day1", "day14", "value", "estimate", "lost", "before", "after"}

// settleMark finds out from the numbers of a sheet whether the comma or the
// point is its decimal mark. Where both or neither show themselves each number
// is read alone, and asked about where it can mean two.
func (r *reader) settleMark() {
	comma, point := "", ""
	for i := r.first; i < len(r.rows); i++ {
		for _, field := range numberFields {
			switch text := r.get(i, field); {
			case showsMark(text, ','):
				comma = text
			case showsMark(text, '.'):
				point = text
			}
		}
	}
	switch {
	case comma != "" && point == "":
		r.mark = ','
		r.Why += fmt.Sprintf("; the decimal mark is a comma: “%s”", comma)
	case point != "" && comma == "":
		r.mark = '.'
	default:
		return
	}
	r.desk.Mark = unit.Point
}

// plain writes a number of the sheet with a point and without groups, once its
// mark is known.
func (r *reader) plain(text string) string {
	for _, dash := range []string{",-", ".-", ",–", ".–", ",—"} { // 780,- is a whole amount
		text = strings.TrimSuffix(text, dash)
	}
	switch r.mark {
	case ',':
		text = ungroup(text, ".")
		return strings.Replace(text, ",", ".", 1)
	case '.':
		return ungroup(text, ",")
	}
	return text
}

// decimal writes a number so that it is read back as the same in a garage of
// either mark: 3.987 could be a group of thousands, 03.987 cannot.
func decimal(d unit.Decimal) string {
	text := d.String()
	if whole, decimals, ok := strings.Cut(text, "."); ok && len(decimals) == 3 && len(strings.TrimPrefix(whole, "-")) <= 3 && !strings.HasPrefix(whole, "0") && !strings.HasPrefix(whole, "-") {
		return "0" + text
	}
	return text
}

// totals are the words that begin a line of sums.
var totals = []string{"total", "totals", "sum", "subtotal", "sub total", "grand total", "carried forward", "balance", "gesamt", "summe"}

// isTotal reports whether a cell calls its line one of sums. In a line with a
// day only the bare word does: "balance leads" are a thing to buy.
func isTotal(s string, dated bool) bool {
	w := plainWord(s)
	for _, t := range totals {
		if w == t && strings.HasPrefix(strings.ToLower(strings.TrimSpace(s)), t[:3]) || !dated && strings.HasPrefix(w, t+" ") {
			return true
		}
	}
	return false
}

func yes(s string) bool {
	switch plainWord(s) {
	case "yes", "y", "x", "done", "true", "1", "ok", "marked", "painted":
		return true
	}
	return strings.ContainsAny(s, "✓✔☑")
}
