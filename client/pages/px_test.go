package pages

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Lengths are written as strconv writes them to a tenth, and never less near.
func TestPx(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e4, 1e4).Draw(t, "px")
		got, err := strconv.ParseFloat(px(v), 64)
		require.NoError(t, err)
		require.InDelta(t, v, got, 0.0500001)
		require.Contains(t, []string{strconv.FormatFloat(got, 'f', 1, 64), "0.0"}, px(v)) // never "-0.0"
	})
}
