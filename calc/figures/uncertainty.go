package figures

import (
	"fmt"
	"math"
	"strings"

	"ampwright/calc/desk"
	"ampwright/calc/unit"
)

// Rectangular returns the standard uncertainty of a value that lies anywhere
// within ± a, a / sqrt(3) (GUM, JCGM 100:2008, 4.3.7).
func Rectangular(a float64) float64 { return a / math.Sqrt(3) }

// Combine returns the root sum of squares of standard uncertainties (GUM 5.1.2).
func Combine(u []float64) float64 {
	v := 0.0
	for _, x := range u {
		v = math.Hypot(v, x)
	}
	return v
}

// WelchSatterthwaite returns the effective degrees of freedom of the combined
// uncertainty, uc⁴ / Σ(ui⁴ / νi) (GUM G.4.1); dof may be infinite, and so may
// the answer. u and dof are of the same length.
func WelchSatterthwaite(u, dof []float64) float64 {
	uc, v := Combine(u), 0.0
	if uc == 0 {
		return math.Inf(1)
	}
	for i := range u {
		r := u[i] / uc
		v += r * r * r * r / dof[i]
	}
	return 1 / v
}

// CoverageFactor returns the k that holds a share p of the values on two
// sides: Student t, or the normal distribution where dof is beyond 1e6.
func CoverageFactor(p, dof float64) float64 {
	if dof > 1e6 {
		return NormalQuantile((1 + p) / 2)
	}
	return StudentQuantile((1+p)/2, dof)
}

// ToleranceFactor returns k such that mean ± k sd of n readings covers the
// share of all values with that confidence, Howe's method: z sqrt(ν (1 + 1/n) /
// χ²) with ν = n - 1, z at (1 + share)/2 and χ² at 1 - confidence.
func ToleranceFactor(n, share, confidence float64) float64 {
	v := n - 1
	return NormalQuantile((1+share)/2) * math.Sqrt(v*(1+1/n)/ChiSquaredQuantile(1-confidence, v))
}

// A Verdict is what a reading shows about a limit.
type Verdict string

// The three verdicts of [Guard].
const (
	Pass     Verdict = "pass"
	Fail     Verdict = "fail"
	NotShown Verdict = "not shown"
)

// Guard compares reading ± expanded with the limits low and high, which may be
// infinite: inside with all of it is a pass, outside with all of it a fail,
// the rest is not shown.
func Guard(reading, expanded, low, high float64) Verdict {
	const slack = 1e-12 // of the figures, for decimals that binary cannot hold
	atLeast := func(a, b float64) bool { return a >= b-slack*max(math.Abs(reading), expanded) }
	switch {
	case atLeast(reading-expanded, low) && atLeast(high, reading+expanded):
		return Pass
	case !atLeast(reading+expanded, low) || !atLeast(high, reading-expanded):
		return Fail
	}
	return NotShown
}

const nearLimit = "A reading near a limit is not a pass until the instrument's uncertainty clears it."

func instrumentUncertainty() *desk.Calc {
	return &desk.Calc{
		Name: "instrument-uncertainty", Title: "What an instrument's stated limit is worth at a reading", Group: statistics,
		Inputs: []desk.Input{
			desk.Num("reading", "Reading", "count", "0", -1e12, 1e12),
			desk.Num("percent", "Limit in per cent of the reading", "%", "0", 0, 1000),
			desk.Num("digits", "Limit in digits of the display", "count", "0", 0, 1e6),
			desk.Num("digit", "Worth of one digit", "count", "0", 0, 1e12),
			desk.Num("fixed", "Fixed limit, ±", "count", "0", 0, 1e12),
			desk.Num("k", "Coverage factor", "ratio", "2", 1, 10),
		},
		Outputs: []desk.Output{
			desk.Out("a", "Limit, ±", "count"),
			desk.Out("u", "Standard uncertainty", "count"),
			desk.Out("U", "Expanded uncertainty, ±", "count"),
		},
		Formula: []string{"a = percent * |reading| + digits * digit + fixed", "u = a / sqrt(3)", "U = k * u"},
		Source:  "GUM (JCGM 100:2008) 4.3.7, rectangular limit (from memory); torque wrenches of the ±4 % class: ISO 6789 (from memory)",
		Valid:   "the limit is all that is known: any value within it as likely as another; the instrument is in calibration",
		Do: func(s *desk.Sheet) {
			if s.Num("digits") > 0 && s.Num("digit") == 0 {
				s.Fail("digit", "want what one digit is worth, such as 0.01")
				return
			}
			a := s.Out("a", s.Num("percent")/100*math.Abs(s.Num("reading"))+s.Num("digits")*s.Num("digit")+s.Num("fixed"),
				"percent * |reading| + digits * digit + fixed")
			if a == 0 {
				s.Note("The limit is 0: give percent, digits with digit, or fixed.")
			}
			u := s.Out("u", Rectangular(a), "a / sqrt(3)")
			s.Out("U", s.Num("k")*u, "k * u")
		},
	}
}

