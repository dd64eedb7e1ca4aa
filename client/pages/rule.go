package pages

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ampwright/model"
)

// A rule is the whole build as a steel rule graduated in hours of the
// estimates: a length for each stage, filled as its tasks are finished, and
// under it a barred mark where a hold is shut behind finished work. A narrow
// page folds it into legs, like a carpenter's rule.
type rule struct {
	Class         string
	Says          string // the picture in a sentence
	Width, Height int
	Legs          []ruleLeg
}

// A ruleLeg is one length of a rule. All coordinates are ready to print.
type ruleLeg struct {
	Pieces               []rulePiece
	Fine, Long           string // paths of the graduation
	Numbers, Texts       []ruleText
	Bars                 string // path of the barred marks
	Top, Bottom, Y, Left string
	BodyWidth, End       string
	Hole, HoleY          string // Hole is where the last leg hangs from its nail; "" elsewhere
}

// A rulePiece is a stage, or what falls of it on one leg.
type rulePiece struct {
	X, Width           string
	Done, HandX, Hand  string // widths filled as finished and as in hand
	Title, Label, Mid  string
	LabelY             string
	First, Full, Began bool
}

type ruleText struct{ X, Y, Text string }

// Measures of a rule in the units of its picture.
const (
	ruleTop    = 30 // room for graduation and its numbers
	ruleBody   = 46
	ruleEnd    = 24 // past the last hour, where the hole is
	ruleRow    = 18 // a row of marks below
	ruleGap    = 10
	ruleFill   = 10
	letterWide = 8 // of a label
)

// A ruleStage is what the rule shows of a stage, in hours from the rule's zero.
type ruleStage struct {
	id, title            string
	from, done, hand, to float64
	says                 string
}

// A ruleMark is a shut hold at its place.
type ruleMark struct {
	at         float64
	key, stand string // the check, and how it stands or how many more there are
}

func (v *visit) ruleStages() (stages []ruleStage, marks []ruleMark) {
	at := 0.0
	for _, h := range v.b.Hours.Stages {
		s := ruleStage{id: h.Stage.ID, title: h.Stage.Title, from: at, done: at + h.Planned, to: at + h.Estimate}
		s.hand = s.done
		place := at
		for _, t := range h.Stage.Tasks {
			if t.State == model.NotNeeded {
				continue
			}
			mean := t.Estimate.Mean()
			place += mean
			if t.Open() {
				s.hand += min(float64(t.Logged)/60, mean)
			}
			if shut := shutDoors(t); t.State == model.Finished && len(shut) > 0 {
				stand := ": " + string(shut[0].Verdict)
				if len(shut) > 1 {
					stand = fmt.Sprintf(" and %d more", len(shut)-1)
				}
				marks = append(marks, ruleMark{place, shut[0].ID, stand})
			}
		}
		s.says = fmt.Sprintf("%s: %d of %d tasks finished, %s h logged, estimate %s h",
			s.title, h.Finished, h.Finished+h.Open, v.decimals(h.Logged, 1), v.decimals(h.Estimate, 1))
		if s.to > s.from {
			stages = append(stages, s)
		}
		at = s.to
	}
	return stages, marks
}

// shutDoors returns the hold points of a task that are not cleared.
func shutDoors(t *model.Task) []*model.Check {
	var shut []*model.Check
	for _, c := range t.Checks {
		if c.Hold() && c.Applies && !c.Cleared() {
			shut = append(shut, c)
		}
	}
	return shut
}

// rules draws the rule for three widths of page; a style sheet shows one.
func (v *visit) rules() []rule {
	stages, marks := v.ruleStages()
	if len(stages) == 0 {
		return nil
	}
	says := fmt.Sprintf("The build as a rule: %s h at the estimates, %d of %d tasks finished, %s logged; %s behind finished work.",
		v.decimals(stages[len(stages)-1].to, 1), v.b.Hours.Finished, len(v.b.Tasks)-v.b.Hours.NotNeeded, v.hours(v.b.Hours.Logged),
		count(len(marks), "place held", "places held"))
	return []rule{
		drawRule("wide", says, 1232, 1, stages, marks),
		drawRule("middle", says, 760, 2, stages, marks),
		drawRule("narrow", says, 328, 3, stages, marks),
	}
}

// drawRule draws a rule of the given width, folded into legs.
func drawRule(class, says string, width, legs int, stages []ruleStage, marks []ruleMark) rule {
	r := rule{Class: class, Says: says, Width: width}
	total := stages[len(stages)-1].to
	span := total / float64(legs)
	scale := float64(width-2-ruleEnd) / span
	y := 0
	for i := range legs {
		d := draftsman{from: span * float64(i), to: span * float64(i+1), scale: scale, width: width, y: y, first: i == 0, last: i == legs-1}
		if d.last {
			d.to = total // not a hair before the last mark
		}
		leg, height := d.leg(stages, marks)
		r.Legs = append(r.Legs, leg)
		y += height
	}
	r.Height = y
	return r
}

// A draftsman draws one leg, from one hour to another.
type draftsman struct {
	from, to, scale float64
	width, y        int
	first, last     bool
}

func (d draftsman) x(hour float64) float64 { return 1 + (hour-d.from)*d.scale }

// px writes a length in tenths of a pixel.
func px(f float64) string { return string(addPx(nil, f)) }

func addPx(b []byte, f float64) []byte {
	tenths := int64(math.Round(f * 10))
	if tenths < 0 {
		b, tenths = append(b, '-'), -tenths
	}
	return append(strconv.AppendInt(b, tenths/10, 10), '.', byte('0'+tenths%10))
}

