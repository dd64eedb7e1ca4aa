package synth

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A build is played to its end: every task gets its hours and its rework, no
// task begins before those it waits for are finished or before it is known.
func TestPlay(t *testing.T) {
	for number := range uint64(200) {
		b := Play(number/4, number)
		logged, again := make([]float64, len(b.Tasks)), make([]float64, len(b.Tasks))
		known, done := make([]bool, len(b.Tasks)), make([]bool, len(b.Tasks))
		for i := range b.Planned {
			known[i] = true
		}
		for _, s := range b.Strokes {
			require.True(t, known[s.Task])
			require.Equal(t, s.Rework, done[s.Task], "rework comes after the finish")
			for _, i := range b.Tasks[s.Task].After {
				require.True(t, done[i])
			}
			if s.Rework {
				again[s.Task] += s.Hours
			} else {
				logged[s.Task] += s.Hours
			}
			done[s.Task] = done[s.Task] || s.Finishes
			for _, f := range s.Finds {
				known[f] = true
			}
		}
		for i, task := range b.Tasks {
			require.True(t, done[i])
			require.InDelta(t, task.Hours, logged[i], 1e-9)
			require.InDelta(t, task.Rework, again[i], 1e-9)
			require.Equal(t, i >= b.Planned, task.Work.Found)
		}
	}
}

// What is logged and what is left are the whole, at every checkpoint.
func TestAt(t *testing.T) {
	for number := range uint64(100) {
		b := Play(1, number)
		for _, share := range []float64{0, 0.3, 0.77, 1} {
			s, truth := b.At(share)
			require.InDelta(t, b.Hours(), s.Logged+truth.Hours, 1e-9*b.Hours())
			require.InDelta(t, share*b.Hours(), s.Logged, 1e-9*b.Hours())
			require.InDelta(t, truth.Hours, truth.Listed+truth.Found+truth.Rework, 1e-9*b.Hours())
			logged := 0.0
			for _, w := range s.Tasks {
				require.LessOrEqual(t, w.Rework, w.Logged)
				require.True(t, share < 1 || w.Done)
				logged += w.Logged
			}
			require.InDelta(t, s.Logged, logged, 1e-9*b.Hours())
		}
	}
}

// Builds are unlike each other, and the seeds alone say how.
func TestSeeds(t *testing.T) {
	require.Equal(t, Play(3, 4), Play(3, 4))
	require.NotEqual(t, Play(3, 4).Traits, Play(3, 5).Traits)
	require.Equal(t, Play(3, 4).Traits.Tail, Play(3, 5).Traits.Tail)
	require.NotEqual(t, Play(3, 4).Traits, Play(4, 4).Traits)
}
