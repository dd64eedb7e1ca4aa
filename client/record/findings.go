package record

import (
	"strings"

	"ampwright/client/words"
	"ampwright/model"
)

// nonconformances are what was out of order, what became of it, and what stands
// under a concession.
func (m *maker) nonconformances() Section {
	s := Section{Key: "nonconformances", Title: "nonconformances and concessions"}
	t := &Table{Columns: []Column{{Title: "what", Share: 43}, {Title: "disposition, and what shows it", Share: 37}, {Title: "standing", Share: 11}, {Title: "entry", Share: 9, Mono: true}}, None: "none on record"}
	taken := map[*model.NCR]bool{}
	for _, n := range m.b.NCRs {
		row := Row{Cells: []Cell{
			{Text: words.Join(": ", n.Label, n.Text), Small: words.Join("; ", stated(n.Person, n.At), words.Join(", ", n.Nonconformance.Task, n.Nonconformance.Check))},
			{Text: m.disposed(n)}, {Mark: "OPEN", Shape: "out"}, {},
		}}
		ids := []model.ID{n.ID}
		if k := n.Closed; k != nil {
			row.Cells[1].Small = words.Join("; ", "closed by "+stated(k.Person, k.At), words.Join(": ", words.Join("; ", k.Disposition, before("in its place ", k.Replacement), before("second name ", k.Second)), k.Evidence))
			row.Cells[2] = Cell{Mark: "CLOSED", Shape: "past"}
			ids = append(ids, k.ID)
		}
		taken[n] = true
		m.put(t, row, ids...)
	}
	for _, f := range m.b.Findings {
		if !f.Nonconformance() || f.NCR != nil && taken[f.NCR] {
			continue
		}
		row := Row{Cells: []Cell{{Text: f.Text, Small: words.Join("; ", "raised by the log", string(f.Kind), date(f.At))}, {Text: f.Ended}, {Mark: "ENDED", Shape: "past"}, {}}}
		if f.Open {
			row.Cells[2] = Cell{Mark: "OPEN", Shape: "out"}
		}
		var ids []model.ID
		switch {
		case f.Order != nil:
			ids = append(ids, f.Order.ID)
		case f.Check != nil && f.Check.Current != nil && f.Kind == model.FindingOut:
			ids = append(ids, f.Check.Current.ID)
		}
		m.put(t, row, ids...)
	}
	for _, c := range m.b.Checks {
		if k := c.Conceded; k != nil {
			m.put(t, Row{Cells: []Cell{
				{Text: "concession: " + c.Title, Small: c.ID}, {Text: k.Reason, Small: "signed " + k.Person + " and " + k.Second + ", " + date(k.At)},
				{Mark: "CONCEDED", Shape: "conceded"}, {},
			}}, k.ID)
		}
	}
	s.Table = t
	return s
}

// disposed is what was decided of a nonconformance, with what its disposition asks
// for.
func (m *maker) disposed(n *model.NCR) string {
	var changes []string
	for _, k := range n.Changes {
		changes = append(changes, words.Lower(m.b.ChangeTitle(k)))
	}
	return words.Join("; ", n.Disposition, before("it changes ", strings.Join(changes, ", ")), before("in its place ", n.Replacement), before("second name ", n.Second))
}

// before puts words before a text, unless that is empty.
func before(words, text string) string {
	if text == "" {
		return ""
	}
	return words + text
}

// put adds a row with the entries it comes from in its last cell.
func (m *maker) put(t *Table, row Row, ids ...model.ID) {
	row.On = m.on(ids...)
	row.Cells[len(row.Cells)-1].Small = shorts(row.On)
	t.Rows = append(t.Rows, row)
}

// punch is the list of open items.
func (m *maker) punch() Section {
	s := Section{Key: "punch", Title: "punch list"}
	t := &Table{Columns: []Column{{Title: "class", Share: 8}, {Title: "item", Share: 60}, {Title: "standing", Share: 23}, {Title: "entry", Share: 9, Mono: true}}, None: "no item on record"}
	for _, p := range m.b.Punches {
		row := Row{Cells: []Cell{{Text: p.Class}, {Text: p.Text, Small: words.Join("; ", p.Task, stated(p.Person, p.At))}, {Mark: "OPEN", Shape: "out"}, {}}}
		ids := []model.ID{p.ID}
		if k := p.Closed; k != nil {
			row.Cells[2] = Cell{Mark: "CLOSED", Shape: "past", Small: words.Join("; ", stated(k.Person, k.At), k.Evidence)}
			ids = append(ids, k.ID)
		}
		m.put(t, row, ids...)
	}
	s.Text = []string{"Class A must be closed before it rides, class B should."}
	s.Table = t
	return s
}
