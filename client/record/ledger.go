package record

import (
	"fmt"

	"ampwright/calc/money"
	"ampwright/client/words"
	"ampwright/model"
)

// hours are hands-on hours by stage, where they were asked for.
func (m *maker) hours() Section {
	if !m.cfg.Hours {
		return Section{}
	}
	h := m.b.Hours
	s := Section{Key: "hours", Title: "hours"}
	t := &Table{Columns: []Column{{Title: "stage", Share: 52}, {Title: "logged", Share: 16, Right: true}, {Title: "of it rework", Share: 16, Right: true}, {Title: "tasks finished", Share: 16, Right: true}}, None: "no hour logged"}
	hour := func(v float64) Cell { return Cell{Text: words.Figure(v, 1, m.st.Mark) + " h"} }
	on := map[*model.Stage][]model.ID{}
	var all []model.ID
	for _, w := range h.Work {
		var stage *model.Stage
		if task := m.b.Task(w.Task); task != nil {
			stage = task.Stage
		}
		on[stage] = append(on[stage], w.ID, w.ClockOff)
		all = append(all, w.ID, w.ClockOff)
	}
	for _, st := range h.Stages {
		if st.Logged > 0 {
			t.Rows = append(t.Rows, Row{On: m.on(on[st.Stage]...), Cells: []Cell{
				{Text: st.Stage.ID + "  " + st.Stage.Title}, hour(st.Logged), hour(st.Rework), {Text: fmt.Sprintf("%d of %d", st.Finished, st.Tasks)},
			}})
		}
	}
	if h.NoTask > 0 {
		t.Rows = append(t.Rows, Row{On: m.on(on[nil]...), Cells: []Cell{{Text: "no task"}, {Text: words.Hours(h.NoTask, m.st.Mark)}, {}, {}}})
	}
	m.on(all...)
	s.Text = []string{"The entries of each stage stand in the file that belongs to this paper."}
	s.Facts = []Fact{{Name: "logged in all", Value: words.Hours(h.Logged, m.st.Mark), Note: count(len(h.Work), "stretch of work", "stretches of work")}}
	s.Table = t
	return s
}

// money is what was spent, where it was asked for.
func (m *maker) money() Section {
	if !m.cfg.Money {
		return Section{}
	}
	sheet := &m.b.Money
	amount := func(a money.Amount) string { return m.b.Currency + " " + a.Format(m.b.Currency, m.st.Mark) }
	s := Section{Key: "money", Title: "money"}
	s.Facts = []Fact{
		{Name: "purchases and paid orders", Value: amount(sheet.Purchases + sheet.Orders)}, {Name: "money back", Value: amount(sheet.Refunds)},
		{Name: "sales, less fees and post", Value: amount(sheet.SalesNet)}, {Name: "net spend", Value: amount(sheet.Net)},
		{Name: "ordered, not paid", Value: amount(sheet.Committed)},
	}
	t := &Table{Columns: []Column{{Title: "date", Share: 12}, {Title: "what", Share: 47}, {Title: "receipt", Share: 14}, {Title: "amount", Share: 18, Right: true}, {Title: "entry", Share: 9, Mono: true}}, None: "nothing bought or sold"}
	for _, l := range sheet.Lines {
		row := Row{Cells: []Cell{{Text: date(l.At)}, {Text: l.What, Small: words.Join("; ", l.Kind, l.With)}, {Text: l.Receipt}, {Text: amount(l.Amount)}, {}}}
		if l.Kind == "sale" || l.Kind == "refund" {
			row.Cells[3].Small = "to be taken off"
		}
		if l.Unpaid {
			row.Cells[3].Small = "not paid"
		}
		m.put(t, row, l.ID)
	}
	s.Table = t
	return s
}

// cautions say what the record cannot know.
func (m *maker) cautions() Section {
	text := []string{
		"DANGER. High-voltage DC, a lithium fire and a lost axle maim and kill. Before work on it: key off, disconnect out, wait, prove dead with a tester that was proved before and after.",
		"A reading was true when it was taken. Nothing here knows what was not written down, and a device that has not met this one may hold entries that are missing here.",
		"Limits come from the plan's sources and from the spec sheet. A figure marked as a placeholder belongs to nobody's machine.",
		"Above 60 V DC, on the mains side, on welded frames, in the transport of lithium cells and on the road, local law and competent or licensed people decide.",
	}
	if v := m.b.Spec.Get("pack_max_V"); v != nil && v.Err == "" && v.Value <= 60 {
		text[0] = "WARNING. At or below 60 V DC a short circuit still burns and blinds; a lithium fire and a lost axle maim and kill. Before work on it: key off, disconnect out, wait, measure."
	}
	for _, t := range m.b.Tasks {
		if t.State == model.InHand {
			text = append(text, "Work is in hand: "+t.ID+" "+t.Title+".")
		}
	}
	return Section{Key: "cautions", Title: "cautions", Text: text}
}
