// Package workbook reads and writes .xlsx files (ISO/IEC 29500-1 and -2, of
// transitional and of strict form) with the little code that a phone can carry:
// its own reading of ZIP archives and of XML, and nothing that looks types up
// while it runs.
package workbook

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/model/bring"
)

// What a workbook may hold, beside the lines and columns that a sheet may have.
// The empty cells before the last of a line, and the empty lines before the last,
// take memory too.
const (
	maxSize     = 64 << 20 // bytes of all parts, unpacked
	maxParts    = 2_000
	maxSheets   = 2_000
	maxName     = 1_000     // bytes, of a part
	maxCells    = 400_000   // of all sheets, with the empty ones before the last of a line
	maxMerged   = 2_000     // of all sheets
	maxElements = 2_000_000 // of all parts that are read
	maxDepth    = 200       // of elements in each other; sheets have less than twenty
)

// Is reports whether a file's bytes begin as a workbook's do: a ZIP archive.
func Is(data []byte) bool { return bytes.HasPrefix(data, []byte("PK\x03\x04")) }

// Read reads the sheets of a workbook, hidden ones too. Dates, times of day and
// numbers come out as 2026-08-29, 14:00 and 2.5, whatever they look like on the
// sheet; formulas as the value they had when the file was kept. A file that is
// too large or that cannot be read is an error, which begins with its name.
func Read(name string, data []byte) (bring.File, error) {
	f := bring.File{Name: name, Hash: bring.Hash(data)}
	if len(data) > bring.MaxBytes {
		return f, fmt.Errorf("%s: %d bytes, want at most %d", name, len(data), bring.MaxBytes)
	}
	r := reader{archive: openArchive(data, maxSize)}
	if r.err == nil {
		r.book(r.lead("", "Type", "officeDocument"))
	}
	if r.err != nil {
		return f, errors.New(name + ": want a workbook that can be read, .xlsx: " + r.err.Error())
	}
	f.Sheets = r.sheets
	return f, nil
}

// A reader keeps what the sheets of a workbook share.
type reader struct {
	*archive
	sheets   []bring.Sheet
	texts    []string // the shared ones
	kinds    []byte   // what is made of numbers, by cell format: 'd' date or time, 'h' hours past a day, 'n' anything else
	from1904 bool

	elements, cells, merged int // counted so far
}

// count adds to a number of things of which there may not be so many.
func (r *reader) count(n *int, more, most int, what string) {
	if *n += more; *n > most {
		r.fail("it has more than " + strconv.Itoa(most) + what)
	}
}

// lead returns the part that another leads to, "" being the whole archive, and ""
// if there is none: by a relation (ISO/IEC 29500-2, 6.5) of which an attribute is
// value, or ends in it behind a slash.
func (r *reader) lead(from, name, value string) string {
	cut := strings.LastIndexByte(from, '/') + 1
	to := ""
	s := r.scan(from[:cut] + "_rels/" + from[cut:] + ".rels")
	for s.next() {
		if s.kind == begins && s.name == "Relationship" {
			if is := s.attr(name); is[strings.LastIndexByte(is, '/')+1:] == value {
				to = joined(from[:cut], s.attr("Target"))
			}
		}
	}
	return to
}

// joined is the name of a part that another in that folder leads to.
func joined(folder, target string) string {
	if strings.HasPrefix(target, "/") {
		folder = ""
	}
	all := strings.ReplaceAll(folder+target, "/./", "/")
	for {
		if len(all) > maxName {
			return ""
		}
		before, after, ok := strings.Cut(all, "/../")
		if !ok {
			return all
		}
		all = before[:strings.LastIndexByte(before, '/')+1] + after
	}
}

// book reads the workbook itself and all that it leads to.
func (r *reader) book(part string) {
	if part == "" {
		r.fail("there is no workbook in it")
	}
	if styles := r.lead(part, "Type", "styles"); styles != "" {
		r.readStyles(styles)
	}
	if texts := r.lead(part, "Type", "sharedStrings"); texts != "" {
		r.readTexts(texts)
	}
	s := r.scan(part)
	for s.next() {
		if s.kind != begins {
			continue
		}
		switch s.name {
		case "workbookPr": // comes before the sheets
			date := s.attr("date1904")
			r.from1904 = date == "1" || date == "true"
		case "sheet":
			if len(r.sheets) == maxSheets {
				r.fail("it has more than " + strconv.Itoa(maxSheets) + " sheets, want less")
			}
			name := s.attr("name")
			rows := r.sheet(r.lead(part, "Id", s.attr("id")))
			if r.err != nil {
				r.err = errors.New("sheet " + name + ": " + r.err.Error())
			}
			r.sheets = append(r.sheets, bring.Sheet{Name: name, Rows: rows})
		}
	}
}

