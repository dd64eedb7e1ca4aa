package pages

import (
	"math"
	"strings"
	"time"

	"ampwright/calc/unit"
)

// A serviceLine is a check that falls due again soon, or is due.
type serviceLine struct {
	Href, Title, Key, Due string
	Stamp                 stamp
}

func (v *visit) serviceLines() []serviceLine {
	var lines []serviceLine
	for _, s := range v.b.Services() {
		if !s.Soon(v.b.Now) {
			continue
		}
		l := serviceLine{Href: v.checkHref(s.Check), Title: s.Check.Title, Key: s.Check.ID, Stamp: stamp{"SOON", "ready"}}
		var due []string
		if !s.On.IsZero() {
			due = append(due, v.date(s.On.Format(time.DateOnly)))
		}
		switch km := func(f float64) string { return unit.Format(f, "km", v.style()) }; {
		case math.IsNaN(s.KmLeft):
		case s.KmLeft < 0:
			due = append(due, km(-s.KmLeft)+" past its distance")
		default:
			due = append(due, "in "+km(s.KmLeft))
		}
		l.Due = "due " + strings.Join(due, " or ")
		if s.Over {
			l.Stamp = stamp{"DUE", "stale"}
		}
		lines = append(lines, l)
	}
	return lines
}
