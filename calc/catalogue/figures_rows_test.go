package catalogue

import (
	"math"
	"strings"
)

// The readings of NIST StRD, univariate summary statistics.
const (
	michelso = "299.85 299.74 299.90 300.07 299.93 299.85 299.95 299.98 299.98 299.88 300.00 299.98 299.93 299.65 299.76 299.81 300.00 300.00 299.96 299.96 " +
		"299.96 299.94 299.96 299.94 299.88 299.80 299.85 299.88 299.90 299.84 299.83 299.79 299.81 299.88 299.88 299.83 299.80 299.79 299.76 299.80 " +
		"299.88 299.88 299.88 299.86 299.72 299.72 299.62 299.86 299.97 299.95 299.88 299.91 299.85 299.87 299.84 299.84 299.85 299.84 299.84 299.84 " +
		"299.89 299.81 299.81 299.82 299.80 299.77 299.76 299.74 299.75 299.76 299.91 299.92 299.89 299.86 299.88 299.72 299.84 299.85 299.85 299.78 " +
		"299.89 299.84 299.78 299.81 299.76 299.81 299.79 299.81 299.82 299.85 299.87 299.87 299.81 299.74 299.81 299.94 299.95 299.80 299.81 299.87"
	lew = "-213 -564 -35 -15 141 115 -420 -360 203 -338 -431 194 -220 -513 154 -125 -559 92 -21 -579 " +
		"-52 99 -543 -175 162 -457 -346 204 -300 -474 164 -107 -572 -8 83 -541 -224 180 -420 -374 " +
		"201 -236 -531 83 27 -564 -112 131 -507 -254 199 -311 -495 143 -46 -579 -90 136 -472 -338 " +
		"202 -287 -477 169 -124 -568 17 48 -568 -135 162 -430 -422 172 -74 -577 -13 92 -534 -243 " +
		"194 -355 -465 156 -81 -578 -64 139 -449 -384 193 -198 -538 110 -44 -577 -6 66 -552 -164 " +
		"161 -460 -344 205 -281 -504 134 -28 -576 -118 156 -437 -381 200 -220 -540 83 11 -568 -160 " +
		"172 -414 -408 188 -125 -572 -32 139 -492 -321 205 -262 -504 142 -83 -574 0 48 -571 -106 " +
		"137 -501 -266 190 -391 -406 194 -186 -553 83 -13 -577 -49 103 -515 -280 201 300 -506 131 " +
		"-45 -578 -80 138 -462 -361 201 -211 -554 32 74 -533 -235 187 -372 -442 182 -147 -566 25 " +
		"68 -535 -244 194 -351 -463 174 -125 -570 15 72 -550 -190 172 -424 -385 198 -218 -536 96"
)

// numAcc builds the readings of the StRD sets NumAcc2 to 4: first, then low and
// high 500 times.
func numAcc(first, low, high string) string {
	return first + strings.Repeat(" "+low+" "+high, 500)
}

// The networks of section 10b; in a row's text the semicolon is taken.
const (
	arcNetwork  = "form=arcs; tasks=1-2 7\n1-3 10\n2-4 6\n3-4 5\n3-5 4\n4-5 3\n5-6 2"
	pertNetwork = "tasks=A 5/6/7\nB 8/8/11\nC 6/8/11 after A\nD 9/12/15\nE 5/6/9 after C\n" +
		"F 5/6/7 after D\nG 2/3/7 after F\nH 4/4/5 after B\nI 5/7/8 after H"
)

func figuresRows() []row {
	all := []row{}
	add := func(id, calc, in, out string, want, tol float64, source string) {
		all = append(all, row{id: id, calc: calc, in: in, out: out, want: want, tol: tol, source: source})
	}
	words := func(id, calc, in, out, text, source string) {
		all = append(all, row{id: id, calc: calc, in: in, out: out, text: text, source: source})
	}
	relative := func(id, calc, in, out string, want, share float64, source string) {
		add(id, calc, in, out, want, share*math.Abs(want), source)
	}
	threePointRows(add)
	criticalPathRows(add, words)
	earnedValueRows(relative)
	learningRows(add)
	quantileRows(add)
	betaRows(add, relative)
	summaryRows(add, relative)
	uncertaintyRows(add, relative)
	conversionRows(add)
	return all
}

