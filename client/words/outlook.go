package words

import (
	"math"
	"strconv"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/ahead"
)

// Ten writes between which two figures eight in ten of the outcomes lie.
func Ten(low, high string) string {
	if low == high {
		return low
	}
	return "between " + low + " and " + high
}

// HoursLeft writes a distribution of hours: "8 in 10: between 87 and 158 hours".
func HoursLeft(d forecast.Distribution, m unit.Mark) string {
	if d.P90 == 0 {
		return "no hours left"
	}
	n := 0
	if d.P90 < 20 {
		n = 1
	}
	return "8 in 10: " + Ten(Figure(d.P10, n, m), Figure(d.P90, n, m)) + " hours"
}

// Days writes a distribution of days: "8 in 10: between 6 Mar and 24 Apr 2027".
func Days(d day.Dates) string {
	if d.Never >= 0.1 {
		return "in " + Chance(d.Never) + " it is not done within ten years at the hours of these weeks"
	}
	low, high := ahead.Day(d.P10), ahead.Day(d.P90)
	first := low.Format("2 Jan")
	if low.Year() != high.Year() || d.P10 == d.P90 {
		first = low.Format("2 Jan 2006")
	}
	last := high.Format("2 Jan 2006")
	if d.P10 == d.P90 {
		last = first
	}
	return "8 in 10: " + Ten(first, last)
}

// Chance writes a probability as a count: "6 in 100", "3 in 10".
func Chance(p float64) string {
	n := int(math.Round(p * 100))
	switch {
	case p <= 0:
		return "none of the trials"
	case n == 0:
		return "fewer than 1 in 100"
	case p >= 1:
		return "all of the trials"
	case n == 100:
		return "more than 99 in 100"
	case n%10 == 0:
		return strconv.Itoa(n/10) + " in 10"
	}
	return strconv.Itoa(n) + " in 100"
}

// reasons say in words what widens a forecast of hours.
var reasons = map[string]string{
	"few":         "a few big tasks carry the rest",
	"scatter":     "finished tasks came out far from their estimates, each its own way",
	"inexact":     "hours seldom come out at the estimate",
	"begun":       "much of the rest is in tasks begun",
	"unestimated": "tasks without an estimate are among them",
	"pace":        "little is known yet of this build's pace",
	"unforeseen":  "tasks nobody has thought of yet, and rework, come on top",
}

// Spread says in a sentence why a forecast of hours is as wide as it is.
func Spread(o *ahead.Outlook) string {
	var most ahead.StageLeft
	for _, s := range o.Stages {
		if s.Share > most.Share {
			most = s
		}
	}
	text := ""
	if why := reasons[o.Hours.Basis.Reasons.Widest()]; why != "" {
		text = "So wide because " + why + ". "
	}
	if most.Stage == nil {
		return text
	}
	percent := strconv.Itoa(int(math.Round(most.Share*100))) + " %"
	if most.Share >= 0.3 {
		return text + most.Stage.Title + " is the reason for " + percent + " of the spread."
	}
	return text + "No single stage is the reason: " + most.Stage.Title + " has most of the spread, " + percent + "."
}

// Basis says what a forecast rests on, for a person to judge it by.
func Basis(o *ahead.Outlook, m unit.Mark, at func(model.When) string) string {
	b := &o.Basis
	text := strconv.Itoa(b.Finished) + " of " + strconv.Itoa(b.Finished+b.Open) + " tasks finished"
	if !b.Last.IsZero() {
		text += ", last entry " + at(b.Last)
	}
	text += ". "
	h := &o.Hours.Basis
	if b.Few {
		return text + "Estimates only: a pace is not worth much before five tasks are finished."
	}
	text += "Finished tasks took " + Figure(h.Pace.Own, 2, m) + " of their estimates; " + Figure(h.Pace.Used, 2, m) + " is reckoned with."
	if h.Past > 0 {
		text += " " + strconv.Itoa(h.Past) + " finished build" + map[bool]string{true: "", false: "s"}[h.Past == 1] + " of this garage weigh in."
	}
	return text
}
