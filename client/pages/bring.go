package pages

import (
	"encoding/base64"
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"ampwright/model"
	"ampwright/model/bring"
	"ampwright/model/workbook"
)

// bringPage is all that bring.html can see.
type bringPage struct {
	*frame
	Action, Once string
	Fault        string
	Preview      *sheetPreview
	Brought      []broughtLine
	Fields       []option // what a column can be taken for
	Places       []option // what an area of work can be
}

// A sheetPreview is a file that was read and not written.
type sheetPreview struct {
	Name, Data         string // Data is the file in base64
	Kind, Says, Sheet  string
	Kinds, Days        []option
	Sheets             []option // of a workbook with more than one
	Columns            []sheetColumn
	Areas              []sheetArea
	Questions          []string
	Lines              []sheetLine
	Without, Head      string
	Unchanged, CanBeIn bool
	Hours              bool
}

type sheetColumn struct{ Letter, Header, Field, Why string }

type sheetArea struct{ Name, Text, Is, Why, Lines string }

type sheetLine struct {
	Number    int
	Stamp     stamp
	Says, Why string
}

// A broughtLine is a sheet in the logbook.
type broughtLine struct {
	Text, Note, When string
	Strike           string
	Raw              string // "" where the file is not kept
}

// MaxFile bounds a file that a page takes.
const MaxFile = 1 << 20

func (v *visit) bring() (Response, error) { return v.bringPage(statusOK, nil, "") }

func (v *visit) bringPage(status int, p *sheetPreview, fault string) (Response, error) {
	here := v.at() + "/bring"
	page := bringPage{frame: v.frame("settings", "bring in a sheet"), Action: here, Once: v.cfg.Once(), Preview: p, Fault: fault}
	for _, s := range v.b.Brought {
		text := fmt.Sprintf("%s of %s from %s", count(int(s.Rows), "entry", "entries"), s.What, s.File)
		if s.Rows == 0 {
			text = s.What + " " + s.File + ", kept"
		}
		page.Brought = append(page.Brought, broughtLine{
			Text: text, Note: s.How, When: v.when(s.At),
			Strike: v.asks("strike", "", here, "entry", s.ID.String()).Href, Raw: v.rawLink(s.Bring),
		})
	}
	if p != nil {
		for _, f := range bring.FieldsOf(p.Kind) {
			page.Fields = append(page.Fields, option{Value: f, Text: f})
		}
		for _, s := range v.b.Stages {
			page.Places = append(page.Places, option{Value: s.ID, Text: s.Title})
			for _, t := range s.Tasks {
				page.Places = append(page.Places, option{Value: t.ID, Text: t.Title})
			}
		}
		v.lists = append(v.lists, datalist{"sheet-fields", append(page.Fields, option{Value: "none", Text: "left out"})},
			datalist{"sheet-places", append(page.Places, option{Value: "none", Text: "no task"})})
	}
	return v.render(status, "bring.html", page)
}

// bringFile reads a file, or the same file again with what a person said about
// it, and writes it down once they say so.
func (v *visit) bringFile() (Response, error) {
	name, data, err := v.sheetFile()
	if err != nil {
		return v.bringPage(statusUnprocessable, nil, err.Error())
	}
	var f bring.File
	if workbook.Is(data) {
		f, err = workbook.Read(name, data)
	} else {
		f, err = bring.CSV(name, data)
	}
	if err != nil {
		return v.bringPage(statusUnprocessable, nil, err.Error())
	}
	o, fault := v.sheetOptions()
	desk := bring.Desk{Now: v.cfg.Book.Now(), Mark: v.style().Mark, Columns: func(head string) (columns string) {
		v.cfg.Book.Read(func(l *model.Logbook) { columns = l.Columns(head) })
		return columns
	}}
	p, err := bring.Read(f, v.b, desk, o)
	if err != nil { // of what was said; the file alone is read again
		fault = err.Error()
		if p, err = bring.Read(f, v.b, desk, bring.Options{}); err != nil {
			return v.bringPage(statusUnprocessable, nil, err.Error())
		}
	}
	w, notYet := p.Wish()
	if v.req.Form.Get("do") == "write" && fault == "" {
		if notYet == nil {
			return v.bringWrite(w)
		}
		fault = notYet.Error()
	}
	status := statusOK
	if fault != "" {
		status = statusUnprocessable
	}
	s := v.sheetPreview(p, name, data, o, notYet == nil && p.Count(bring.New)+p.Count(bring.Odd) > 0)
	if notYet == nil && !s.CanBeIn {
		s.Says += "; nothing is new"
	}
	for _, one := range f.Sheets {
		if len(f.Sheets) > 1 {
			s.Sheets = append(s.Sheets, option{Value: one.Name, Text: one.Name, On: one.Name == p.Sheet})
		}
	}
	return v.bringPage(status, s, fault)
}

func (v *visit) bringWrite(w model.Wish) (Response, error) {
	if once := v.req.Form.Get("once"); once != "" {
		w.Values["once"] = []string{once + " " + digest(v.req.Form)}
	}
	out, err := v.cfg.Book.Do(v.b.ID, w, "")
	var wrong *model.WishError
	if errors.As(err, &wrong) {
		return v.bringPage(statusUnprocessable, nil, wrong.Error())
	}
	if err != nil {
		return Response{}, err
	}
	out.Entries = out.Entries[:1] // the first stands for all
	return Response{Status: statusSeeOther, Location: withDone(v.at()+"/bring", out)}, nil
}

