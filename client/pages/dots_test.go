package pages

import (
	"math"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Whatever the distribution, each dot stands for the same chance, eight in ten
// are filled, and no dot covers another or leaves the picture.
func TestDotPlot(t *testing.T) {
	num := func(t require.TestingT, s string) float64 {
		f, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return f
	}
	rapid.Check(t, func(t *rapid.T) {
		middle, spread := rapid.Float64Range(0, 1e6).Draw(t, "middle"), rapid.Float64Range(0, 2).Draw(t, "spread")
		o := outlook{
			says:     "x",
			quantile: func(p float64) float64 { return middle * math.Exp(spread*math.Log(p/(1-p))) },
			lines: func(from, to float64) []line {
				return roundLines(from, to, func(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) })
			},
			marks: []line{{rapid.Float64Range(0, 2e6).Draw(t, "mark"), "ceiling"}},
		}
		for i, p := range o.dotPlots() {
			n := []int{50, 20}[i]
			require.Len(t, p.Dots, n)
			r := num(t, p.R)
			aside := 0
			for k, d := range p.Dots {
				x, y := num(t, d.X), num(t, d.Y)
				if d.Out {
					aside++
					require.True(t, k < n/10 || k >= n-n/10)
				}
				require.GreaterOrEqual(t, y-r, 0.0)
				require.LessOrEqual(t, y+r, num(t, p.Base))
				require.GreaterOrEqual(t, x-r, -0.1)
				require.LessOrEqual(t, x+r, float64(p.Width)+2*r+0.1) // the last stack may be pushed aside by one dot
				for _, e := range p.Dots[:k] {
					require.GreaterOrEqual(t, math.Hypot(x-num(t, e.X), y-num(t, e.Y)), 2*r-0.2) // each is rounded to a tenth
				}
			}
			require.Equal(t, n/5, aside)
			require.True(t, slices.IsSortedFunc(p.Dots, func(a, b dot) int { return int(math.Ceil(num(t, a.X) - num(t, b.X))) }))
			require.LessOrEqual(t, len(p.Ticks), 8)
		}
	})
}

func TestDayLines(t *testing.T) {
	day := func(s string) time.Time {
		d, err := time.Parse(time.DateOnly, s)
		require.NoError(t, err)
		return d
	}
	for _, tt := range []struct {
		from, to string
		most     int
		want     []string
	}{
		{"2026-11-01", "2026-11-05", 6, []string{"1 Nov", "2 Nov", "3 Nov", "4 Nov", "5 Nov"}},
		{"2026-10-15", "2027-03-02", 6, []string{"Nov", "Dec", "Jan 2027", "Feb", "Mar"}},
		{"2026-10-15", "2026-10-15", 6, []string{"15 Oct"}},
	} {
		var texts []string
		for _, l := range dayLines(day(tt.from), day(tt.to), tt.most) {
			texts = append(texts, l.text)
		}
		require.Equal(t, tt.want, texts)
	}
}
