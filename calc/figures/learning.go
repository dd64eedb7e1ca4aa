package figures

import (
	"math"

	"ampwright/calc/desk"
)

// LearningExponent returns b of a learning curve, ln(rate) / ln 2: each
// doubling of the number takes rate times as long. rate above 0, up to 1.
func LearningExponent(rate float64) float64 { return math.Log2(rate) }

// CrawfordUnit returns the time of unit n by the unit form, first n^b, n >= 1.
func CrawfordUnit(first, rate, n float64) float64 {
	return first * math.Pow(n, LearningExponent(rate))
}

// CrawfordTotal returns the time of the first n units by the unit form, their
// sum one by one.
func CrawfordTotal(first, rate float64, n int) float64 {
	sum := 0.0
	for i := n; i >= 1; i-- { // the small ones first
		sum += CrawfordUnit(first, rate, float64(i))
	}
	return sum
}

// WrightAverage returns the average time of the first n units by the
// cumulative-average form, first n^b, n >= 1.
func WrightAverage(first, rate, n float64) float64 { return CrawfordUnit(first, rate, n) }

// WrightUnit returns the time of unit n by the cumulative-average form, what
// the n-th adds to the total: first (n n^b - (n-1) (n-1)^b), n >= 1.
func WrightUnit(first, rate, n float64) float64 {
	if n <= 1 {
		return first
	}
	// n^c - (n-1)^c with c = 1 + b, without the cancelling of large n.
	c := 1 + LearningExponent(rate)
	return first * math.Pow(n, c) * -math.Expm1(c*math.Log1p(-1/n))
}

// CrawfordReach returns the number of the unit that takes target by the unit
// form, and WrightReach by the cumulative-average form; not a whole number.
// target above 0, up to first; rate below 1.
func CrawfordReach(first, rate, target float64) float64 {
	return math.Pow(target/first, 1/LearningExponent(rate))
}

// WrightReach: see [CrawfordReach]; infinite if it is beyond 1e300.
func WrightReach(first, rate, target float64) float64 {
	if target >= first {
		return 1
	}
	high := 2.0
	for WrightUnit(first, rate, high) > target && high < 1e300 {
		high *= 2
	}
	if high >= 1e300 {
		return math.Inf(1)
	}
	low := high / 2
	for range 200 {
		mid := (low + high) / 2
		if mid == low || mid == high {
			break
		}
		if WrightUnit(first, rate, mid) > target {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

func learningCurve() *desk.Calc {
	return &desk.Calc{
		Name: "learning-curve", Title: "Learning curve: the second build and the tenth bracket", Group: forecasting,
		Inputs: []desk.Input{
			desk.Num("T1", "Time of the first unit", "h", "1", 1e-6, 1e6),
			desk.Num("rate", "Share of the time left at each doubling", "%", "80", 50, 100),
			desk.Num("n", "Number of the unit", "count", "2", 1, 1e5),
			desk.Choice("form", "What falls to the rate at each doubling", "unit", "unit", "cumulative-average"),
			desk.Num("target", "Time of a unit to be reached; may be left out", "h", "-", 1e-9, 1e6),
		},
		Outputs: []desk.Output{
			desk.Out("Tn", "Time of unit n", "h"),
			desk.Out("total", "Time of the first n units", "h"),
			desk.Out("average", "Average of the first n units", "h"),
			desk.Out("n_reach", "Number at which a unit takes the target", "ratio"),
			desk.Out("n_whole", "First whole unit at or under the target", "count"),
		},
		Formula: []string{
			"b = ln(rate) / ln(2)",
			"unit form (Crawford): Tn = T1 * n^b; total = the sum of T1 * i^b for i = 1 to n; n_reach = (target / T1)^(1 / b)",
			"cumulative-average form (Wright): average = T1 * n^b; total = n * average; Tn = T1 * (n * n^b - (n - 1) * (n - 1)^b)",
		},
		Source: "the unit and the cumulative-average form: an operations-management textbook's table and example (read); general knowledge",
		Valid:  "the same person repeats the same work without long breaks; the two forms differ widely for the same rate",
		Do: func(s *desk.Sheet) {
			t1, rate, n := s.Num("T1"), s.Num("rate")/100, s.Whole("n")
			target := s.Num("target")
			if s.Has("target") && target > t1 {
				s.Fail("target", "want at most T1, "+s.Figure(t1, "h"))
				return
			}
			if s.Has("target") && target < t1 && rate == 1 {
				s.Fail("target", "cannot be reached at a rate of 100 %, want T1 or a lower rate")
				return
			}
			wright := s.Text("form") == "cumulative-average"
			s.Step("b", LearningExponent(rate), "ratio", "ln(rate) / ln(2)")
			reach, formula, unit := CrawfordReach, "(target / T1)^(1 / b)", CrawfordUnit
			if wright {
				average := s.Out("average", WrightAverage(t1, rate, n), "T1 * n^b")
				s.Out("total", n*average, "n * average")
				s.Out("Tn", WrightUnit(t1, rate, n), "T1 * (n * n^b - (n - 1) * (n - 1)^b)")
				reach, formula, unit = WrightReach, "T1 * (n_reach * n_reach^b - (n_reach - 1) * (n_reach - 1)^b) = target", WrightUnit
				s.Note("Cumulative-average form (Wright): the average of all units so far falls to the rate.")
			} else {
				s.Out("Tn", CrawfordUnit(t1, rate, n), "T1 * n^b")
				total := s.Out("total", CrawfordTotal(t1, rate, int(n)), "T1 * (1^b + ... + n^b)")
				s.Out("average", total/n, "total / n")
				s.Note("Unit form (Crawford): the time of a single unit falls to the rate.")
			}
			if s.Has("target") {
				nr := 1.0
				if target < t1 {
					nr = reach(t1, rate, target)
				}
				if nr > 1e15 {
					s.Fail("target", "takes more than 1e15 units, want a longer time or a lower rate")
					return
				}
				nr = s.Out("n_reach", nr, formula)
				whole := math.Ceil(nr * (1 - 1e-9))
				if unit(t1, rate, whole) > target*(1+1e-9) {
					whole++
				}
				s.Out("n_whole", whole, "n_reach, rounded up")
			}
			s.Draw(desk.Curve{
				Title:    "Time of a unit",
				Sentence: "The hours that a unit takes, against its number.",
				X:        desk.Axis{Title: "number", Unit: "count"}, Y: desk.Axis{Title: "time", Unit: "h"},
			}, 1, max(n, 10), 60, func(x float64) float64 { return unit(t1, rate, x) })
		},
	}
}
