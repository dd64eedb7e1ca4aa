package figures

import (
	"math"
	"slices"

	"ampwright/calc/desk"
)

// A Summary is what a row of readings comes to.
type Summary struct {
	N            int
	Mean         float64
	SD           float64 // with n - 1; 0 for a single reading
	R1           float64 // lag-1 autocorrelation; NaN if all are equal
	Low, High    float64
	Median       float64
	SumOfSquares float64 // of the deviations from the mean
}

// Summarise returns the summary of the readings, which must not be empty. The
// deviations are taken from the mean and what is left of their own sum is
// taken off again (two passes, corrected), so that a small scatter on a large
// value is not lost, as it is by the sum of squares.
func Summarise(readings []float64) Summary {
	n := float64(len(readings))
	mean := sum(readings, func(v float64) float64 { return v }) / n
	rest := sum(readings, func(v float64) float64 { return v - mean }) / n
	dev := func(v float64) float64 { return (v - mean) - rest }
	s := Summary{N: len(readings), Mean: mean, R1: math.NaN(), Low: slices.Min(readings), High: slices.Max(readings)}
	s.SumOfSquares = sum(readings, func(v float64) float64 { return dev(v) * dev(v) })
	if len(readings) > 1 {
		s.SD = math.Sqrt(s.SumOfSquares / (n - 1))
	}
	if s.Low == s.High {
		s.Mean, s.SD, s.SumOfSquares = s.Low, 0, 0
	} else {
		i := 0
		s.R1 = sum(readings[1:], func(v float64) float64 { i++; return dev(readings[i-1]) * dev(v) }) / s.SumOfSquares
	}
	sorted := slices.Sorted(slices.Values(readings))
	half := len(sorted) / 2
	s.Median = sorted[half]
	if len(sorted)%2 == 0 {
		s.Median = sorted[half-1] + (sorted[half]-sorted[half-1])/2
	}
	return s
}

// sum adds f of the values, with the lost low digits kept aside (Neumaier).
func sum(values []float64, f func(float64) float64) float64 {
	total, lost := 0.0, 0.0
	for _, v := range values {
		x := f(v)
		t := total + x
		if math.Abs(total) >= math.Abs(x) {
			lost += (total - t) + x
		} else {
			lost += (x - t) + total
		}
		total = t
	}
	return total + lost
}

func summaryStatistics() *desk.Calc {
	return &desk.Calc{
		Name: "summary-statistics", Title: "Summary of readings: mean, scatter and drift from one to the next", Group: statistics,
		Inputs: []desk.Input{
			{Name: "readings", Title: "Readings in the order taken, all in one unit", Unit: "count", List: true, Min: -1e15, Max: 1e15},
		},
		Outputs: []desk.Output{
			desk.Out("n", "Number of readings", "count"),
			desk.Out("mean", "Mean", "count"),
			desk.Out("sd", "Standard deviation, n - 1", "count"),
			desk.Out("sd_mean", "Standard deviation of the mean", "count"),
			desk.Out("r1", "Autocorrelation from one reading to the next", "ratio"),
			desk.Out("median", "Median", "count"),
			desk.Out("lowest", "Lowest", "count"),
			desk.Out("highest", "Highest", "count"),
		},
		Formula: []string{
			"mean = sum(y) / n",
			"sd = sqrt(sum((y - mean)^2) / (n - 1))",
			"sd_mean = sd / sqrt(n)",
			"r1 = sum((y_i - mean) * (y_i+1 - mean)) / sum((y - mean)^2)",
		},
		Source: "NIST StRD univariate summary statistics: certified values (read); GUM (JCGM 100:2008) 4.2 for sd_mean (from memory)",
		Valid:  "sd_mean holds for readings that do not depend on the one before: with r1 far from 0 it does not",
		Do: func(s *desk.Sheet) {
			y := s.List("readings")
			if len(y) < 2 {
				s.Fail("readings", "want two numbers or more")
				return
			}
			r := Summarise(y)
			n := s.Out("n", float64(r.N), "count of readings")
			s.Out("mean", r.Mean, "sum of readings / n")
			s.Step("S", r.SumOfSquares, "count", "sum of (reading - mean)^2")
			sd := s.Out("sd", r.SD, "sqrt(S / (n - 1))")
			s.Out("sd_mean", sd/math.Sqrt(n), "sd / sqrt(n)")
			if math.IsNaN(r.R1) {
				s.Note("All readings are equal: there is no autocorrelation. Either nothing scatters or the instrument is too coarse to show it.")
			} else {
				s.Out("r1", r.R1, "sum of (reading - mean) * (next reading - mean) / S")
				if math.Abs(r.R1) > 2/math.Sqrt(n) && n >= 10 {
					s.Note("Readings next to each other are alike or opposed (r1 beyond 2 / sqrt(n)): sd_mean does not hold for them.")
				}
			}
			s.Out("median", r.Median, "middle of the sorted readings")
			s.Out("lowest", r.Low, "smallest of readings")
			s.Out("highest", r.High, "largest of readings")
		},
	}
}
