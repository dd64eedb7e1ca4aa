package day_test

import (
	"flag"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"ampwright/calc/forecast"
	"ampwright/calc/forecast/day"
	"ampwright/calc/forecast/synth"
)

var builds = flag.Int("builds", 400, "synthetic builds to forecast")

// project is what a garage would ask of a synthetic build on a day: the hours
// come from the forecast of hours, not from the truth.
func project(t *testing.T, b synth.Days, today int) day.Project {
	s, p, index := b.At(today)
	rest, err := forecast.Rest(forecast.Build{Tasks: s.Tasks}, nil)
	require.NoError(t, err)
	h := rest.Total
	p.Hours = [5]float64{h.P10, h.P25, h.P50, h.P75, h.P90}
	place := map[int]int{}
	for k, i := range index {
		place[i] = k
	}
	for _, l := range rest.Tasks {
		k := place[l.Task]
		p.Tasks[k].Hours, p.Tasks[k].Spread = l.Hours, 0.6
	}
	return p
}

// 8 in 10 ends fall between P10 and P90 on builds whose sessions, bad times,
// holidays, waits, deliveries, found tasks and rework are drawn from wide ranges
// that the forecast does not know ([synth.DayTraits], [synth.Traits]), by a
// mechanic who does not work by urgency; with the hours as forecast, and with
// the hours known beforehand, which leaves the calendar alone. Wanted is 0.75 to
// 0.85 over 2000 builds (-builds 2000); fewer leave room for two standard
// deviations of chance more. The figure found with synthetic builds was found with
// others than these.
func TestIntervalHolds(t *testing.T) {
	for _, known := range []bool{false, true} {
		n, inside, early := 0.0, 0.0, 0.0
		for number := range uint64(*builds) {
			b := synth.PlayDays(5000+number/3, number)
			share := b.Chance("checkpoint").Float(0.1, 0.9)
			last := b.Stints[len(b.Stints)-1].Day
			today := 1 + b.Stints[int(share*float64(len(b.Stints)))].Day
			if today > last {
				continue // a build of a few sessions: nothing is left
			}
			p := project(t, b, today)
			if known {
				know(b, &p)
			}
			o, err := day.Simulate(p, 200)
			require.NoError(t, err)
			n++
			switch {
			case b.End < o.P10:
				early++
			case b.End <= o.P90:
				inside++
			}
		}
		require.Greater(t, n, 0.9*float64(*builds))
		room := 0.05
		if *builds < 2000 {
			room += 2 * math.Sqrt(0.8*0.2/n)
		}
		t.Logf("hours known %v, %.0f builds: %.3f inside, %.3f before P10, %.3f after P90", known, n, inside/n, early/n, 1-(inside+early)/n)
		require.InDelta(t, 0.8, inside/n, room)
	}
}

// know puts in the hours that are truly left, where tasks are left to take them.
func know(b synth.Days, p *day.Project) {
	if p.Hours[4] == 0 {
		return
	}
	left := 0.0
	for _, s := range b.Stints {
		if s.Day >= p.Now {
			left += s.Hours
		}
	}
	p.Hours = [5]float64{left, left, left, left, left}
}