// readTexts reads the shared texts.
func (r *reader) readTexts(part string) {
	s := r.scan(part)
	var x runs
	for s.next() {
		x.take(s)
		if s.kind == ends && s.name == "si" {
			r.texts = append(r.texts, unescaped(string(x.text)))
			x.text = x.text[:0]
		}
	}
}

// Runs are the pieces of a text, each of which may have a look of its own. How
// its signs are spoken (rPh) is no part of it.
type runs struct {
	text      []byte
	in, aside bool
}

func (x *runs) take(s *scanner) {
	switch {
	case s.kind == words:
		if x.in && !x.aside {
			x.text = append(x.text, s.text...)
		}
	case s.name == "t", s.name == "v":
		x.in = s.kind == begins
	case s.name == "rPh":
		x.aside = s.kind == begins
	}
}

// unescaped puts in the characters that XML cannot hold, which are written as
// _x000D_ (ISO/IEC 29500-1, 22.4.2.4).
func unescaped(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var out strings.Builder
	for i := 0; i < len(s); i++ {
		c, ok := escape(s[i:])
		switch {
		case !ok:
			out.WriteByte(s[i])
			continue
		case c < 0xd800 || c > 0xdfff: // half a character is none
			out.WriteRune(c)
		}
		i += 6
	}
	return out.String()
}

// escape reads what looks like _x000D_ at the beginning of a text.
func escape(s string) (rune, bool) {
	if len(s) < 7 || s[:2] != "_x" || s[6] != '_' {
		return 0, false
	}
	c, err := strconv.ParseUint(s[2:6], 16, 16)
	return rune(c), err == nil
}

// readStyles reads what the cell formats make of numbers. A workbook says its own
// formats of numbers first, and later some that are for other things.
func (r *reader) readStyles(part string) {
	own := map[string]byte{}
	cells := false
	s := r.scan(part)
	for s.next() {
		switch name, t := s.name, s.kind; {
		case t == words:
		case name == "cellXfs":
			cells = t == begins
		case t == ends:
		case name == "numFmt" && r.kinds == nil:
			own[s.attr("numFmtId")] = formatKind(s.attr("formatCode"))
		case name == "xf" && cells:
			kind := own[s.attr("numFmtId")]
			switch id, _ := strconv.Atoi(s.attr("numFmtId")); {
			case id == 46: // [h]:mm:ss
				kind = 'h'
			case id >= 14 && id <= 22, id == 45, id == 47, id >= 27 && id <= 36, id >= 50 && id <= 58:
				kind = 'd' // ISO/IEC 29500-1, 18.8.30: the built-in formats of dates and times
			}
			r.kinds = append(r.kinds, kind)
		}
	}
}

// formatKind reads a number format of the file's own.
func formatKind(format string) byte {
	kind := byte('n')
	format = strings.ToLower(format)
	for i := 0; i < len(format); i++ {
		rest, end := format[i+1:], format[i]
		switch end {
		case '\\':
			i++
		case ';': // what was said is of positive numbers only
			return kind
		case '[', '"': // [h], [$-409], [red]; words
			if end == '[' {
				if strings.HasPrefix(rest, "h") || strings.HasPrefix(rest, "m") && !strings.HasPrefix(rest, "mag") {
					return 'h'
				}
				end = ']'
			}
			n := strings.IndexByte(rest, end)
			if n < 0 {
				return kind
			}
			i += n + 1
		case 'y', 'm', 'd', 'h', 's':
			kind = 'd'
		}
	}
	return kind
}

// sheet reads the lines of a sheet, to the last cell that says something or has
// a formula.
func (r *reader) sheet(part string) [][]string {
	rows := [][]string{}
	row, col := 0, 0 // of the cell that was read last, from 1
	var x runs
	kind, style := "", "" // of the cell, as the file has them
	table, cell, formula := false, false, false
	s := r.scan(part)
	for s.next() {
		x.take(s)
		switch name, t := s.name, s.kind; {
		case t == words:
		case name == "sheetData":
			table = t == begins
		case t == begins && name == "mergeCell":
			r.count(&r.merged, 1, maxMerged, " merged cells, want less: keep the sheet as .csv")
		case t == begins && name == "row" && table:
			row, col, cell = r.line(s.attr("r"), row), 0, false
		case t == begins && name == "c" && table && row > 0:
			last := col
			col = r.place(s.attr("r"), row, last)
			r.count(&r.cells, max(col-last, 1), maxCells, tooMany)
			cell, formula, x.text = true, false, x.text[:0]
			kind, style = s.attr("t"), s.attr("s")
		case name == "f":
			formula = true
		case t == ends && name == "c" && cell:
			cell = false
			text := r.text(kind, string(x.text), style)
			if text == "" && !formula || r.err != nil {
				continue
			}
			r.count(&r.cells, max(row-len(rows)-1, 0), maxCells, tooMany)
			for len(rows) < row {
				rows = append(rows, nil)
			}
			for len(rows[row-1]) < col {
				rows[row-1] = append(rows[row-1], "")
			}
			rows[row-1][col-1] = text
		}
	}
	return rows
}

