package record

import (
	"slices"
	"strings"

	"ampwright/client/words"
	"ampwright/model"
)

// signOffs are the releases of points and chunks, and the concessions, with whose
// key they were signed and whether they still hold. Of releases of one point the
// last is shown.
func (m *maker) signOffs() Section {
	s := Section{Key: "sign-offs", Title: "sign-offs", Text: []string{
		"A release holds until a limit, a reading or anything it was signed on changes. " +
			"Signed with a key: by the device's own key for sign-offs, which its browser hands to nobody; whoever has the device unlocked can use it.",
	}}
	t := &Table{Columns: []Column{{Title: "point", Share: 24}, {Title: "who, when", Share: 24}, {Title: "signed", Share: 28}, {Title: "standing", Share: 15}, {Title: "entry", Share: 9, Mono: true}}, None: "none on record"}
	shown := map[string]bool{}
	for _, r := range slices.Backward(m.b.Releases) {
		if shown[r.Point] {
			continue
		}
		shown[r.Point] = true
		row := Row{Cells: []Cell{{Text: r.Point}, {Text: stated(r.Person, r.At), Small: before("witnessed by ", r.Release.Witness)}, m.key(r.Signed), {Mark: "HOLDS", Shape: "within"}, {}}}
		if len(r.Changed) > 0 {
			row.Cells[3] = Cell{Mark: "NO LONGER", Shape: "stale", Small: strings.Join(r.Changed, "; ")}
		}
		m.put(t, row, signedIDs(r.ID, r.Signed)...)
	}
	slices.Reverse(t.Rows)
	for _, c := range m.b.Checks {
		if k := c.Conceded; k != nil {
			m.put(t, Row{Cells: []Cell{
				{Text: c.ID, Small: "concession"}, {Text: stated(k.Person, k.At), Small: "and " + k.Second}, m.key(k.Signed), {Mark: "CONCEDED", Shape: "conceded"}, {},
			}}, signedIDs(k.ID, k.Signed)...)
		}
	}
	if len(t.Rows) == 0 {
		return Section{}
	}
	s.Table = t
	return s
}

// key says which key a sign-off was signed with.
func (m *maker) key(s *model.SignatureLine) Cell {
	if s == nil {
		return Cell{Small: "by no key of its own"}
	}
	cell := Cell{Text: words.Join(" of ", "on "+s.Device, s.Person), Small: "key " + s.Fingerprint()}
	if s.Fault != "" {
		cell.Small += "; " + s.Fault
	}
	return cell
}

func signedIDs(id model.ID, s *model.SignatureLine) []model.ID {
	if s == nil {
		return []model.ID{id}
	}
	return []model.ID{id, s.ID}
}

// moves says from which version of its plan a build was moved to which.
func (m *maker) moves() []Fact {
	var facts []Fact
	for _, v := range m.b.Moves {
		facts = append(facts, Fact{
			Name: "plan moved", Value: v.Of().String() + " to " + v.To().String(), Note: words.Join("; ", stated(v.Person, v.At), v.Note), On: m.on(v.ID),
		})
	}
	return facts
}
