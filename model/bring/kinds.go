package bring

import (
	"slices"
	"strings"
	"unicode"
)

// The kinds of sheet.
const (
	Hours  = "hours"
	Money  = "money"
	Parts  = "parts"
	Sales  = "sales"
	Cells  = "cells"
	Torque = "torque"
	Todo   = "to-do"

	Readings = "readings"
)

// Kinds lists the kinds of sheet in the order people keep them.
var Kinds = []string{Hours, Money, Parts, Sales, Cells, Torque, Todo, Readings}

// A kind of sheet: the columns it may have, and the words that people write over
// them (common practice, no published source).
type sheetKind struct {
	name   string
	fields []fieldWords
	need   []string // a line without one of these is no line of this sheet
}

// fieldWords are the words over a column. A word that points to this kind of
// sheet and no other weighs more in the guess.
type fieldWords struct {
	name   string
	words  []string
	weight int
}

var (
	dayWords  = []string{"date", "day", "when", "datum", "on"}
	areaWords = []string{"area", "stage", "section", "group of work", "category", "where", "part of bike", "area of work"}
	noteWords = []string{"note", "notes", "remark", "remarks", "comment", "comments"}
	itemWords = []string{"item", "what", "thing", "article", "description", "name"}
)

var sheetKinds = []sheetKind{
	{Hours, []fieldWords{
		{"date", dayWords, 1}, {"start", []string{"start", "from", "began", "begin", "time in", "in", "start time", "on at"}, 3},
		{"end", []string{"end", "to", "until", "till", "finish", "finished", "stop", "stopped", "time out", "out", "end time", "off at"}, 3},
		{"hours", []string{"hours", "hrs", "h", "hour", "time", "duration", "hours worked", "time spent", "total hours", "how long", "std", "stunden"}, 3},
		{"minutes", []string{"minutes", "min", "mins"}, 3},
		{"break", []string{"break", "breaks", "pause", "less break", "lunch", "tea"}, 3},
		{"what", []string{"what", "task", "work", "job", "description", "did", "what i did", "work done", "done", "activity"}, 1},
		{"area", areaWords, 1}, {"who", []string{"who", "person", "worker"}, 1}, {"note", noteWords, 0}, {"entry", []string{"entry"}, 0},
	}, []string{"hours", "minutes", "start"}},
	{Money, []fieldWords{
		{"date", dayWords, 1}, {"shop", []string{"shop", "from", "vendor", "store", "seller", "bought at", "supplier", "where"}, 2},
		{"item", itemWords, 1}, {"price", []string{"price", "cost", "amount", "paid", "total", "sum", "eur", "gbp", "usd", "spent", "gross"}, 2},
		{"post", []string{"post", "postage", "shipping", "delivery", "p&p", "p+p"}, 1},
		{"how", []string{"paid how", "how paid", "payment", "paid by", "paid with", "method"}, 2},
		{"part", []string{"part"}, 0}, {"kind", []string{"kind", "type"}, 1}, {"of", []string{"of"}, 0}, {"fee", []string{"fee", "fees"}, 0}, {"area", areaWords, 1}, {"receipt", []string{"receipt", "receipt no", "receipt number", "invoice", "bill", "voucher"}, 3}, {"note", noteWords, 0}, {"entry", []string{"entry"}, 0},
	}, []string{"price"}},
	{Parts, []fieldWords{
		{"item", append([]string{"part"}, itemWords...), 1}, {"wanted", []string{"wanted", "need", "needed", "to buy"}, 2},
		{"ordered", []string{"ordered", "order date", "ordered on", "date ordered"}, 4},
		{"promised", []string{"promised", "due", "expected", "eta", "delivery date", "promised for"}, 4},
		{"came", []string{"came", "arrived", "received", "delivered", "came on", "here"}, 4},
		{"price", []string{"price", "cost", "amount"}, 1}, {"shop", []string{"shop", "from", "vendor", "store", "seller", "supplier"}, 1},
		{"parts", []string{"parts"}, 2}, {"unpaid", []string{"unpaid", "not paid"}, 1},
		{"link", []string{"link", "url", "web"}, 1}, {"area", areaWords, 1}, {"label", []string{"order no", "order number", "no", "number"}, 1}, {"note", noteWords, 0}, {"entry", []string{"entry"}, 0},
	}, []string{"item"}},
	{Sales, []fieldWords{
		{"date", append([]string{"sold", "sold on"}, dayWords...), 1}, {"item", itemWords, 1}, {"asked", []string{"asked", "asking", "asking price", "wanted"}, 4},
		{"got", []string{"got", "sold for", "price got", "sale price", "income"}, 3}, {"fee", []string{"fee", "fees", "commission"}, 4},
		{"post", []string{"post", "postage", "shipping"}, 1}, {"buyer", []string{"buyer", "sold to", "to", "customer"}, 4},
		{"area", areaWords, 1}, {"note", noteWords, 0},
	}, []string{"got", "asked"}},
	{Cells, []fieldWords{
		{"cell", []string{"no", "cell", "cell no", "number", "id", "cell number", "#"}, 1}, {"module", []string{"module", "mod"}, 2}, {"date", dayWords, 1},
		{"found", []string{"v as found", "v found", "volts", "v", "voltage", "ocv", "open circuit", "volts as found"}, 3},
		{"ir", []string{"ir", "internal resistance", "resistance", "r", "mohm", "ir mohm"}, 4},
		{"ah", []string{"ah", "capacity", "cap", "capacity ah"}, 4},
		{"day1", []string{"v day 1", "day 1", "v1", "volts day 1"}, 4}, {"day14", []string{"v day 14", "day 14", "v14", "volts day 14"}, 4},
		{"lost", []string{"self discharge", "mv a week", "lost a week"}, 4},
		{"group", []string{"group", "string", "gr"}, 2}, {"note", noteWords, 0},
	}, []string{"cell"}},
	{Torque, []fieldWords{
		{"bolt", []string{"bolt", "nut", "fastener", "screw", "stud", "where"}, 4},
		{"value", []string{"value", "torque", "nm", "setting", "reading", "tightened to"}, 3},
		{"date", dayWords, 1}, {"mark", []string{"mark", "marked", "paint", "paint mark", "torque mark"}, 4}, {"note", noteWords, 0},
	}, []string{"bolt"}},
	{Todo, []fieldWords{
		{"what", []string{"to do", "todo", "to dos", "things to do", "thing to do", "still to do", "action"}, 4},
		{"what", append([]string{"task", "work", "job", "text", "title"}, itemWords...), 0},
		{"done", []string{"done", "finished", "complete", "completed", "tick", "ticked", "done on", "finished on", "completed on", "erledigt"}, 4},
		{"done", []string{"status", "state", "progress"}, 1},
		{"estimate", []string{"estimate", "estimated", "est", "est hours", "est hrs", "est h", "estimated hours", "estimate hours", "hours estimated", "hours est", "hrs est", "time est", "planned", "planned hours", "hours planned", "plan h", "guess", "expected hours"}, 4},
		{"hours", []string{"hours", "hrs", "h", "time", "took", "taken", "hours taken", "actual", "actual hours", "actual hrs", "hours actual", "hrs actual", "spent", "hours spent", "time spent", "time taken", "real", "stunden"}, 1},
		{"area", areaWords, 1}, {"who", []string{"who", "person", "by", "for", "assigned", "assigned to", "owner"}, 0},
		{"date", dayWords, 0}, {"note", noteWords, 0},
	}, []string{"what"}},
	{Readings, []fieldWords{
		{"date", dayWords, 1}, {"time", []string{"time", "clock"}, 1}, {"check", []string{"check"}, 4}, {"point", []string{"point"}, 2},
		{"value", []string{"value", "reading"}, 2}, {"unit", []string{"unit"}, 1}, {"with", []string{"with", "instrument"}, 2},
		{"before", []string{"before", "known source before"}, 1}, {"after", []string{"after", "known source after"}, 1},
		{"by", []string{"by", "read by"}, 1}, {"witness", []string{"witness"}, 2}, {"seen", []string{"seen"}, 1}, {"note", noteWords, 0}, {"entry", []string{"entry"}, 0},
	}, []string{"check"}},
}

