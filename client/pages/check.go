package pages

import (
	"fmt"
	"net/url"
	"slices"

	"ampwright/calc/unit"
	"ampwright/client/words"
	"ampwright/model"
)

// checkPage is all that check.html can see.
type checkPage struct {
	*frame
	Check     checkFacts
	Condition string
	Gates     []checkFacts
	OpensFor  []link // checks that stand on this one
	Readings  []readingLine
	Notes     []noteLine
	Photos    []photoPic
	Conceded  *concessionLine
	Limits    []writeLine
	Findings  []findingLine
	NCRs      []ncrLine
	Read      form
	Links     []quick
	Picture   *pointsPicture
	Trend     *trendPicture
	Steps     []link // where it stands on a checklist
}

// A readingLine is one reading, newest first.
type readingLine struct {
	Value   string
	Stamp   stamp
	Then    stamp // by today's limit alone, where the stamp says something else
	HasThen bool
	Points  []pointLine
	Typed   string
	With    string
	Spread  string // uncertainty of the worst point
	Who     string
	Device  string
	When    string
	Witness string
	Limit   string // the limit it was taken under
	Note    string
	Cause   string
	Href    string
	Derived bool
	Later   bool   // typed more than an hour after it was taken
	Proof   string // what the tester showed on a known source
	Photo   *photoPic
}

type pointLine struct {
	Label, Value string
	Bad, Doubt   bool
}

type concessionLine struct {
	Reason, First, Second, When, Href string
	Void                              string
}

// A writeLine is one writing of a field.
type writeLine struct {
	Value, Who, When, Note, Href string
	Shown, Head, Struck          bool
}

func (v *visit) check() (Response, error) {
	c := v.b.Check(v.args[0])
	if c == nil {
		return Response{}, missing("there is no check %s in this build", v.args[0])
	}
	here := v.checkHref(c)
	p := checkPage{frame: v.frame("checks", c.ID+" "+c.Title), Check: v.checkFacts(c)}
	p.Block[1].Text = "check " + c.ID
	if c.AppliesIf != "" {
		p.Condition = c.AppliesIf
	}
	for _, key := range c.DependsOn {
		if g := v.b.Check(key); g != nil {
			p.Gates = append(p.Gates, v.checkFacts(g))
		}
	}
	for _, other := range v.b.Checks {
		for _, key := range other.DependsOn {
			if key == c.ID {
				p.OpensFor = append(p.OpensFor, link{Href: v.checkHref(other), Text: other.ID})
			}
		}
	}
	for i := len(c.Readings) - 1; i >= 0; i-- {
		p.Readings = append(p.Readings, v.readingLine(c, c.Readings[i]))
	}
	p.Picture, p.Trend = v.pointsPicture(c), v.trendPicture(c)
	for _, l := range v.b.Lists {
		for _, ch := range l.Chunks {
			if slices.Contains(ch.Steps, c.ID) {
				p.Steps = append(p.Steps, link{Href: v.walkHref(l.ID) + "/" + c.ID, Text: l.Title + ", " + ch.Title})
			}
		}
	}
	v.checkHistory(&p, c)
	k, _ := model.WishKindOf("read")
	p.Read = v.form(k, url.Values{"check": {c.ID}, "back": {here}}, []string{"check"}, nil)
	p.Links = []quick{v.asks("raise", "raise a nonconformance", here, "check", c.ID), v.asks("note", "write a note", here, "check", c.ID), v.asks("photo", "add a photo", here, "check", c.ID)}
	if !c.Cleared() {
		p.Links = append(p.Links, v.asks("concede", "sign a concession", here, "check", c.ID))
	} else if c.Hold() {
		p.Links = append(p.Links, v.asks("release", "release it", here, "point", c.ID))
	}
	if c.Kind == model.Measurement {
		p.Links = append(p.Links, v.asks("limit", "change the limit", here, "check", c.ID))
	}
	p.Links = append(p.Links, v.asks("due", "say when it is due again", here, "check", c.ID))
	return v.render(statusOK, "check.html", p)
}

