package figures_test

import (
	"ampwright/calc/desk/desktest"
	"ampwright/calc/figures"
)

func Example_threePoint() {
	desktest.Show(figures.Calcs(), "three-point", "low=4; likely=8; high=13")
	// Output:
	// mean = (low + 4 * likely + high) / 6 = (4 h + 4 * 8 h + 13 h) / 6 = 8.16667 h
	// sd = (high - low) / 6 = (13 h - 4 h) / 6 = 1.5 h
	// variance = sd^2 = (1.5 h)^2 = 2.25 h²
	// beta_sd = sqrt((mean - low) * (high - mean) / 7) = sqrt((8.16667 h - 4 h) * (13 h - 8.16667 h) / 7) = 1.69617 h
	// triangular_mean = (low + likely + high) / 3 = (4 h + 8 h + 13 h) / 3 = 8.33333 h
	// triangular_sd = sqrt((low^2 + likely^2 + high^2 - low*likely - low*high - likely*high) / 18) = sqrt(((4 h)^2 + (8 h)^2 + (13 h)^2 - 4 h*8 h - 4 h*13 h - 8 h*13 h) / 18) = 1.84089 h
	// note: (high - low) / 6 is a convention; the beta distribution that is usually meant has beta_sd.
}

func Example_threePointQuantile() {
	desktest.Show(figures.Calcs(), "three-point-quantile", "low=4; likely=8; high=13; p=0.9")
	// Output:
	// alpha = 1 + 4 * (likely - low) / (high - low) = 1 + 4 * (8 h - 4 h) / (13 h - 4 h) = 2.77778
	// beta = 1 + 4 * (high - likely) / (high - low) = 1 + 4 * (13 h - 8 h) / (13 h - 4 h) = 3.22222
	// x = beta_quantile(p, alpha, beta) = beta_quantile(0.9, 2.77778, 3.22222) = 0.718779
	// beta_value = low + (high - low) * x = 4 h + (13 h - 4 h) * 0.718779 = 10.469 h
	// triangular_value = high - sqrt((1 - p) * (high - low) * (high - likely)) = 13 h - sqrt((1 - 0.9) * (13 h - 4 h) * (13 h - 8 h)) = 10.8787 h
}

func Example_criticalPath() {
	desktest.Show(figures.Calcs(), "critical-path", "tasks=strip 4/6/10\nwire 8/10/18 after strip\npaint 5 after strip\nride 1 after wire, paint; by=20")
	// Output:
	// d_strip = (4 + 4 * 6 + 10) / 6 = 6.33333 h
	// ES_strip = 0 = 0 h
	// EF_strip = ES_strip + d_strip = 0 h + 6.33333 h = 6.33333 h
	// d_wire = (8 + 4 * 10 + 18) / 6 = 11 h
	// ES_wire = EF_strip = 6.33333 h = 6.33333 h
	// EF_wire = ES_wire + d_wire = 6.33333 h + 11 h = 17.3333 h
	// d_paint = 5 = 5 h
	// ES_paint = EF_strip = 6.33333 h = 6.33333 h
	// EF_paint = ES_paint + d_paint = 6.33333 h + 5 h = 11.3333 h
	// d_ride = 1 = 1 h
	// ES_ride = max(EF_wire, EF_paint) = max(17.3333 h, 11.3333 h) = 17.3333 h
	// EF_ride = ES_ride + d_ride = 17.3333 h + 1 h = 18.3333 h
	// finish = EF_ride = 18.3333 h = 18.3333 h
	// LF_ride = finish = 18.3333 h = 18.3333 h
	// LS_ride = LF_ride - d_ride = 18.3333 h - 1 h = 17.3333 h
	// float_ride = LS_ride - ES_ride = 17.3333 h - 17.3333 h = 0 h
	// LF_paint = LS_ride = 17.3333 h = 17.3333 h
	// LS_paint = LF_paint - d_paint = 17.3333 h - 5 h = 12.3333 h
	// float_paint = LS_paint - ES_paint = 12.3333 h - 6.33333 h = 6 h
	// LF_wire = LS_ride = 17.3333 h = 17.3333 h
	// LS_wire = LF_wire - d_wire = 17.3333 h - 11 h = 6.33333 h
	// float_wire = LS_wire - ES_wire = 6.33333 h - 6.33333 h = 0 h
	// LF_strip = min(LS_wire, LS_paint) = min(6.33333 h, 12.3333 h) = 6.33333 h
	// LS_strip = LF_strip - d_strip = 6.33333 h - 6.33333 h = 0 h
	// float_strip = LS_strip - ES_strip = 0 h - 0 h = 0 h
	// sd = sqrt(1 h² + 2.77778 h²) = 1.94365 h
	// p_path = Phi((by - finish) / sd) = Phi((20 h - 18.3333 h) / 1.94365 h) = 0.804414
	// p_all = product over the paths, 0.804414 * 1 = 0.804414
	// Critical path: strip → wire → ride
	// Early and late start and finish, float: strip: ES 0  EF 6.33333  LS 0  LF 6.33333  float 0  critical
	// wire: ES 6.33333  EF 17.3333  LS 6.33333  LF 17.3333  float 0  critical
	// paint: ES 6.33333  EF 11.3333  LS 12.3333  LF 17.3333  float 6
	// ride: ES 17.3333  EF 18.3333  LS 17.3333  LF 18.3333  float 0  critical
	// Paths, the longest first: strip → wire → ride: 18.3333 h, sd 1.94365 h, chance 0.804414
	// strip → paint → ride: 12.3333 h, sd 1 h, chance 1
}

