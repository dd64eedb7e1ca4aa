package figures_test

import (
	"fmt"
	"strings"

	"ampwright/calc/figures"
	"ampwright/calc/unit"
)

// work does a calculation and prints its working, its answers in words and its
// remarks.
func work(name string, typed map[string]string) {
	for _, c := range figures.Calcs() {
		if c.Name != name {
			continue
		}
		r, err := c.Run(typed, unit.Style{})
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, l := range r.Lines {
			fmt.Println(strings.TrimSpace(fmt.Sprintf("%s = %s = %.6g %s", l.Name, l.Numbers, l.Value, unit.Symbol(l.Unit))))
		}
		for _, v := range r.Out {
			if v.Text != "" {
				fmt.Printf("%s: %s\n", v.Name, v.Text)
			}
		}
		for _, n := range r.Notes {
			fmt.Println(n)
		}
	}
}

func Example_threePoint() {
	work("three-point", map[string]string{"low": "4", "likely": "8", "high": "13"})
	// Output:
	// mean = (4 h + 4 * 8 h + 13 h) / 6 = 8.16667 h
	// sd = (13 h - 4 h) / 6 = 1.5 h
	// variance = 1.5 h^2 = 2.25 h²
	// beta_sd = sqrt((8.16667 h - 4 h) * (13 h - 8.16667 h) / 7) = 1.69617 h
	// triangular_mean = (4 h + 8 h + 13 h) / 3 = 8.33333 h
	// triangular_sd = sqrt((4 h^2 + 8 h^2 + 13 h^2 - 4 h*8 h - 4 h*13 h - 8 h*13 h) / 18) = 1.84089 h
	// (high - low) / 6 is a convention; the beta distribution that is usually meant has beta_sd.
}

func Example_threePointQuantile() {
	work("three-point-quantile", map[string]string{"low": "4", "likely": "8", "high": "13", "p": "0.9"})
	// Output:
	// alpha = 1 + 4 * (8 h - 4 h) / (13 h - 4 h) = 2.77778
	// beta = 1 + 4 * (13 h - 8 h) / (13 h - 4 h) = 3.22222
	// x = beta_quantile(0.9, 2.77778, 3.22222) = 0.718779
	// beta_value = 4 h + (13 h - 4 h) * 0.718779 = 10.469 h
	// triangular_value = 13 h - sqrt((1 - 0.9) * (13 h - 4 h) * (13 h - 8 h)) = 10.8787 h
}

func Example_criticalPath() {
	work("critical-path", map[string]string{"tasks": "strip 4/6/10; wire 8/10/18 after strip; paint 5 after strip; ride 1 after wire, paint", "by": "20"})
	// Output:
	// d_strip = (4 + 4 * 6 + 10) / 6 = 6.33333 h
	// ES_strip = 0 = 0 h
	// EF_strip = 0 h + 6.33333 h = 6.33333 h
	// d_wire = (8 + 4 * 10 + 18) / 6 = 11 h
	// ES_wire = 6.33333 h = 6.33333 h
	// EF_wire = 6.33333 h + 11 h = 17.3333 h
	// d_paint = 5 = 5 h
	// ES_paint = 6.33333 h = 6.33333 h
	// EF_paint = 6.33333 h + 5 h = 11.3333 h
	// d_ride = 1 = 1 h
	// ES_ride = max(17.3333 h, 11.3333 h) = 17.3333 h
	// EF_ride = 17.3333 h + 1 h = 18.3333 h
	// finish = 18.3333 h = 18.3333 h
	// LF_ride = 18.3333 h = 18.3333 h
	// LS_ride = 18.3333 h - 1 h = 17.3333 h
	// float_ride = 17.3333 h - 17.3333 h = 0 h
	// LF_paint = 17.3333 h = 17.3333 h
	// LS_paint = 17.3333 h - 5 h = 12.3333 h
	// float_paint = 12.3333 h - 6.33333 h = 6 h
	// LF_wire = 17.3333 h = 17.3333 h
	// LS_wire = 17.3333 h - 11 h = 6.33333 h
	// float_wire = 6.33333 h - 6.33333 h = 0 h
	// LF_strip = min(6.33333 h, 12.3333 h) = 6.33333 h
	// LS_strip = 6.33333 h - 6.33333 h = 0 h
	// float_strip = 0 h - 0 h = 0 h
	// sd = sqrt(1 h² + 2.77778 h²) = 1.94365 h
	// p_path = Phi((20 h - 18.3333 h) / 1.94365 h) = 0.804414
	// p_all = 0.804414 * 1 = 0.804414
	// critical: strip → wire → ride
	// schedule: strip: ES 0  EF 6.33333  LS 0  LF 6.33333  float 0  critical
	// wire: ES 6.33333  EF 17.3333  LS 6.33333  LF 17.3333  float 0  critical
	// paint: ES 6.33333  EF 11.3333  LS 12.3333  LF 17.3333  float 6
	// ride: ES 17.3333  EF 18.3333  LS 17.3333  LF 18.3333  float 0  critical
	// paths: strip → wire → ride: 18.3333 h, sd 1.94365 h, chance 0.804414
	// strip → paint → ride: 12.3333 h, sd 1 h, chance 1
}

