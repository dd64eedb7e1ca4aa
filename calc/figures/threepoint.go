package figures

import (
	"math"

	"ampwright/calc/desk"
	"ampwright/calc/forecast"
)

const pertSource = `mean (a + 4 m + b) / 6: "A simple and logical alternative for making PERT time estimates", ` +
	"IIE Transactions, March 1996, eq. 1a; sd (b - a) / 6: the convention of PERT, worked textbook networks (read)"

// PertSD returns (high - low) / 6, what PERT takes for the standard deviation
// of a three-point estimate: a convention, not a property of the three points.
func PertSD(low, high float64) float64 { return (high - low) / 6 }

// PertBeta returns the shapes of the beta distribution that PERT has in mind,
// alpha + beta = 6 and the mode at likely; low < high, likely between them.
func PertBeta(low, likely, high float64) (alpha, beta float64) {
	w := high - low
	return 1 + 4*(likely-low)/w, 1 + 4*(high-likely)/w
}

// PertBetaSD returns the standard deviation of that distribution:
// sqrt((mean - low) (high - mean) / 7). Zero if the three points are one.
func PertBetaSD(low, likely, high float64) float64 {
	m := forecast.Mean(low, likely, high)
	return math.Sqrt(max(0, (m-low)*(high-m)/7))
}

// PertBetaQuantile returns the value that the PERT beta distribution stays
// under with chance p, 0 <= p <= 1.
func PertBetaQuantile(p, low, likely, high float64) float64 {
	if low == high {
		return low
	}
	a, b := PertBeta(low, likely, high)
	return low + (high-low)*BetaQuantile(p, a, b)
}

// threePoints are the three points as inputs.
func threePoints() []desk.Input {
	return []desk.Input{
		desk.Num("low", "When all goes well (a)", "h", "", 0, 1e6),
		desk.Num("likely", "Most likely (m)", "h", "", 0, 1e6),
		desk.Num("high", "When much goes wrong (b)", "h", "", 0, 1e6),
	}
}

// inOrder reads the three points; ok is false if they are out of order.
func inOrder(s *desk.Sheet) (low, likely, high float64, ok bool) {
	low, likely, high = s.Num("low"), s.Num("likely"), s.Num("high")
	if likely < low || likely > high {
		s.Fail("likely", "want low to high, "+s.Figure(low, "h")+" to "+s.Figure(high, "h"))
		return low, likely, high, false
	}
	return low, likely, high, true
}

func threePoint() *desk.Calc {
	return &desk.Calc{
		Name: "three-point", Title: "Three-point estimate: mean and spread", Group: forecasting,
		Inputs: threePoints(),
		Outputs: []desk.Output{
			desk.Out("mean", "Mean", "h"),
			desk.Out("sd", "Standard deviation, PERT", "h"),
			desk.Out("variance", "Variance, PERT", "h2"),
			desk.Out("beta_sd", "Standard deviation of the beta distribution", "h"),
			desk.Out("triangular_mean", "Mean, if the distribution is triangular", "h"),
			desk.Out("triangular_sd", "Standard deviation, if it is triangular", "h"),
		},
		Formula: []string{
			"mean = (low + 4 * likely + high) / 6",
			"sd = (high - low) / 6",
			"variance = sd^2",
			"beta_sd = sqrt((mean - low) * (high - mean) / 7)",
			"triangular_mean = (low + likely + high) / 3",
			"triangular_sd = sqrt((low^2 + likely^2 + high^2 - low*likely - low*high - likely*high) / 18)",
		},
		Source: pertSource + "; the beta and triangular distributions: their definitions (worked)",
		Valid:  "one task; the three points are a person's guesses, and low and high are rarely the ends of what can happen",
		Do: func(s *desk.Sheet) {
			low, likely, high, ok := inOrder(s)
			if !ok {
				return
			}
			s.Out("mean", forecast.Mean(low, likely, high), "(low + 4 * likely + high) / 6")
			sd := s.Out("sd", PertSD(low, high), "(high - low) / 6")
			s.Out("variance", sd*sd, "sd^2")
			s.Out("beta_sd", PertBetaSD(low, likely, high), "sqrt((mean - low) * (high - mean) / 7)")
			s.Out("triangular_mean", (low+likely+high)/3, "(low + likely + high) / 3")
			// The same variance written with differences, which do not cancel.
			a, b := likely-low, high-likely
			s.Out("triangular_sd", math.Sqrt((a*a+a*b+b*b)/18),
				"sqrt((low^2 + likely^2 + high^2 - low*likely - low*high - likely*high) / 18)")
			s.Note("(high - low) / 6 is a convention; the beta distribution that is usually meant has beta_sd.")
		},
	}
}

func threePointQuantile() *desk.Calc {
	return &desk.Calc{
		Name: "three-point-quantile", Title: "Three-point estimate: the value not exceeded with a given chance", Group: forecasting,
		Inputs: append(threePoints(), desk.Num("p", "Chance of staying under", "ratio", "0.9", 0, 1)),
		Outputs: []desk.Output{
			desk.Out("beta_value", "By the PERT beta distribution", "h"),
			desk.Out("triangular_value", "By the triangular distribution", "h"),
		},
		Formula: []string{
			"alpha = 1 + 4 * (likely - low) / (high - low)",
			"beta = 1 + 4 * (high - likely) / (high - low)",
			"x = beta_quantile(p, alpha, beta): I_x(alpha, beta) = p, the regularised incomplete beta function",
			"beta_value = low + (high - low) * x",
			"triangular_value = low + sqrt(p * (high - low) * (likely - low)) up to likely, " +
				"high - sqrt((1 - p) * (high - low) * (high - likely)) above",
		},
		Source: pertSource + "; I_x: NIST Digital Library of Mathematical Functions 8.17 (from memory)",
		Valid:  "one task; no value beyond high can come out, however much can go wrong",
		Do: func(s *desk.Sheet) {
			low, likely, high, ok := inOrder(s)
			if !ok {
				return
			}
			p := s.Num("p")
			if low == high {
				s.Out("beta_value", low, "low")
				s.Out("triangular_value", low, "low")
				s.Note("The three points are one: there is no spread.")
				return
			}
			a, b := PertBeta(low, likely, high)
			s.Step("alpha", a, "ratio", "1 + 4 * (likely - low) / (high - low)")
			s.Step("beta", b, "ratio", "1 + 4 * (high - likely) / (high - low)")
			x := s.Step("x", BetaQuantile(p, a, b), "ratio", "beta_quantile(p, alpha, beta)")
			s.Out("beta_value", low+(high-low)*x, "low + (high - low) * x")
			formula := "low + sqrt(p * (high - low) * (likely - low))"
			if p*(high-low) > likely-low {
				formula = "high - sqrt((1 - p) * (high - low) * (high - likely))"
			}
			s.Out("triangular_value", TriangularQuantile(p, low, likely, high), formula)
			s.Draw(desk.Curve{
				Title:    "Chance of staying under",
				Sentence: "The chance, by the PERT beta distribution, that the task takes no longer than the hours below.",
				X:        desk.Axis{Title: "hours", Unit: "h"}, Y: desk.Axis{Title: "chance", Unit: "ratio"},
			}, low, high, 60, func(v float64) float64 { return BetaProbability(min(1, (v-low)/(high-low)), a, b) })
		},
	}
}
