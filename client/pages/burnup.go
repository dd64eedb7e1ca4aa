package pages

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// A burnup shows hours over weeks as two lines: what was logged, and what the
// whole build was thought to take at the time. Upright strokes say between which
// two figures eight in ten of the outcomes lay.
type burnup struct {
	Class                        string // "wide", "narrow"
	Says                         string
	Width, Height                int
	Left, Top, Base              string
	NumbersX, NumbersY           string
	XTicks, YTicks               []tick
	Scope, Done, Ranges          string // paths
	ScopeX, ScopeY, DoneX, DoneY string
	ScopeText, DoneText          string
}

// A week is the build as it was seen at one moment, in hours.
type week struct {
	at                time.Time
	done              float64
	low, middle, high float64 // of the whole build: P10, P50, P90
}

const (
	burnLeft, burnTop, burnFoot = 44, 14, 28
)

// burnups draws weeks, oldest first, for two widths of page.
func (v *visit) burnups(weeks []week, says string) []burnup {
	if len(weeks) < 2 {
		return nil
	}
	return []burnup{v.burnup("wide", 760, 280, weeks, says), v.burnup("narrow", 328, 220, weeks, says)}
}

func (v *visit) burnup(class string, width, height int, weeks []week, says string) burnup {
	b := burnup{
		Class: class, Says: says, Width: width, Height: height, Left: strconv.Itoa(burnLeft), Top: strconv.Itoa(burnTop), Base: strconv.Itoa(height - burnFoot),
		NumbersX: strconv.Itoa(burnLeft - 9), NumbersY: strconv.Itoa(height - burnFoot + 20), ScopeText: "whole build, as thought then", DoneText: "logged",
	}
	first, last := weeks[0].at, weeks[len(weeks)-1].at
	top := 0.0
	for _, w := range weeks {
		top = max(top, w.done, w.high)
	}
	right := float64(width - 10)
	x := func(t time.Time) float64 {
		return burnLeft + float64(t.Sub(first))/float64(last.Sub(first))*(right-burnLeft)
	}
	y := func(h float64) float64 { return float64(height-burnFoot) - h/top*float64(height-burnFoot-burnTop) }
	var scope, done, ranges strings.Builder
	for i, w := range weeks {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		fmt.Fprintf(&scope, "%s%s %s", letter, px(x(w.at)), px(y(w.middle)))
		fmt.Fprintf(&done, "%s%s %s", letter, px(x(w.at)), px(y(w.done)))
		fmt.Fprintf(&ranges, "M%s %sV%s", px(x(w.at)), px(y(w.low)), px(y(w.high)))
	}
	b.Scope, b.Done, b.Ranges = scope.String(), done.String(), ranges.String()
	end := weeks[len(weeks)-1]
	high := 0.0 // of the weeks under the words
	for _, w := range weeks {
		if x(w.at) > right-190 {
			high = max(high, w.high)
		}
	}
	b.ScopeX, b.ScopeY = px(right), px(max(y(high)-8, 11))
	b.DoneX, b.DoneY = px(right), px(y(end.done)+18)
	for _, l := range roundLines(0, top, func(h float64) string { return v.decimals(h, 0) }) {
		b.YTicks = append(b.YTicks, tick{px(y(l.at)), l.text})
	}
	for _, l := range dayLines(first, last, width/110) {
		b.XTicks = append(b.XTicks, tick{px(x(first.Add(time.Duration(l.at * float64(24*time.Hour))))), l.text})
	}
	return b
}

var months = [...]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// dayLines returns a graduation of about most lines or fewer between two
// moments, at days after the first: single days, Mondays, or firsts of months.
func dayLines(first, last time.Time, most int) []line {
	most = max(most, 2)
	y, m, d := first.Date()
	day := time.Date(y, m, d, 0, 0, 0, 0, first.Location())
	span := last.Sub(first).Hours() / 24
	var lines []line
	add := func(t time.Time, text string) {
		if !t.Before(first) && !t.After(last) {
			lines = append(lines, line{t.Sub(first).Hours() / 24, text})
		}
	}
	switch {
	case span <= float64(6*most):
		step := max(int(span)/most+1, 1)
		for t := day; !t.After(last); t = t.AddDate(0, 0, step) {
			add(t, strconv.Itoa(t.Day())+" "+months[t.Month()-1])
		}
	default:
		step := max(int(span/30.4)/most+1, 1)
		if step > 6 {
			step = (step + 11) / 12 * 12
		} else if step > 3 {
			step = 6
		}
		for t := time.Date(y, m, 1, 0, 0, 0, 0, first.Location()); !t.After(last); t = t.AddDate(0, 1, 0) {
			if (int(t.Month())-1)%step != 0 && step < 12 || step >= 12 && (t.Month() != 1 || t.Year()%(step/12) != 0) {
				continue
			}
			text := months[t.Month()-1]
			if t.Month() == 1 || span > 330 {
				text += " " + strconv.Itoa(t.Year())
			}
			add(t, text)
		}
	}
	return lines
}