type (
	adder func(id, calc, in, out string, want, tol float64, source string)
	sayer func(id, calc, in, out, text, source string)
)

func threePointRows(add adder) {
	add("10a1", "three-point", "low=4; likely=8; high=13", "mean", 8.17, 0.005, "CPM3: textbook exercise with solution (R)")
	add("10a1", "three-point", "low=4; likely=8; high=13", "sd", 1.5, 0.005, "CPM3: textbook exercise with solution (R)")
	add("10a1", "three-point", "low=4; likely=8; high=13", "beta_sd", 1.696, 0.005, "beta distribution (D)")
	add("10a1", "three-point", "low=4; likely=8; high=13", "triangular_mean", 8.333, 0.005, "triangular distribution (D)")
	add("10a2", "three-point", "low=1; likely=10; high=17", "mean", 9.67, 0.005, "CPM3: textbook exercise with solution (R)")
	add("10a2", "three-point", "low=1; likely=10; high=17", "sd", 2.67, 0.005, "CPM3: textbook exercise with solution (R)")
	add("10a3", "three-point", "low=2; likely=6; high=9", "mean", 5.83, 0.005, "CPM3: textbook exercise with solution (R)")
	add("10a3", "three-point", "low=2; likely=6; high=9", "sd", 1.17, 0.005, "CPM3: textbook exercise with solution (R)")
	add("10a4", "three-point", "low=5; likely=6; high=7", "mean", 6, 0.005, "CPM2: textbook exercise (R)")
	add("10a4", "three-point", "low=5; likely=6; high=7", "variance", 0.111, 0.005, "CPM2: textbook exercise (R)")
	add("10a5", "three-point", "low=8; likely=8; high=11", "mean", 8.5, 0.005, "CPM2: textbook exercise (R)")
	add("10a5", "three-point", "low=8; likely=8; high=11", "variance", 0.25, 0.005, "CPM2: textbook exercise (R)")
	add("10a6", "three-point", "low=6; likely=8; high=11", "mean", 8.17, 0.005, "CPM2: textbook exercise (R)")
	add("10a6", "three-point", "low=6; likely=8; high=11", "variance", 0.694, 0.005, "CPM2: textbook exercise (R)")
	add("10a7", "three-point", "low=9; likely=12; high=15", "mean", 12, 0.005, "CPM2: textbook exercise (R)")
	add("10a7", "three-point", "low=9; likely=12; high=15", "variance", 1, 0.005, "CPM2: textbook exercise (R)")
	add("10a8", "three-point", "low=2; likely=6; high=6", "mean", 5.33, 0.005, "CPM3: textbook exercise with solution (R)")
	add("10a8", "three-point", "low=2; likely=6; high=6", "sd", 0.67, 0.005, "CPM3: textbook exercise with solution (R)")
}

