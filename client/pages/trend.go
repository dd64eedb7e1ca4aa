package pages

import (
	"fmt"
	"math"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"
)

// A trendPicture shows the readings of a check over time with its limits.
type trendPicture struct {
	Says          string
	Drift         string // pointed out where the line runs at a limit
	Method        string
	Line          string // the straight line through the readings
	Dots          []trendDot
	Limits        []trendLimit
	From, To      ruleText
	Rows          []trendRow
	Path          string
	Width, Height string
}

type trendDot struct{ X, Y, Class, Shape string }

type trendLimit struct{ Y, TextY, Text string }

type trendRow struct{ When, Value, Stamp, Href string }

const (
	trendWide = 600.0
	trendHigh = 220.0
)

// trendPicture draws a series; nil with fewer than two readings.
func (v *visit) trendPicture(c *model.Check) *trendPicture {
	s := v.b.Series(c)
	if len(s) < 2 || s[0].At.Unix == s[len(s)-1].At.Unix {
		return nil
	}
	st := v.style()
	f := func(x float64) string { return unit.Format(x, c.Unit, st) }
	low, high := s[0].Value, s[0].Value
	for _, p := range s {
		low, high = math.Min(low, p.Value), math.Max(high, p.Value)
	}
	sides := []struct {
		word string
		side *model.Side
	}{{"at least ", c.Min}, {"at most ", c.Max}}
	span := high - low
	for _, one := range sides {
		// A limit far off would press the readings into one line: then it is said, not drawn.
		if l := one.side; l != nil && l.Err == "" && l.Value > low-6*span && l.Value < high+6*span {
			low, high = math.Min(low, l.Value), math.Max(high, l.Value)
		}
	}
	room := (high - low) * 0.1
	if room == 0 {
		room = math.Abs(high)*0.05 + 1e-9
	}
	low, high = low-room, high+room
	first, last := s[0].At.Unix, s[len(s)-1].At.Unix
	x := func(unix int64) float64 { return 12 + float64(unix-first)/float64(last-first)*(trendWide-24) }
	y := func(value float64) float64 { return 8 + (high-value)/(high-low)*(trendHigh-40) }
	p := &trendPicture{Width: px(trendWide), Height: px(trendHigh)}
	for _, one := range sides {
		if l := one.side; l != nil && l.Err == "" && l.Value > low && l.Value < high {
			at := y(l.Value)
			p.Limits = append(p.Limits, trendLimit{px(at), px(math.Max(at-6, 14)), one.word + f(l.Value)})
		}
	}
	var path strings.Builder
	for i, one := range s {
		cx, cy := x(one.At.Unix), y(one.Value)
		cmd := "L"
		if i == 0 {
			cmd = "M"
		}
		fmt.Fprintf(&path, "%s%s %s", cmd, px(cx), px(cy))
		d := trendDot{X: px(cx), Y: px(cy), Class: "dot"}
		if one.Reading.Measured != model.Within { // another shape, not another colour alone
			d.Class, d.Shape = "dot off", fmt.Sprintf("M%s %sl7 7-7 7-7-7z", px(cx), px(cy-7))
		}
		p.Dots = append(p.Dots, d)
		p.Rows = append(p.Rows, trendRow{v.when(one.At), f(one.Value), strings.ToLower(verdictStamp(one.Reading.Measured).Word), v.at() + "/entry/" + one.Reading.ID.String()})
	}
	p.Path = path.String()
	p.From = ruleText{px(12), px(trendHigh - 6), v.whenDay(s[0].At)}
	p.To = ruleText{px(trendWide - 12), px(trendHigh - 6), v.whenDay(s[len(s)-1].At)}
	p.Says = fmt.Sprintf("%d readings from %s to %s: first %s, last %s", len(s), v.whenDay(s[0].At), v.whenDay(s[len(s)-1].At), f(s[0].Value), f(s[len(s)-1].Value))
	v.drift(p, c, s)
	return p
}

// drift adds the straight line and what it says.
func (v *visit) drift(p *trendPicture, c *model.Check, s []model.TrendPoint) {
	t, ok := c.TrendOf(s)
	if !ok {
		return
	}
	st := v.style()
	word := "up"
	if t.Slope < 0 {
		word = "down"
	}
	p.Method = fmt.Sprintf("a straight line through %d readings (median of the slopes between all pairs, P. K. Sen 1968); it promises nothing of the next", len(s))
	p.Line = fmt.Sprintf("%s by %s a month", word, unit.Format(math.Abs(t.Slope), c.Unit, st))
	if t.Slope == 0 {
		p.Line = "neither up nor down"
	}
	if t.Near {
		p.Drift = fmt.Sprintf("inside the limit, but on the way to it: %s; the line would meet %s about %s", p.Line,
			unit.Format(t.Side.Value, c.Unit, st), t.Reaches.Time().Format("January 2006"))
		if t.Reaches.Time().Sub(s[len(s)-1].At.Time()) < 60*24*time.Hour {
			p.Drift = strings.Replace(p.Drift, t.Reaches.Time().Format("January 2006"), v.day(t.Reaches.Time()), 1)
		}
	}
}