func kindNamed(name string) *sheetKind {
	for i := range sheetKinds {
		if sheetKinds[i].name == name {
			return &sheetKinds[i]
		}
	}
	return nil
}

// FieldsOf returns the names of the columns that a kind of sheet may have, nil
// for a kind that is not known.
func FieldsOf(kind string) []string {
	k := kindNamed(kind)
	if k == nil {
		return nil
	}
	var names []string
	for _, f := range k.fields {
		if !slices.Contains(names, f.name) {
			names = append(names, f.name)
		}
	}
	return names
}

// plainWord is how the words over a column are compared: small letters and
// digits, single spaces, without what stands in brackets.
func plainWord(s string) string {
	if i := strings.IndexAny(s, "(["); i > 0 {
		s = s[:i]
	}
	f := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '&' && r != '+' && r != '#'
	})
	return strings.Join(f, " ")
}

// fieldOf returns the field of a kind that a header names, "" for none.
func (k *sheetKind) fieldOf(header string) (name string, weight int) {
	w, whole := plainWord(header), plainWord(strings.NewReplacer("(", " ", "[", " ").Replace(header))
	if w == "" {
		return "", 0
	}
	for _, f := range k.fields { // "hours (est.)"
		if slices.Contains(f.words, whole) {
			return f.name, f.weight
		}
	}
	for _, f := range k.fields {
		if slices.Contains(f.words, w) || f.name == w {
			return f.name, f.weight
		}
	}
	for _, unit := range []string{" eur", " gbp", " usd", " nm", " v", " mv", " mohm", " ah", " h", " min", " hours", " minutes"} { // "price EUR"
		if rest, ok := strings.CutSuffix(w, unit); ok {
			for _, f := range k.fields {
				if slices.Contains(f.words, rest) {
					return f.name, f.weight
				}
			}
		}
	}
	return "", 0
}

