package bring

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"
)

// cellChecks are the columns of a cells sheet and the checks that ask for them,
// by the quantity a check measures and its unit.
var cellChecks = []struct {
	field, check, unit string
	milli              bool // a value of 1000 and more is in thousandths
}{
	{"found", "cell-open-volts", "V", true},
	{"ir", "cell-ir", "mohm", false},
	{"ah", "cell-capacity", "Ah", false},
	{"lost", "self-discharge", "mV/week", false},
}

// cells reads a sheet of cells. A column of values is one reading of the check
// that wants one for each cell; what fits no check becomes a note for each cell.
func (r *reader) cells() {
	var rows []int
	seen := map[string]int{}
	for i := r.first; i < len(r.rows); i++ {
		if blank(r.rows[i]) {
			continue
		}
		l := Line{Number: i + 1, State: New}
		no := r.get(i, "cell")
		switch {
		case slices.Contains(r.opt.Without, i+1):
			l.State, l.Why = Out, []string{"left out, as you said"}
		case r.isHead(i):
			l.State, l.Why = Out, []string{"the header again"}
		case isTotal(no, false) || isTotal(cell(r.rows[i], 0), false), plainWord(no) == "average", plainWord(no) == "mean":
			l.State, l.Why = Out, []string{"a line of totals"}
		case no == "":
			l.State, l.Why = Wrong, []string{"the cell's number is missing"}
		case seen[no] > 0:
			l.State, l.Why = Wrong, []string{fmt.Sprintf("cell %s stands in line %d already", no, seen[no])}
		default:
			seen[no] = i + 1
			rows = append(rows, i)
		}
		r.put(i, l)
	}
	if len(rows) == 0 {
		return
	}
	day := r.sheetDay(rows)
	taken := map[string]bool{}
	for _, c := range cellChecks {
		if r.column0(c.field) && r.cellReading(rows, c.field, c.check, c.unit, c.milli, day) {
			taken[c.field] = true
		}
	}
	if !taken["lost"] && r.column0("day1") && r.column0("day14") && r.selfDischarge(rows, day) {
		taken["day1"], taken["day14"] = true, true
	}
	for _, i := range rows {
		r.cellNote(i, day, taken)
	}
}

func (r *reader) column0(field string) bool { _, ok := r.cols[field]; return ok }

// line returns the line of a row of a cells or torque sheet.
func (r *reader) line(row int) *Line { return &r.Lines[r.lineAt[row]] }

// put files the line of a row.
func (r *reader) put(row int, l Line) {
	r.lineAt[row] = len(r.Lines)
	r.Lines = append(r.Lines, l)
}

// sheetDay is the day of the readings: the last in the sheet, else today.
func (r *reader) sheetDay(rows []int) string {
	day := ""
	for _, i := range rows {
		if d, ok := readDay(r.get(i, "date")); ok {
			if t, ok := d.day(r.monthFirst, r.desk.Now.Year()); ok {
				day = max(day, t.Format(time.DateOnly))
			}
		}
	}
	return day
}

func dayAt(day string) string {
	if day == "" {
		return ""
	}
	return at(day, -1)
}

// value reads one value of a column in a unit.
func (r *reader) value(row int, field, in string, milli bool) (unit.Decimal, bool) {
	text := r.get(row, field)
	d, err := unit.Parse(text, in, r.desk.Mark)
	if err != nil {
		l := r.line(row)
		l.State, l.Why = Wrong, append(l.Why, fmt.Sprintf("%s: %v", field, err))
		return d, false
	}
	if milli && d.Float() >= 1000 {
		d.Exp -= 3
	}
	return d, true
}