// sheetFile returns the file that was sent, or sent along again.
func (v *visit) sheetFile() (string, []byte, error) {
	for _, f := range v.req.Files {
		switch {
		case f.Field != "file":
		case len(f.Data) > MaxFile:
			return "", nil, fmt.Errorf("%s is %d kB: a page takes at most %d kB; use ampwright bring", f.Name, len(f.Data)>>10, MaxFile>>10)
		case len(f.Data) == 0:
			return "", nil, fmt.Errorf("%s: the file is empty", f.Name)
		default:
			return f.Name, f.Data, nil
		}
	}
	data, err := base64.StdEncoding.DecodeString(v.req.Form.Get("data"))
	if err != nil || len(data) == 0 {
		return "", nil, errors.New("no file was chosen")
	}
	return v.req.Form.Get("name"), data, nil
}

// sheetOptions reads what a person said about the sheet; fault says what of it
// cannot be read.
func (v *visit) sheetOptions() (o bring.Options, fault string) {
	f := v.req.Form
	if was := f.Get("was-sheet"); was != "" && f.Get("sheet") != was { // what was said is of the other
		return bring.Options{Sheet: f.Get("sheet")}, ""
	}
	o = bring.Options{Kind: f.Get("kind"), Days: f.Get("days"), Sheet: f.Get("sheet"), Columns: map[string]string{}, Areas: map[string]string{}}
	if f.Get("unchanged") != "" {
		o.Changes = "none"
	}
	var err error
	if text := strings.TrimSpace(f.Get("head")); text != "" {
		if o.Head, err = strconv.Atoi(text); err != nil || o.Head < -1 {
			fault = fmt.Sprintf("header “%s”: want the number of its line, or -1 for none", text)
		}
	}
	for _, w := range strings.FieldsFunc(f.Get("without"), func(r rune) bool { return r == ',' || r == ' ' || r == ';' }) {
		n, err := strconv.Atoi(w)
		if err != nil {
			fault = fmt.Sprintf("left out “%s”: want numbers of lines, such as 14, 17", w)
		}
		o.Without = append(o.Without, n)
	}
	if f.Get("kind") != f.Get("was-kind") { // columns of another kind of sheet
		return o, fault
	}
	for name, values := range f {
		if letter, ok := strings.CutPrefix(name, "col-"); ok && values[0] != f.Get("was-"+letter) {
			if was := f.Get("was-" + letter); was != "" && !slices.Contains(taken(f), was) {
				o.Columns[was] = "none"
			}
			if values[0] != "" && values[0] != "none" {
				o.Columns[values[0]] = letter
			}
		}
		if n, ok := strings.CutPrefix(name, "area-"); ok && values[0] != "" {
			o.Areas[f.Get("text-"+n)] = values[0]
		}
	}
	return o, fault
}

// taken are the fields that some column is said to hold.
func taken(f url.Values) []string {
	var all []string
	for name, values := range f {
		if strings.HasPrefix(name, "col-") {
			all = append(all, values[0])
		}
	}
	return all
}

// lineStamps are the stamps of a line's states.
var lineStamps = map[bring.State]stamp{
	bring.New: {Shape: "ready", Word: "NEW"}, bring.Odd: {Shape: "doubt", Word: "LOOK"}, bring.Here: {Shape: "none", Word: "HERE"},
	bring.Out: {Shape: "past", Word: "LEFT OUT"}, bring.Wrong: {Shape: "out", Word: "CANNOT BE READ"},
}

func (v *visit) sheetPreview(p *bring.Preview, name string, data []byte, o bring.Options, can bool) *sheetPreview {
	s := &sheetPreview{
		Name: name, Data: base64.StdEncoding.EncodeToString(data), Kind: p.Kind, Sheet: p.Sheet, CanBeIn: can,
		Unchanged: o.Changes == "none", Hours: p.Kind == bring.Hours || p.Kind == bring.Todo, Head: strconv.Itoa(p.Head),
	}
	if p.Head == 0 {
		s.Head = "-1"
	}
	for _, k := range bring.Kinds {
		s.Kinds = append(s.Kinds, option{Value: k, Text: k, On: k == p.Kind})
	}
	if p.Days != "" || slices.ContainsFunc(p.Questions, func(q bring.Question) bool { return q.Name == "days" }) {
		s.Days = []option{{Value: bring.DayFirst, Text: "day first", On: p.Days == bring.DayFirst}, {Value: bring.MonthFirst, Text: "month first", On: p.Days == bring.MonthFirst}}
	}
	for _, c := range p.Columns {
		s.Columns = append(s.Columns, sheetColumn(c))
	}
	for i, a := range p.Areas {
		s.Areas = append(s.Areas, sheetArea{strconv.Itoa(i), a.Text, a.Is, a.Why, count(a.Lines, "line", "lines")})
	}
	for _, q := range p.Questions {
		s.Questions = append(s.Questions, q.Text)
	}
	for _, l := range p.Lines {
		s.Lines = append(s.Lines, sheetLine{l.Number, lineStamps[l.State], l.Says, strings.Join(l.Why, "; ")})
	}
	var counts []string
	for _, st := range []bring.State{bring.New, bring.Odd, bring.Here, bring.Out, bring.Wrong} {
		if n := p.Count(st); n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", n, st))
		}
	}
	says := []string{p.Why, strings.Join(counts, ", ")}
	if p.Kind != "" {
		says[0] = "a sheet of " + p.Kind + ", " + p.Why
	}
	s.Says = strings.Join(slices.DeleteFunc(says, func(s string) bool { return s == "" }), "; ")
	var without []string
	for _, n := range o.Without {
		without = append(without, strconv.Itoa(n))
	}
	s.Without = strings.Join(without, ", ")
	return s
}
