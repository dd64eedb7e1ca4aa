package figures

import (
	"math"

	"ampwright/calc/desk"
)

// chance is a probability that the quantile calculations take.
func chance(title, def string) desk.Input {
	return desk.Num("p", title, "ratio", def, 1e-12, 1-1e-12)
}

func normalQuantile() *desk.Calc {
	return &desk.Calc{
		Name: "normal-quantile", Title: "Normal quantile: the value not exceeded with a given chance", Group: statistics,
		Inputs: []desk.Input{
			chance("Chance of staying at or under", "0.95"),
			desk.Num("mean", "Mean", "count", "0", -1e12, 1e12),
			desk.Num("sd", "Standard deviation", "count", "1", 0, 1e12),
		},
		Outputs: []desk.Output{
			desk.Out("z", "Standard normal quantile", "ratio"),
			desk.Out("value", "Value", "count"),
		},
		Formula: []string{"z = normal_quantile(p): Phi(z) = p", "value = mean + z * sd"},
		Source:  "NIST/SEMATECH e-Handbook 1.3.6.7.1 and 1.3.6.7.2 (last line of the t table, read)",
		Valid:   "values that are normal; the tails of workshop data rarely are",
		Do: func(s *desk.Sheet) {
			z := s.Out("z", NormalQuantile(s.Num("p")), "normal_quantile(p)")
			s.Out("value", s.Num("mean")+z*s.Num("sd"), "mean + z * sd")
		},
	}
}

func normalProbability() *desk.Calc {
	return &desk.Calc{
		Name: "normal-probability", Title: "Normal distribution: the chance of staying at or under a value", Group: statistics,
		Inputs: []desk.Input{
			desk.Num("value", "Value", "count", "", -1e12, 1e12),
			desk.Num("mean", "Mean", "count", "0", -1e12, 1e12),
			desk.Num("sd", "Standard deviation", "count", "1", 1e-12, 1e12),
		},
		Outputs: []desk.Output{
			desk.Out("z", "Standard normal value", "ratio"),
			desk.Out("p", "Chance of staying at or under", "ratio"),
			desk.Out("p_above", "Chance of lying above", "ratio"),
		},
		Formula: []string{"z = (value - mean) / sd", "p = Phi(z) = erfc(-z / sqrt(2)) / 2", "p_above = Phi(-z)"},
		Source:  "the definition of the normal distribution (worked)",
		Valid:   "values that are normal; the tails of workshop data rarely are",
		Do: func(s *desk.Sheet) {
			z := s.Out("z", (s.Num("value")-s.Num("mean"))/s.Num("sd"), "(value - mean) / sd")
			s.Out("p", NormalProbability(z), "erfc(-z / sqrt(2)) / 2")
			s.Out("p_above", NormalProbability(-z), "erfc(z / sqrt(2)) / 2")
		},
	}
}

func studentQuantile() *desk.Calc {
	return &desk.Calc{
		Name: "t-quantile", Title: "Student t quantile and the factor of a confidence interval", Group: statistics,
		Inputs: []desk.Input{
			chance("Chance: under the quantile, or with two sides between its two signs", "0.95"),
			desk.Num("dof", "Degrees of freedom, whole or not", "count", "", 0.5, 1e6),
			desk.Choice("sides", "Sides", "one", "one", "two"),
		},
		Outputs: []desk.Output{desk.Out("t", "Quantile", "ratio")},
		Formula: []string{
			"one side: t = t_quantile(p, dof), the chance of a value at or under t is p",
			"two sides: the chance of a value from -t to t is p, so that q = (1 + p) / 2 lies at or under t = t_quantile(q, dof)",
			"the chance beyond both -t and t is I_x(dof / 2, 1 / 2) with x = dof / (dof + t^2)",
		},
		Source: "NIST/SEMATECH e-Handbook 1.3.6.7.2 and NIST TN 1297 table B.1 (read)",
		Valid:  "means of readings that scatter normally",
		Do: func(s *desk.Sheet) {
			p, formula := s.Num("p"), "t_quantile(p, dof)"
			if s.Text("sides") == "two" {
				p = s.Step("q", (1+p)/2, "ratio", "(1 + p) / 2")
				formula = "t_quantile(q, dof)"
			}
			s.Out("t", StudentQuantile(p, s.Num("dof")), formula)
		},
	}
}

func betaQuantile() *desk.Calc {
	return &desk.Calc{
		Name: "beta-quantile", Title: "Beta quantile: the share not exceeded with a given chance", Group: statistics,
		Inputs: []desk.Input{
			desk.Num("alpha", "First shape", "ratio", "", 0.1, 1e5),
			desk.Num("beta", "Second shape", "ratio", "", 0.1, 1e5),
			desk.Num("p", "Chance of staying under", "ratio", "0.5", 0, 1),
		},
		Outputs: []desk.Output{
			desk.Out("x", "Share", "ratio"),
			desk.Out("mean", "Mean share", "ratio"),
			desk.Out("sd", "Standard deviation of the share", "ratio"),
		},
		Formula: []string{
			"x = beta_quantile(p, alpha, beta): I_x(alpha, beta) = p, the regularised incomplete beta function",
			"mean = alpha / (alpha + beta)",
			"sd = sqrt(mean * (1 - mean) / (alpha + beta + 1))",
		},
		Source: "NIST Digital Library of Mathematical Functions 8.17 (from memory); closed forms for Beta(1, n) and Beta(2, 2) (worked)",
		Do: func(s *desk.Sheet) {
			a, b := s.Num("alpha"), s.Num("beta")
			s.Out("x", BetaQuantile(s.Num("p"), a, b), "beta_quantile(p, alpha, beta)")
			m := s.Out("mean", a/(a+b), "alpha / (alpha + beta)")
			s.Out("sd", math.Sqrt(m*(1-m)/(a+b+1)), "sqrt(mean * (1 - mean) / (alpha + beta + 1))")
			s.Draw(desk.Curve{
				Title:    "Chance of staying under",
				Sentence: "The chance that the share is no larger than the value below.",
				X:        desk.Axis{Title: "share", Unit: "ratio"}, Y: desk.Axis{Title: "chance", Unit: "ratio"},
			}, 0, 1, 60, func(x float64) float64 { return BetaProbability(x, a, b) })
		},
	}
}
