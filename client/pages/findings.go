package pages

import (
	"net/url"
	"strings"

	"ampwright/client/words"
	"ampwright/model"
)

// findingsPage is all that findings.html can see.
type findingsPage struct {
	*frame
	Raise, Ask []findingLine
	NCRs       []ncrLine
	Punch      []punchLine
	Ended      []findingLine
	ClosedNCRs []ncrLine
	DonePunch  []punchLine
	Held       []heldLine
	Clashes    []clashLine
	RaiseNew   quick
	PunchNew   quick
	PunchForm  form
}

// A findingLine is a thing the logbook shows by itself.
type findingLine struct {
	Key, Kind, Text, When string
	About                 link
	Ended, NCR            string
	TakeUp, Close         string // forms
}

// An ncrLine is a nonconformance somebody raised.
type ncrLine struct {
	Label, Text, When, By string
	Disposition           string
	About                 link
	Closed, Evidence      string
	Close                 string
	Href                  string
}

type punchLine struct {
	Class, Text, When string
	About             link
	Closed, Evidence  string
	Close             string
	Stamp             stamp
}

// A clashLine is a field two devices wrote apart and nobody settled.
type clashLine struct {
	What   string
	Writes []clashWrite
}

type clashWrite struct {
	Value, Who, When string
	Settle           quick
}

func (v *visit) findings() (Response, error) {
	p := findingsPage{frame: v.frame("findings", "findings")}
	here := v.at() + "/findings"
	p.Raise, p.Ask = v.openFindings()
	p.NCRs = v.openNCRs()
	p.Punch = v.openPunches()
	for _, f := range v.b.Findings {
		if !f.Open {
			p.Ended = append(p.Ended, v.findingLine(f))
		}
	}
	for _, n := range v.b.NCRs {
		if n.Closed != nil {
			p.ClosedNCRs = append(p.ClosedNCRs, v.ncrLine(n))
		}
	}
	for _, i := range v.b.Punches {
		if i.Closed != nil {
			p.DonePunch = append(p.DonePunch, v.punchLine(i))
		}
	}
	p.Held = v.heldBack(here)
	for _, r := range v.b.Clashes {
		p.Clashes = append(p.Clashes, v.clashLine(r, here))
	}
	p.RaiseNew = v.asks("raise", "raise a nonconformance", here)
	k, _ := model.WishKindOf("punch")
	p.PunchForm = v.form(k, url.Values{"back": {here}}, nil, nil)
	return v.render(statusOK, "findings.html", p)
}

// openFindings returns the nonconformances nobody has taken up, and the questions.
func (v *visit) openFindings() (raise, ask []findingLine) {
	for _, f := range v.b.Findings {
		switch {
		case !f.Open:
		case f.Nonconformance():
			raise = append(raise, v.findingLine(f))
		default:
			ask = append(ask, v.findingLine(f))
		}
	}
	return raise, ask
}

func (v *visit) findingLine(f *model.Finding) findingLine {
	l := findingLine{Key: f.Key, Kind: string(f.Kind), Text: f.Text, When: v.whenDay(f.At), Ended: f.Ended}
	switch {
	case f.Check != nil:
		l.About = link{Href: v.checkHref(f.Check), Text: f.Check.ID}
	case f.Task != nil:
		l.About = link{Href: v.taskHref(f.Task), Text: f.Task.ID}
	}
	if f.NCR != nil {
		l.NCR = f.NCR.Label
	}
	back := v.at() + "/findings"
	if !f.Open {
		return l
	}
	l.Close = v.at() + "/write/close?" + url.Values{"item": {f.Key}, "back": {back}}.Encode()
	if f.Nonconformance() && f.NCR == nil {
		q := url.Values{"finding": {f.Key}, "text": {f.Text}, "back": {back}}
		if f.Check != nil {
			q.Set("check", f.Check.ID)
		} else if f.Task != nil {
			q.Set("task", f.Task.ID)
		}
		l.TakeUp = v.at() + "/write/raise?" + q.Encode()
	}
	return l
}

// A heldLine is an entry that a device wrote after it was struck off.
type heldLine struct {
	entryRow
	LetIn string // the form
}