func (d draftsman) leg(stages []ruleStage, marks []ruleMark) (ruleLeg, int) {
	top := d.y + ruleTop
	body := float64(d.width - 2)
	if !d.last {
		body = (d.to-d.from)*d.scale + 2 // it goes on below
	}
	leg := ruleLeg{Top: strconv.Itoa(top), Bottom: strconv.Itoa(top + ruleBody), Y: strconv.Itoa(top + ruleBody - ruleFill), Left: "1", BodyWidth: px(body)}
	if d.last {
		leg.End = px(d.x(d.to))
		leg.Hole, leg.HoleY = px(float64(d.width)-ruleEnd/2), strconv.Itoa(top+ruleBody/2)
	}
	for _, s := range stages {
		a, b := max(s.from, d.from), min(s.to, d.to)
		if a >= b {
			continue
		}
		in := func(h float64) float64 { return min(max(h, a), b) }
		wide := (b - a) * d.scale
		p := rulePiece{
			X: px(d.x(a)), Width: px(wide), Done: px((in(s.done) - a) * d.scale), HandX: px(d.x(in(s.done))),
			Hand: px((in(s.hand) - in(s.done)) * d.scale), Title: s.says, First: a == s.from, Mid: px(d.x((a + b) / 2)),
			LabelY: strconv.Itoa(top + 22), Full: in(s.done) > a, Began: in(s.hand) > in(s.done),
		}
		if wide >= float64(letterWide*len(s.id)+4) {
			p.Label = s.id
		}
		leg.Pieces = append(leg.Pieces, p)
	}
	d.graduate(&leg, top)
	rows := d.mark(&leg, marks, top+ruleBody)
	return leg, ruleTop + ruleBody + rows*ruleRow + ruleGap
}

// graduate engraves the hours: the finest step that leaves three units between
// two lines, longer at every fifth, longest and numbered at every tenth.
func (d draftsman) graduate(leg *ruleLeg, top int) {
	step := 1
	for _, s := range []int{1, 2, 5, 10, 20, 50, 100} {
		if step = s; float64(s)*d.scale >= 3 {
			break
		}
	}
	var fine, long []byte
	tick := func(b []byte, x float64, high string) []byte {
		b = append(strconv.AppendInt(append(addPx(append(b, 'M'), x), ' '), int64(top), 10), "v-"...)
		return append(b, high...)
	}
	for n := int(d.from)/step + 1; float64(n*step) < d.to; n++ {
		x := d.x(float64(n * step))
		switch {
		case n%10 == 0:
			long = tick(long, x, "20")
			text := strconv.Itoa(n * step)
			if d.first && len(leg.Numbers) == 0 {
				text += " h"
			}
			if at := x + 4; at+float64(8*len(text)) < float64(d.width) {
				leg.Numbers = append(leg.Numbers, ruleText{px(at), strconv.Itoa(top - 11), text})
			}
		case n%5 == 0:
			fine = tick(fine, x, "9")
		default:
			fine = tick(fine, x, "4")
		}
	}
	leg.Fine, leg.Long = string(fine), string(long)
}

// A placed mark takes its column down to its row, and its text in that row.
type placed struct {
	x, left, right float64
	row            int
}

// bars reports whether the mark's bars or text stand between a and b in a row.
func (p placed) bars(row int, a, b float64) bool {
	return row <= p.row && a < p.x+4 && p.x-8 < b || row == p.row && a < p.right+6 && p.left-6 < b
}

// mark bars the places where a hold is shut and writes what stands there, where
// there is room for it; it returns how many rows that took. The marks are placed
// from the right, so that no bar runs down through the words of another.
func (d draftsman) mark(leg *ruleLeg, marks []ruleMark, bottom int) int {
	const maxRows = 4
	var done []placed
	var bars strings.Builder
	used := 0
	for _, m := range slices.Backward(marks) {
		if m.at <= d.from && !(d.first && m.at == 0) || m.at > d.to {
			continue
		}
		text := m.key + m.stand
		if d.width < 500 {
			text = m.key
		}
		p := placed{x: d.x(m.at)}
		wide := float64(len(text))*7.4 + 8
		p.left, p.right = p.x+4, p.x+4+wide
		words := true
		if p.right > float64(d.width) { // then the words stand left of their bars, if no other mark is there
			p.left, p.right = p.x-10-wide, p.x-10
			words = p.left > 0 && !slices.ContainsFunc(marks, func(o ruleMark) bool { x := d.x(o.at); return o.at < m.at && x > p.left-10 })
		}
		clear := func() bool {
			return !slices.ContainsFunc(done, func(o placed) bool { return o.bars(p.row, p.left, p.right) || p.bars(o.row, o.left, o.right) })
		}
		for words && p.row < maxRows && !clear() {
			p.row++
		}
		if words = words && p.row < maxRows; !words {
			p.row, p.left, p.right = 0, p.x, p.x
		}
		done = append(done, p)
		used = max(used, p.row+1)
		deep := 14 + p.row*ruleRow
		fmt.Fprintf(&bars, "M%s %dv%dm5 0v-%d", px(p.x-6), bottom+1, deep, deep)
		if words {
			leg.Texts = append(leg.Texts, ruleText{px(p.left + 2), strconv.Itoa(bottom + 14 + p.row*ruleRow), text})
		}
	}
	leg.Bars = bars.String()
	return used
}
