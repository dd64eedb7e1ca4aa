package model

import (
	"fmt"
	"slices"
	"strings"
)

// The dispositions of a nonconformance, in the words of ISO 9000:2015, 3.12.5 and
// 3.12.8 to 3.12.10 (from memory): rework makes it conform, repair makes it good
// enough for its use, scrap takes it out of use, a concession lets it be as it is.
const (
	Rework  = "rework"
	Repair  = "repair"
	Scrap   = "scrap"
	Concede = "concession"
)

var dispositions = []string{Rework, Repair, Scrap, Concede}

// DispositionOf takes the word off a disposition as entries hold it: "rework: rim
// trued" is rework. "" where it begins with none of them, as in an undecided one.
func DispositionOf(text string) (word, how string) {
	for _, d := range dispositions {
		if len(text) >= len(d) && strings.EqualFold(text[:len(d)], d) {
			return d, strings.TrimLeft(text[len(d):], " :,;")
		}
	}
	return "", text
}

// disposeFields are what the wishes that open or settle a nonconformance ask for
// beside it.
func disposeFields(rest ...WishField) []WishField {
	return append([]WishField{
		{Name: "disposition", Label: "disposition", Type: ChoiceField, Choices: dispositions,
			Hint: "rework and repair are measured again, scrap is replaced, a concession is signed by two people; undecided, if left empty"},
		{Name: "how", Label: "what is done", Type: TextField, Hint: "of a concession, the reason"},
		{Name: "replacement", Label: "what takes its place", Type: TextField, Hint: "of what is scrapped; none, if nothing does"},
		{Name: "second", Label: "second name", Type: TextField, Hint: "of a concession: the second person who signs"},
	}, rest...)
}

// splitDisposition takes "rework: rim trued" apart, as people type it and earlier
// versions wrote it.
func splitDisposition(values map[string][]string) map[string][]string {
	if len(values["disposition"]) == 0 {
		return values
	}
	word, how := DispositionOf(strings.TrimSpace(values["disposition"][0]))
	if word == "" {
		return values
	}
	split := map[string][]string{}
	for k, v := range values {
		split[k] = v
	}
	split["disposition"] = []string{word}
	if typed := split["how"]; how != "" && (len(typed) == 0 || strings.TrimSpace(typed[0]) == "") {
		split["how"] = []string{how}
	}
	return split
}

// disposed is what a wish says of a disposition, with what that asks for.
type disposed struct {
	word, text          string
	replacement, second string
}

func (x *wishing) disposition() disposed {
	d := disposed{word: x.text("disposition"), text: x.text("disposition"), replacement: x.text("replacement"), second: x.text("second")}
	if how := x.text("how"); how != "" && d.word != "" {
		d.text += ": " + how
	} else if how != "" {
		x.fail("disposition", "", "want one of "+strings.Join(dispositions, ", ")+" with what is done")
	}
	if d.word != Scrap && d.replacement != "" {
		x.fail("replacement", d.replacement, "is asked for where something is scrapped")
	}
	if d.word != Concede && d.second != "" {
		x.fail("second", d.second, "is asked for where a concession is signed")
	}
	return d
}

// demand refuses a disposition that leaves open what its word asks for: of scrap,
// what takes its place; of a concession, a reason and two people.
func (x *wishing) demand(d disposed) {
	switch d.word {
	case Scrap:
		if d.replacement == "" {
			x.fail("replacement", "", "scrap asks what takes its place; none, if nothing does")
		}
	case Concede:
		if d.text == Concede {
			x.fail("how", "", "a concession asks for its reason")
		}
		if d.second == "" {
			x.fail("second", "", "a concession is signed by two people: want the name of the second")
		} else if sameName(x.signer(), d.second) {
			x.fail("second", d.second, "is the first name too: a concession is signed by two people")
		}
	}
}

// concedeWith signs the concession on a check that a disposition speaks of.
func (x *wishing) concedeWith(d disposed, c *Check, at When) {
	if d.word != Concede || c == nil || !c.Applies || c.Verdict == Within || c.Verdict == Conceded || !x.maySign() {
		return
	}
	_, reason := DispositionOf(d.text)
	k := &Concession{At: at, Check: c.ID, Reason: reason, Second: d.second}
	if k.Untaken = c.Current == nil; !k.Untaken {
		k.On = c.Current.ID
	}
	x.write(k)
}

