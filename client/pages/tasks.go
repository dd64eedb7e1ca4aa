package pages

import (
	"strings"

	"ampwright/model"
)

// tasksPage is all that tasks.html can see.
type tasksPage struct {
	*frame
	Show   []link
	Stages []stageCards
	None   string
	Add    quick

	HeldStamp stamp
}

type stageCards struct {
	Key, Title, Tasks, Hours string
	Ratio                    string
	Cards                    []taskFacts
}

// views are the ways to look through the job cards.
var views = []struct {
	name, text string
	is         func(*model.Task) bool
}{
	{"", "all", func(*model.Task) bool { return true }},
	{"open", "open", func(t *model.Task) bool { return t.Open() }},
	{"ready", "can go on now", func(t *model.Task) bool { return t.Ready }},
	{"held", "held", func(t *model.Task) bool { return len(t.Held) > 0 }},
	{"finished", "finished", func(t *model.Task) bool { return t.State == model.Finished }},
}

func (v *visit) tasks() (Response, error) {
	p := tasksPage{HeldStamp: held, frame: v.frame("job cards", "job cards"), Add: v.asks("add-task", "add a task", v.at()+"/tasks")}
	show := v.req.Query.Get("show")
	is := views[0].is
	for _, w := range views {
		href := v.at() + "/tasks"
		if w.name != "" {
			href += "?show=" + w.name
		}
		p.Show = append(p.Show, link{href, w.text, w.name == show})
		if w.name == show {
			is = w.is
		}
	}
	lines := v.stageLines()
	for i, s := range v.b.Stages {
		sc := stageCards{Key: s.ID, Title: s.Title, Tasks: lines[i].Tasks, Ratio: lines[i].Ratio}
		sc.Hours = lines[i].Logged + " h logged, estimate " + lines[i].Estimate + " h"
		for _, t := range s.Tasks {
			if is(t) {
				sc.Cards = append(sc.Cards, v.taskFacts(t))
			}
		}
		if len(sc.Cards) > 0 {
			p.Stages = append(p.Stages, sc)
		}
	}
	if len(p.Stages) == 0 {
		p.None = strings.TrimSpace("no task is " + show)
	}
	return v.render(statusOK, "tasks.html", p)
}
