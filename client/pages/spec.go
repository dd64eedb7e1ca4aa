package pages

import (
	"net/url"
	"strings"

	"ampwright/calc/unit"
	"ampwright/model"
)

// specPage is all that spec.html can see.
type specPage struct {
	*frame
	Inputs  []inputLine
	Derived []derivedLine
	Typed   string // how many somebody has typed
}

// An inputLine is one input of the spec sheet.
type inputLine struct {
	ID, Title, Value, Unit string
	Default                bool
	From                   string // who typed it and when, or where the placeholder is from
	Note, Err              string
	Clash                  bool
	Writes                 []writeLine
	Form                   form
}

// A derivedLine is a value that follows from others.
type derivedLine struct {
	ID, Title, Value, Formula, Working, Err string
	OnDefaults                              []string // placeholders it rests on
}

func (v *visit) spec() (Response, error) {
	p := specPage{frame: v.frame("spec sheet", "spec sheet")}
	k, _ := model.WishKindOf("spec")
	st := v.style()
	typed := 0
	for _, s := range v.b.Spec.Inputs {
		l := inputLine{
			ID: s.ID, Title: s.Title, Value: unit.Format(s.Value, s.Unit, st), Unit: unit.Symbol(s.Unit), Default: s.Default, Err: s.Err,
			From: placeholder(s.Basis),
		}
		if w := s.Field.Value(); w != nil {
			typed++
			l.Writes = v.writeLines(s.Field)
			l.From, l.Note, l.Clash = l.Writes[0].Who+", "+l.Writes[0].When, w.Note, s.Field.Clash()
			for _, one := range l.Writes {
				if one.Shown {
					l.From = one.Who + ", " + one.When
				}
			}
		}
		l.Form = v.form(k, url.Values{"name": {s.ID}, "back": {v.at() + "/spec#" + s.ID}}, []string{"name"}, nil)
		p.Inputs = append(p.Inputs, l)
	}
	p.Typed = count(typed, "of them is typed", "of them are typed")
	for _, d := range v.b.Spec.Derived {
		l := derivedLine{ID: d.ID, Title: d.Title, Formula: d.Formula, Err: d.Err}
		if d.Err == "" {
			l.Value = unit.Format(d.Value, d.Unit, st)
			l.Working = v.b.Spec.Working(d, st)
		}
		l.OnDefaults = v.placeholders(d, map[string]bool{})
		p.Derived = append(p.Derived, l)
	}
	return v.render(statusOK, "spec.html", p)
}

// placeholders lists the inputs a value rests on that nobody has typed.
func (v *visit) placeholders(s *model.SpecValue, seen map[string]bool) []string {
	var list []string
	for _, name := range s.Uses {
		u := v.b.Spec.Get(name)
		if u == nil || seen[name] {
			continue
		}
		seen[name] = true
		if u.Default {
			list = append(list, strings.ToLower(u.Title[:1])+u.Title[1:])
		}
		list = append(list, v.placeholders(u, seen)...)
	}
	return list
}

// placeholder says what a figure of the plan is worth until somebody types one.
func placeholder(basis string) string {
	text := "plan's placeholder"
	switch {
	case basis == "manual":
		text += ": read yours in the manual or data sheet"
	case basis == "recall":
		text += ", common practice without a published source"
	case strings.HasPrefix(basis, "read:"):
		text += ", read in a published source (" + basis[len("read:"):] + ")"
	}
	return text
}