func combinedUncertainty() *desk.Calc {
	return &desk.Calc{
		Name: "combined-uncertainty", Title: "Uncertainties combined, with their degrees of freedom", Group: statistics,
		Inputs: []desk.Input{
			{Name: "u", Title: "Standard uncertainties, in one unit", Unit: "count", List: true, Max: 1e12},
			{Name: "dof", Title: `Degrees of freedom of each, "inf" where it is a limit from a data sheet; may be left out`, Text: true, Default: "-"},
			desk.Num("p", "Share to be covered", "ratio", "0.95", 0.5, 0.9999),
		},
		Outputs: []desk.Output{
			desk.Out("uc", "Combined standard uncertainty", "count"),
			desk.Out("dof_eff", "Effective degrees of freedom", "ratio"),
			desk.Out("k", "Coverage factor", "ratio"),
			desk.Out("U", "Expanded uncertainty, ±", "count"),
		},
		Formula: []string{
			"uc = sqrt(sum of u_i^2)",
			"dof_eff = uc^4 / sum of u_i^4 / dof_i (Welch and Satterthwaite)",
			"k = t_quantile((1 + p) / 2, dof_eff), Student t on two sides; normal_quantile((1 + p) / 2) where dof_eff is infinite",
			"U = k * uc",
		},
		Source: "GUM (JCGM 100:2008) 5.1.2, G.4.1 and G.6.4 (from memory); dof_eff is not cut to a whole number",
		Valid:  "parts that do not depend on each other, each already in the unit of the result (multiplied by its sensitivity)",
		Do: func(s *desk.Sheet) {
			u := s.List("u")
			dof, err := readDOF(s.Text("dof"), len(u), s.Mark())
			if err != nil {
				s.Fail("dof", err.Error())
				return
			}
			var squares, quarts []string
			for i, v := range u {
				squares = append(squares, digits(s, v)+"^2")
				if !math.IsInf(dof[i], 1) {
					quarts = append(quarts, digits(s, v)+"^4 / "+digits(s, dof[i]))
				}
			}
			uc := s.Out("uc", Combine(u), "sqrt("+strings.Join(squares, " + ")+")")
			eff := WelchSatterthwaite(u, dof)
			if eff > 1e6 {
				s.Note("The effective degrees of freedom are taken as infinite: k is the normal one.")
				s.Out("k", CoverageFactor(s.Num("p"), math.Inf(1)), "normal_quantile((1 + p) / 2)")
			} else {
				s.Out("dof_eff", eff, "uc^4 / ("+strings.Join(quarts, " + ")+")")
				s.Out("k", CoverageFactor(s.Num("p"), eff), "t_quantile((1 + p) / 2, dof_eff)")
			}
			s.Out("U", CoverageFactor(s.Num("p"), eff)*uc, "k * uc")
		},
	}
}

// readDOF reads n degrees of freedom; all are infinite if none is given.
func readDOF(text string, n int, m unit.Mark) ([]float64, error) {
	words := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' || r == '\n' || r == '\t' })
	dof := make([]float64, n)
	if len(words) == 0 {
		for i := range dof {
			dof[i] = math.Inf(1)
		}
		return dof, nil
	}
	if len(words) != n {
		return nil, fmt.Errorf("%d values for %d uncertainties, want one for each", len(words), n)
	}
	for i, w := range words {
		if strings.EqualFold(w, "inf") || w == "∞" {
			dof[i] = math.Inf(1)
			continue
		}
		d, err := unit.ParseNumber(w, m)
		if err != nil {
			return nil, err
		}
		if dof[i] = d.Float(); dof[i] < 1 || dof[i] > 1e9 {
			return nil, fmt.Errorf("%q: want 1 to 1000000000, or inf", w)
		}
	}
	return dof, nil
}

