package pages

import (
	"fmt"

	"ampwright/model"
)

// An atHand is what a phone is taken out for, at the top of its bench: the clock, half
// an hour, the next step of the checklist that was begun.
type atHand struct {
	Task        *taskFacts // nil where a clock runs, or no task is in hand and none fits
	OnOff, Half quick
	Step        *link // the place of a checklist; nil where none waits
	List        string
}

// atHand gathers that; nil on the laptop, where all of it is in sight anyway.
func (v *visit) atHand() *atHand {
	if v.cfg.Device == "" {
		return nil
	}
	a := new(atHand)
	here := v.at() + "/"
	if t := v.handTask(); t != nil && len(v.b.Hours.Clocks) == 0 { // a running clock stands above by itself
		facts := v.taskFacts(t)
		a.Task, a.OnOff, a.Half = &facts, v.clock(t, here), v.half(t, here)
	}
	var last *model.Walk
	var when model.When
	v.cfg.Book.Read(func(*model.Logbook) {
		for _, l := range v.b.Lists {
			w, ok := v.b.Walk(l.ID, v.now(), v.cfg.Book.Person())
			if !ok || w.Chunk == nil {
				continue
			}
			at := model.When{}
			if w.Last != nil && w.Last.Current != nil {
				at = w.Last.Current.At
			}
			if last == nil || at.Unix > when.Unix {
				last, when = w, at
			}
		}
	})
	if last != nil {
		text := "release of " + last.Chunk.Title
		if last.Step != nil {
			text = fmt.Sprintf("step %d of %d: %s", last.Step.N, len(last.Steps), last.Step.Title)
		}
		if last.Last == nil {
			text = "not begun; " + text
		}
		a.Step, a.List = &link{Href: v.walkHref(last.List.ID) + "/next", Text: text}, last.List.Title
	}
	return a
}

// handTask is the task in hand that was worked on last, else the first that fits in
// half an hour.
func (v *visit) handTask() *model.Task {
	var hand *model.Task
	for _, t := range v.b.Tasks {
		if t.State == model.InHand && t.Open() && (hand == nil || lastWork(t) > lastWork(hand)) {
			hand = t
		}
	}
	if fits := v.b.Fits(stints[0].minutes); hand == nil && len(fits) > 0 {
		hand = fits[0]
	}
	return hand
}

// lastWork is when work on a task ended last, in seconds since 1970; 0 for never.
func lastWork(t *model.Task) (at int64) {
	for _, w := range t.Work {
		at = max(at, w.At.Unix+60*w.Minutes)
	}
	return at
}
