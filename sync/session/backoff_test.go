package session_test

import (
	"math"
	"testing"
	"time"

	"ampwright/sync/session"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWait(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(-1, 100).Draw(t, "n")
		limit := min(time.Minute, time.Duration(0.5*math.Pow(2, float64(max(n, 0)))*float64(time.Second)))
		if n > 10 {
			limit = time.Minute
		}
		got := session.Wait(n, rapid.Uint64().Draw(t, "random"))
		require.GreaterOrEqual(t, got, time.Duration(0))
		require.LessOrEqual(t, got, limit)
		require.Equal(t, limit, session.Wait(n, uint64(limit)), "all of it is used")
	})
}
