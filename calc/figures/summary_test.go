package figures

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// slow is the summary with 200 binary digits.
func slow(y []float64) (mean, sd, r1 float64) {
	b := func(v float64) *big.Float { return new(big.Float).SetPrec(200).SetFloat64(v) }
	n, total, squares, steps := b(float64(len(y))), b(0), b(0), b(0)
	for _, v := range y {
		total.Add(total, b(v))
	}
	m := b(0).Quo(total, n)
	var last *big.Float
	for _, v := range y {
		d := b(0).Sub(b(v), m)
		squares.Add(squares, b(0).Mul(d, d))
		if last != nil {
			steps.Add(steps, b(0).Mul(d, last))
		}
		last = d
	}
	mean, _ = m.Float64()
	sd, _ = b(0).Sqrt(b(0).Quo(squares, b(float64(len(y)-1)))).Float64()
	if squares.Sign() == 0 {
		return mean, sd, math.NaN()
	}
	r1, _ = b(0).Quo(steps, squares).Float64()
	return mean, sd, r1
}

// A value far larger than its scatter is where careless sums go wrong.
func TestSummariseAgainstHighPrecision(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.SampledFrom([]float64{0, 1, -300, 1e6, 1e7, 1e10, -1e13}).Draw(t, "base")
		spread := rapid.SampledFrom([]float64{1e-3, 0.1, 1, 1e5}).Draw(t, "spread")
		var y []float64
		for _, v := range rapid.SliceOfN(rapid.IntRange(-1e6, 1e6), 2, 60).Draw(t, "v") {
			y = append(y, base+spread*float64(v)/1e6)
		}
		got := Summarise(y)
		mean, sd, r1 := slow(y)
		size := math.Max(math.Abs(got.Low), math.Abs(got.High))
		require.InDelta(t, mean, got.Mean, 4e-16*size)
		near(t, sd, got.SD, 1e-13, "sd")
		if math.IsNaN(r1) {
			require.True(t, math.IsNaN(got.R1))
			return
		}
		require.InDelta(t, r1, got.R1, 1e-12)
		require.LessOrEqual(t, got.Low, got.Median)
		require.LessOrEqual(t, got.Median, got.High)
		require.LessOrEqual(t, math.Abs(got.R1), 1.0)
	})
}

func TestSummariseAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-100, 100), 2, 50).Draw(t, "y")
		mean, sd := stat.MeanStdDev(y, nil)
		got := Summarise(y)
		require.InDelta(t, mean, got.Mean, 1e-12)
		require.InDelta(t, sd, got.SD, 1e-11)
	})
}

func TestSummariseOddities(t *testing.T) {
	one := Summarise([]float64{7})
	require.Equal(t, 7.0, one.Mean)
	require.Zero(t, one.SD)
	equal := Summarise([]float64{0.1, 0.1, 0.1}) // their sum is not 0.3
	require.Equal(t, 0.1, equal.Mean)
	require.Zero(t, equal.SD)
	require.True(t, math.IsNaN(equal.R1))
	huge := Summarise([]float64{1e16, 1, -1e16}) // the 1 must not be lost
	near(t, 1.0/3, huge.Mean, 1e-15)
	require.Equal(t, 2.5, Summarise([]float64{4, 1, 3, 2}).Median)
	require.Equal(t, []float64{3, 1, 2}, func() []float64 { y := []float64{3, 1, 2}; Summarise(y); return y }(), "left as it was")
}

// NIST StRD univariate sets that can be written as a rule: mean and sd follow
// from the rule exactly. What the one-pass sum of squares makes of them is
// shown beside, so that the test is known to tell the two apart.
func TestNumAcc(t *testing.T) {
	for _, tt := range []struct {
		base  float64
		share float64 // the rounding of the data themselves
	}{{1, 1e-14}, {1e6, 1e-9}, {1e7, 1e-8}} {
		y := []float64{tt.base + 0.2}
		for range 500 {
			y = append(y, tt.base+0.1, tt.base+0.3)
		}
		got := Summarise(y)
		near(t, tt.base+0.2, got.Mean, 1e-15)
		near(t, 0.1, got.SD, tt.share)
		near(t, -0.999, got.R1, tt.share)
		s, s2 := 0.0, 0.0
		for _, v := range y {
			s, s2 = s+v, s2+v*v
		}
		onePass := (s2 - s*s/1001) / 1000
		require.Equal(t, tt.base > 1, math.Abs(onePass-0.01) > 1e-4, "%g", onePass)
	}
}

func TestLongList(t *testing.T) {
	r := run(t, "summary-statistics", "readings="+strings.Repeat("1 2 ", 500))
	for _, l := range r.Lines {
		require.Less(t, len(l.Numbers), 100, l.Name)
	}
}
