package model

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// What is not rounded by way of its digits is what strconv would have made of it.
func TestTwelveDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.OneOf(
			rapid.Float64Range(-1e300, 1e300), // none that is rounded out of range
			rapid.Map(rapid.Int64Range(-1e13, 1e13), func(n int64) float64 { return float64(n) / 1e4 }),
			rapid.Map(rapid.Int64Range(-1e6, 1e6), func(n int64) float64 { return float64(n) / 100 * 4.2 }),
		).Draw(t, "v")
		want, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
		require.NoError(t, err)
		require.Equal(t, want, twelveDigits(v))
	})
}