func criticalPathRows(add adder, words sayer) {
	const cpm1, cpm2 = "CPM1: textbook solutions, chapter 8 (R)", "CPM2: textbook exercise (R)"
	add("10b1", "critical-path", arcNetwork, "finish", 20, 0, cpm1)
	words("10b1", "critical-path", arcNetwork, "critical", "1-3-4-5-6", cpm1)
	words("10b1", "critical-path", arcNetwork, "schedule", strings.Join([]string{
		"1-2: ES 0  EF 7  LS 2  LF 9  float 2",
		"1-3: ES 0  EF 10  LS 0  LF 10  float 0  critical",
		"2-4: ES 7  EF 13  LS 9  LF 15  float 2",
		"3-4: ES 10  EF 15  LS 10  LF 15  float 0  critical",
		"3-5: ES 10  EF 14  LS 14  LF 18  float 4",
		"4-5: ES 15  EF 18  LS 15  LF 18  float 0  critical",
		"5-6: ES 18  EF 20  LS 18  LF 20  float 0  critical",
	}, "\n"), cpm1)
	for _, t := range []struct {
		name string
		want [5]float64 // ES, EF, LS, LF, float
	}{
		{"1-2", [5]float64{0, 7, 2, 9, 2}},
		{"1-3", [5]float64{0, 10, 0, 10, 0}},
		{"2-4", [5]float64{7, 13, 9, 15, 2}},
		{"3-4", [5]float64{10, 15, 10, 15, 0}},
		{"3-5", [5]float64{10, 14, 14, 18, 4}},
		{"4-5", [5]float64{15, 18, 15, 18, 0}},
		{"5-6", [5]float64{18, 20, 18, 20, 0}},
	} {
		for i, out := range []string{"ES", "EF", "LS", "LF", "float"} {
			add("10b1", "critical-path", arcNetwork+"; task="+t.name, out, t.want[i], 0, cpm1)
		}
	}
	add("10b2", "critical-path", pertNetwork, "finish", 21.5, 0.005, cpm2)
	add("10b2", "critical-path", pertNetwork, "sd", 1.344, 0.005, cpm2)
	words("10b2", "critical-path", pertNetwork, "critical", "D → F → G", cpm2)
	words("10b2", "critical-path", pertNetwork, "paths",
		"D → F → G: 21.5 h, sd 1.34371 h\nA → C → E: 20.5 h, sd 1.11803 h\nB → H → I: 19.5 h, sd 0.726483 h", cpm2)
	for task, float := range map[string]float64{"A": 1, "C": 1, "E": 1, "B": 2, "H": 2, "I": 2, "D": 0, "F": 0, "G": 0} {
		add("10b2", "critical-path", pertNetwork+"; task="+task, "float", float, 0.005, "worked (D)")
	}
	add("10b3", "critical-path", pertNetwork+"; by=24", "p_path", 0.9686, 0.001, cpm2)
	add("10b3", "critical-path", pertNetwork+"; by=24", "p_all", 0.968, 0.001, "product over the paths (D)")
	// The other two paths, each as a network of its own.
	const ace, bhi = "tasks=A 5/6/7\nC 6/8/11 after A\nE 5/6/9 after C", "tasks=B 8/8/11\nH 4/4/5 after B\nI 5/7/8 after H"
	add("10b2", "critical-path", ace, "finish", 20.5, 0.005, cpm2)
	add("10b2", "critical-path", ace, "sd", 1.118, 0.005, cpm2)
	add("10b2", "critical-path", bhi, "finish", 19.5, 0.005, cpm2)
	add("10b2", "critical-path", bhi, "sd", 0.726, 0.005, cpm2)
	add("10b3", "critical-path", ace+"; by=24", "p_path", 0.9991, 0.001, cpm2)
	add("10b3", "critical-path", bhi+"; by=24", "p_path", 1, 0.001, cpm2)
}