func doRaise(x *wishing) {
	d := x.disposition()
	x.demand(d)
	n := &Nonconformance{
		At: x.moment("at", x.desk.Now), Label: x.text("label"), Check: x.checkKey("check"), Task: x.taskKey("task"), Text: x.text("text"),
		Disposition: d.text, Finding: x.text("finding"), Replacement: d.replacement, Second: d.second,
	}
	kinds, answered := x.changes()
	n.Changes = kinds
	if (d.word == Rework || d.word == Repair) && !answered {
		x.fail("changes", "", d.word+" asks first what it will change, and so make stale: want kinds of change, or none")
	}
	for _, have := range x.b.NCRs {
		if n.Label != "" && strings.EqualFold(have.Label, n.Label) {
			x.fail("label", n.Label, "is the number of another nonconformance")
		}
	}
	var f *Finding
	if n.Finding != "" {
		if f = x.finding(n.Finding); f == nil {
			x.fail("finding", n.Finding, "is not a finding of this build")
		}
	}
	if n.Label == "" {
		n.Label = nextLabel("NC-", len(x.b.NCRs), func(i int) string { return x.b.NCRs[i].Label })
	}
	x.write(n)
	c := x.b.Check(n.Check)
	if c == nil && f != nil {
		c = f.Check
	}
	x.concedeWith(d, c, n.At)
}

// settles makes sure that what a disposition asks for has come, where one is
// closed: it was opened at since, on check c (nil for none), with what was said
// then.
func (x *wishing) settles(b *Close, d disposed, c *Check, since When, before *NCR) {
	was := disposed{}
	if before != nil {
		was.word, _ = DispositionOf(before.Disposition)
		was.text, was.replacement, was.second = before.Disposition, before.Replacement, before.Second
	}
	if d.word == "" {
		d.word, d.text = was.word, was.text
	}
	if d.word == was.word { // what was answered when it was opened is not asked again
		if _, how := DispositionOf(d.text); how == "" {
			d.text = was.text
		}
		if d.replacement == "" {
			d.replacement = was.replacement
		}
		if d.second == "" && was.second != "" {
			d.second = was.second
		}
	}
	switch d.word {
	case Rework, Repair:
		x.retested(b, d.word, c, since)
		x.loggedSince(before)
	case Scrap:
		x.demand(d)
	case Concede:
		if c == nil || c.Applies && !c.Cleared() {
			x.demand(d)
			x.concedeWith(d, c, b.At)
		}
	}
}

// retested asks for a reading within limits since; of another check, where the
// wish names one.
func (x *wishing) retested(b *Close, word string, c *Check, since When) {
	if named := x.check("retest"); named != nil {
		c = named
	}
	if c == nil || !c.Applies {
		return
	}
	r := c.Current
	elsewhere := x.ticked("elsewhere") // and then no entry here can show it
	if elsewhere && !strings.Contains(b.Evidence, c.ID) {
		b.Evidence += "; retest of " + c.ID + " on another device"
	}
	switch {
	case elsewhere:
	case r == nil || r.At.Unix < since.Unix:
		x.fail("retest", "", fmt.Sprintf("%s asks for a retest: read %s again first, or name the check that was read again", word, c.ID))
	case c.Verdict != Within:
		x.fail("retest", "", fmt.Sprintf("%s asks for a retest: %s is %s", word, c.ID, c.Why()))
	case !strings.Contains(b.Evidence, c.ID):
		b.Evidence += "; retest " + c.ID + " " + c.ValueText(r, x.st)
	}
}

// loggedSince asks for the changes that rework was to bring: what nobody logged has
// made nothing stale.
func (x *wishing) loggedSince(n *NCR) {
	if n == nil || x.ticked("unchanged") {
		return
	}
	for _, kind := range n.Changes {
		if !slices.ContainsFunc(x.b.events[kind], func(e event) bool { return e.unix >= n.At.Unix }) {
			x.fail("unchanged", "", fmt.Sprintf("%s was to be changed by it, and nobody has logged that since: log the change first, or say that it was not changed", kind))
		}
	}
}
