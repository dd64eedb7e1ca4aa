package pages

import (
	"ampwright/client/words"
	"ampwright/model"
)

// wording is what entries are put into words with. [words.Of] looks up what they
// name: it is called under Book.Read.
func (v *visit) wording() words.Context {
	return words.Context{Build: v.b, Entry: v.b.Entry, Devices: v.b.Devices, Style: v.style(), Day: v.day}
}

func (v *visit) say(e model.Entry) words.Said { return words.Of(v.wording(), e) }

func (v *visit) taskLink(key string) link { return v.linkOf(key, "") }

// linkOf leads to a check, else to a task, if the build has them.
func (v *visit) linkOf(task, check string) link {
	if c := v.b.Check(check); c != nil {
		return link{Href: v.at() + "/check/" + c.ID, Text: c.Title}
	}
	if t := v.b.Task(task); t != nil {
		return link{Href: v.at() + "/task/" + t.ID, Text: t.Title}
	}
	return link{}
}
