package paper

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/money"
	"ampwright/calc/unit"
	"ampwright/client/record"
	"ampwright/model"
)

// The names of the lists that belong to no task, stage or checklist.
const (
	Shopping = "shopping"
	Pack     = "pack"
)

// ListNames are all lists of a build, by what a person types for them: the job
// cards by task, the checklists by stage, the checklists in chunks, and the two
// above.
func ListNames(b *model.Build) []string {
	names := []string{Shopping, Pack}
	for _, l := range b.Lists {
		names = append(names, l.ID)
		for _, c := range l.Chunks {
			names = append(names, c.ID)
		}
	}
	for _, s := range b.Stages {
		names = append(names, s.ID)
	}
	for _, t := range b.Tasks {
		names = append(names, t.ID)
	}
	return names
}

// WriteList paints a list of the build as a PDF with blanks to fill in by hand: a
// job card, the checks of a stage, a checklist or one chunk of it, the shopping list
// or the pack table. size is "A4", "Letter" or "" for what the garage has chosen.
func WriteList(w io.Writer, b *model.Build, name, size string) error {
	r, err := listOf(b, name)
	if err != nil {
		return err
	}
	switch r.Paper = b.Settings.Paper; {
	case strings.EqualFold(size, "A4"):
		r.Paper = "A4"
	case strings.EqualFold(size, "Letter"):
		r.Paper = "Letter"
	case size != "":
		return fmt.Errorf("paper %q: want A4 or Letter", size)
	}
	f := blank(r, nil)
	if err := newPainter(f, r, 8.4).all(); err != nil {
		return err
	}
	if err := f.Output(w); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

// A lister makes one list.
type lister struct {
	b  *model.Build
	st unit.Style
}

func listOf(b *model.Build, name string) (*record.Record, error) {
	x := &lister{b, b.Settings.Style()}
	r := &record.Record{Build: b.ID, At: b.Now.Truncate(time.Second)}
	title := ""
	switch s := (*model.Stage)(nil); {
	case name == Shopping:
		title, r.Sections = "shopping list", x.shopping()
	case name == Pack:
		title, r.Sections = "pack table", x.pack()
	case b.Task(name) != nil:
		title, r.Sections = "job card "+name, x.card(b.Task(name))
	default:
		for _, one := range b.Stages {
			if one.ID == name {
				s = one
			}
		}
		if s != nil {
			title, r.Sections = "checks of the stage "+s.Title, x.stage(s)
			break
		}
		for _, l := range b.Lists {
			for _, c := range l.Chunks {
				if l.ID == name || c.ID == name {
					title = "checklist " + l.Title
					r.Sections = append(r.Sections, x.chunk(l, c))
				}
			}
		}
	}
	if title == "" {
		return nil, fmt.Errorf("list %q: want a task, a stage, a checklist, a chunk of one, %s or %s", name, Shopping, Pack)
	}
	person := b.Started.Person
	r.Block = record.Block{
		LegalOwner: person, Creator: person, Title: b.Title, Type: title, Issued: r.At.Format(time.DateOnly),
	}
	r.Sections = append([]record.Section{{Key: "how", Title: "to be filled in by hand", Text: []string{
		fmt.Sprintf("Of build %s, plan %s, as it stood at %s. Type it in later with the time it was read at: it is then shown as typed later. "+
			"A measured value is never filled in beforehand.", b.ID.String()[:8], model.PlanRef{ID: b.Plan.ID, Version: b.Plan.Version}, r.At.Format("2006-01-02 15:04")),
	}}}, r.Sections...)
	r.Block.Number = "AL-" + b.ID.String()[:8] + "-" + record.Short(r.Sum()) // which build, and which content
	return r, nil
}

var checkColumns = []record.Column{
	{Title: "check", Share: 30}, {Title: "limit, and with what", Share: 24}, {Title: "reading", Share: 16}, {Title: "instrument, time, by", Share: 13}, {Title: "record id", Share: 17, Mono: true},
}

// checks is a table of checks with their blanks. of says how each is called on
// record, before its own name.
func (x *lister) checks(list []*model.Check, of func(i int, c *model.Check) string) *record.Table {
	t := &record.Table{Columns: checkColumns, None: "no check belongs here"}
	for i, c := range list {
		if !c.Applies {
			continue
		}
		what := record.Cell{Text: c.Title, Small: join("; ", set(c.Point, " point"), pre("wear ", c.PPE), pre("stop if ", c.StopIf), pre("if it fails: ", c.OnFail), pre("first: ", strings.Join(c.DependsOn, ", ")))}
		limit := record.Cell{Text: x.limit(c), Small: pre("with ", c.Instrument)}
		t.Rows = append(t.Rows, record.Row{Cells: []record.Cell{
			what, limit, {Blanks: blanks(c)}, {Blanks: []string{"instrument", "time", "by"}}, {Small: of(i, c) + c.ID},
		}})
	}
	return t
}

func (x *lister) limit(c *model.Check) string {
	var sides []string
	for _, one := range []struct {
		s    *model.Side
		word string
	}{{c.Min, "at least "}, {c.Max, "at most "}} {
		if one.s != nil {
			sides = append(sides, one.word+x.b.Explain(c, one.s, x.st))
		}
	}
	if c.Kind == model.Measurement && sides == nil {
		return "the figure is kept"
	}
	return strings.Join(sides, "; ")
}

// mostBlanks is how many points stand in a row; what has more is filled in on the
// pack table.
const mostBlanks = 8

func blanks(c *model.Check) []string {
	switch {
	case c.Derive != nil:
		return []string{"from " + c.Derive.Check}
	case c.Proof:
		return []string{"known source", "circuit", "known source"}
	case c.Want > mostBlanks:
		return []string{strconv.Itoa(c.Want) + " points: see the pack table"}
	case c.Want > 1:
		var labels []string
		for i := range c.Want {
			labels = append(labels, c.PointLabel(i))
		}
		return labels
	case c.Kind != model.Measurement:
		return []string{"seen"}
	}
	return []string{unit.Symbol(c.Unit)}
}

func (x *lister) card(t *model.Task) []record.Section {
	about := record.Section{Key: "task", Title: t.ID + "  " + t.Title, Facts: []record.Fact{
		{Name: "estimate", Value: t.Estimate.String() + " h", Note: "low, likely, high; hands-on"},
		{Name: "began", Blank: true}, {Name: "ended", Blank: true}, {Name: "by", Blank: true},
	}}
	for _, f := range []struct {
		name string
		list []string
	}{{"tools", t.Tools}, {"hazards", t.Hazards}, {"first", idsOf(t.Before)}} {
		if len(f.list) > 0 {
			about.Facts = append(about.Facts, record.Fact{Name: f.name, Value: strings.Join(f.list, ", ")})
		}
	}
	for i, s := range t.Steps {
		about.Text = append(about.Text, fmt.Sprintf("%d. %s", i+1, s))
	}
	sections := []record.Section{about, {Key: "checks", Title: "checks", Table: x.checks(t.Checks, func(int, *model.Check) string { return t.ID + "/" })}}
	if len(t.Parts) > 0 {
		sections = append(sections, record.Section{Key: "parts", Title: "parts", Table: x.parts(t.Parts)})
	}
	if len(t.PlanTask.Changes) > 0 {
		change := &record.Table{Columns: []record.Column{{Title: "what the work may change, and so make stale", Share: 70}, {Title: "changed? yes or no", Share: 30}}}
		for _, k := range t.PlanTask.Changes {
			change.Rows = append(change.Rows, record.Row{Cells: []record.Cell{{Text: x.b.ChangeTitle(k), Small: k}, {Blanks: []string{""}}}})
		}
		sections = append(sections, record.Section{Key: "changes", Title: "changes", Table: change})
	}
	return sections
}

func idsOf(list []*model.Task) (ids []string) {
	for _, t := range list {
		ids = append(ids, t.ID)
	}
	return ids
}

func (x *lister) stage(s *model.Stage) []record.Section {
	var sections []record.Section
	for _, t := range s.Tasks {
		if len(t.Checks) > 0 && t.State != model.NotNeeded {
			sections = append(sections, record.Section{Key: t.ID, Title: t.ID + "  " + t.Title, Table: x.checks(t.Checks, func(int, *model.Check) string { return t.ID + "/" })})
		}
	}
	return sections
}

func (x *lister) chunk(l model.PlanList, c model.PlanChunk) record.Section {
	first := 1 // number of the chunk's first step in the list
	for _, before := range l.Chunks {
		if before.ID == c.ID {
			break
		}
		first += len(before.Steps)
	}
	var checks []*model.Check
	for _, id := range c.Steps {
		if k := x.b.Check(id); k != nil {
			checks = append(checks, k)
		}
	}
	t := x.checks(checks, func(i int, _ *model.Check) string { return fmt.Sprintf("%s/%d/", l.ID, first+i) })
	t.Rows = append(t.Rows, record.Row{Cells: []record.Cell{
		{Text: "released by", Small: c.Release}, {}, {Blanks: []string{"name"}}, {Blanks: []string{"time", "witness"}}, {Small: l.ID + "/" + c.ID},
	}})
	return record.Section{Key: c.ID, Title: c.Title, Text: []string{l.Mode + ": " + l.Rule + "."}, Table: t}
}

// shopping lists what is wanted and not ordered.
func (x *lister) shopping() []record.Section {
	var wanted []*model.Part
	for _, p := range x.b.Parts {
		if p.State == model.PartWanted && p.Task.Open() {
			wanted = append(wanted, p)
		}
	}
	return []record.Section{{Key: "parts", Title: "wanted and not ordered", Table: x.parts(wanted)}}
}

func (x *lister) parts(list []*model.Part) *record.Table {
	t := &record.Table{None: "nothing is wanted", Columns: []record.Column{
		{Title: "part", Share: 36}, {Title: "how many", Share: 9, Right: true}, {Title: "price, days to come", Share: 21}, {Title: "vendor, price", Share: 20}, {Title: "record id", Share: 14, Mono: true},
	}}
	for _, p := range list {
		price := x.amount(p.Low()) + " to " + x.amount(p.High())
		t.Rows = append(t.Rows, record.Row{Cells: []record.Cell{
			{Text: p.Title, Small: join("; ", string(p.State), pre("not before ", strings.Join(p.OrderAfter, ", ")))}, {Text: strconv.Itoa(p.Qty) + " " + unit.Symbol(p.Unit)},
			{Text: price, Small: fmt.Sprintf("%d to %d days", p.LeadLow, p.LeadHigh)}, {Blanks: []string{"vendor", "price"}}, {Small: p.Task.ID + "/" + p.ID},
		}})
	}
	return t
}

func (x *lister) amount(a money.Amount) string {
	return x.b.Currency + " " + a.Format(x.b.Currency, x.st.Mark)
}

// pack is a table of blanks for every check with many points: a line a point,
// checks of as many points side by side.
func (x *lister) pack() []record.Section {
	bySize := map[int][]*model.Check{}
	var sizes []int
	for _, c := range x.b.Checks {
		if !c.Applies || c.Kind != model.Measurement || c.Want <= mostBlanks || c.Derive != nil {
			continue
		}
		if bySize[c.Want] == nil {
			sizes = append(sizes, c.Want)
		}
		bySize[c.Want] = append(bySize[c.Want], c)
	}
	if sizes == nil {
		return []record.Section{{Key: "pack", Title: "pack", Text: []string{"No check of the plan has as many points that a table is wanted."}}}
	}
	slices.Sort(sizes)
	var sections []record.Section
	for _, n := range sizes {
		for some := range slices.Chunk(bySize[n], 5) {
			s := record.Section{Key: "points", Title: fmt.Sprintf("%d points", n)}
			t := &record.Table{Columns: []record.Column{{Title: "point", Share: 15}}}
			for _, c := range some {
				t.Columns = append(t.Columns, record.Column{Title: c.ID + ", " + unit.Symbol(c.Unit), Share: 85 / float64(len(some))})
				s.Text = append(s.Text, join("; ", c.Task.ID+"/"+c.ID+": "+c.Title, x.limit(c), pre("with ", c.Instrument)))
			}
			for i := range n {
				row := record.Row{Cells: []record.Cell{{Text: some[0].PointLabel(i)}}}
				for range some {
					row.Cells = append(row.Cells, record.Cell{Blanks: []string{""}})
				}
				t.Rows = append(t.Rows, row)
			}
			who := record.Row{Cells: []record.Cell{{Small: "by, with, time"}}}
			for range some {
				who.Cells = append(who.Cells, record.Cell{Blanks: []string{"instrument", "time", "by"}})
			}
			t.Rows = append(t.Rows, who)
			s.Table = t
			sections = append(sections, s)
		}
	}
	return sections
}

func pre(words, text string) string {
	if text == "" {
		return ""
	}
	return words + text
}

func set(text, behind string) string {
	if text == "" {
		return ""
	}
	return text + behind
}

func join(mark string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(s string) bool { return s == "" }), mark)
}
