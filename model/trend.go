package model

import (
	"math"
	"slices"
	"time"
)

// A TrendPoint is one reading of a series: of several points the one nearest to
// a limit or farthest past it.
type TrendPoint struct {
	At      When
	Value   float64
	Reading *ReadingLine
}

// Series returns the readings of a measured check over time, oldest first. A
// check that follows from another has one for each reading of that.
func (b *Build) Series(c *Check) []TrendPoint {
	if c.Kind != Measurement {
		return nil
	}
	var list []TrendPoint
	readings := c.Readings
	if len(readings) == 1 && readings[0].Derived {
		readings = nil
		for _, from := range b.check[c.Derive.Check].Readings {
			if r := b.spread(c, from); r != nil {
				readings = append(readings, r)
			}
		}
	}
	for _, r := range readings {
		if len(r.Points) > 0 {
			list = append(list, TrendPoint{r.At, r.Points[min(r.Worst, len(r.Points)-1)], r})
		}
	}
	return list
}

// A Trend is a straight line through a series: P. K. Sen, "Estimates of the
// regression coefficient based on Kendall's tau", JASA 63 (1968). Its slope is
// the median of the slopes between all pairs, so that one bad reading does not
// turn it.
type Trend struct {
	Slope   float64 // unit of the check in a month of 30.4375 days
	Reaches When    // when the line meets the limit it runs towards; zero if it runs towards none
	Side    *Side   // that limit
	Near    bool    // it would be met within three times the time the readings span
}

// month is a twelfth of 365.25 days, in seconds.
const month = 365.25 / 12 * 86400

// TrendOf returns the line through a series; false with fewer than three
// readings or where all are of one moment. A line through a few readings is no
// promise of the next.
func (c *Check) TrendOf(s []TrendPoint) (Trend, bool) {
	if len(s) < 3 || s[0].At.Unix == s[len(s)-1].At.Unix {
		return Trend{}, false
	}
	start := s[0].At.Unix
	x := func(i int) float64 { return float64(s[i].At.Unix-start) / month }
	var slopes []float64
	for i := range s {
		for j := i + 1; j < len(s); j++ {
			if dx := x(j) - x(i); dx > 0 {
				slopes = append(slopes, (s[j].Value-s[i].Value)/dx)
			}
		}
	}
	t := Trend{Slope: median(slopes)}
	rests := make([]float64, len(s))
	for i := range s {
		rests[i] = s[i].Value - float64(t.Slope*x(i))
	}
	foot := median(rests)
	last := s[len(s)-1]
	switch {
	case t.Slope > 0 && c.Max != nil && c.Max.Err == "" && last.Value <= c.Max.Value:
		t.Side = c.Max
	case t.Slope < 0 && c.Min != nil && c.Min.Err == "" && last.Value >= c.Min.Value:
		t.Side = c.Min
	default:
		return t, true
	}
	months := (t.Side.Value - foot) / t.Slope
	span := x(len(s) - 1)
	if math.IsNaN(months) || months > 1200 { // a hundred years: it runs towards nothing
		t.Side = nil
		return t, true
	}
	t.Reaches = last.At
	t.Reaches.Unix = start + int64(max(months, span)*month)
	t.Near = months < span+3*span
	return t, true
}

// TypedLater reports whether a reading was typed in more than an hour after it
// was taken, as from paper.
func (r *ReadingLine) TypedLater() bool {
	return r.Stamp.Time().Sub(r.At.Time()) > time.Hour
}

// WouldStaleBy returns the checks whose current reading a change of one of these
// kinds would make stale, in plan order.
func (b *Build) WouldStaleBy(kinds ...string) []*Check {
	var list []*Check
	for _, c := range b.Checks {
		if c.Current == nil || !c.Applies || c.Verdict == Stale {
			continue
		}
		if slices.ContainsFunc(c.InvalidatedBy, func(k string) bool { return slices.Contains(kinds, k) }) {
			list = append(list, c)
		}
	}
	return list
}
