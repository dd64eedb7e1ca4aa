package bring

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/tables"
)

// Options are what a person said about a sheet. Zero fields are found out.
type Options struct {
	Kind    string            // one of Kinds
	Sheet   string            // name of the sheet in a workbook
	Head    int               // line of the header, from 1; -1 for none
	Columns map[string]string // field -> letter of its column, words over it, or "none"
	Days    string            // DayFirst or MonthFirst
	Areas   map[string]string // area -> task, stage or "none"
	Without []int             // lines to leave out
	Changes string            // "none": no line of an hours sheet changed anything that matters to a reading
}

// A Desk is the circumstances in which a sheet is read.
type Desk struct {
	Now     time.Time // in the person's zone
	Mark    unit.Mark
	Columns func(head string) string // how columns were taken last, see [model.Logbook.Columns]; may be nil
}

// A Preview is what a sheet would become in the logbook.
type Preview struct {
	File, Hash string
	Sheet      string
	Kind, Why  string // the kind of sheet, and why it was taken for that
	Head       int    // line of the header, from 1; 0 where there is none
	Days       string // order of day and month, "" where it does not matter
	Columns    []Column
	Areas      []Area
	Questions  []Question
	Lines      []Line
	headKey    string
}

// A Column says what a column was taken for.
type Column struct {
	Letter, Header string
	Field          string // "" where it is left out
	Why            string
}

// An Area is an area of work as the sheet calls it.
type Area struct {
	Text  string
	Lines int
	Is    string // a task, a stage, or "none"; "" while it must be asked
	Why   string
}

// A Question must be answered before anything can be brought in.
type Question struct {
	Name    string // the option that answers it: "kind", "days", "columns", or "areas" and a colon and the area
	Text    string
	Choices []string
}

// A State says what becomes of a line.
type State string

const (
	New   State = "new"
	Odd   State = "look" // goes in, but something about it is odd
	Here  State = "here" // is in the logbook already
	Out   State = "left out"
	Wrong State = "wrong" // cannot be read; nothing is brought in until it is put right or left out
)

// A Line is one line of the sheet.
type Line struct {
	Number int // from 1
	State  State
	Says   string // what it becomes, in words
	Why    []string
	Row    *model.Row // nil where it becomes nothing
}

// Count returns how many lines are in a state.
func (p *Preview) Count(s State) int {
	n := 0
	for _, l := range p.Lines {
		if l.State == s {
			n++
		}
	}
	return n
}

// Wish returns the wish that brings the sheet in. It is an error, which names
// what is missing, while a question is open or a line cannot be read.
func (p *Preview) Wish() (model.Wish, error) {
	if len(p.Questions) > 0 {
		var open []string
		for _, q := range p.Questions {
			open = append(open, q.Text)
		}
		return model.Wish{}, fmt.Errorf("to be answered first: %s", strings.Join(open, "; "))
	}
	w := model.Wish{Name: model.BringWish, Values: map[string][]string{
		"file": {p.File}, "hash": {p.Hash}, "what": {p.Kind}, "how": {p.how()}, "head": {p.headKey}, "map": {p.mapped()},
	}}
	var wrong []string
	for _, l := range p.Lines {
		if l.State == Wrong {
			wrong = append(wrong, strconv.Itoa(l.Number))
		}
		if l.Row != nil && (l.State == New || l.State == Odd || l.State == Here) {
			w.Rows = append(w.Rows, *l.Row)
		}
	}
	if len(wrong) > 0 {
		return model.Wish{}, fmt.Errorf("cannot be read: line %s; put right or leave out", strings.Join(wrong, ", "))
	}
	for _, a := range p.Areas {
		if a.Is != "" {
			w.Values["areas"] = append(w.Values["areas"], a.Text+"="+a.Is)
		}
	}
	return w, nil
}

// how says which column was taken for what.
func (p *Preview) how() string {
	var parts []string
	for _, c := range p.Columns {
		if c.Field != "" {
			parts = append(parts, c.Field+" in "+c.Letter)
		}
	}
	if p.Days != "" {
		parts = append(parts, p.Days+" first")
	}
	return strings.Join(parts, ", ")
}

// mapped is how, to be read again by remembered.
func (p *Preview) mapped() string {
	parts := []string{"kind=" + p.Kind}
	for _, c := range p.Columns {
		if c.Field != "" {
			parts = append(parts, c.Field+"="+c.Letter)
		}
	}
	if p.Days != "" {
		parts = append(parts, "days="+p.Days)
	}
	return strings.Join(parts, " ")
}

// remembered reads what mapped wrote; what it cannot read it leaves out.
func remembered(text string) Options {
	o := Options{Columns: map[string]string{}}
	for _, f := range strings.Fields(text) {
		name, value, _ := strings.Cut(f, "=")
		switch name {
		case "kind":
			o.Kind = value
		case "days":
			o.Days = value
		default:
			o.Columns[name] = value
		}
	}
	return o
}