func (v *visit) checkHistory(p *checkPage, c *model.Check) {
	if k := c.Conceded; k != nil {
		p.Conceded = &concessionLine{Reason: k.Reason, First: k.Person, Second: k.Second, When: v.when(k.At), Href: v.at() + "/entry/" + k.ID.String()}
	}
	for _, side := range []string{"min", "max"} {
		if r := v.b.Field("check", c.ID, side); r != nil {
			for _, w := range v.writeLines(r) {
				w.Value = map[string]string{"min": "at least ", "max": "at most "}[side] + w.Value
				p.Limits = append(p.Limits, w)
			}
		}
	}
	for _, n := range v.b.Notes {
		if n.Note.Check == c.ID {
			p.Notes = append(p.Notes, noteLine{v.when(n.At), n.Person, n.Text, v.at() + "/entry/" + n.ID.String()})
		}
	}
	p.Photos = v.photosTaken(v.b.PhotosOf(c.ID), c.Title)
	for _, f := range v.b.Findings {
		if f.Check == c {
			p.Findings = append(p.Findings, v.findingLine(f))
		}
	}
	for _, n := range v.b.NCRs {
		if n.Nonconformance.Check == c.ID {
			p.NCRs = append(p.NCRs, v.ncrLine(n))
		}
	}
}

func (v *visit) writeLines(r *model.Register) []writeLine {
	var lines []writeLine
	shown := r.Value()
	for i := len(r.Writes) - 1; i >= 0; i-- {
		w := &r.Writes[i]
		lines = append(lines, writeLine{
			Value: w.Value, Who: words.Join(", ", w.Person, w.Device), When: v.when(w.At), Note: w.Note, Href: v.at() + "/entry/" + w.ID.String(),
			Shown: w == shown, Head: w.Head, Struck: w.Struck,
		})
	}
	return lines
}

func (v *visit) readingLine(c *model.Check, r *model.ReadingLine) readingLine {
	st := v.style()
	l := readingLine{
		Value: c.ValueText(r, st), Stamp: verdictStamp(r.Verdict), Typed: r.Typed, With: r.Reading.Instrument, Who: r.Person, Device: r.Device,
		When: v.when(r.At), Witness: r.Reading.Witness, Limit: r.Reading.Limit, Note: r.Reading.Note, Derived: r.Derived,
		Href: v.at() + "/entry/" + r.ID.String(),
	}
	if r.Verdict != r.Measured {
		l.Then, l.HasThen = verdictStamp(r.Measured), true
	}
	l.Cause, _ = v.cause(r.Cause)
	l.Later = r.TypedLater() && !r.Derived
	if proof := r.ProofValues(); len(proof) == 2 {
		l.Proof = "tester on the known source " + unit.Format(proof[0], c.Unit, st) + " before, " + unit.Format(proof[1], c.Unit, st) + " after"
	}
	if r.Error > 0 {
		l.Spread = "±" + unit.Format(r.Error, c.Unit, st)
	}
	l.Photo = v.photoPic(r.Photo, c.Title)
	if len(r.Points) < 2 {
		return l
	}
	for i, value := range r.Points {
		pt := pointLine{Label: fmt.Sprint(i + 1), Value: unit.Format(value, c.Unit, st)}
		if i < len(r.Values) { // with the digits it was typed with
			pt.Value = unit.FormatDecimal(unit.Decimal{Mantissa: r.Values[i], Exp: int8(r.Exp)}, c.Unit, st)
		}
		if i < len(c.Points) {
			pt.Label = c.Points[i]
		}
		for _, b := range r.Bad {
			pt.Bad = pt.Bad || b == i
		}
		for _, b := range r.Doubtful {
			pt.Doubt = pt.Doubt || b == i
		}
		l.Points = append(l.Points, pt)
	}
	return l
}
