package pages

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
	"ampwright/model/plan"
)

// A form asks for one wish.
type form struct {
	ID                        string
	Wish, Title, Help, Button string
	Action, Back, Once        string
	Hidden                    []cell
	Fields, More              []field // More is folded
	Open                      bool    // unfold More: something in it is wrong or filled in
	Errors                    []string
	Twins                     []twin
	Quiet, Small              bool   // how loud its button is
	Takes                     bool   // a file: it is sent in parts
	Plain                     string // of a second button: the work changed nothing
}

// A field is one thing a form asks for, and how it is drawn.
type field struct {
	ID, Name, Label  string
	Hint, Error      string
	Draw             string // "text", "area", "radios", "tick", "changes", "photo"
	Value            string
	Unit             string // stands fixed beside the box
	measure          string // unit that one number is wanted in; "" where something else is
	named            bool   // Hint is the title of what the value names
	Mode             string // inputmode
	Type             string // text or date
	List             string // datalist
	Options, More    []option
	Labels           []string // of the points a reading wants
	Rows             int
	Big, Need, Wrong bool
	Photo            *photoPic // the one that came before and is kept
}

// An option is one of several answers.
type option struct {
	Value, Text string
	On          bool
	Note        string // what follows from it
}

// A datalist is a set of names that a text box offers.
type datalist struct {
	ID      string
	Options []option
}

// folded are the fields that seldom matter: shown when asked for.
var folded = []string{"before", "after", "at", "who", "by", "instead", "key", "photo", "label", "seen", "witness", "from", "learning", "curve"}

// extras are what every wish takes beside its own fields.
var extras = []model.WishField{
	{Name: "by", Label: "written by", Type: model.TextField, Hint: "if it is not you"},
	{Name: "instead", Label: "in place of entry", Type: model.EntryField, Hint: "the wrong entry stays readable in the logbook"},
}

// form makes the form of a wish. values are what is known or was typed; a
// field named in fixed is not asked for but carried along. errs stand beside
// their fields.
func (v *visit) form(k *model.WishKind, values url.Values, fixed []string, errs []*model.FieldError) form {
	v.ids++
	f := form{
		ID: fmt.Sprintf("f%d", v.ids), Wish: k.Name, Title: words.Lower(k.Title), Help: k.Help, Button: words.Lower(k.Button),
		Action: v.at() + "/write/" + k.Name, Back: values.Get("back"), Once: values.Get("once"),
	}
	if f.Once == "" {
		f.Once = v.cfg.Once()
	}
	left := slices.Clone(errs)
	asked := v.asksOf(k, values, errs)
	for _, w := range slices.Concat(k.Fields, extras) {
		if slices.Contains(fixed, w.Name) {
			f.Hidden = append(f.Hidden, cell{w.Name, values.Get(w.Name)})
			continue
		}
		if !asked(w.Name) {
			continue
		}
		if w.Name == "instead" && values.Get("instead") == "" { // the logbook's page says which entry is wrong
			continue
		}
		one := v.field(k, w, values)
		f.Takes = f.Takes || one.Draw == "photo"
		one.ID = f.ID + "-" + w.Name
		left = slices.DeleteFunc(left, func(e *model.FieldError) bool {
			if e.Field != w.Name {
				return false
			}
			one.Error = words.Join("; ", one.Error, faultText(e))
			return true
		})
		one.Wrong = one.Error != ""
		if t, ok := v.twinOf(w.Name, one.Value, one.measure); ok && one.Wrong && one.measure != "" {
			f.Twins = append(f.Twins, t)
		}
		if one.Need && one.Draw != "radios" && !one.named {
			one.Hint = words.Join(": ", "needed", one.Hint)
		}
		if slices.Contains(folded, w.Name) && !one.Need && !(k.Name == "read" && v.askedFor(w.Name, values)) && (w.Type != model.PhotoField || k.Name == "read") {
			f.Open = f.Open || one.Error != "" || one.Value != ""
			f.More = append(f.More, one)
		} else {
			f.Fields = append(f.Fields, one)
		}
	}
	if (k.Name == "hours" || k.Name == "off") && !slices.Contains(fixed, "changes") {
		f.Plain = "changed nothing: " + f.Button
	}
	for _, e := range left {
		f.Errors = append(f.Errors, e.Error())
	}
	if c := v.checkNamed(values.Get("check")); k.Name == "read" && c != nil && c.Kind == model.PhotoCheck {
		photoFirst(f.Fields)
	}
	return f
}