const tooMany = " cells, with the empty ones before the last of each line; want less: keep one sheet as .csv"

// line reads the number of a line, which is the next one if the file has none.
func (r *reader) line(number string, last int) int {
	line := last + 1
	if number != "" {
		line, _ = strconv.Atoi(number)
	}
	if line < 1 {
		r.fail("there is a line " + strconv.Quote(number) + ", want a number from 1 to " + strconv.Itoa(bring.MaxRows))
	} else if line > bring.MaxRows {
		r.fail("there is a line " + strconv.Itoa(line) + ", want at most " + strconv.Itoa(bring.MaxRows) + " lines")
	}
	return line
}

// place reads the name of a cell and returns its column, which is the next one if
// the file has none.
func (r *reader) place(name string, row, last int) int {
	if name == "" {
		name = bring.Letter(last) + strconv.Itoa(row)
	}
	col, line := 0, 0
	for i := 0; i < len(name); i++ {
		switch c := name[i] | 0x20; { // a small letter
		case c >= 'a' && c <= 'z' && line == 0:
			col = min(col*26+int(c-'a')+1, bring.MaxCols+1)
		case c >= '0' && c <= '9' && name[i] == c:
			line = min(line*10+int(c-'0'), bring.MaxRows+1)
		case c != '$':
			line = -1 << 20
		}
	}
	if col == 0 || col > bring.MaxCols || line < 1 || line > bring.MaxRows {
		r.fail("there is a cell at " + name + ", want at most " + strconv.Itoa(bring.MaxCols) + " columns and " + strconv.Itoa(bring.MaxRows) + " lines, and a name such as A1")
	}
	return col
}

// text writes a cell's value as people would. The kind of a cell is its type as
// the file has it (ISO/IEC 29500-1, 18.18.11): yes and no are 1 and 0.
func (r *reader) text(kind, raw, style string) string {
	switch kind {
	case "s":
		if i, err := strconv.ParseUint(strings.TrimSpace(raw), 10, 31); err == nil && int(i) < len(r.texts) {
			return r.texts[i]
		}
		return ""
	case "inlineStr":
		return unescaped(raw)
	case "d": // a strict workbook's 2026-08-29T14:00:00
		if day, clock, ok := strings.Cut(raw, "T"); ok && len(clock) >= 5 {
			return strings.TrimSuffix(day+" "+clock[:5], " 00:00")
		}
		return raw
	}
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e15 {
		return raw
	}
	look := byte('n')
	if i, _ := strconv.Atoi(style); i >= 0 && i < len(r.kinds) {
		look = r.kinds[i]
	}
	switch look {
	case 'h':
		sign, minutes := "", int64(math.Round(v*24*60))
		if minutes < 0 {
			sign, minutes = "-", -minutes
		}
		return fmt.Sprintf("%s%d:%02d", sign, minutes/60, minutes%60)
	case 'd':
		if v < 0 || v >= 2958466 { // the year 10000
			return raw
		}
		return r.moment(v)
	}
	text := unit.FromFloat(v, 12).String()
	if whole, decimals, ok := strings.Cut(text, "."); ok && len(decimals) == 3 && v > 0 && whole[0] != '0' {
		text = "0" + text // 3.987 could be a group of thousands
	}
	return text
}

const aDay = 86400 // seconds

// moment writes so many days since the beginning of the workbook's time: a time of
// day, a day, or both. It is rounded to the second.
func (r *reader) moment(days float64) string {
	first, form := int64(-25569), "2006-01-02 15:04" // 1899-12-30, counted from 1970
	seconds := int64(math.Round(days * aDay))
	switch {
	case days < 1:
		seconds, form = min(seconds, aDay-1), "15:04"
	case seconds%aDay == 0:
		form = "2006-01-02"
	}
	if r.from1904 {
		first = -24107 // 1904-01-01
	} else if days < 60 {
		first++ // it is day 60 that never was: 29 February 1900
	}
	return time.Unix(first*aDay+seconds, 0).UTC().Format(form)
}
