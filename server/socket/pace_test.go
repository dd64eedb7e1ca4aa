package socket

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// In any second at most a hundred frames are read, whatever is sent.
func TestPace(t *testing.T) {
	var p pace
	now := time.Date(2026, 11, 20, 18, 30, 0, 0, time.UTC)
	var read []time.Time
	for i := range 1000 {
		wait := p.wait(now)
		require.GreaterOrEqual(t, wait, time.Duration(0))
		now = now.Add(wait)
		read = append(read, now)
		if i >= paceFrames {
			require.GreaterOrEqual(t, now.Sub(read[i-paceFrames]), paceTime)
		}
	}
	require.Equal(t, 9*paceTime, read[999].Sub(read[0])) // by hand: 100 at once, then 9 more hundreds
	require.Zero(t, p.wait(now.Add(time.Hour)))
}