// asksOf tells which fields of a wish are asked for: of a reading, the proof of
// the tester only where the check wants it, and whether a value is meant only
// after it was read back.
func (v *visit) asksOf(k *model.WishKind, values url.Values, errs []*model.FieldError) func(string) bool {
	c := v.checkNamed(values.Get("check"))
	return func(name string) bool {
		switch {
		case k.Name != "read":
			return true
		case name == "before" || name == "after":
			return c == nil || c.Proof
		case name == model.Sure:
			return slices.ContainsFunc(errs, func(e *model.FieldError) bool { return e.Field == model.Sure })
		}
		return true
	}
}

// askedFor reports whether a check wants a field that is folded for others.
func (v *visit) askedFor(name string, values url.Values) bool {
	c := v.checkNamed(values.Get("check"))
	if c == nil {
		return false
	}
	return c.Proof && (name == "before" || name == "after") || name == "witness" && c.Witness() || name == "seen" && c.Kind == model.YesNo ||
		name == "photo" && c.Kind == model.PhotoCheck
}

// faultText says what is wrong with one value and what would be taken: the
// value is the subject where the rest begins with a verb.
func faultText(e *model.FieldError) string {
	verb, _, _ := strings.Cut(e.Want, " ")
	switch {
	case e.Value == "":
		return e.Want
	case slices.Contains([]string{"is", "was", "has", "can", "came", "comes", "stays", "names", "needs", "begins", "opens", "runs"}, verb):
		return fmt.Sprintf("“%s” %s", e.Value, e.Want)
	}
	return fmt.Sprintf("“%s”: %s", e.Value, e.Want)
}

func (v *visit) field(k *model.WishKind, w model.WishField, values url.Values) field {
	f := field{
		Name: w.Name, Label: w.Label, Hint: strings.TrimPrefix(w.Hint, "want "), Need: w.Required,
		Draw: "text", Type: "text", Value: values.Get(w.Name),
	}
	switch w.Type {
	case model.LongField:
		f.Draw, f.Rows = "area", 3
	case model.ChoiceField:
		f.Draw = "radios"
		for _, c := range w.Choices {
			f.Options = append(f.Options, option{Value: c, Text: c, On: c == f.Value})
		}
	case model.PlanField:
		f.Draw, f.Hint = "radios", ""
		var all []plan.Edition
		v.cfg.Book.Read(func(l *model.Logbook) { all, _ = v.editions(l) })
		for _, p := range all {
			if slices.ContainsFunc(all, func(o plan.Edition) bool { return o.ID == p.ID && o.Version > p.Version }) {
				continue // a build starts from the newest
			}
			f.Options = append(f.Options, option{Value: p.ID, Text: p.Title, On: p.ID == f.Value})
		}
	case model.TickField:
		f.Draw = "tick"
		f.Options = []option{{Value: "yes", Text: w.Label, On: f.Value == "yes" || f.Value == "on"}}
	case model.ChangesField:
		v.changesField(&f, values)
	case model.ValuesField:
		v.valuesField(&f, values)
	case model.MoneyField:
		f.Mode = "decimal"
		if v.b != nil {
			f.Unit = v.b.Currency
		}
	case model.DateField:
		if _, ok := parseDate(f.Value); ok || f.Value == "" { // what was mistyped could not be shown by a date box
			f.Type, f.Hint = "date", ""
		}
	case model.PhotoField:
		v.photoField(&f)
	case model.HoursField:
		f.Unit = "h"
	case model.EstimateField:
		f.Unit = "h"
	case model.MomentField:
		f.Hint = words.Join("; ", f.Hint, "19:30 or 2026-11-20 19:30")
	}
	f.List = v.offer(w.Type)
	v.adapt(k, &f, values)
	return f
}

// adapt fits a field to what is known of the thing it is about.
func (v *visit) adapt(k *model.WishKind, f *field, values url.Values) {
	if v.b == nil {
		return
	}
	switch {
	case k.Name == "read" && (f.Name == "before" || f.Name == "after"):
		if c := v.checkNamed(values.Get("check")); c != nil {
			f.Unit, f.Mode, f.Hint = unit.Symbol(c.Unit), readingMode(c), ""
		}
	case k.Name == "ride" && f.Name == "km":
		f.Unit, f.Mode = "km", "decimal"
		if n := len(v.b.Odometer); n > 0 {
			f.Hint = "it showed " + v.decimals(v.b.Odometer[n-1].Km, 0) + " km last"
		}
	case k.Name == "spec" && f.Name == "value":
		if s := v.b.Spec.Get(values.Get("name")); s != nil {
			f.Unit, f.measure = unit.Symbol(s.Unit), s.Unit
			f.Hint = "now " + unit.Format(s.Value, s.Unit, v.style())
			f.Mode = "decimal"
		}
	case f.List != "" && f.Value != "":
		for _, d := range v.lists {
			i := slices.IndexFunc(d.Options, func(o option) bool { return strings.EqualFold(o.Value, f.Value) })
			if d.ID == f.List && i >= 0 && d.Options[i].Text != "" {
				f.Hint, f.named = d.Options[i].Text, true
			}
		}
	case k.Name == "build":
		f.Hint = words.Join("; ", v.buildNow(f.Name), f.Hint)
	}
}