func earnedValueRows(relative adder) {
	relative("10c1", "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800", "CV", -300, 0.0005, "EVM1: worked exercise (R)")
	relative("10c1", "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800", "SV", -500, 0.0005, "EVM1: worked exercise (R)")
	relative("10c1", "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800", "CPI", 0.893, 0.0005, "EVM1: worked exercise (R)")
	relative("10c1", "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800", "SPI", 0.833, 0.0005, "EVM1: worked exercise (R)")
	// Disputed: in print 4 479, with CPI rounded to 0.893 first. Nothing is rounded in the middle here.
	relative("10c1", "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800", "EAC", 4480, 0.0005, "EVM1: worked exercise (R)")
	relative("10c1", "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800", "ETC", 1680, 0.0005, "EVM1: worked exercise (R)")
	relative("10c1", "earned-value", "BAC=4000; PV=3000; EV=2500; AC=2800", "VAC", -480, 0.0005, "EVM1: worked exercise (R)")
	relative("10c2", "earned-value", "BAC=200000; PV=120000; EV=100000; AC=90000; planned_time=6", "CV", 10000, 0.0005, "EVM2: textbook exercise, inputs (R), worked (D)")
	relative("10c2", "earned-value", "BAC=200000; PV=120000; EV=100000; AC=90000; planned_time=6", "SV", -20000, 0.0005, "EVM2: textbook exercise, inputs (R), worked (D)")
	relative("10c2", "earned-value", "BAC=200000; PV=120000; EV=100000; AC=90000; planned_time=6", "CPI", 1.111, 0.0005, "EVM2: textbook exercise, inputs (R), worked (D)")
	relative("10c2", "earned-value", "BAC=200000; PV=120000; EV=100000; AC=90000; planned_time=6", "SPI", 0.833, 0.0005, "EVM2: textbook exercise, inputs (R), worked (D)")
	relative("10c2", "earned-value", "BAC=200000; PV=120000; EV=100000; AC=90000; planned_time=6", "EAC", 180000, 0.0005, "EVM2: textbook exercise, inputs (R), worked (D)")
	relative("10c2", "earned-value", "BAC=200000; PV=120000; EV=100000; AC=90000; planned_time=6", "time", 7.2, 0.0005, "EVM2: textbook exercise, inputs (R), worked (D)")
	relative("10c3", "earned-value", "BAC=5000000; EV=1500000; AC=1800000", "CPI", 0.8333, 0.0005, "EVM3: inputs (R), worked (D)")
	relative("10c3", "earned-value", "BAC=5000000; EV=1500000; AC=1800000", "EAC", 6000000, 0.0005, "EVM3: inputs (R), worked (D)")
}

