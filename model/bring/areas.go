package bring

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/model"
)

// task returns the task that a line's area means, and what is left of the area
// for the note. A stage is narrowed to the task of it whose title shares most
// words with what was done.
func (r *reader) task(d *draft, area, what string) (task, note string) {
	if area == "" || model.AreaKey(area) == "none" { // as our own tables say it
		return "", ""
	}
	a := r.areaOf(area)
	if a.Is == "" || a.Is == "none" {
		return "", area
	}
	if t := r.build.Task(a.Is); t != nil {
		return t.ID, ""
	}
	for _, s := range r.build.Stages {
		if s.ID != a.Is {
			continue
		}
		titles := make([]string, len(s.Tasks))
		for i, t := range s.Tasks {
			titles[i] = t.Title
		}
		if n, ok := nearest(what, titles); ok {
			why := fmt.Sprintf("in %s nearest to %s, %s", s.ID, s.Tasks[n].ID, s.Tasks[n].Title)
			if shared(what, titles[n]) < 2 && len(nameWords(what)) > 1 {
				d.odd("%s: one word in common", why)
			} else {
				d.Why = append(d.Why, why)
			}
			return s.Tasks[n].ID, ""
		}
		d.odd("no task of %s is called like “%s”: on no task", s.ID, what)
	}
	return "", area
}

// areaOf returns an area for one more line of it.
func (r *reader) areaOf(area string) *Area {
	i, ok := r.areas[model.AreaKey(area)]
	if !ok {
		i = len(r.Areas)
		r.areas[model.AreaKey(area)] = i
		a := Area{Text: area}
		a.Is, a.Why = r.areaIs(area)
		r.Areas = append(r.Areas, a)
	}
	r.Areas[i].Lines++
	return &r.Areas[i]
}

// saidOf returns what a person said of an area, now or last time; "" for nothing.
func (r *reader) saidOf(area string) (is, why string) {
	for said, is := range r.opt.Areas {
		if model.AreaKey(said) == model.AreaKey(area) {
			return strings.ToLower(strings.TrimSpace(is)), "as you said"
		}
	}
	if is := r.build.Area(area); is != "" {
		return is, "as last time"
	}
	return "", ""
}

// areaIs says what an area of a sheet is: as it was said, as last time, or by its
// name.
func (r *reader) areaIs(area string) (is, why string) {
	if is, why := r.saidOf(area); is != "" || area == noArea {
		return is, why
	}
	w := model.AreaKey(area)
	if t := r.build.Task(w); t != nil {
		return t.ID, "the task of that name"
	}
	titles := make([]string, len(r.build.Stages))
	for i, s := range r.build.Stages {
		if titles[i] = s.Title; s.ID == w || model.AreaKey(s.Title) == w {
			return s.ID, "the stage of that name"
		}
	}
	if n, ok := nearest(area, titles); ok {
		return r.build.Stages[n].ID, "the one stage with that word: " + titles[n]
	}
	return "", ""
}

// askAreas asks about the areas that nobody has said anything about.
func (r *reader) askAreas() {
	for i := range r.Areas {
		a := &r.Areas[i]
		stage := slices.ContainsFunc(r.build.Stages, func(s *model.Stage) bool { return s.ID == a.Is })
		if a.Is != "" && a.Is != "none" && !stage && r.build.Task(a.Is) == nil {
			a.Why, a.Is = fmt.Sprintf("%q is no task or stage of this build", a.Is), ""
		}
		if a.Is == "" {
			var choices []string
			for _, s := range r.build.Stages {
				choices = append(choices, s.ID)
			}
			r.ask("areas:"+a.Text, fmt.Sprintf("which task or stage is “%s”, in %d of its lines?", a.Text, a.Lines), append(choices, "none")...)
		}
	}
}

// partOf returns the part that a line names, by its key or in words.
func (r *reader) partOf(d *draft, item string) string {
	if key := r.get(d.row, "part"); key != "" && r.build.Part(key) != nil {
		return key
	}
	if _, ok := r.cols["part"]; ok || r.get(d.row, "parts") != "" {
		return ""
	}
	part := r.partNamed(item)
	if part != "" {
		d.Why = append(d.Why, "taken for the part "+part)
	}
	return part
}

// partNamed returns the part of the build that a text names, "" for none or more
// than one.
func (r *reader) partNamed(text string) string {
	titles := make([]string, len(r.build.Parts))
	for i, p := range r.build.Parts {
		if titles[i] = p.Title; p.ID == model.AreaKey(text) {
			return p.ID
		}
	}
	n, ok := nearest(text, titles)
	if !ok || shared(text, titles[n]) < 2 && len(nameWords(text)) > 1 {
		return ""
	}
	return r.build.Parts[n].ID
}

// nearest returns the title that shares most words with a text; false where none
// does, or two share as many.
func nearest(text string, titles []string) (int, bool) {
	best, most, tie := 0, 0, false
	for i, t := range titles {
		n := shared(text, t)
		switch {
		case n > most:
			best, most, tie = i, n, false
		case n == most && n > 0:
			tie = true
		}
	}
	return best, most > 0 && !tie
}

// shared counts the words of text that stand in title, in the singular.
func shared(text, title string) int {
	have := nameWords(title)
	n := 0
	for _, w := range nameWords(text) {
		if slices.Contains(have, w) {
			n++
		}
	}
	return n
}

// small words say nothing about what a thing is.
var smallWords = strings.Fields("the a an and or of for to in on at with from by it its is was new old one two set did made some all")

func nameWords(s string) []string {
	var words []string
	for _, w := range strings.Fields(plainWord(s)) {
		w = strings.TrimSuffix(w, "s")
		if len(w) > 2 && !strings.ContainsAny(w, "0123456789") && !slices.Contains(smallWords, w) && !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	return words
}
