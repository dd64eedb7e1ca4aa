package record

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ampwright/client/words"
	"ampwright/model"
)

// checks is the inspection plan with what was read: limit and its source,
// reading, verdict, and who read it with what.
func (m *maker) checks() Section {
	s := Section{Key: "checks", Title: "checks", Text: m.checksText()}
	t := &Table{Columns: []Column{
		{Title: "check", Share: 26}, {Title: "limit and its source", Share: 26}, {Title: "reading", Share: 20}, {Title: "who, when, with what", Share: 19}, {Title: "entry", Share: 9, Mono: true},
	}, None: "no check of the plan is among these"}
	stage := ""
	for _, c := range m.b.Checks {
		if !m.cfg.For.wants(c) || c.Task.State == model.NotNeeded && c.Current == nil {
			continue
		}
		if c.Task.Stage.ID != stage {
			stage = c.Task.Stage.ID
			t.Rows = append(t.Rows, Row{Head: stage + "  " + c.Task.Stage.Title})
		}
		t.Rows = append(t.Rows, m.checkRow(c))
	}
	s.Table = t
	return s
}

func (m *maker) checksText() []string {
	text := []string{"Limits are today's, worked out from the spec sheet as it stands. Stale: true once, not since a change that came later. " +
		"Who read it did it; a witness watched."}
	if w := m.cfg.For.which(); w != "" {
		text = append([]string{w}, text...)
	}
	return text
}

func (m *maker) checkRow(c *model.Check) Row {
	what := Cell{Text: c.Title, Small: words.Join(", ", c.ID, c.Task.ID)}
	if c.Hold() {
		what.Small += "; " + c.Point + " point"
	}
	limit := Cell{Small: source(c)}
	if c.Kind == model.Measurement {
		limit.Text = strings.Join(m.sides(c), "; ")
	}
	read := Cell{}
	read.Mark, read.Shape = mark(c)
	who := Cell{}
	row := Row{}
	if r := c.Current; r != nil {
		read.Text = c.ValueText(r, m.st)
		var small []string
		if r.Error > 0 {
			small = append(small, "±"+m.format(r.Error, c.Unit)+" by the instrument")
		}
		if r.Typed != "" {
			small = append(small, "typed “"+r.Typed+"”")
		}
		if r.Derived {
			small = append(small, r.Reading.Note)
		} else if r.Reading.Note != "" {
			small = append(small, r.Reading.Note)
		}
		small = append(small, m.stale(c))
		if len(c.Readings) > 1 {
			small = append(small, count(len(c.Readings)-1, "earlier reading", "earlier readings"))
		}
		if c.Cause != nil && r.Measured != model.Within {
			small = append(small, "by the limit alone: "+string(r.Measured))
		}
		read.Small = strings.Join(once(small), "; ")
		who.Text = words.Join(", ", r.Person, moment(r.At))
		who.Small = words.Join("; ", m.with(r.Reading.Instrument), m.witness(c), m.late(&r.Fact, r.At))
		row.On = m.onCheck(c)
	}
	if k := c.Conceded; k != nil {
		read.Small = words.Join("; ", read.Small, "concession: "+k.Reason+"; signed "+k.Person+" and "+k.Second+", "+date(k.At))
		row.On = m.onCheck(c)
	}
	row.Cells = []Cell{what, limit, read, who, {Small: shorts(row.On)}}
	return row
}

// late says when a reading was written down, where that was a day or more after.
func (m *maker) late(f *model.Fact, at model.When) string {
	if at.IsZero() {
		return ""
	}
	written := f.Stamp.Time().In(at.Time().Location())
	if written.Sub(at.Time()) < 24*time.Hour {
		return ""
	}
	return "written down " + written.Format(time.DateOnly)
}

