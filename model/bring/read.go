package bring

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/model"
)

// A draft is a line while it is read: what it says, what it becomes.
type draft struct {
	*Line
	row    int
	wish   string
	values map[string][]string
	says   []string // what makes its key
	came   string
	more   []Line // what the line becomes besides
}

func (d *draft) set(name, value string) {
	if value != "" {
		d.values[name] = []string{value}
	}
}

func (d *draft) odd(format string, args ...any) {
	d.Why = append(d.Why, fmt.Sprintf(format, args...))
	if d.State == New {
		d.State = Odd
	}
}

func (d *draft) wrong(format string, args ...any) {
	d.Why = append(d.Why, fmt.Sprintf(format, args...))
	d.State = Wrong
}

func (d *draft) out(format string, args ...any) {
	d.Why = append(d.Why, fmt.Sprintf(format, args...))
	d.State = Out
}

// read goes through the lines.
func (r *reader) read() {
	for i := range r.rows[:min(r.first, len(r.rows))] {
		if !blank(r.rows[i]) {
			why := "stands above the header"
			if i == r.Head-1 {
				why = "the header"
			}
			r.Lines = append(r.Lines, Line{Number: i + 1, State: Out, Why: []string{why}})
		}
	}
	switch r.kind.name {
	case Cells:
		r.cells()
	case Torque:
		r.torques()
	case Readings:
		r.readings()
	default:
		r.eachLine()
	}
	slices.SortStableFunc(r.Lines, func(a, b Line) int { return a.Number - b.Number })
}

// eachLine reads sheets of which a line is an entry.
func (r *reader) eachLine() {
	boxes := r.kind.name == Todo && r.share(r.cols["what"], isTicked) >= agree/2
	above := map[string]string{} // area and date as they stood last
	aboveLine := map[string]int{}
	for i := r.first; i < len(r.rows); i++ {
		if blank(r.rows[i]) {
			continue
		}
		line := Line{Number: i + 1, State: New}
		d := &draft{Line: &line, row: i, values: map[string][]string{}}
		heading, isHeading := r.heading(i, boxes)
		switch {
		case slices.Contains(r.opt.Without, i+1):
			d.out("left out, as you said")
		case r.isHead(i):
			d.out("the header again")
		case r.isSum(i):
			r.above.since = 0
			d.out("a line of totals")
		case isHeading:
			above["area"], aboveLine["area"] = heading, i+1
			d.out("a heading: the area of the lines below")
		default:
			as := map[string]string{}
			for _, field := range []string{"date", "area"} {
				if as[field] = r.get(i, field); as[field] == "" && above[field] != "" && (field == "area" || r.kind.name == Hours || r.kind.name == Money) {
					as[field] = above[field]
					d.Why = append(d.Why, fmt.Sprintf("%s as in line %d", field, aboveLine[field]))
				} else if as[field] != "" {
					above[field], aboveLine[field] = as[field], i+1
				}
			}
			switch r.kind.name {
			case Hours:
				r.hours(d, as["date"], as["area"])
			case Money:
				r.money(d, as["date"], as["area"])
			case Parts:
				r.part(d, as["area"])
			case Sales:
				r.sale(d, as["date"], as["area"])
			case Todo:
				r.todo(d, as["area"])
			}
			r.finish(d)
			if v, ok := r.counted(i); ok {
				r.above.add(v)
			}
		}
		r.Lines = append(append(r.Lines, line), d.more...)
	}
}

// finish gives a line its key and holds it against what is there already.
func (r *reader) finish(d *draft) {
	if d.State == Wrong || d.State == Out || d.wish == "" {
		return
	}
	if id, err := model.ParseID(r.get(d.row, "entry")); err == nil {
		if e, ok := r.build.Entry(id); ok && e.Build == r.build.ID { // a table that this program wrote
			d.State = Here
			d.Why = append(d.Why, "entry "+id.Short()+" of this logbook")
			return
		}
	}
	said := strings.Join(d.says, "\x00")
	r.seen[said]++
	nth := r.seen[said]
	key := model.RowKey(r.kind.name, d.says, nth)
	d.Row = &model.Row{Key: key, Line: d.Number, Wish: d.wish, Values: d.values, Came: d.came}
	if r.build.HasRow(key) {
		d.State = Here
		d.Why = append(d.Why, "in the logbook already")
		return
	}
	if nth > 1 {
		d.odd("the same line stands above: meant twice, or typed twice?")
	}
	r.likeTyped(d)
}

// likeTyped warns of an entry that was typed by hand and says the same.
func (r *reader) likeTyped(d *draft) {
	day := ""
	if at := d.values["at"]; len(at) > 0 && len(at[0]) >= 10 {
		day = at[0][:10]
	}
	switch d.wish {
	case "hours":
		for _, w := range r.build.Hours.Work {
			if !w.DayOnly && w.At.Time().Format(time.DateOnly) == day && fmt.Sprintf("%d min", w.Minutes) == d.values["hours"][0] {
				if task := d.values["task"]; w.Task == "" || len(task) == 0 || task[0] == w.Task {
					d.odd("the logbook has as many hours on that day: entry %s", w.ID.Short())
					return
				}
			}
		}
	case "buy", "order", "sell":
		for _, l := range r.build.Money.Lines {
			if l.At.Time().Format(time.DateOnly) == day && r.amountText(l.Amount) == d.values["amount"][0] {
				d.odd("the logbook has the same amount on that day: entry %s, %s", l.ID.Short(), l.What)
				return
			}
		}
	}
}