// Read says what a file would become in build b. It fails on options that name
// nothing, and on a file in which no table is found; all else is in the preview.
func Read(f File, b *model.Build, d Desk, o Options) (*Preview, error) {
	s, err := pickSheet(f, o.Sheet)
	if err != nil {
		return nil, err
	}
	if o.Kind != "" && kindNamed(o.Kind) == nil {
		return nil, fmt.Errorf("kind %q: want one of %s", o.Kind, strings.Join(Kinds, ", "))
	}
	if o.Days != "" && o.Days != DayFirst && o.Days != MonthFirst {
		return nil, fmt.Errorf("days %q: want %s or %s, whichever is written first", o.Days, DayFirst, MonthFirst)
	}
	r := &reader{
		Preview: &Preview{File: f.Name, Hash: f.Hash, Sheet: s.Name}, rows: s.Rows, build: b, desk: d, opt: o,
		cols: map[string]int{}, seen: map[string]int{}, areas: map[string]int{}, lineAt: map[int]int{},
	}
	if parts, ok := tables.Of(b, "parts"); ok && len(s.Rows) > 0 && slices.Equal(s.Rows[0], parts.Head) {
		return nil, fmt.Errorf("%s: this is the list of parts as export writes it: a build has it from its plan; bring in the orders", f.Name)
	}
	if err := r.findHead(); err != nil {
		return nil, err
	}
	if r.kind == nil {
		return r.Preview, nil
	}
	r.settleMark()
	r.settleDays()
	r.read()
	r.askAreas()
	return r.Preview, nil
}

// pickSheet returns the sheet that was named, else the first that looks like one
// of ours, else the first.
func pickSheet(f File, name string) (Sheet, error) {
	if len(f.Sheets) == 0 {
		return Sheet{}, fmt.Errorf("%s: no sheet is in it", f.Name)
	}
	var names []string
	best, most := f.Sheets[0], 0
	for _, s := range f.Sheets {
		if name != "" && strings.EqualFold(s.Name, name) {
			return s, nil
		}
		names = append(names, s.Name)
		if h, _ := head(s.Rows, ""); h.score > most {
			best, most = s, h.score
		}
	}
	if name != "" {
		return Sheet{}, fmt.Errorf("sheet %q is not in %s; there is %s", name, f.Name, strings.Join(names, ", "))
	}
	return best, nil
}

// A reader is a sheet while it is read.
type reader struct {
	*Preview
	rows  [][]string
	build *model.Build
	desk  Desk
	opt   Options

	kind       *sheetKind
	cols       map[string]int // field -> column
	first      int            // first row after the header
	mark       byte           // decimal mark of the sheet; 0 where it does not show
	monthFirst bool
	seen       map[string]int // what a line says -> line
	areas      map[string]int // area -> place in Areas
	above      sums           // of the lines read so far
	lineAt     map[int]int    // row -> place in Lines
}

func (r *reader) ask(name, text string, choices ...string) {
	r.Questions = append(r.Questions, Question{name, text, choices})
}

// get returns the cell of a field, "" where the sheet has no such column.
func (r *reader) get(row int, field string) string {
	c, ok := r.cols[field]
	if !ok {
		return ""
	}
	if field == "estimate" && r.mark == ',' { // 1,5/2,5/4
		return strings.ReplaceAll(cell(r.rows[row], c), ",", ".")
	}
	if slices.Contains(numberFields, field) {
		return r.plain(cell(r.rows[row], c))
	}
	return cell(r.rows[row], c)
}