func Example_earnedValue() {
	work("earned-value", map[string]string{"BAC": "4000", "PV": "3000", "EV": "2500", "AC": "2800"})
	// Output:
	// CV = 2500 - 2800 = -300
	// SV = 2500 - 3000 = -500
	// CPI = 2500 / 2800 = 0.892857
	// EAC = 4000 / 0.892857 = 4480
	// ETC = 4480 - 2800 = 1680
	// VAC = 4000 - 4480 = -480
	// TCPI = (4000 - 2500) / (4000 - 2800) = 1.25
	// SPI = 2500 / 3000 = 0.833333
}

func Example_learningCurve() {
	work("learning-curve", map[string]string{"T1": "10 h", "rate": "80", "n": "3"})
	// Output:
	// b = ln(80 %) / ln(2) = -0.321928
	// Tn = 10 h * 3^-0.321928 = 7.02104 h
	// total = 10 h * (1^-0.321928 + ... + 3^-0.321928) = 25.021 h
	// average = 25.021 h / 3 = 8.34035 h
	// Unit form (Crawford): the time of a single unit falls to the rate.
}

func Example_normalQuantile() {
	work("normal-quantile", map[string]string{"p": "0.975"})
	// Output:
	// z = normal_quantile(0.975) = 1.95996
	// value = 0 + 1.95996 * 1 = 1.95996
}

func Example_normalProbability() {
	work("normal-probability", map[string]string{"value": "24", "mean": "21.5", "sd": "1.344"})
	// Output:
	// z = (24 - 21.5) / 1.344 = 1.86012
	// p = erfc(-1.86012 / sqrt(2)) / 2 = 0.968566
	// p_above = erfc(1.86012 / sqrt(2)) / 2 = 0.0314343
}

func Example_studentQuantile() {
	work("t-quantile", map[string]string{"p": "0.95", "dof": "6", "sides": "two"})
	// Output:
	// q = (1 + 0.95) / 2 = 0.975
	// t = t_quantile(0.975, 6) = 2.44691
}

func Example_betaQuantile() {
	work("beta-quantile", map[string]string{"alpha": "2", "beta": "4", "p": "0.9"})
	// Output:
	// x = beta_quantile(0.9, 2, 4) = 0.58389
	// mean = 2 / (2 + 4) = 0.333333
	// sd = sqrt(0.333333 * (1 - 0.333333) / (2 + 4 + 1)) = 0.178174
}

func Example_summaryStatistics() {
	work("summary-statistics", map[string]string{"readings": "3.61 3.63 3.62 3.60"})
	// Output:
	// n = count of (3.61 3.63 3.62 3.60) = 4
	// mean = sum of (3.61 3.63 3.62 3.60) / 4 = 3.615
	// S = sum of (reading - 3.615)^2 = 0.0005
	// sd = sqrt(0.0005 / (4 - 1)) = 0.0129099
	// sd_mean = 0.0129099 / sqrt(4) = 0.00645497
	// r1 = sum of (reading - 3.615) * (next reading - 3.615) / 0.0005 = -0.15
	// median = middle of the sorted (3.61 3.63 3.62 3.60) = 3.615
	// lowest = smallest of (3.61 3.63 3.62 3.60) = 3.6
	// highest = largest of (3.61 3.63 3.62 3.60) = 3.63
}

func Example_instrumentUncertainty() {
	work("instrument-uncertainty", map[string]string{"reading": "84.00", "percent": "0.5", "digits": "2", "digit": "0.01"})
	// Output:
	// a = 0.5 % * |84| + 2 * 0.01 + 0 = 0.44
	// u = 0.44 / sqrt(3) = 0.254034
	// U = 2 * 0.254034 = 0.508068
}

func Example_combinedUncertainty() {
	work("combined-uncertainty", map[string]string{"u": "0.3 0.4", "dof": "4 inf"})
	// Output:
	// uc = sqrt(0.3^2 + 0.4^2) = 0.5
	// dof_eff = 0.5^4 / (0.3^4 / 4) = 30.8642
	// k = t_quantile((1 + 0.95) / 2, 30.8642) = 2.03988
	// U = 2.03988 * 0.5 = 1.01994
}

func Example_guardBand() {
	work("guard-band", map[string]string{"reading": "54.2", "U": "2.3", "low": "45", "high": "55"})
	// Output:
	// from = 45 + 2.3 = 47.3
	// to = 55 - 2.3 = 52.7
	// margin = min(54.2 - 45, 55 - 54.2) = 0.8
	// verdict: not shown
}

func Example_toleranceFactor() {
	work("tolerance-factor", map[string]string{"n": "43", "share": "90", "confidence": "99"})
	// Output:
	// nu = 43 - 1 = 42
	// z = normal_quantile((1 + 90 %) / 2) = 1.64485
	// chi2 = chi_squared_quantile(1 - 99 %, 42) = 23.6501
	// k2 = 1.64485 * sqrt(42 * (1 + 1 / 43) / 23.6501) = 2.21732
}

func Example_convert() {
	work("convert", map[string]string{"value": "45", "from": "lbf·ft", "to": "Nm"})
	// Output:
	// result = 45 * 1.3558179483314 = 61.0118 N·m
}
