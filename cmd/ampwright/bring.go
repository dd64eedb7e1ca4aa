package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"ampwright/model"
	"ampwright/model/bring"
	"ampwright/model/plan"
	"ampwright/model/workbook"
	"ampwright/server/garage"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
)

// bringJSON is what a sheet becomes, or became.
type bringJSON struct {
	head
	File      string         `json:"file"`
	Hash      string         `json:"hash"` // SHA-256
	Sheet     string         `json:"sheet"`
	Kind      string         `json:"kind"`
	Why       string         `json:"why"`
	Columns   []columnJSON   `json:"columns"`
	Areas     []areaJSON     `json:"areas"`
	Questions []questionJSON `json:"questions"`
	Lines     []lineJSON     `json:"lines"`
	Counts    map[string]int `json:"counts"` // lines by state
	Written   bool           `json:"written"`
	Entries   []string       `json:"entries"`
}

type columnJSON struct {
	Letter string `json:"letter"`
	Header string `json:"header"`
	Field  string `json:"field"`
	Why    string `json:"why"`
}

type areaJSON struct {
	Text  string `json:"text"`
	Lines int    `json:"lines"`
	Is    string `json:"is"`
	Why   string `json:"why"`
}

type questionJSON struct {
	Name    string   `json:"name"`
	Text    string   `json:"text"`
	Choices []string `json:"choices"`
}

type lineJSON struct {
	Line  int      `json:"line"`
	State string   `json:"state"`
	Says  string   `json:"says"`
	Why   []string `json:"why"`
}

func (p *program) bring() *cobra.Command {
	c := &cobra.Command{
		Use: "bring FILE", Short: "bring in a sheet of hours, money, parts, sales, cells, torque values or things to do",
		Long: `Reads a .csv or .xlsx file of the kind people keep beside a build and shows what
each line would become, what is odd about it, and what is left out. Then it asks,
and writes all of it or nothing. A line that is in the logbook already is not
written again: the same file twice, on two devices, or grown since, makes no
doubles. How columns and areas of work were taken is remembered.

A list of things to do becomes tasks of the stages its areas are, hours on them,
and their finish. What a line is taken for is put right by its own words, as
--area "bleed the brakes=brk-04"; a stage makes it a new task of that stage.

To take it all back: ampwright strike with the name of the first entry it wrote.
For a logbook in JSON Lines there is ampwright import.`,
		Example: `  ampwright bring hours.csv --dry-run
  ampwright bring hours.csv --area "metalwork=enc" --area "odd jobs=none" --yes
  ampwright bring list.csv --area "lines without an area=enc"
  ampwright bring receipts.xlsx --sheet 2026 --kind money --map price=D --days day
  ampwright bring hours.csv --without 14,17 --changes none`,
		Args: exactly(1, "FILE"),
	}
	var o bring.Options
	f := c.Flags()
	f.StringVar(&o.Kind, "kind", "", "what it is a sheet of: `"+strings.Join(bring.Kinds, ", ")+"`; found out, if left out")
	f.StringVar(&o.Sheet, "sheet", "", "the `name` of the sheet in a workbook")
	f.IntVar(&o.Head, "head", 0, "the `line` of the header; -1 for none")
	f.StringToStringVar(&o.Columns, "map", nil, "a `FIELD=COLUMN`: the letter of the column, the words over it, or none")
	f.StringVar(&o.Days, "days", "", "`day or month`: which of them dates begin with")
	areas := f.StringArray("area", nil, "an `AREA=TASK`: the task, stage or none that an area of work on the sheet is")
	f.IntSliceVar(&o.Without, "without", nil, "the `lines` to leave out")
	f.StringVar(&o.Changes, "changes", "", "`none`: no hours on the sheet changed anything that matters to a reading")
	dry := f.Bool("dry-run", false, "only show what would be written")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if p.asOf != "" {
			return notWhenWriting(p.asOf)
		}
		if o.Changes != "" && o.Changes != "none" {
			return wrong("", "--changes %q: want none, or leave it out", o.Changes)
		}
		o.Areas = map[string]string{}
		for _, a := range *areas {
			area, is, ok := strings.Cut(a, "=")
			if !ok {
				return wrong("", "--area %q: want an area, = and a task, a stage or none", a)
			}
			o.Areas[area] = is
		}
		file, err := p.sheetFile(args[0])
		if err != nil {
			return err
		}
		h, err := p.enter(false)
		if err != nil {
			return err
		}
		return closing(p.bringIn(h, file, o, *dry), h)
	}
	return c
}

// sheetFile reads a file as a table; - is the standard input.
func (p *program) sheetFile(path string) (bring.File, error) {
	in := p.in
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			return bring.File{}, err
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, bring.MaxBytes+1))
	if err != nil {
		return bring.File{}, err
	}
	return readSheets(filepath.Base(path), data)
}

// readSheets reads a file by what its bytes begin with.
func readSheets(name string, data []byte) (bring.File, error) {
	if workbook.Is(data) {
		return workbook.Read(name, data)
	}
	if line, _, _ := bytes.Cut(data, []byte("\n")); bytes.HasPrefix(line, []byte(`{"id":`)) {
		return bring.File{}, &adviceError{fmt.Errorf("%s is a logbook in JSON Lines", name), "ampwright import " + name}
	}
	return bring.CSV(name, data)
}

