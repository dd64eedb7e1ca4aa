package record

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
)

func (m *maker) format(v float64, in string) string { return unit.Format(v, in, m.st) }

// specs adds values of the spec sheet, those the plan has: with who typed them,
// or marked as placeholders.
func (m *maker) specs(facts []Fact, names ...string) []Fact {
	for _, name := range names {
		v := m.b.Spec.Get(name)
		if v == nil {
			continue
		}
		f := Fact{Name: words.Lower(v.Title), Value: m.format(v.Value, v.Unit)}
		switch w := v.Field.Value(); {
		case v.Err != "":
			f.Value, f.Note, f.Mark, f.Shape = "", v.Err, "NO VALUE", "none"
		case v.Formula != "":
			var own, placeholders []string
			var ids []model.ID
			m.inputs(v, map[string]bool{}, &own, &placeholders, &ids)
			f.Note = strings.ReplaceAll(m.b.Spec.Working(v, m.st).Numbers, " * ", " × ")
			if len(placeholders) > 0 {
				from := "from placeholders alone"
				if len(own) > 0 {
					from = "from placeholders too: " + some(placeholders, 3)
				}
				f.Note = words.Join("; ", f.Note, from)
				f.Mark, f.Shape = "PLACEHOLDER", "none"
			}
			f.On = m.on(ids...)
		case w == nil || v.Default:
			f.Note, f.Mark, f.Shape = placeholder(v.Basis), "PLACEHOLDER", "none"
		default:
			f.Note, f.On = words.Join("; ", "typed by "+stated(w.Person, w.At), w.Note), m.on(w.ID)
			if v.Field.Clash() {
				f.Mark, f.Shape = "WRITTEN APART", "doubt"
			}
		}
		facts = append(facts, f)
	}
	return facts
}

// inputs lists the inputs that a value follows from: those somebody typed, those
// nobody has, and the entries of the former.
func (m *maker) inputs(v *model.SpecValue, seen map[string]bool, own, placeholders *[]string, ids *[]model.ID) {
	for _, name := range v.Uses {
		u := m.b.Spec.Get(name)
		if u == nil || seen[name] {
			continue
		}
		seen[name] = true
		switch w := u.Field.Value(); {
		case u.Formula != "":
			m.inputs(u, seen, own, placeholders, ids)
		case u.Default || w == nil:
			*placeholders = append(*placeholders, words.Lower(u.Title))
		default:
			*own = append(*own, words.Lower(u.Title))
			*ids = append(*ids, w.ID)
		}
	}
}

func placeholder(basis string) string {
	switch {
	case basis == "manual":
		return "yours is in the maker's papers"
	case basis == "recall":
		return "common practice, no published source"
	case strings.HasPrefix(basis, "read:"):
		return "read in a published source (" + basis[len("read:"):] + ")"
	}
	return "the plan's, not of this machine"
}

func some(list []string, n int) string {
	if len(list) <= n {
		return strings.Join(list, ", ")
	}
	return strings.Join(list[:n], ", ") + fmt.Sprintf(" and %d more", len(list)-n)
}

// reading adds what a check of that key says today; nothing where the plan has
// no such check or it does not apply.
func (m *maker) reading(facts []Fact, key, name string) []Fact {
	c := m.b.Check(key)
	if c == nil || !c.Applies {
		return facts
	}
	f := Fact{Name: name}
	if name == "" {
		f.Name = words.Lower(c.Title)
	}
	f.Mark, f.Shape = mark(c)
	if r := c.Current; r != nil {
		f.Value = c.ValueText(r, m.st)
		f.Note = words.Join("; ", words.Join(" ", "limit", m.limit(c)), stated(r.Person, r.At), m.with(r.Reading.Instrument), m.witness(c), m.stale(c))
		if m.limit(c) == "" {
			f.Note = words.Join("; ", stated(r.Person, r.At), m.with(r.Reading.Instrument), m.witness(c), m.stale(c))
		}
		f.On = m.onCheck(c)
	}
	return append(facts, f)
}

func (m *maker) with(instrument string) string {
	if instrument == "" {
		return ""
	}
	return "with " + instrument
}

func (m *maker) witness(c *model.Check) string {
	if w := c.Witnessed(); w != "" {
		return "witnessed by " + w
	}
	return ""
}

func (m *maker) limit(c *model.Check) string { return c.LimitText(m.st) }

// stale says what came after the reading.
func (m *maker) stale(c *model.Check) string {
	switch k := c.Cause; {
	case k == nil:
		return ""
	case k.Change == "":
		return k.Title + ", since " + date(k.At)
	default:
		text := words.Join(", ", "since then "+words.Lower(k.Title), date(k.At), k.Task)
		if k.Assumed {
			text += " (assumed: nobody said whether it happened)"
		}
		return text
	}
}

// onCheck notes what the verdict on a check comes from.
func (m *maker) onCheck(c *model.Check) []string {
	var ids []model.ID
	if c.Current != nil {
		ids = append(ids, c.Current.ID)
	}
	if c.Cause != nil {
		ids = append(ids, c.Cause.Entry)
	}
	if c.Conceded != nil {
		ids = append(ids, c.Conceded.ID)
	}
	if c.Released != nil {
		ids = append(ids, c.Released.ID)
	}
	for _, side := range []string{"min", "max"} {
		if w := m.b.Field("check", c.ID, side).Value(); w != nil {
			ids = append(ids, w.ID)
		}
	}
	for _, v := range m.b.RestsOn(c) {
		if w := v.Field.Value(); w != nil {
			ids = append(ids, w.ID)
		}
	}
	return m.on(ids...)
}

// mark is the verdict in a word, and the shape of its stamp.
func mark(c *model.Check) (word, shape string) {
	switch {
	case !c.Applies:
		return "DOES NOT APPLY", "past"
	case c.Verdict == model.Within && !c.Cleared():
		return "NO WITNESS", "held"
	case c.Verdict == model.Within && c.Kind == model.PhotoCheck:
		return "PHOTO", "within"
	case c.Verdict == model.Within && c.Kind == model.YesNo:
		return "SEEN", "within"
	}
	switch c.Verdict {
	case model.Within:
		return "WITHIN", "within"
	case model.Out:
		return "OUT", "out"
	case model.NotShown:
		return "NOT SHOWN", "doubt"
	case model.Incomplete:
		return "INCOMPLETE", "part"
	case model.Stale:
		return "STALE", "stale"
	case model.Conceded:
		return "CONCEDED", "conceded"
	}
	return "NOT TAKEN", "none"
}

// once returns the names that are not empty, each once, in the order in which they came.
func once(list []string) []string {
	var out []string
	for _, s := range list {
		if s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}
