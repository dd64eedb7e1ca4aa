package pages

import (
	"net/url"
	"strconv"
	"strings"

	"ampwright/calc/catalogue"
	"ampwright/calc/unit"
	"ampwright/client/words"
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
	Stale                  []link // readings that another value makes stale
	StaleCount             string
	Form                   form
}

// A derivedLine is a value that follows from others.
type derivedLine struct {
	ID, Title, Value, Formula, Working, Err string
	Calc                                    link     // the calculation that gives it, or gives it too
	Source                                  string   // of the calculation that gives it
	OnDefaults                              []string // placeholders it rests on
	OnTyped                                 []string // figures it rests on that somebody typed: what, who, when
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
		for _, c := range v.b.WouldStale(s.ID) {
			l.Stale = append(l.Stale, link{Href: v.at() + "/check/" + c.ID, Text: c.Title})
		}
		l.StaleCount = count(len(l.Stale), "reading", "readings")
		l.Form = v.form(k, url.Values{"name": {s.ID}, "back": {v.at() + "/spec#" + s.ID}}, []string{"name"}, nil)
		p.Inputs = append(p.Inputs, l)
	}
	p.Typed = count(typed, "of them is typed", "of them are typed")
	for _, d := range v.b.Spec.Derived {
		work := v.b.Spec.Working(d, st)
		l := derivedLine{ID: d.ID, Title: d.Title, Formula: work.Formula, Working: work.Numbers, Err: d.Err}
		if d.Err == "" {
			l.Value = unit.Format(d.Value, d.Unit, st)
		}
		if d.Calc != nil {
			l.Calc, l.Source = link{Href: v.calcAt(d), Text: d.Calc.Title}, d.Calc.Source
		} else if c := catalogue.Gives(d.ID, d.Unit); c != nil {
			l.Calc = link{Href: v.at() + "/calc/" + c.Name, Text: c.Title}
		}
		l.OnDefaults, l.OnTyped = v.restsOn(d, map[string]bool{})
		p.Derived = append(p.Derived, l)
	}
	return v.render(statusOK, "spec.html", p)
}

// calcAt is where the calculation of a value stands, asked with the sheet's
// figures: what has its name on the sheet the page finds by itself.
func (v *visit) calcAt(d *model.SpecValue) string {
	at, q := v.at()+"/calc/"+d.Calc.Name, url.Values{}
	for input, s := range v.b.Spec.Given(d) {
		q.Set(input, "")
		if s != nil {
			q.Set(input, v.mark(strconv.FormatFloat(s.Value, 'g', 10, 64)))
		}
	}
	if len(q) > 0 {
		at += "?" + q.Encode()
	}
	return at
}

// restsOn lists the inputs a value rests on: those nobody has typed, and those
// somebody has, with who and when.
func (v *visit) restsOn(s *model.SpecValue, seen map[string]bool) (defaults, typed []string) {
	for _, name := range s.Uses {
		u := v.b.Spec.Get(name)
		if u == nil || seen[name] {
			continue
		}
		seen[name] = true
		switch w := u.Field.Value(); {
		case u.Formula != "":
			d, t := v.restsOn(u, seen)
			defaults, typed = append(defaults, d...), append(typed, t...)
		case u.Default || w == nil:
			defaults = append(defaults, words.Lower(u.Title))
		default:
			typed = append(typed, words.Lower(u.Title)+" ("+unit.Format(u.Value, u.Unit, v.style())+", typed by "+w.Person+", "+v.when(w.At)+")")
		}
	}
	return defaults, typed
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