func Example_earnedValue() {
	desktest.Show(figures.Calcs(), "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800")
	// Output:
	// CV = EV - AC = 2500 - 2800 = -300
	// SV = EV - PV = 2500 - 3000 = -500
	// CPI = EV / AC = 2500 / 2800 = 0.892857
	// EAC = BAC / CPI = 4000 / 0.892857 = 4480
	// ETC = EAC - AC = 4480 - 2800 = 1680
	// VAC = BAC - EAC = 4000 - 4480 = -480
	// TCPI = (BAC - EV) / (BAC - AC) = (4000 - 2500) / (4000 - 2800) = 1.25
	// SPI = EV / PV = 2500 / 3000 = 0.833333
}

func Example_learningCurve() {
	desktest.Show(figures.Calcs(), "learning-curve", "T1=10 h; rate=80; n=3")
	// Output:
	// b = ln(rate) / ln(2) = ln(80 %) / ln(2) = -0.321928
	// Tn = T1 * n^b = 10 h * 3^(-0.321928) = 7.02104 h
	// total = T1 * (1^b + ... + n^b) = 10 h * (1^(-0.321928) + ... + 3^(-0.321928)) = 25.021 h
	// average = total / n = 25.021 h / 3 = 8.34035 h
	// note: Unit form (Crawford): the time of a single unit falls to the rate.
}

func Example_normalQuantile() {
	desktest.Show(figures.Calcs(), "normal-quantile", "p=0.975")
	// Output:
	// z = normal_quantile(p) = normal_quantile(0.975) = 1.95996
	// value = mean + z * sd = 0 + 1.95996 * 1 = 1.95996
}

func Example_normalProbability() {
	desktest.Show(figures.Calcs(), "normal-probability", "value=24; mean=21.5; sd=1.344")
	// Output:
	// z = (value - mean) / sd = (24 - 21.5) / 1.344 = 1.86012
	// p = erfc(-z / sqrt(2)) / 2 = erfc(-1.86012 / sqrt(2)) / 2 = 0.968566
	// p_above = erfc(z / sqrt(2)) / 2 = erfc(1.86012 / sqrt(2)) / 2 = 0.0314343
}

func Example_studentQuantile() {
	desktest.Show(figures.Calcs(), "t-quantile", "p=0.95; dof=6; sides=two")
	// Output:
	// q = (1 + p) / 2 = (1 + 0.95) / 2 = 0.975
	// t = t_quantile(q, dof) = t_quantile(0.975, 6) = 2.44691
}