// headLine is one line read as a header for one kind.
type headLine struct {
	row    int
	kind   *sheetKind
	cols   map[string]int // field -> column
	score  int
	naming int // how many columns it names
}

// head finds the line that names the most columns, for each kind in turn. kind
// is "" where it is to be guessed; it returns the best reading and the second
// best of another kind.
func head(rows [][]string, kind string) (best, next headLine) {
	best.row, next.row = -1, -1
	for i := range sheetKinds {
		k := &sheetKinds[i]
		if kind != "" && k.name != kind {
			continue
		}
		one := headLine{row: -1}
		for r := 0; r < min(len(rows), 40); r++ {
			h := headLine{row: r, kind: k, cols: map[string]int{}}
			for c := range rows[r] {
				name, weight := k.fieldOf(cell(rows[r], c))
				if _, taken := h.cols[name]; name == "" || taken {
					continue
				}
				h.cols[name] = c
				h.score += 1 + 2*weight
				h.naming++
			}
			if h.naming >= 2 && h.score > one.score {
				one = h
			}
		}
		switch {
		case one.row < 0:
		case best.row < 0 || one.score > best.score:
			best, next = one, best
		case next.row < 0 || one.score > next.score:
			next = one
		}
	}
	return best, next
}

// HeadKey names a header, so that the columns of a sheet are taken next time as
// they were corrected this time.
func HeadKey(row []string) string {
	var words []string
	for i := range row {
		words = append(words, plainWord(cell(row, i)))
	}
	return Hash([]byte(strings.TrimRight(strings.Join(words, "|"), "|")))[:32]
}