// heldBack returns the entries that are held back, oldest first, and the choice.
func (v *visit) heldBack(back string) (lines []heldLine) {
	for _, f := range v.b.Findings {
		rows := v.entryRows(func() (list []model.Line) {
			for _, id := range f.Held {
				list = append(list, v.lineOf(id)...)
			}
			return list
		})
		for _, r := range rows {
			q := url.Values{"entries": {r.ID}, "back": {back}}
			lines = append(lines, heldLine{r, v.at() + "/write/let-in?" + q.Encode()})
		}
	}
	return lines
}

func (v *visit) openNCRs() (lines []ncrLine) {
	for _, n := range v.b.NCRs {
		if n.Closed == nil {
			lines = append(lines, v.ncrLine(n))
		}
	}
	return lines
}

func (v *visit) ncrLine(n *model.NCR) ncrLine {
	l := ncrLine{
		Label: n.Label, Text: n.Text, When: v.whenDay(n.At), By: n.Person, Disposition: v.disposed(n),
		About: v.linkOf(n.Task, n.Nonconformance.Check), Href: v.at() + "/entry/" + n.ID.String(),
	}
	if c := n.Closed; c != nil {
		l.Closed, l.Evidence = v.whenDay(c.At)+", "+c.Person, words.Join("; ", c.Disposition, c.Evidence)
	} else {
		word, how := model.DispositionOf(n.Disposition)
		q := url.Values{"item": {n.Label}, "disposition": {word}, "how": {how}, "replacement": {n.Replacement}, "second": {n.Second}, "back": {v.at() + "/findings"}}
		l.Close = v.at() + "/write/close?" + q.Encode()
	}
	return l
}

// disposed is what was decided of a nonconformance, with what its disposition asks
// for.
func (v *visit) disposed(n *model.NCR) string {
	text := n.Disposition
	for i, more := range []string{changeNames(v.b, n.Changes), n.Replacement, n.Second} {
		if more != "" {
			text = words.Join("; ", text, []string{"it will change ", "in its place ", "second name "}[i]+more)
		}
	}
	return text
}

func changeNames(b *model.Build, kinds []string) string {
	var names []string
	for _, k := range kinds {
		names = append(names, words.Lower(b.ChangeTitle(k)))
	}
	return strings.Join(names, ", ")
}

func (v *visit) openPunches() (lines []punchLine) {
	for _, class := range []string{"A", "B", ""} {
		for _, i := range v.b.Punches {
			other := i.Class != "A" && i.Class != "B"
			if i.Closed == nil && (i.Class == class || class == "" && other) {
				lines = append(lines, v.punchLine(i))
			}
		}
	}
	return lines
}

func (v *visit) punchLine(i *model.PunchItem) punchLine {
	l := punchLine{Class: i.Class, Text: i.Text, When: v.whenDay(i.At), About: v.taskLink(i.Punch.Task), Stamp: stamp{"CLASS " + i.Class, "ready"}}
	if i.Class == "A" {
		l.Stamp.Shape = "held"
	}
	if c := i.Closed; c != nil {
		l.Closed, l.Evidence = v.whenDay(c.At)+", "+c.Person, c.Evidence
	} else {
		l.Close = v.at() + "/write/close?" + url.Values{"item": {i.ID.String()}, "back": {v.at() + "/findings"}}.Encode()
	}
	return l
}

func (v *visit) clashLine(r *model.Register, back string) clashLine {
	l := clashLine{What: words.Join(" ", r.What, r.Key, r.Field)}
	for _, w := range r.Heads() {
		l.Writes = append(l.Writes, clashWrite{
			Value: v.fieldValue(r, w.Value), Who: words.Join(", ", w.Person, v.deviceName(w.Replica)), When: v.when(w.At),
			Settle: v.quick("settle", "this one holds", back, "field", r.What+"/"+r.Key+"/"+r.Field, "value", w.Value),
		})
	}
	return l
}

// fieldValue writes what a field holds for a person.
func (v *visit) fieldValue(r *model.Register, value string) string {
	return v.wording().Value(&model.Set{What: r.What, Key: r.Key, Field: r.Field, Value: value})
}
