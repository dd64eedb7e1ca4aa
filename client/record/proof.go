package record

import (
	"fmt"
	"strings"
)

// proof is what the record can be held against.
func (m *maker) proof() Section {
	s := Section{Key: "proof", Title: "what this can be held against"}
	if m.cfg.For.Card() {
		var ends []string
		for _, h := range m.rec.Heads {
			ends = append(ends, fmt.Sprintf("%s %d %s", h.Device, h.Seq, h.ID))
		}
		s.Text = []string{"From a log of measurements, no approval. Last entries: " + strings.Join(ends, "; ") + "."}
		return s
	}
	s.Text = []string{
		"Every entry of the logbook is named by the hash of its bytes and names the entry before it. These are the last entries of every device's chain: " +
			"whoever changes or takes away one entry before them can no longer come to the same names. The codes hold the same names.",
		"Figures name the entries they come from by the first eight digits. The file that belongs to this paper holds the names whole; “record verify” " +
			"with that file and the logbook says whether one was changed, taken away, struck out or replaced since.",
	}
	t := &Table{Columns: []Column{{Title: "device", Share: 30}, {Title: "entries", Share: 12, Right: true}, {Title: "last entry", Share: 58, Mono: true}}, None: "the logbook is empty"}
	for _, h := range m.rec.Heads {
		t.Rows = append(t.Rows, Row{Cells: []Cell{{Text: h.Device, Small: h.Person}, {Text: fmt.Sprint(h.Seq)}, {Small: h.ID}}})
	}
	s.Table = t
	if len(m.rec.Seals) == 0 {
		s.Facts = append(s.Facts, Fact{Name: "seals", Value: "none", Note: "nobody has signed these names with a key"})
	}
	for _, seal := range m.rec.Seals {
		s.Facts = append(s.Facts, Fact{Name: "seal of " + m.device(seal), Value: Short(seal.Head), Note: fmt.Sprintf("signature %x", seal.Sig)})
	}
	return s
}

func (m *maker) device(s Seal) string {
	for _, h := range m.rec.Heads {
		if h.Replica == s.Replica {
			return h.Device
		}
	}
	return s.Replica.String()[:8]
}
