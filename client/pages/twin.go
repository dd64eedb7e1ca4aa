package pages

import (
	"errors"
	"net/url"
	"strings"

	"ampwright/calc/unit"
)

// A twin is a number that can be read two ways, with a button for each reading:
// the button sends what it says in place of what was typed. The buttons stand
// after the form's own, which the Enter key presses.
type twin struct {
	Field, Text string
	Readings    []string
}

// meant is the end of the name under which a button sends its reading.
const meant = ".meant"

// twinOf returns the two readings of what was typed for a unit; false where
// there is one or none.
func (v *visit) twinOf(field, text, u string) (twin, bool) {
	m := v.style().Mark
	_, err := unit.Parse(text, u, m)
	if u == "count" || u == "" {
		_, err = unit.ParseNumber(text, m)
	}
	e, ok := errors.AsType[*unit.AmbiguousError](err)
	if !ok {
		return twin{}, false
	}
	t := twin{Field: field + meant, Text: strings.TrimSpace(text)}
	for _, d := range []unit.Decimal{e.Small, e.Large} {
		reading := v.mark(d.String())
		if _, err := unit.ParseNumber(reading, m); err != nil {
			reading += "0" // 3,4120 cannot be a group of thousands
		}
		if sym := unit.Symbol(e.Unit); sym != "" {
			reading += " " + sym
		}
		t.Readings = append(t.Readings, reading)
	}
	return t, true
}

// asMeant returns a form in which the reading of a pressed button stands in place
// of what was typed.
func asMeant(form url.Values) url.Values {
	out := url.Values{}
	for name, values := range form {
		if _, pressed := form[name+meant]; !pressed && !strings.HasSuffix(name, meant) {
			out[name] = values
		}
	}
	for name, values := range form {
		if field, ok := strings.CutSuffix(name, meant); ok {
			out[field] = values
		}
	}
	return out
}
