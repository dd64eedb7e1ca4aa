package synth

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"ampwright/calc/forecast/day"
)

// A build goes through the calendar: no work on holidays or before what it
// waits for is done, rested and delivered, and all hours are worked.
func TestPlayDays(t *testing.T) {
	for number := range uint64(200) {
		d := PlayDays(number/4, number)
		require.Equal(t, d.Build, Play(number/4, number))
		require.Equal(t, d, PlayDays(number/4, number))
		first, again := make([]float64, len(d.Tasks)), make([]float64, len(d.Tasks))
		rested := slices.Repeat([]float64{math.Inf(1)}, len(d.Tasks))
		for k, s := range d.Stints {
			require.True(t, k == 0 || s.At >= d.Stints[k-1].At+s.Hours-1e-9)
			require.False(t, slices.ContainsFunc(d.Holidays, func(h Holiday) bool { return h.From <= s.Day && s.Day <= h.To }))
			if s.Rework {
				again[s.Task] += s.Hours
				continue
			}
			first[s.Task] += s.Hours
			for _, j := range d.Tasks[s.Task].After {
				require.LessOrEqual(t, rested[j], s.At-s.Hours+1e-9)
			}
			if p := d.Parts[s.Task]; p.High > 0 {
				require.LessOrEqual(t, p.Arrived, s.Day)
				require.True(t, p.Ordered >= 0 && p.Ordered <= p.Arrived)
			}
			if s.Finishes {
				rested[s.Task] = s.At + d.Waits[s.Task]
			}
		}
		if d.End == day.Horizon {
			continue
		}
		for i, task := range d.Tasks {
			require.InDelta(t, task.Hours, first[i], 1e-6)
			require.InDelta(t, task.Rework, again[i], 1e-6)
			require.LessOrEqual(t, rested[i], float64(24*(d.End+1)))
		}
	}
}

// What is logged, what is open and what is known of the future belong to the day.
func TestDaysAt(t *testing.T) {
	for number := range uint64(100) {
		d := PlayDays(1, number)
		for _, share := range []float64{0, 0.4, 0.9} {
			today := d.Stints[int(share*float64(len(d.Stints)))].Day
			s, p, index := d.At(today)
			logged, open := 0.0, 0
			for _, w := range s.Tasks {
				logged += w.Logged
				if !w.Done {
					open++
				}
			}
			require.InDelta(t, s.Logged, logged, 1e-6)
			require.Len(t, index, open)
			require.GreaterOrEqual(t, len(p.Tasks), open)
			for k, i := range index {
				require.Equal(t, p.Tasks[k].ID, s.Tasks[i].Name)
			}
			for _, x := range p.Sessions {
				require.Less(t, x.Day, today)
			}
			for _, a := range p.Away {
				require.True(t, slices.ContainsFunc(d.Holidays, func(h Holiday) bool { return h.Span == a && h.Told <= today }))
			}
		}
	}
}