// findHead finds the header and what each column is.
func (r *reader) findHead() error {
	best, next := headLine{row: -1}, headLine{row: -1}
	switch {
	case r.opt.Head > len(r.rows):
		return fmt.Errorf("head %d: the sheet has %d lines", r.opt.Head, len(r.rows))
	case r.opt.Head > 0:
		best, next = head(r.rows[r.opt.Head-1:r.opt.Head], r.opt.Kind)
		best.row = r.opt.Head - 1
	case r.opt.Head == 0:
		if best, next = head(r.rows, r.opt.Kind); best.row < 0 {
			best.row = wordsOnly(r.rows)
		}
	}
	r.headKey = r.keyOf(best.row)
	last := Options{}
	if r.desk.Columns != nil && r.headKey != "" {
		last = remembered(r.desk.Columns(r.headKey))
	}
	switch {
	case r.opt.Kind != "":
		r.kind, r.Why = kindNamed(r.opt.Kind), "as you said"
	case kindNamed(last.Kind) != nil:
		r.kind, r.Why = kindNamed(last.Kind), "as last time"
	case best.kind != nil && next.kind != nil && next.score*10 >= best.score*9:
		r.ask("kind", fmt.Sprintf("is it a sheet of %s or of %s?", best.kind.name, next.kind.name), best.kind.name, next.kind.name)
		return nil
	case best.kind != nil:
		r.kind, r.Why = best.kind, "by the words over its columns"
	default:
		if r.kind = r.kindByValues(); r.kind == nil {
			r.ask("kind", "what kind of sheet is it? no line names its columns", Kinds...)
			return nil
		}
		r.Why = "by what stands in its columns"
	}
	r.Kind, r.Head, r.first = r.kind.name, best.row+1, best.row+1
	why := map[string]string{}
	if best.row >= 0 {
		for c := range r.rows[best.row] {
			name, _ := r.kind.fieldOf(cell(r.rows[best.row], c))
			if _, taken := r.cols[name]; name != "" && !taken {
				r.cols[name], why[name] = c, "its header"
			}
		}
	}
	r.guessColumns(why)
	for _, from := range []struct {
		columns map[string]string
		why     string
	}{{last.Columns, "as last time"}, {r.opt.Columns, "as you said"}} {
		for field, col := range from.columns {
			c, err := r.column(best.row, field, col)
			if err != nil && from.why == "as you said" {
				return err
			}
			if err != nil {
				continue
			}
			for other, at := range r.cols {
				if at == c && other != field {
					delete(r.cols, other)
				}
			}
			if r.cols[field], why[field] = c, from.why; c < 0 {
				delete(r.cols, field)
			}
		}
	}
	if r.opt.Days == "" {
		r.opt.Days = last.Days
	}
	r.listColumns(best.row, why)
	if !slices.ContainsFunc(r.kind.need, func(f string) bool { _, ok := r.cols[f]; return ok }) {
		r.ask("columns", fmt.Sprintf("which column holds the %s?", strings.Join(r.kind.need, " or the ")))
		r.kind = nil
	}
	return nil
}

// wordsOnly returns the first line with words in two cells or more, where it has
// no digit: a header in words that are not known. -1 for none.
func wordsOnly(rows [][]string) int {
	for i, row := range rows {
		if blank(row) {
			continue
		}
		words := 0
		for c := range row {
			if strings.ContainsAny(row[c], "0123456789") {
				return -1
			}
			if cell(row, c) != "" {
				words++
			}
		}
		if words >= 2 {
			return i
		}
	}
	return -1
}

func (r *reader) keyOf(row int) string {
	if row < 0 {
		return ""
	}
	return HeadKey(r.rows[row])
}

// column finds the column that a person named by its letter or its words.
func (r *reader) column(head int, field, col string) (int, error) {
	if !slices.Contains(FieldsOf(r.kind.name), field) {
		return 0, fmt.Errorf("column for %q: a sheet of %s has %s", field, r.kind.name, strings.Join(FieldsOf(r.kind.name), ", "))
	}
	if col == "none" {
		return -1, nil
	}
	wide := 0
	for _, row := range r.rows {
		wide = max(wide, len(row))
	}
	for c := range wide {
		if strings.EqualFold(Letter(c), col) || head >= 0 && plainWord(cell(r.rows[head], c)) == plainWord(col) {
			return c, nil
		}
	}
	return 0, fmt.Errorf("column %q for %s: want a letter from A to %s, the words over it, or none", col, field, Letter(max(wide-1, 0)))
}

func (r *reader) listColumns(head int, why map[string]string) {
	wide := 0
	for _, row := range r.rows {
		wide = max(wide, len(row))
	}
	for c := range wide {
		col := Column{Letter: Letter(c)}
		if head >= 0 {
			col.Header = cell(r.rows[head], c)
		}
		for field, at := range r.cols {
			if at == c {
				col.Field, col.Why = field, why[field]
			}
		}
		if col.Field == "" && col.Header == "" && r.emptyColumn(c) {
			continue
		}
		if col.Field == "" {
			col.Why = "left out: nothing here is kept from it"
		}
		r.Columns = append(r.Columns, col)
	}
}

func (r *reader) emptyColumn(c int) bool {
	return !slices.ContainsFunc(r.rows, func(row []string) bool { return cell(row, c) != "" })
}

// settleDays finds out whether the day or the month comes first.
func (r *reader) settleDays() {
	var days []dayText
	for _, field := range []string{"date", "ordered", "promised", "came", "done"} {
		for i := r.first; i < len(r.rows); i++ {
			if d, ok := readDay(r.get(i, field)); ok {
				days = append(days, d)
			}
		}
	}
	order, why := dayOrder(days, r.desk.Now)
	switch {
	case r.opt.Days != "":
		r.Days, r.monthFirst = r.opt.Days, r.opt.Days == MonthFirst
	case order == "":
		example := ""
		for _, d := range days {
			if d.open() {
				example = d.text
			}
		}
		r.ask("days", fmt.Sprintf("does the day or the month come first in “%s”?", example), DayFirst, MonthFirst)
	case why != "":
		r.Days, r.monthFirst = order, order == MonthFirst
		r.Why += "; " + order + " first: " + why
	}
}