// cellReading makes one reading of a column; false where no check asks for it or
// a cell has none.
func (r *reader) cellReading(rows []int, field, check, in string, milli bool, day string) bool {
	c := r.build.Check(check)
	if c == nil || c.Unit != in {
		return false
	}
	var values []string
	for n, i := range rows {
		if r.get(i, field) == "" && float64(n) >= agree*float64(len(rows)) && c.ScreenNeed != "" && !slices.ContainsFunc(rows[n:], func(j int) bool { return r.get(j, field) != "" }) {
			r.odd(i, "%s is missing from here on: the reading of %s has %d values", field, check, n)
			rows = rows[:n]
			break
		}
		if r.get(i, field) == "" {
			r.odd(i, "%s is missing: the values of the others become notes, not a reading of %s", field, check)
			return false
		}
		v, ok := r.value(i, field, in, milli)
		if !ok {
			return true // it is said at its line
		}
		values = append(values, decimal(v)+" "+unit.Symbol(in))
	}
	return r.oneReading(rows, c, values, day)
}

func (r *reader) odd(row int, format string, args ...any) {
	if l := r.line(row); l.State == New || l.State == Odd {
		l.State, l.Why = Odd, append(l.Why, fmt.Sprintf(format, args...))
	}
}

// oneReading puts a reading of many values at the first of its lines.
func (r *reader) oneReading(rows []int, c *model.Check, values []string, day string) bool {
	if c.Want > 1 && c.ScreenNeed == "" && c.Want != len(values) {
		r.odd(rows[0], "%s wants %d values, the sheet has %d: they become notes", c.ID, c.Want, len(values))
		return false
	}
	w := map[string][]string{"check": {c.ID}, "value": values, "note": {fmt.Sprintf("cells %s to %s of the sheet", r.get(rows[0], "cell"), r.get(rows[len(rows)-1], "cell"))}}
	if day != "" {
		w["at"] = []string{dayAt(day)}
	}
	r.extra(rows[0], "read", w, append([]string{c.ID}, values...), fmt.Sprintf("reading of %s, %d values", c.ID, len(values)))
	return true
}

// extra adds what a line becomes beside what it is itself.
func (r *reader) extra(row int, wish string, values map[string][]string, says []string, text string) {
	key := model.RowKey(r.kind.name, says, 1)
	l := Line{Number: row + 1, State: New, Says: text, Row: &model.Row{Key: key, Line: row + 1, Wish: wish, Values: values}}
	if c := r.build.Check(strings.Join(values["check"], "")); wish == "read" && c != nil {
		// The preview reads them back, and nothing is written before it is confirmed.
		if odd := c.ReadBack(values["value"], r.build.Settings.Style()); odd != "" {
			l.State, l.Why = Odd, append(l.Why, odd)
		}
		values[model.Sure] = []string{"yes"}
	}
	if r.build.HasRow(key) {
		l.State, l.Why = Here, []string{"in the logbook already"}
	}
	r.Lines = append(r.Lines, l)
}

// selfDischarge makes the reading of volts lost a week from two columns of
// volts: 7 (V1 - V14) / 13 days. The sheet is taken at its word for the days.
func (r *reader) selfDischarge(rows []int, day string) bool {
	c := r.build.Check("self-discharge")
	if c == nil || c.Unit != "mV/week" {
		return false
	}
	var values []string
	for _, i := range rows {
		if r.get(i, "day1") == "" || r.get(i, "day14") == "" {
			r.odd(i, "volts of day 1 or 14 are missing: no reading of self-discharge")
			return false
		}
		a, okA := r.value(i, "day1", "V", true)
		b, okB := r.value(i, "day14", "V", true)
		if !okA || !okB {
			return true
		}
		lost := float64((a.Float()-b.Float())*1000) * 7 / 13
		values = append(values, strconv.FormatFloat(lost, 'f', 1, 64)+" mV/week")
	}
	return r.oneReading(rows, c, values, day)
}

