package plan

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/model"
)

// A Remark is what [Lint] says of a plan that loads: a rule of good checklists
// that it breaks (Must), or comes near to breaking.
type Remark struct {
	Rule  string // "K1" to "K10", as in the comments beside each rule
	Place string // the list, task or check it is about
	Text  string
	Must  bool
}

func (r Remark) String() string {
	word := "look at"
	if r.Must {
		word = "mend"
	}
	return fmt.Sprintf("%s %s (%s): %s", word, r.Place, r.Rule, r.Text)
}

// signalWords are used for emphasis. K10: they follow from how bad a hazard is
// (ANSI Z535.4, from memory) and stand in panels alone.
var signalWords = []string{"DANGER", "WARNING", "CAUTION", "NOTICE"}

// promises are what a plan must not make. K9; "prove dead" and "dead test" are
// words of the trade for what is done, "dead band" for a throttle.
var promises = []string{"is dead", "are dead", "now dead", "circuit dead", "bus dead", "pack dead", "safe", "safely"}

// emptyEnd returns the end of a question that a nod answers. K1: an item asks for
// the value or state observed (Degani and Wiener 1993, guideline 1).
func emptyEnd(text string) string {
	words := strings.TrimRight(strings.TrimSuffix(text, "."), space)
	if strings.HasSuffix(text, "?") {
		words = strings.TrimRight(strings.TrimSuffix(text, "?"), space)
	}
	at := len(words)
	for at > 0 && inWord(words[at-1]) {
		at--
	}
	if findWord(words[at:], "checked", "set", "done", "ready", "fine", "good") == "" {
		return ""
	}
	return text[at:]
}

// Lint reads a plan file and remarks on what makes it hard or dangerous to work
// by. The error is that of [Load].
func Lint(name string, data []byte) ([]Remark, error) {
	p, err := Load(name, data)
	if err != nil {
		return nil, err
	}
	l := &linter{checks: map[string]*model.PlanCheck{}, tasks: map[string]*model.PlanTask{}}
	for i := range p.Tasks {
		t := &p.Tasks[i]
		l.task(t)
		for n := range t.Checks {
			l.checks[t.Checks[n].ID], l.tasks[t.Checks[n].ID] = &t.Checks[n], t
			l.check(t, &t.Checks[n])
		}
	}
	for _, list := range p.Lists {
		l.list(&list)
	}
	return l.remarks, nil
}

type linter struct {
	checks  map[string]*model.PlanCheck
	tasks   map[string]*model.PlanTask // by check
	remarks []Remark
}

func (l *linter) must(rule, place, format string, args ...any) {
	l.remarks = append(l.remarks, Remark{rule, place, fmt.Sprintf(format, args...), true})
}

func (l *linter) may(rule, place, format string, args ...any) {
	l.remarks = append(l.remarks, Remark{rule, place, fmt.Sprintf(format, args...), false})
}

func (l *linter) words(place string, texts ...string) {
	for _, text := range texts {
		if w := find(text, func(s, word string) bool { return s == word }, signalWords); w != "" {
			l.must("K10", place, "%q stands in the text: the signal word of a panel follows from the hazard", w)
		}
		if w := findWord(text, promises...); w != "" {
			l.must("K9", place, "%q is a promise: say what is seen or measured", w)
		}
	}
}

func (l *linter) task(t *model.PlanTask) {
	l.words(t.ID, append(append([]string{t.Title, t.Competent}, t.Steps...), t.Tools...)...)
	for _, h := range t.Hazards {
		if _, known := model.SeverityOf(h, t.Strict); !known {
			l.must("K10", t.ID, "hazard %q: nobody has said how bad it is; it would be shown as WARNING", h)
		}
	}
}

func (l *linter) check(t *model.PlanTask, c *model.PlanCheck) {
	l.words(c.ID, c.Title, c.Instrument, c.PPE, c.StopIf, c.OnFail)
	if w := emptyEnd(c.Title); c.Kind == model.YesNo && w != "" {
		l.must("K1", c.ID, "the title ends in %q: ask for the state that is seen", strings.TrimSpace(w))
	}
}

func (l *linter) list(list *model.PlanList) {
	l.words(list.ID, list.Title, list.Rule)
	for _, chunk := range list.Chunks {
		place := list.ID + "/" + chunk.ID
		l.words(place, chunk.Title, chunk.Release)
		// K2: 5 to 9 items between two pauses (Gawande 2009, as quoted by others).
		if n := len(chunk.Steps); n < 5 {
			l.may("K2", place, "%d items: 5 to 9 are worked through well; is the pause needed here?", n)
		}
		strict := false
		for i, id := range chunk.Steps {
			t, c := l.tasks[id], l.checks[id]
			if t == nil || c == nil {
				continue
			}
			strict = strict || t.Strict
			// K4: the most critical first, unless the order is that of the work.
			if c.Point != "" && i > 0 {
				before := l.checks[chunk.Steps[i-1]]
				if before != nil && before.Point == "" && !l.standsOn(c, before.ID) {
					l.may("K4", place, "the hold %s comes after %s, which is none and on which it does not stand: is that the order of the work?", id, before.ID)
				}
			}
			if t.Strict && c.Point != "" && c.Kind == model.Measurement && c.StopIf == "" {
				l.may("K12", c.ID, "live work without a word on when to stop")
			}
		}
		// K3: live work is read-do, one item at a time.
		if strict && list.Mode != "read-do" {
			l.must("K3", place, "live work on a list that is %s: want read-do", list.Mode)
		}
		// K5: the last item is a completion call that names what it is about.
		if len(strings.Fields(chunk.Release)) < 2 {
			l.must("K5", place, "its release names only %q: want who, when and what was seen", chunk.Release)
		}
	}
}

// standsOn reports whether a check stands on another, directly or not.
func (l *linter) standsOn(c *model.PlanCheck, id string) bool {
	if slices.Contains(c.DependsOn, id) {
		return true
	}
	for _, d := range c.DependsOn {
		if up := l.checks[d]; up != nil && up != c && l.standsOn(up, id) {
			return true
		}
	}
	return false
}

// Source returns the bytes of a built-in plan's file, by ID and version; 0 is
// the newest.
func Source(id string, version int) ([]byte, bool) {
	p, ok := Builtin(id, version)
	if !ok {
		return nil, false
	}
	data, err := files.ReadFile(fmt.Sprintf("%s.%d.json", p.ID, p.Version))
	return data, err == nil
}
