package plan

import (
	"slices"
	"strings"
	"unicode/utf8"

	"ampwright/calc/unit"
	"ampwright/model"
)

// Values of "format" in the files this package reads: plans written before a
// value could come from a calculation, and those written since.
const (
	Format1 = "ampwright-plan/1"
	Format2 = "ampwright-plan/2"
)

// validate reports what is wrong with f beyond its form, and returns the
// derived values in an order that can be computed.
func validate(f *planFile, r *report) (derived []model.PlanDerived) {
	root := place{report: r}
	root.field("format").oneOf(f.Format, Format1, Format2)
	if f.Format == Format1 {
		f.since2(root)
	}
	root.field("id").id(f.ID, ids{})
	if f.Version < 1 {
		root.field("version").errorf("%d, want 1 or more", f.Version)
	}
	root.field("title").text(f.Title)
	root.field("notes").words(f.Notes)

	sheet, derived := checkSheet(f, root)
	k := &checker{sheet: sheet, changes: ids{}, stages: ids{}, parts: ids{}, checks: map[string]checkPlace{}}
	for i, c := range f.Changes {
		at := root.field("changes").index(i)
		at.field("id").id(c.ID, k.changes)
		at.field("title").text(c.Title)
	}
	for i, s := range f.Stages {
		at := root.field("stages").index(i)
		at.field("id").id(s.ID, k.stages)
		at.field("title").text(s.Title)
	}
	k.collect(f, root)
	for i := range f.Tasks {
		k.task(&f.Tasks[i], i, root.field("tasks").index(i))
	}
	milestones := ids{}
	for i, m := range f.Milestones {
		at := root.field("milestones").index(i)
		at.field("id").id(m.ID, milestones)
		at.field("title").text(m.Title)
		if len(m.After) == 0 {
			at.field("after").errorf("empty, want the tasks that make the milestone")
		}
		at.field("after").refs(m.After, "a task", k.graph.tasks.has)
	}
	lists := ids{}
	for i, l := range f.Lists {
		at := root.field("lists").index(i)
		at.field("id").id(l.ID, lists)
		k.list(l, at)
	}
	return derived
}

// since2 reports what came with the second format.
func (f *planFile) since2(root place) {
	for i, d := range f.Derived {
		if d.Calc != "" || d.Output != "" || d.With != nil {
			root.field("derived").index(i).errorf("a calculation, want format %q for it", Format2)
		}
	}
	for i, t := range f.Tasks {
		for n, p := range t.Parts {
			if p.QtyOf != "" {
				root.field("tasks").index(i).field("parts").index(n).field("qty_of").errorf("%q, want format %q for it", p.QtyOf, Format2)
			}
		}
	}
}

// ids tells where an id was first used.
type ids map[string]place

func (s ids) has(id string) bool { _, ok := s[id]; return ok }

// id adds an id that must not be there yet.
func (p place) id(id string, used ids) {
	if !isID(id) {
		p.errorf("%q is not an id: want lower-case letters, digits and hyphens", id)
		return
	}
	p.unique(id, used)
}

// checkID is id for a check.
func (p place) checkID(id string, used ids) {
	if !isCheckID(id) {
		p.errorf("%q is not the id of a check: want letters, digits and hyphens", id)
		return
	}
	p.unique(id, used)
}

func (p place) unique(id string, used ids) {
	if first, ok := used[id]; ok {
		p.errorf("%q is already at %s", id, first.path())
		return
	}
	used[id] = p
}

// refs reports what is not known, or named twice.
func (p place) refs(list []string, what string, has func(string) bool) {
	for i, id := range list {
		switch {
		case !has(id):
			p.index(i).errorf("%q is not %s", id, what)
		case slices.Contains(list[:i], id):
			p.index(i).errorf("%q is listed twice", id)
		}
	}
}

// words reports text that no plan may print, since it promises: the work can hurt
// people.
func (p place) words(text string) {
	if w := findWord(text, "safe", "safely", "ok", "okay"); w != "" {
		p.errorf("%q says nothing that can be seen or measured", w)
	}
}

// text is words for a text that must not be empty.
func (p place) text(text string) {
	if strings.TrimSpace(text) == "" {
		p.errorf("empty, want text")
	}
	p.words(text)
}

// texts is text for each of a list.
func (p place) texts(list []string) {
	for i, s := range list {
		p.index(i).text(s)
	}
}

// oneOf reports s if it is none of the values.
func (p place) oneOf(s string, values ...string) {
	if !slices.Contains(values, s) {
		p.errorf("%q, want one of %s", s, strings.Join(values, ", "))
	}
}

func (p place) unit(s string) {
	if !unit.Known(s) {
		p.errorf("%q is not a known unit", s)
	}
}

func (p place) basis(s string) {
	if !isBasis(s) {
		p.errorf("%q, want read:S and a number, recall, own or manual", s)
	}
}

// stepLength keeps a step to what is read at a glance, in characters (own
// choice).
const stepLength = 90

func (p place) steps(list []string) {
	p.texts(list)
	for i, s := range list {
		if n := utf8.RuneCountInString(s); n >= stepLength {
			p.index(i).errorf("%d characters, want fewer than %d", n, stepLength)
		}
	}
}
