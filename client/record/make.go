package record

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"

	"github.com/google/uuid"
)

// Config is what is asked of a record.
type Config struct {
	For          Audience // zero is Inspector
	Hours, Money bool     // also tell hours, money

	seals []Seal // those of the record that is made again, which had them from its logbook
}

// Make makes the record of a build. The build must have been made from the
// logbook as it stands: its moment is the record's, to the second.
func Make(b *model.Build, l *model.Logbook, cfg Config) (*Record, error) {
	if cfg.For == "" {
		cfg.For = Inspector
	}
	if _, err := ParseAudience(string(cfg.For)); err != nil {
		return nil, err
	}
	m := &maker{b: b, log: l, cfg: cfg, st: b.Settings.Style(), rests: map[model.ID]bool{}, checked: map[string]instrument{}}
	m.rec = &Record{
		Format: Format, Edition: Edition, Build: b.ID, For: cfg.For, Hours: cfg.Hours, Money: cfg.Money, At: b.Now.Truncate(time.Second),
		Paper: b.Settings.Paper, Entries: []Entry{},
	}
	m.rec.Heads = m.heads()
	m.readInstruments()
	person := b.Started.Person
	m.rec.Block = Block{
		LegalOwner: person, Creator: person, Issued: b.Now.Format(time.DateOnly), Title: b.Title, Type: cfg.For.documentType(),
	}
	m.on(b.Started.ID)
	if m.rec.Seals = cfg.seals; m.rec.Seals == nil {
		m.rec.Seals = sealsOf(l, m.rec.Heads)
	}
	for _, section := range cfg.For.sections() {
		if s := section(m); s.Key != "" {
			m.rec.Sections = append(m.rec.Sections, s)
		}
	}
	m.rec.Entries = m.entries()
	m.rec.Digest = m.rec.Sum()
	m.rec.Block.Number = m.rec.number()
	return m.rec, nil
}

// A maker makes one record.
type maker struct {
	b       *model.Build
	log     *model.Logbook
	cfg     Config
	st      unit.Style
	rec     *Record
	rests   map[model.ID]bool
	checked map[string]instrument // by name
}

// on notes entries that a figure comes from and returns their names.
func (m *maker) on(ids ...model.ID) []string {
	var names []string
	for _, id := range ids {
		if id == (model.ID{}) || slices.Contains(names, id.String()) {
			continue
		}
		m.rests[id] = true
		names = append(names, id.String())
	}
	return names
}

// entries returns all entries that were noted, by chain and number.
func (m *maker) entries() []Entry {
	list := make([]Entry, 0, len(m.rests))
	for id := range m.rests {
		line, ok := m.log.Line(id)
		if !ok {
			continue
		}
		list = append(list, Entry{ID: id.String(), Replica: line.Replica, Seq: line.Seq, Standing: standing(line)})
	}
	slices.SortFunc(list, func(a, b Entry) int {
		if c := bytes.Compare(a.Replica[:], b.Replica[:]); c != 0 {
			return c
		}
		if a.Seq != b.Seq {
			return int(int64(a.Seq) - int64(b.Seq))
		}
		return strings.Compare(a.ID, b.ID)
	})
	return list
}

func standing(l model.Line) string {
	switch {
	case l.Struck:
		return "struck out"
	case l.Replaced:
		return "replaced"
	}
	return ""
}

// heads returns the ends of all chains, by device. A chain that forks has more
// than one.
func (m *maker) heads() []Head {
	var list []Head
	all := m.log.Heads()
	for _, d := range m.b.Devices {
		for _, h := range all[d.Replica] {
			list = append(list, Head{Replica: d.Replica, Device: d.Name, Person: d.Person, Seq: h.Seq, ID: h.ID.String()})
		}
	}
	return list
}

// an instrument is what the garage has written down of one.
type instrument struct {
	accuracy, checked string
	on                []model.ID
}

func (m *maker) readInstruments() {
	for _, line := range slices.Backward(m.log.Lines(uuid.Nil, 0, 0)) {
		s, ok := line.Body.(*model.Set)
		if !ok || s.What != "instrument" || line.Struck || line.Replaced {
			continue
		}
		i := m.checked[s.Key]
		switch s.Field {
		case "accuracy":
			i.accuracy = s.Value
		case "checked":
			i.checked = s.Value
		}
		i.on = append(i.on, line.ID)
		m.checked[s.Key] = i
	}
}

// moment writes when something was, with the offset of the clock it was read
// from: "2026-11-15 11:10 +01:00".
func moment(w model.When) string {
	if w.IsZero() {
		return ""
	}
	return w.Time().Format("2006-01-02 15:04 -07:00")
}

func date(w model.When) string {
	if w.IsZero() {
		return ""
	}
	return w.Time().Format(time.DateOnly)
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// stated is who said something and when.
func stated(person string, at model.When) string { return words.Join(", ", person, date(at)) }

// sealsOf returns the seals over those of the heads that have one.
func sealsOf(l *model.Logbook, heads []Head) []Seal {
	var seals []Seal
	for _, h := range heads {
		for _, s := range l.Seals(h.Replica) {
			if s.Head.ID.String() == h.ID {
				seals = append(seals, Seal{h.Replica, h.ID, s.Sig[:]})
			}
		}
	}
	return seals
}