// sides are the sides of a limit with their working.
func (m *maker) sides(c *model.Check) []string {
	var list []string
	for _, side := range []struct {
		s             *model.Side
		loose, strict string
	}{{c.Min, "at least ", "more than "}, {c.Max, "at most ", "less than "}} {
		if side.s == nil {
			continue
		}
		word := side.loose
		if side.s.Strict {
			word = side.strict
		}
		list = append(list, word+m.b.Explain(c, side.s, m.st))
	}
	if c.ScreenNeed != "" {
		list = append(list, fmt.Sprintf("%d good ones are needed", c.Need))
	}
	if len(list) == 0 {
		list = append(list, "no limit: the figure is kept")
	}
	return list
}

// source says where a limit is from.
func source(c *model.Check) string {
	if strings.HasPrefix(c.Source, "builder's own") || strings.HasPrefix(c.Source, "the builder's own") {
		return c.Source
	}
	basis := c.Basis
	switch {
	case basis == "own":
		basis = "builder's own limit"
	case basis == "recall":
		basis = "common practice, no published source"
	case basis == "manual":
		basis = "from a manual or data sheet"
	case strings.HasPrefix(basis, "read:"):
		basis = "read in a published source (" + basis[len("read:"):] + ")"
	}
	return words.Join(": ", basis, c.Source)
}

func shorts(ids []string) string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = Short(id)
	}
	return strings.Join(out, " ")
}

// service is what is due again while it rides.
func (m *maker) service() Section {
	s := Section{Key: "service", Title: "service"}
	t := &Table{Columns: []Column{{Title: "check", Share: 44}, {Title: "every", Share: 16}, {Title: "last", Share: 31}, {Title: "entry", Share: 9, Mono: true}}, None: "no check of the plan is asked for again after a time"}
	for _, c := range m.b.Checks {
		if !c.Applies || c.ValidDays == 0 && c.ValidKm == 0 {
			continue
		}
		var every []string
		if c.ValidDays > 0 {
			every = append(every, fmt.Sprintf("%d days", c.ValidDays))
		}
		if c.ValidKm > 0 {
			every = append(every, fmt.Sprintf("%d km", c.ValidKm))
		}
		last := Cell{}
		last.Mark, last.Shape = mark(c)
		row := Row{}
		if r := c.Current; r != nil {
			last.Text, last.Small = c.ValueText(r, m.st), words.Join("; ", stated(r.Person, r.At), m.stale(c))
			row.On = m.onCheck(c)
		}
		row.Cells = []Cell{{Text: c.Title, Small: c.ID}, {Text: strings.Join(every, " or ")}, last, {Small: shorts(row.On)}}
		t.Rows = append(t.Rows, row)
	}
	s.Table = t
	return s
}

// instruments are those that the shown readings name.
func (m *maker) instruments() Section {
	s := Section{Key: "instruments", Title: "instruments", Text: []string{"As people wrote their names. A date of checking is the garage's own note; no certificate is kept here."}}
	t := &Table{Columns: []Column{{Title: "instrument", Share: 34}, {Title: "readings that stand", Share: 16, Right: true}, {Title: "accuracy", Share: 20}, {Title: "last checked", Share: 21}, {Title: "entry", Share: 9, Mono: true}}, None: "no reading names an instrument"}
	n := map[string]int{}
	var names []string
	for _, c := range m.b.Checks {
		if r := c.Current; r != nil && r.Reading.Instrument != "" && !r.Derived && m.cfg.For.wants(c) {
			name := r.Reading.Instrument
			if n[name] == 0 {
				names = append(names, name)
			}
			n[name]++
		}
	}
	slices.Sort(names)
	for _, name := range names {
		i := m.checked[name]
		on := m.on(i.on...)
		row := Row{On: on, Cells: []Cell{{Text: name}, {Text: fmt.Sprint(n[name])}, {Text: i.accuracy}, {Text: i.checked}, {Small: shorts(on)}}}
		if i.accuracy == "" {
			row.Cells[2] = Cell{Small: "not written down"}
		}
		if i.checked == "" {
			row.Cells[3] = Cell{Small: "not written down"}
		}
		t.Rows = append(t.Rows, row)
	}
	s.Table = t
	return s
}