// buildNow says what a field of the build holds today.
func (v *visit) buildNow(name string) string {
	now := map[string]string{
		"title": v.b.Title, "donor": v.b.Donor, "ceiling": v.amount(v.b.Money.Ceiling), "target": v.b.Target, "week": v.hoursOnly(v.b.Week),
	}[name]
	if now == "" {
		return ""
	}
	return "now " + now
}

// changesField asks which kinds of change a stint caused: those the task may
// cause in sight, all others folded.
func (v *visit) changesField(f *field, values url.Values) {
	f.Draw = "changes"
	f.Value = ""
	if v.b == nil {
		return
	}
	var may []string
	if t := v.b.Task(strings.ToLower(values.Get("task"))); t != nil {
		may = t.PlanTask.Changes
	}
	said := values[f.Name]
	for _, c := range v.b.Plan.Changes {
		o := option{Value: c.ID, Text: words.Lower(c.Title), On: slices.Contains(said, c.ID), Note: staleNote(v.b.WouldStaleBy(c.ID))}
		if slices.Contains(may, c.ID) || len(may) == 0 && o.On {
			f.Options = append(f.Options, o)
		} else {
			f.More = append(f.More, o)
		}
	}
	if !f.Need {
		f.Options = append(f.Options, option{Value: "none", Text: "none of these", On: slices.Contains(said, "none")})
	}
	if f.Need && len(f.Options) == 0 { // then this is all the form is about
		f.Options, f.More = f.More, nil
	}
}

// staleNote names the readings a change would make stale.
func staleNote(list []*model.Check) string {
	if len(list) == 0 {
		return ""
	}
	var ids []string
	for _, c := range list {
		ids = append(ids, c.ID)
	}
	return "makes stale: " + some(ids, 6)
}

// valuesField asks for a reading. It is never filled in beforehand: a number
// that stands there already nudges the hand.
func (v *visit) valuesField(f *field, values url.Values) {
	f.Big = true
	c := v.checkNamed(values.Get("check"))
	if c == nil {
		return
	}
	switch {
	case c.Kind == model.YesNo:
		f.Draw, f.Label, f.Hint = "radios", "is it so?", ""
		f.Options = []option{{Value: "yes", Text: "yes", On: f.Value == "yes"}, {Value: "no", Text: "no", On: f.Value == "no"}}
	case c.Kind == model.PhotoCheck:
		f.Draw, f.Label, f.Hint = "radios", "or without the photo here", "where the photo is kept elsewhere"
		f.Options = []option{{Value: "photo", Text: "photo taken", On: f.Value == "photo"}}
	case c.Want > 1 || c.ScreenNeed != "":
		f.Draw, f.Rows, f.Unit, f.Big = "area", min(max(c.Want, 3), 8), unit.Symbol(c.Unit), false
		f.Mode = readingMode(c)
		f.Labels = c.Points
		f.Hint = "one a line, or with spaces between"
		if c.Want > 1 {
			f.Hint = fmt.Sprintf("%d values in order, %s", c.Want, f.Hint)
		}
	default:
		f.Unit, f.Mode, f.Hint = unit.Symbol(c.Unit), readingMode(c), "what the instrument says"
		f.measure = c.Unit
	}
}

// readingMode is the keyboard a phone shows. Resistances run over nine decades
// and are typed as 8.2M or 21k: a keyboard without letters would make people
// count zeros.
func readingMode(c *model.Check) string {
	if c.Unit == "ohm" {
		return "text"
	}
	return "decimal"
}

func (v *visit) checkNamed(key string) *model.Check {
	if v.b == nil || key == "" {
		return nil
	}
	for _, c := range v.b.Checks {
		if strings.EqualFold(c.ID, key) {
			return c
		}
	}
	return nil
}