// cellNote keeps what no reading holds: module, group, remark, and the values of
// columns that no check took.
func (r *reader) cellNote(row int, day string, taken map[string]bool) {
	l := r.line(row)
	if l.State == Wrong || l.State == Out {
		return
	}
	var parts []string
	for _, f := range []struct{ field, text string }{
		{"module", "module %s"}, {"group", "group %s"}, {"found", "%s V as found"}, {"ir", "%s mohm"}, {"ah", "%s Ah"},
		{"day1", "%s V on day 1"}, {"day14", "%s V on day 14"}, {"lost", "%s mV a week"}, {"note", "%s"},
	} {
		if v := r.get(row, f.field); v != "" && !taken[f.field] {
			parts = append(parts, fmt.Sprintf(f.text, v))
		}
	}
	if len(parts) == 0 {
		if l.Says == "" {
			l.Says = "part of the readings of its columns"
		}
		return
	}
	text := "cell " + r.get(row, "cell") + ": " + strings.Join(parts, ", ")
	says := []string{"note", text}
	key := model.RowKey(r.kind.name, says, 1)
	values := map[string][]string{"text": {text}}
	if r.build.Task("cel-08") != nil {
		values["task"] = []string{"cel-08"}
	}
	if day != "" {
		values["at"] = []string{dayAt(day)}
	}
	l.Says, l.Row = "note: "+text, &model.Row{Key: key, Line: row + 1, Wish: "note", Values: values}
	if r.build.HasRow(key) {
		l.State, l.Why = Here, append(l.Why, "in the logbook already")
	}
}

// torques reads a sheet of torque values. Lines that name the same check on the
// same day are one reading of it.
func (r *reader) torques() {
	type group struct {
		check *model.Check
		day   string
		rows  []int
		value []string
	}
	var groups []*group
	date := ""
	var checks []*model.Check
	var titles []string
	for _, c := range r.build.Checks {
		if c.Unit == "Nm" {
			checks, titles = append(checks, c), append(titles, c.Title)
		}
	}
	for i := r.first; i < len(r.rows); i++ {
		if blank(r.rows[i]) {
			continue
		}
		line := Line{Number: i + 1, State: New}
		d := &draft{Line: &line, row: i}
		if r.get(i, "date") != "" {
			date = r.get(i, "date")
		}
		bolt, text := r.get(i, "bolt"), r.get(i, "value")
		n, named := nearest(bolt, titles)
		switch {
		case slices.Contains(r.opt.Without, i+1):
			d.out("left out, as you said")
		case r.isHead(i):
			d.out("the header again")
		case text == "":
			d.out("no value stands in it")
		case !named:
			d.wrong("no check, or more than one, of a torque is called like “%s”", bolt)
		default:
			day, _ := r.day(d, "date", date)
			v, err := unit.Parse(text, "Nm", r.desk.Mark)
			if err != nil {
				d.wrong("value: %v", err)
			}
			if m := r.get(i, "mark"); r.column0("mark") && !yes(m) {
				d.odd("no torque mark is noted")
			}
			if d.State == Wrong {
				break
			}
			at := slices.IndexFunc(groups, func(g *group) bool { return g.check == checks[n] && g.day == day })
			if at < 0 || len(groups[at].value) >= max(checks[n].Want, 1) {
				groups = append(groups, &group{check: checks[n], day: day})
				at = len(groups) - 1
			}
			g := groups[at]
			g.rows, g.value = append(g.rows, i), append(g.value, decimal(v)+" Nm")
			d.Says = "a value of " + checks[n].ID
		}
		r.put(i, line)
	}
	for _, g := range groups {
		if want := max(g.check.Want, 1); len(g.value) != want {
			l := r.line(g.rows[0])
			l.State, l.Why = Wrong, append(l.Why, fmt.Sprintf("%s wants %d values of one day (%s), the sheet has %d", g.check.ID, want, strings.Join(g.check.Points, ", "), len(g.value)))
			continue
		}
		values := map[string][]string{"check": {g.check.ID}, "value": g.value, "at": {dayAt(g.day)}}
		r.extra(g.rows[0], "read", values, append([]string{g.check.ID, g.day}, g.value...), "reading of "+g.check.ID+": "+strings.Join(g.value, ", "))
	}
}
