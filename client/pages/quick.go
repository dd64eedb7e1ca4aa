package pages

import (
	"net/url"

	"ampwright/model"
)

// A quick is a form of one button: all it needs is known.
type quick struct {
	Action, Back, Once, Button string
	Hidden                     []cell
	Quiet                      bool
	Href                       string // set when something must be asked first: a link in place of the form
}

// quick makes a button that writes a wish down at once.
func (v *visit) quick(wish, button, back string, pairs ...string) quick {
	q := quick{Action: v.at() + "/write/" + wish, Back: back, Once: v.cfg.Once(), Button: button}
	for i := 0; i < len(pairs); i += 2 {
		q.Hidden = append(q.Hidden, cell{pairs[i], pairs[i+1]})
	}
	return q
}

// asks makes a button that leads to the form of a wish.
func (v *visit) asks(wish, button, back string, pairs ...string) quick {
	q := url.Values{"back": {back}}
	for i := 0; i < len(pairs); i += 2 {
		q.Set(pairs[i], pairs[i+1])
	}
	return quick{Button: button, Href: v.at() + "/write/" + wish + "?" + q.Encode()}
}

// clock is the button that starts or stops a task's clock. Where the work may
// have changed something, stopping asks.
func (v *visit) clock(t *model.Task, back string) quick {
	switch {
	case t.Clock == nil && shut(t):
		return v.asks("on", "clock on", back, "task", t.ID)
	case t.Clock == nil:
		return v.quick("on", "clock on", back, "task", t.ID)
	case len(t.PlanTask.Changes) > 0 || v.now().Sub(t.Clock.At.Time()) > model.ForgottenAfter:
		return v.asks("off", "clock off", back, "task", t.ID)
	}
	return v.quick("off", "clock off", back, "task", t.ID, "changes", "none")
}

// shut reports whether work on a task goes past a hold or out of order. The
// logbook takes it down, but not at a slip of the thumb: its form says first what
// stands in the way.
func shut(t *model.Task) bool { return t.Open() && (!t.Ready || len(t.Held) > 0) }

// half is the button that logs half an hour that ends now.
func (v *visit) half(t *model.Task, back string) quick {
	if len(t.PlanTask.Changes) > 0 || shut(t) {
		q := v.asks("hours", "+ half an hour", back, "task", t.ID, "hours", v.decimals(0.5, 1))
		q.Quiet = true
		return q
	}
	q := v.quick("hours", "+ half an hour", back, "task", t.ID, "hours", v.decimals(0.5, 1), "changes", "none")
	q.Quiet = true
	return q
}
