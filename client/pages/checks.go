package pages

import (
	"fmt"
	"strings"

	"ampwright/model"
)

// checksPage is all that checks.html can see.
type checksPage struct {
	*frame
	Show   []link
	Stages []stageChecks
	None   string
	Add    quick
	Walks  []link // checklists
	Pack   string // the pack table to be filled in by hand
}

type stageChecks struct {
	Key, Title string
	PDF        string // to be filled in by hand
	Checks     []checkFacts
}

// filters are the ways to look through the checks.
var filters = []struct {
	name, text, none string
	is               func(*model.Check) bool
}{
	{"stale", "measure again", "no reading is stale", func(c *model.Check) bool {
		return c.Verdict == model.Stale && c.Task.State != model.NotNeeded && c.Applies
	}},
	{"held", "shut behind finished work", "no hold is shut behind finished work", func(c *model.Check) bool {
		return c.Hold() && !c.Cleared() && c.Task.State == model.Finished
	}},
	{"out", "out of limits", "no reading that stands is out of limits", func(c *model.Check) bool {
		return c.Applies && (c.Verdict == model.Out || c.Verdict == model.NotShown || c.Verdict == model.Incomplete)
	}},
	{"all", "all", "there is no check", func(c *model.Check) bool { return true }},
}

func (v *visit) checks() (Response, error) {
	p := checksPage{frame: v.frame("checks", "checks"), Add: v.asks("add-check", "add a check", v.at()+"/checks"), Pack: v.paperPDF("pack")}
	for _, l := range v.b.Lists {
		p.Walks = append(p.Walks, link{Href: v.walkHref(l.ID), Text: l.Title})
	}
	show := v.req.Query.Get("show")
	at := len(filters) - 1
	for i, f := range filters {
		if f.name == show {
			at = i
		}
	}
	for i, f := range filters {
		n := 0
		for _, c := range v.b.Checks {
			if f.is(c) {
				n++
			}
		}
		p.Show = append(p.Show, link{v.at() + "/checks?show=" + f.name, fmt.Sprintf("%s, %d", f.text, n), i == at})
	}
	var last *stageChecks
	for _, c := range v.b.Checks {
		if !filters[at].is(c) {
			continue
		}
		if last == nil || last.Key != c.Task.Stage.ID {
			p.Stages = append(p.Stages, stageChecks{Key: c.Task.Stage.ID, Title: c.Task.Stage.Title, PDF: v.paperPDF(c.Task.Stage.ID)})
			last = &p.Stages[len(p.Stages)-1]
		}
		last.Checks = append(last.Checks, v.checkFacts(c))
	}
	if len(p.Stages) == 0 {
		p.None = strings.TrimSpace(filters[at].none)
	}
	return v.render(statusOK, "checks.html", p)
}