func guardBand() *desk.Calc {
	const far = 1e12
	return &desk.Calc{
		Name: "guard-band", Title: "A reading against its limits, with the uncertainty of the instrument", Group: statistics,
		Inputs: []desk.Input{
			desk.Num("reading", "Reading", "count", "", -far, far),
			desk.Num("U", "Expanded uncertainty, ±", "count", "", 0, far),
			desk.Num("low", "Lower limit; may be left out", "count", "-", -far, far),
			desk.Num("high", "Upper limit; may be left out", "count", "-", -far, far),
		},
		Outputs: []desk.Output{
			desk.Out("from", "A reading passes from", "count"),
			desk.Out("to", "A reading passes up to", "count"),
			desk.Out("margin", "Least distance of the reading from a limit; below 0 outside", "count"),
			desk.Out("verdict", "Verdict", ""),
		},
		Formula: []string{
			"from = low + U", "to = high - U", "margin = min(reading - low, high - reading)",
			"pass if margin >= U; fail if margin < -U; not shown between",
		},
		Source:   "common practice, no published source: a guard band as wide as the expanded uncertainty; the rule of ISO 14253-1 and JCGM 106:2012 (from memory)",
		Cautions: []string{nearLimit},
		Do: func(s *desk.Sheet) {
			low, high := math.Inf(-1), math.Inf(1)
			r, u := s.Num("reading"), s.Num("U")
			if s.Has("low") {
				low = s.Num("low")
			}
			if s.Has("high") {
				high = s.Num("high")
			}
			if !s.Has("low") && !s.Has("high") {
				s.Fail("low", "want a lower limit, an upper limit or both")
				return
			}
			if low > high {
				s.Fail("high", "want at least low, "+s.Figure(low, "count"))
				return
			}
			formula := "min(reading - low, high - reading)"
			if s.Has("low") {
				s.Out("from", low+u, "low + U")
			} else {
				formula = "high - reading"
			}
			if s.Has("high") {
				s.Out("to", high-u, "high - U")
			} else {
				formula = "reading - low"
			}
			s.Out("margin", min(r-low, high-r), formula)
			s.Say("verdict", string(Guard(r, u, low, high)))
			if high-low < 2*u {
				s.Note("The limits are closer together than twice the uncertainty: no reading can pass. Take a better instrument.")
			}
		},
	}
}

func toleranceFactor() *desk.Calc {
	return &desk.Calc{
		Name: "tolerance-factor", Title: "Two-sided tolerance factor: mean ± k2 sd of a sample", Group: statistics,
		Inputs: []desk.Input{
			desk.Num("n", "Number of readings", "count", "", 2, 1e5),
			desk.Num("share", "Share of all values to be covered", "%", "90", 1, 99.9999),
			desk.Num("confidence", "Confidence", "%", "95", 1, 99.9999),
		},
		Outputs: []desk.Output{desk.Out("k2", "Tolerance factor", "ratio")},
		Formula: []string{
			"nu = n - 1", "z = normal_quantile((1 + share) / 2)",
			"chi2 = chi_squared_quantile(1 - confidence, nu)",
			"k2 = z * sqrt(nu * (1 + 1 / n) / chi2)",
		},
		Source: "NIST/SEMATECH e-Handbook 7.2.6.3, Howe's method (from memory; formula worked)",
		Valid:  "readings that scatter normally; an approximation, close from about ten readings up",
		Do: func(s *desk.Sheet) {
			n, share, confidence := s.Whole("n"), s.Num("share")/100, s.Num("confidence")/100
			nu := s.Step("nu", n-1, "count", "n - 1")
			s.Step("z", NormalQuantile((1+share)/2), "ratio", "normal_quantile((1 + share) / 2)")
			s.Step("chi2", ChiSquaredQuantile(1-confidence, nu), "ratio", "chi_squared_quantile(1 - confidence, nu)")
			s.Out("k2", ToleranceFactor(n, share, confidence), "z * sqrt(nu * (1 + 1 / n) / chi2)")
			if n < 10 {
				s.Note("Fewer than ten readings: Howe's method is an approximation and reads low here.")
			}
		},
	}
}