func (p *program) bringIn(h garage.Home, file bring.File, o bring.Options, dry bool) error {
	var v view
	var preview *bring.Preview
	err := h.Read(func(l *model.Logbook) (err error) {
		v = view{log: l, now: h.Now()}
		settings, _ := l.Garage()
		v.style = settings.Style()
		id, err := pick(l, v.now, p.build)
		if err != nil {
			return err
		}
		if v.build, err = l.Build(id, v.now, plan.Builtin); err != nil {
			return err
		}
		preview, err = bring.Read(file, v.build, bring.Desk{Now: v.now, Mark: v.style.Mark, Columns: l.Columns}, o)
		if err != nil {
			return wrong("ampwright bring --help shows examples", "%s", err)
		}
		return nil
	})
	if err != nil {
		return err
	}
	body := newBring(v, preview)
	if p.json && dry {
		return p.printJSON(body)
	}
	if !p.json {
		if err := p.preview(dry, func(pg *page) { showBring(pg, body) }); err != nil {
			return err
		}
	}
	w, err := preview.Wish()
	if err != nil {
		return errors.Join(&usageError{lines: []string{err.Error()}, hint: bringHint(preview), end: "nothing was written"})
	}
	fresh := preview.Count(bring.New) + preview.Count(bring.Odd)
	switch {
	case dry:
		return nil
	case fresh == 0:
		p.talk("nothing is new: nothing was written")
		return nil
	case !p.yes:
		yes, asked := p.ask(fmt.Sprintf("Write %d %s down?", fresh, plural(fresh, "line", "lines")))
		if !asked {
			return &adviceError{errors.New("nothing was written"), "--yes writes it down, --dry-run only shows it"}
		}
		if !yes {
			return errors.New("nothing was written")
		}
	}
	out, err := h.Do(v.build.ID, w, p.by)
	if err != nil {
		return err
	}
	if p.json {
		body.Written, body.Entries = true, ids(out.Entries)
		return p.printJSON(body)
	}
	p.talk("written: %d %s; to take it all back: ampwright strike %s REASON", len(out.Entries), plural(len(out.Entries), "entry", "entries"), out.Entries[0].Short())
	if n := len(out.Stale); n > 0 {
		p.talk("%d %s now stale: ampwright stale", n, plural(n, "check is", "checks are"))
	}
	if out.Build == uuid.Nil {
		return nil
	}
	fmt.Fprintln(p.out, out.Entries[0])
	return nil
}

// bringHint says what to type for the first thing that is missing.
func bringHint(p *bring.Preview) string {
	if len(p.Questions) == 0 {
		return "put the lines right in the file, or leave them out with --without"
	}
	q := p.Questions[0]
	name, area, ok := strings.Cut(q.Name, ":")
	switch {
	case ok:
		return fmt.Sprintf("--area %q", area+"="+q.Choices[0])
	case name == "columns":
		return "--map FIELD=COLUMN"
	}
	return fmt.Sprintf("--%s %s", name, strings.Join(q.Choices, " or --"+name+" "))
}

func newBring(v view, p *bring.Preview) bringJSON {
	body := bringJSON{
		head: v.head("bring"), File: p.File, Hash: p.Hash, Sheet: p.Sheet, Kind: p.Kind, Why: p.Why, Columns: []columnJSON{}, Areas: []areaJSON{},
		Questions: []questionJSON{}, Lines: []lineJSON{}, Counts: map[string]int{}, Entries: []string{},
	}
	for _, c := range p.Columns {
		body.Columns = append(body.Columns, columnJSON(c))
	}
	for _, a := range p.Areas {
		body.Areas = append(body.Areas, areaJSON(a))
	}
	for _, q := range p.Questions {
		body.Questions = append(body.Questions, questionJSON{q.Name, q.Text, list(q.Choices)})
	}
	for _, l := range p.Lines {
		body.Lines = append(body.Lines, lineJSON{l.Number, string(l.State), l.Says, list(l.Why)})
		body.Counts[string(l.State)]++
	}
	return body
}

func showBring(pg *page, b bringJSON) {
	says := ""
	if b.Kind != "" {
		says = ": a sheet of " + b.Kind + ", " + b.Why
	}
	pg.line("%s%s%s", b.File, set(", sheet ", b.Sheet), says)
	for _, c := range b.Columns {
		pg.row(c.Letter, c.Header, c.Field, c.Why)
	}
	if len(b.Areas) > 0 {
		pg.head("areas of work")
		for _, a := range b.Areas {
			is := a.Is
			if is == "" {
				is = "?"
			}
			pg.row(a.Text, is, fmt.Sprintf("%d %s", a.Lines, plural(a.Lines, "line", "lines")), a.Why)
		}
	}
	pg.head("lines")
	for _, l := range b.Lines {
		pg.row(fmt.Sprint(l.Line), l.State, l.Says, strings.Join(l.Why, "; "))
	}
	var counts []string
	for _, s := range []bring.State{bring.New, bring.Odd, bring.Here, bring.Out, bring.Wrong} {
		if n := b.Counts[string(s)]; n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", n, s))
		}
	}
	pg.line("%s", strings.Join(counts, ", "))
	for _, q := range b.Questions {
		pg.line("? %s (%s)", q.Text, strings.Join(q.Choices, ", "))
	}
}