func Example_betaQuantile() {
	desktest.Show(figures.Calcs(), "beta-quantile", "alpha=2; beta=4; p=0.9")
	// Output:
	// x = beta_quantile(p, alpha, beta) = beta_quantile(0.9, 2, 4) = 0.58389
	// mean = alpha / (alpha + beta) = 2 / (2 + 4) = 0.333333
	// sd = sqrt(mean * (1 - mean) / (alpha + beta + 1)) = sqrt(0.333333 * (1 - 0.333333) / (2 + 4 + 1)) = 0.178174
}

func Example_summaryStatistics() {
	desktest.Show(figures.Calcs(), "summary-statistics", "readings=3.61 3.63 3.62 3.60")
	// Output:
	// n = count of readings = count of (3.61 3.63 3.62 3.60) = 4
	// mean = sum of readings / n = sum of (3.61 3.63 3.62 3.60) / 4 = 3.615
	// S = sum of (reading - mean)^2 = sum of (reading - 3.615)^2 = 0.0005
	// sd = sqrt(S / (n - 1)) = sqrt(0.0005 / (4 - 1)) = 0.0129099
	// sd_mean = sd / sqrt(n) = 0.0129099 / sqrt(4) = 0.00645497
	// r1 = sum of (reading - mean) * (next reading - mean) / S = sum of (reading - 3.615) * (next reading - 3.615) / 0.0005 = -0.15
	// median = middle of the sorted readings = middle of the sorted (3.61 3.63 3.62 3.60) = 3.615
	// lowest = smallest of readings = smallest of (3.61 3.63 3.62 3.60) = 3.6
	// highest = largest of readings = largest of (3.61 3.63 3.62 3.60) = 3.63
}

func Example_instrumentUncertainty() {
	desktest.Show(figures.Calcs(), "instrument-uncertainty", "reading=84.00; percent=0.5; digits=2; digit=0.01")
	// Output:
	// a = percent * |reading| + digits * digit + fixed = 0.5 % * |84| + 2 * 0.01 + 0 = 0.44
	// u = a / sqrt(3) = 0.44 / sqrt(3) = 0.254034
	// U = k * u = 2 * 0.254034 = 0.508068
}

func Example_combinedUncertainty() {
	desktest.Show(figures.Calcs(), "combined-uncertainty", "u=0.3 0.4; dof=4 inf")
	// Output:
	// uc = sqrt(0.3^2 + 0.4^2) = 0.5
	// dof_eff = uc^4 / (0.3^4 / 4) = 0.5^4 / (0.3^4 / 4) = 30.8642
	// k = t_quantile((1 + p) / 2, dof_eff) = t_quantile((1 + 0.95) / 2, 30.8642) = 2.03988
	// U = k * uc = 2.03988 * 0.5 = 1.01994
}

func Example_guardBand() {
	desktest.Show(figures.Calcs(), "guard-band", "reading=54.2; U=2.3; low=45; high=55")
	// Output:
	// from = low + U = 45 + 2.3 = 47.3
	// to = high - U = 55 - 2.3 = 52.7
	// margin = min(reading - low, high - reading) = min(54.2 - 45, 55 - 54.2) = 0.8
	// Verdict: not shown
}

func Example_toleranceFactor() {
	desktest.Show(figures.Calcs(), "tolerance-factor", "n=43; share=90; confidence=99")
	// Output:
	// nu = n - 1 = 43 - 1 = 42
	// z = normal_quantile((1 + share) / 2) = normal_quantile((1 + 90 %) / 2) = 1.64485
	// chi2 = chi_squared_quantile(1 - confidence, nu) = chi_squared_quantile(1 - 99 %, 42) = 23.6501
	// k2 = z * sqrt(nu * (1 + 1 / n) / chi2) = 1.64485 * sqrt(42 * (1 + 1 / 43) / 23.6501) = 2.21732
}

func Example_convert() {
	desktest.Show(figures.Calcs(), "convert", "value=45; from=lbf·ft; to=Nm")
	// Output:
	// result = value * 1.3558179483314 = 45 * 1.3558179483314 = 61.0118 N·m
}