func learningRows(add adder) {
	add("10d1", "learning-curve", "rate=80; n=2", "Tn", 0.8, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d1", "learning-curve", "rate=80; n=3", "Tn", 0.702, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d1", "learning-curve", "rate=80; n=3", "total", 2.502, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d2", "learning-curve", "rate=90; n=3", "Tn", 0.846, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d2", "learning-curve", "rate=90; n=3", "total", 2.746, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d3", "learning-curve", "rate=70; n=3", "Tn", 0.568, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d3", "learning-curve", "rate=70; n=3", "total", 2.268, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d4", "learning-curve", "rate=90; n=20", "Tn", 0.634, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d4", "learning-curve", "rate=90; n=29", "Tn", 0.599, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d5", "learning-curve", "T1=10 min; rate=90; target=6 min", "n_reach", 28.81, 0.01, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d5", "learning-curve", "T1=10 min; rate=90; target=6 min", "n_whole", 29, 0, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d6", "learning-curve", "rate=80; n=4", "Tn", 0.64, 0.0001, "LC: general knowledge (M), worked (D)")
	add("10d6", "learning-curve", "rate=80; n=5", "Tn", 0.5956, 0.0001, "LC: general knowledge (M), worked (D)")
	add("10d6", "learning-curve", "rate=80; n=10", "Tn", 0.4765, 0.0001, "LC: general knowledge (M), worked (D)")
	add("10d7", "learning-curve", "rate=80; n=3; form=cumulative-average", "Tn", 0.5063, 0.0001, "worked from the formula (D)")
	add("10d7", "learning-curve", "rate=80; n=3; form=cumulative-average", "average", 0.7021, 0.0001, "worked from the formula (D)")
	add("10d8", "learning-curve", "rate=85; n=3", "Tn", 0.773, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d8", "learning-curve", "rate=85; n=3", "total", 2.623, 0.0005, "LC1: operations-management textbook, table 7S.1 and example 7S.4 (R)")
	add("10d9", "learning-curve", "rate=80; n=5", "total", 3.7377, 0.0001, "worked from the formula (D)")
	add("10d9", "learning-curve", "rate=80; n=10", "total", 6.3154, 0.0001, "worked from the formula (D)")
}

func quantileRows(add adder) {
	add("10e1", "normal-quantile", "p=0.90", "z", 1.282, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e1", "normal-quantile", "p=0.95", "z", 1.645, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e1", "normal-quantile", "p=0.975", "z", 1.96, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e1", "normal-quantile", "p=0.99", "z", 2.326, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e2", "normal-probability", "value=1", "p", 0.841345, 1e-06, "worked (D)")
	add("10e2", "normal-probability", "value=1.5", "p", 0.933193, 1e-06, "worked (D)")
	add("10e3", "normal-probability", "value=0.5", "p", 0.691462, 1e-06, "worked (D)")
	add("10e3", "normal-probability", "value=2.5", "p", 0.99379, 1e-06, "worked (D)")
	add("10e4", "t-quantile", "p=0.95; dof=1", "t", 6.314, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e4", "t-quantile", "p=0.95; dof=5", "t", 2.015, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e4", "t-quantile", "p=0.95; dof=10", "t", 1.812, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e4", "t-quantile", "p=0.95; dof=30", "t", 1.697, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e5", "t-quantile", "p=0.975; dof=1", "t", 12.706, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e5", "t-quantile", "p=0.975; dof=2", "t", 4.303, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e5", "t-quantile", "p=0.975; dof=4", "t", 2.776, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e5", "t-quantile", "p=0.975; dof=9", "t", 2.262, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e6", "t-quantile", "p=0.90; dof=3", "t", 1.638, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e6", "t-quantile", "p=0.90; dof=7", "t", 1.415, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e8", "t-quantile", "p=0.99; dof=6", "t", 3.143, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e8", "t-quantile", "p=0.99; dof=12", "t", 2.681, 0.0005, "NISTT: NIST/SEMATECH e-Handbook 1.3.6.7.2 (R)")
	add("10e7", "t-quantile", "p=0.95; dof=6; sides=two", "t", 2.45, 0.005, "TN1297: NIST TN 1297 table B.1 (R)")
	add("10e7", "t-quantile", "p=0.95; dof=12; sides=two", "t", 2.18, 0.005, "TN1297: NIST TN 1297 table B.1 (R)")
	add("10e7", "t-quantile", "p=0.95; dof=20; sides=two", "t", 2.09, 0.005, "TN1297: NIST TN 1297 table B.1 (R)")
}

func betaRows(add, relative adder) {
	relative("10f1", "beta-quantile", "alpha=2; beta=2; p=0.1", "x", 0.1958001057, 1e-07, "worked with 25 digits (D)")
	relative("10f1", "beta-quantile", "alpha=2; beta=2; p=0.5", "x", 0.5, 1e-07, "worked with 25 digits (D)")
	relative("10f1", "beta-quantile", "alpha=2; beta=2; p=0.9", "x", 0.8041998943, 1e-07, "worked with 25 digits (D)")
	relative("10f2", "beta-quantile", "alpha=3; beta=3; p=0.1", "x", 0.2466364533, 1e-07, "worked with 25 digits (D)")
	relative("10f2", "beta-quantile", "alpha=3; beta=3; p=0.9", "x", 0.7533635467, 1e-07, "worked with 25 digits (D)")
	relative("10f3", "beta-quantile", "alpha=2; beta=4; p=0.1", "x", 0.1122349585, 1e-07, "worked with 25 digits (D)")
	relative("10f3", "beta-quantile", "alpha=2; beta=4; p=0.5", "x", 0.3138101705, 1e-07, "worked with 25 digits (D)")
	relative("10f3", "beta-quantile", "alpha=2; beta=4; p=0.9", "x", 0.5838903746, 1e-07, "worked with 25 digits (D)")
	relative("10f4", "beta-quantile", "alpha=1; beta=5; p=0.05", "x", 0.01020621831, 1e-07, "worked with 25 digits (D)")
	relative("10f4", "beta-quantile", "alpha=1; beta=5; p=0.5", "x", 0.1294494367, 1e-07, "worked with 25 digits (D)")
	relative("10f6", "beta-quantile", "alpha=2; beta=3; p=0.1", "x", 0.1425593167, 1e-07, "worked with 25 digits (D)")
	relative("10f6", "beta-quantile", "alpha=2; beta=3; p=0.5", "x", 0.3857275681, 1e-07, "worked with 25 digits (D)")
	relative("10f6", "beta-quantile", "alpha=2; beta=3; p=0.9", "x", 0.6795394163, 1e-07, "worked with 25 digits (D)")
	relative("10f7", "beta-quantile", "alpha=1.5; beta=4.5; p=0.05", "x", 0.03644726805, 1e-07, "worked with 25 digits (D)")
	relative("10f7", "beta-quantile", "alpha=1.5; beta=4.5; p=0.95", "x", 0.5628446105, 1e-07, "worked with 25 digits (D)")
	relative("10f5", "three-point-quantile", "low=4; likely=8; high=13; p=0.1", "beta_value", 5.9235684, 1e-07, "worked with 25 digits (D)")
	relative("10f5", "three-point-quantile", "low=4; likely=8; high=13; p=0.5", "beta_value", 8.1273232, 1e-07, "worked with 25 digits (D)")
	relative("10f5", "three-point-quantile", "low=4; likely=8; high=13; p=0.9", "beta_value", 10.469008, 1e-07, "worked with 25 digits (D)")
	relative("10f8", "three-point-quantile", "low=3; likely=5; high=10; p=0.1", "beta_value", 3.9043535, 1e-07, "worked with 25 digits (D)")
	relative("10f8", "three-point-quantile", "low=3; likely=5; high=10; p=0.5", "beta_value", 5.3825886, 1e-07, "worked with 25 digits (D)")
	relative("10f8", "three-point-quantile", "low=3; likely=5; high=10; p=0.9", "beta_value", 7.2727027, 1e-07, "worked with 25 digits (D)")
	add("10f9", "three-point-quantile", "low=4; likely=8; high=13; p=0.1", "triangular_value", 5.89737, 1e-05, "closed form (D)")
	add("10f9", "three-point-quantile", "low=4; likely=8; high=13; p=0.5", "triangular_value", 8.25658, 1e-05, "closed form (D)")
	add("10f9", "three-point-quantile", "low=4; likely=8; high=13; p=0.9", "triangular_value", 10.87868, 1e-05, "closed form (D)")
}

func summaryRows(add, relative adder) {
	const strd = "STRD: NIST StRD univariate summary statistics, certified (R)"
	for _, r := range []struct {
		id, readings string
		n            float64
		mean, sd, r1 float64
		share        float64 // 0: exact
	}{
		{"10g1", "10000001 10000003 10000002", 3, 10000002, 1, -0.5, 0},
		{"10g2", numAcc("1000000.2", "1000000.1", "1000000.3"), 1001, 1000000.2, 0.1, -0.999, 1e-9},
		{"10g3", michelso, 100, 299.8524, 0.0790105478190518, 0.535199668621283, 1e-12},
		{"10g4", lew, 200, -177.435, 277.332168044316, -0.307304800605679, 1e-12},
		{"10g5", numAcc("1.2", "1.1", "1.3"), 1001, 1.2, 0.1, -0.999, 1e-12},
		{"10g6", numAcc("10000000.2", "10000000.1", "10000000.3"), 1001, 10000000.2, 0.1, -0.999, 1e-8},
	} {
		in := "readings=" + r.readings
		add(r.id, "summary-statistics", in, "n", r.n, 0, strd)
		relative(r.id, "summary-statistics", in, "mean", r.mean, min(r.share, 1e-15), strd)
		relative(r.id, "summary-statistics", in, "sd", r.sd, r.share, strd)
		relative(r.id, "summary-statistics", in, "r1", r.r1, r.share, strd)
	}
}

func uncertaintyRows(add, relative adder) {
	relative("10h1", "instrument-uncertainty", "fixed=2", "u", 1.1547, 0.0005, "worked from the GUM formulas (D)")
	relative("10h1", "instrument-uncertainty", "fixed=2; k=2", "U", 2.309, 0.0005, "worked from the GUM formulas (D)")
	// The same from the class of a torque wrench: ±4 % at 50 N·m, ISO 6789 (M).
	relative("10h1", "instrument-uncertainty", "reading=50; percent=4", "a", 2, 1e-12, "ISO 6789 class (M)")
	relative("10h2", "combined-uncertainty", "u=0.3 0.4; dof=4 inf", "uc", 0.5, 0.0005, "worked from the GUM formulas (D)")
	relative("10h2", "combined-uncertainty", "u=0.3 0.4; dof=4 inf", "dof_eff", 30.86, 0.0005, "worked from the GUM formulas (D)")
	relative("10h3", "instrument-uncertainty", "reading=84.00; percent=0.5; digits=2; digit=0.01", "a", 0.44, 0.002, "worked from the GUM formulas (D)")
	relative("10h3", "instrument-uncertainty", "reading=84.00; percent=0.5; digits=2; digit=0.01", "u", 0.254, 0.002, "worked from the GUM formulas (D)")
	add("10h4", "tolerance-factor", "n=43; share=90; confidence=99", "k2", 2.217, 0.001, "NISTTOL: e-Handbook 7.2.6.3 (M), formula (D)")
	add("10h5", "combined-uncertainty", "u=32; dof=16; p=0.99", "k", 2.92, 0.005, "GUM H.1 (M); t (R)")
	add("10h5", "combined-uncertainty", "u=32; dof=16; p=0.99", "U", 93, 1, "GUM H.1 (M); t (R)")
}

func conversionRows(add adder) {
	// Tolerance: half of the last digit printed; 1e-12 of the value where the printed value is the definition.
	add("13a1", "convert", "value=1; from=in; to=mm", "result", 25.4, 25.4e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a2", "convert", "value=1; from=mile; to=m", "result", 1609.344, 1609.344e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a3", "convert", "value=1; from=lb; to=kg", "result", 0.45359237, 0.45e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a4", "convert", "value=1; from=lbf; to=N", "result", 4.4482216152605, 5e-14, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a5", "convert", "value=1; from=lbf·ft; to=N·m", "result", 1.3558179483314, 5e-14, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a6", "convert", "value=1; from=N·m; to=lbf·ft", "result", 0.73756214928, 5e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a7", "convert", "value=1; from=US gallon; to=l", "result", 3.785411784, 3.8e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a8", "convert", "value=1; from=mph; to=m/s", "result", 0.44704, 0.45e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a9", "convert", "value=1; from=psi; to=Pa", "result", 6894.757293168, 5e-10, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a10", "convert", "value=1; from=hp; to=W", "result", 745.69987158227, 5e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a11", "convert", "value=1; from=kWh; to=MJ", "result", 3.6, 3.6e-12, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a12", "convert", "value=45; from=lbf·ft; to=N·m", "result", 61.0118, 5e-5, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a13", "convert", "value=100; from=N·m; to=lbf·ft", "result", 73.7562, 5e-5, "UNIT: NIST SP 811 (M); tables that agree to six figures (R)")
	add("13a14", "convert", "value=1; from=kgf·m; to=N·m", "result", 9.80665, 9.8e-12, "UNIT: NIST SP 811 (M), worked (D)")
	add("13a15", "convert", "value=29; from=psi; to=kPa", "result", 199.948, 5e-4, "UNIT: NIST SP 811 (M), worked (D)")
	add("13a16", "convert", "value=120; from=lbf·in; to=N·m", "result", 13.5582, 5e-5, "UNIT: NIST SP 811 (M), worked (D)")
	add("13a17", "convert", "value=-40; from=degF; to=degC", "result", -40, 1e-12, "UNIT: NIST SP 811 (M), worked (D)")
}