// isHead reports whether a line is the header once more.
func (r *reader) isHead(row int) bool {
	return r.Head > 0 && HeadKey(r.rows[row]) == r.headKey
}

// isSum reports whether a line is one of totals: it says so, or it has nothing
// but numbers, the sum of those above.
func (r *reader) isSum(row int) bool {
	if r.get(row, "entry") != "" { // a table that this program wrote has none
		return false
	}
	dated := r.get(row, "date")+r.get(row, "ordered")+r.get(row, "came") != ""
	for c := range r.rows[row] {
		if isTotal(cell(r.rows[row], c), dated) {
			return true
		}
	}
	for _, field := range []string{"date", "item", "what", "area", "start"} {
		if r.get(row, field) != "" {
			return false
		}
	}
	v, ok := r.counted(row)
	return r.above.lines > 1 && ok && (v == r.above.sum || v == r.above.since) && v != 0
}

// sums are those of the lines read so far.
type sums struct {
	sum, since int64 // since: since the last line of totals
	lines      int
}

// add counts a line that is no line of totals.
func (s *sums) add(v int64) { s.sum, s.since, s.lines = s.sum+v, s.since+v, s.lines+1 }

// counted returns what lines of totals add up: minutes or money.
func (r *reader) counted(row int) (int64, bool) {
	field := map[string]string{Hours: "hours", Todo: "hours", Sales: "got"}[r.kind.name]
	if field == "" {
		field = "price"
	}
	text := r.get(row, field)
	if text == "" {
		return 0, false
	}
	if r.kind.name == Hours || r.kind.name == Todo {
		if n, err := readHours(text, r.desk.Mark); err == nil {
			return int64(n), true
		}
		a, err := money.Parse(text, "EUR", r.desk.Mark) // a sum may be above a day
		return int64(a) * 60 / 100, err == nil
	}
	a, err := money.Parse(text, r.build.Currency, r.desk.Mark)
	return int64(a), err == nil
}

// day reads a date for a line; "" and a fault where there is none.
func (r *reader) day(d *draft, field, text string) (string, string) {
	day, ok := readDay(text)
	if !ok {
		if text == "" {
			d.wrong("%s is missing", field)
		} else {
			d.wrong("%s “%s”: want a day such as 2026-08-29 or 29.8.2026", field, text)
		}
		return "", ""
	}
	t, ok := day.day(r.monthFirst, r.desk.Now.Year())
	if !ok {
		d.wrong("%s “%s” is no day of the calendar with the %s first", field, text, r.order())
		return "", ""
	}
	if day.y == 0 {
		if t.After(r.desk.Now.AddDate(0, 0, 1)) {
			t = t.AddDate(-1, 0, 0)
		}
		d.odd("%s “%s” has no year: taken for %d", field, text, t.Year())
	}
	return t.Format(time.DateOnly), day.clock
}

func (r *reader) order() string {
	if r.monthFirst {
		return MonthFirst
	}
	return DayFirst
}

// at joins a day and a time of day. A day alone is at noon.
func at(day string, minute int) string {
	if minute < 0 {
		minute = 12 * 60
	}
	return fmt.Sprintf("%s %02d:%02d", day, minute/60, minute%60)
}

// upcoming faults a day that has not come.
func (r *reader) upcoming(d *draft, field, day string) {
	if t, err := time.ParseInLocation(time.DateOnly, day, r.desk.Now.Location()); err == nil && t.After(r.desk.Now) {
		d.wrong("%s %s is still to come", field, day)
	}
}

// amount reads an amount above zero in the build's currency.
func (r *reader) amount(d *draft, field string, text string) (money.Amount, bool) {
	if text == "" || text == "-" || text == "–" {
		return 0, false
	}
	a, err := money.Parse(text, r.build.Currency, r.desk.Mark)
	if err != nil {
		d.wrong("%s: %v", field, err)
		return 0, false
	}
	if a < 0 {
		d.wrong("%s “%s” is below zero: book money that came back with ampwright refund, and leave this line out", field, text)
		return 0, false
	}
	return a, true
}

// amountText writes an amount so that it is read back as the same, whatever the
// decimal mark of the garage.
func (r *reader) amountText(a money.Amount) string {
	text := strings.ReplaceAll(a.Format(r.build.Currency, 0), ",", "")
	if digits, _ := money.Digits(r.build.Currency); digits == 3 {
		text = "0" + text // 1.234 could be a group of thousands
	}
	return text
}

func join(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "; ")
}
