package figures

import (
	"math"
	"testing"

	"ampwright/calc/desk"
	"ampwright/calc/desk/desktest"
	"ampwright/calc/forecast"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWorking(t *testing.T) {
	desktest.Working(t, Calcs(), desktest.Options{Texts: map[string][]string{
		"tasks": {"A 6", "A 5/6/9; B 4 after A; C 2/3/7 after A, B", "A 0", "1-2 7; 2-4 6; 1-4 20", "A"},
		"task":  {"A", "B", "1-2"},
		"dof":   {"4", "4 inf", "inf inf inf"},
		"from":  {"mm", "in", "Nm", "lbf·ft", "degC", "degF", "furlong"},
		"to":    {"mm", "in", "Nm", "lbf·ft", "degC", "degF"},
	}})
}

func run(t testing.TB, name, in string) desk.Result {
	t.Helper()
	r, err := desktest.Run(Calcs(), name, in)
	require.NoError(t, err)
	return r
}

func value(t testing.TB, name, out, in string) float64 {
	t.Helper()
	r := run(t, name, in)
	v, ok := r.Get(out)
	require.True(t, ok, out)
	return v.Number
}

func TestThreePoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(0, 100).Draw(t, "low")
		likely := low + rapid.Float64Range(0.01, 100).Draw(t, "more")
		high := likely + rapid.Float64Range(0.01, 100).Draw(t, "most")
		mean := forecast.Mean(low, likely, high)
		require.GreaterOrEqual(t, mean, low)
		require.LessOrEqual(t, mean, high)
		a, b := PertBeta(low, likely, high)
		require.InDelta(t, 6, a+b, 1e-9)
		// The mean and variance of a beta distribution on low to high.
		near(t, mean, low+(high-low)*a/(a+b), 1e-12)
		near(t, (high-low)*math.Sqrt(a*b/((a+b)*(a+b)*(a+b+1))), PertBetaSD(low, likely, high), 1e-6)
		q := 0.0
		for _, p := range []float64{0, 0.1, 0.5, 0.9, 1} {
			v := PertBetaQuantile(p, low, likely, high)
			require.GreaterOrEqual(t, v, max(q, low-1e-9))
			require.LessOrEqual(t, v, high*(1+1e-15))
			q = v
		}
		// The other way round: the triangular distribution function.
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		x, w := TriangularQuantile(p, low, likely, high), high-low
		back := 1 - (high-x)*(high-x)/(w*(high-likely))
		if x < likely {
			back = (x - low) * (x - low) / (w * (likely - low))
		}
		require.InDelta(t, p, back, 1e-6)
	})
	require.Zero(t, PertBetaSD(5, 5, 5))
	require.Equal(t, 5.0, PertBetaQuantile(0.9, 5, 5, 5))
	require.Equal(t, 5.0, value(t, "three-point-quantile", "beta_value", "low=5; likely=5; high=5"))
	// By hand: triangular on 0, 0, 6 has the variance 36 / 18 = 2.
	near(t, math.Sqrt2, value(t, "three-point", "triangular_sd", "low=0; likely=0; high=6"), 1e-15)
}

func TestEarnedValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := EarnedValue{BAC: rapid.Float64Range(1, 1e6).Draw(t, "BAC")}
		e.EV = e.BAC * rapid.Float64Range(0.01, 1).Draw(t, "done")
		e.AC = rapid.Float64Range(0.01, 1e6).Draw(t, "AC")
		e.PV = e.EV
		near(t, 1, e.SPI(), 1e-15)
		near(t, e.AC/e.EV*e.BAC, e.EAC(), 1e-12)
		on := e
		on.AC = on.EV
		near(t, e.BAC, on.EAC(), 1e-12, "on budget so far, on budget at the end")
		if on.EV < on.BAC {
			near(t, 1, on.TCPI(), 1e-12)
		}
	})
	// By hand: (4000 - 2500) / (4000 - 2800) = 1.25.
	require.Equal(t, 1.25, value(t, "earned-value", "TCPI", "BAC=4000; PV=3000; EV=2500; AC=2800"))
	for _, tt := range []struct {
		in      string
		without []string
		note    string
	}{
		{"BAC=100; EV=0; AC=0", []string{"CPI", "EAC"}, "Nothing is spent yet"},
		{"BAC=100; EV=0; AC=10", []string{"EAC"}, "Nothing is earned yet"},
		{"BAC=100; EV=50; AC=100", []string{"TCPI"}, "The budget is spent"},
	} {
		r := run(t, "earned-value", tt.in)
		for _, out := range append(tt.without, "SV", "SPI", "time") {
			_, ok := r.Get(out)
			require.False(t, ok, out)
		}
		require.Contains(t, r.Notes[0], tt.note)
	}
}

func TestLearning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(0.51, 0.999).Draw(t, "rate")
		first := rapid.Float64Range(0.1, 100).Draw(t, "first")
		n := rapid.IntRange(1, 400).Draw(t, "n")
		x := float64(n)
		near(t, rate*CrawfordUnit(first, rate, x), CrawfordUnit(first, rate, 2*x), 1e-12, "each doubling")
		near(t, rate*WrightAverage(first, rate, x), WrightAverage(first, rate, 2*x), 1e-12)
		near(t, first, CrawfordTotal(first, rate, 1), 1e-15)
		require.LessOrEqual(t, CrawfordUnit(first, rate, x+1), CrawfordUnit(first, rate, x))
		require.LessOrEqual(t, WrightUnit(first, rate, x), CrawfordUnit(first, rate, x)*(1+1e-12), "the average falls as fast only if units fall faster")
		sum := 0.0 // the units of the cumulative-average form add up to n averages
		for i := 1; i <= n; i++ {
			sum += WrightUnit(first, rate, float64(i))
		}
		near(t, x*WrightAverage(first, rate, x), sum, 1e-9)
		near(t, x, CrawfordReach(first, rate, CrawfordUnit(first, rate, x)), 1e-9)
		near(t, x, WrightReach(first, rate, WrightUnit(first, rate, x)), 1e-6)
	})
	require.Equal(t, 3.0, CrawfordUnit(3, 1, 17), "no learning at 100 %")
	near(t, 3, WrightUnit(3, 1, 17), 1e-14)
	// At 50 % the cumulative-average form leaves nothing for the second unit.
	const in = "rate=50; form=cumulative-average; target=0.5"
	require.Zero(t, value(t, "learning-curve", "Tn", in))
	require.Equal(t, 2.0, value(t, "learning-curve", "n_whole", in))
	require.Equal(t, 1.0, value(t, "learning-curve", "n_whole", "target=1"))
	require.True(t, math.IsInf(WrightReach(1, 0.9999, 1e-9), 1))
	// By hand: 0.8² = 0.64 at unit 4.
	require.Equal(t, 4.0, value(t, "learning-curve", "n_whole", "target=0.64"))
	require.Equal(t, 5.0, value(t, "learning-curve", "n_whole", "target=0.63"))
	// Domain figures for a second build at 80 %: 80 % by the unit form, 60 % by
	// the cumulative-average form.
	near(t, 0.8, value(t, "learning-curve", "Tn", ""), 1e-12)
	near(t, 0.6, value(t, "learning-curve", "Tn", "form=Cumulative-Average"), 1e-12)
}

func TestUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SliceOfN(rapid.Float64Range(0.01, 10), 1, 8).Draw(t, "u")
		dof := make([]float64, len(u))
		least, total, squares := math.Inf(1), 0.0, 0.0
		for i := range u {
			dof[i] = rapid.Float64Range(1, 100).Draw(t, "dof")
			least, total = min(least, dof[i]), total+dof[i]
			squares += u[i] * u[i]
		}
		near(t, math.Sqrt(squares), Combine(u), 1e-13)
		eff := WelchSatterthwaite(u, dof)
		require.GreaterOrEqual(t, eff, least*(1-1e-12), "GUM G.4.1: not below the least of them")
		require.LessOrEqual(t, eff, total*(1+1e-12), "nor above their sum")
		k := CoverageFactor(0.95, eff)
		require.Greater(t, k, CoverageFactor(0.95, math.Inf(1)))
	})
	require.True(t, math.IsInf(WelchSatterthwaite([]float64{0, 0}, []float64{1, 1}), 1))
	require.True(t, math.IsInf(WelchSatterthwaite([]float64{1}, []float64{math.Inf(1)}), 1))
	// Equal parts with equal degrees of freedom: they add up.
	near(t, 20, WelchSatterthwaite([]float64{2, 2}, []float64{10, 10}), 1e-12)
	// No degrees of freedom given: k 1.96, from memory.
	near(t, 1.959964, value(t, "combined-uncertainty", "k", "u=3 4"), 1e-6)
	near(t, 5, value(t, "combined-uncertainty", "uc", "u=3 4"), 1e-15)
}

// Howe's factor falls as readings are added and ends at the normal quantile.
func TestToleranceFactor(t *testing.T) {
	last := math.Inf(1)
	for _, n := range []float64{2, 3, 5, 10, 43, 100, 1e3, 1e5} {
		k := ToleranceFactor(n, 0.9, 0.99)
		require.Less(t, k, last)
		last = k
	}
	near(t, NormalQuantile(0.95), last, 0.01)
}

func TestGuard(t *testing.T) {
	none := math.Inf(1)
	for _, tt := range []struct {
		reading, u, low, high float64
		want                  Verdict
	}{
		{50, 1, 45, 55, Pass},
		{46, 1, 45, 55, Pass}, // just cleared
		{45.9, 1, 45, 55, NotShown},
		{44.1, 1, 45, 55, NotShown},
		{43.9, 1, 45, 55, Fail},
		{54.5, 1, 45, 55, NotShown},
		{56.1, 1, 45, 55, Fail},
		{45, 0, 45, 55, Pass},
		{44.999, 0, 45, 55, Fail},
		{50, 6, 45, 55, NotShown}, // the instrument is coarser than the limits
		{0.3, 0.1, 0.2, none, Pass},
		{0.7, 0.1, -none, 0.8, Pass},
		{1e9, 1, -none, 0.8, Fail},
	} {
		require.Equal(t, tt.want, Guard(tt.reading, tt.u, tt.low, tt.high), "%+v", tt)
	}
	rapid.Check(t, func(t *rapid.T) {
		r, u := rapid.Float64Range(0, 100).Draw(t, "r"), rapid.Float64Range(0, 10).Draw(t, "u")
		more := u + rapid.Float64Range(0, 10).Draw(t, "more")
		if Guard(r, more, 40, 60) == Pass {
			require.Equal(t, Pass, Guard(r, u, 40, 60), "a better instrument does not take a pass away")
		}
		if Guard(r, more, 40, 60) == Fail {
			require.Equal(t, Fail, Guard(r, u, 40, 60))
		}
	})
	r := run(t, "guard-band", "reading=50; U=6; low=45; high=55")
	require.Contains(t, r.Notes[0], "no reading can pass")
}

func TestConvertBothWays(t *testing.T) {
	for _, tt := range [][2]string{{"in", "mm"}, {"lbf·ft", "Nm"}, {"US gallon", "l"}, {"impgal", "gal"}, {"hp", "PS"}, {"degF", "degC"}, {"F", "C"}, {"g", "lb"}, {"psi", "bar"}, {"kWh", "MJ"}} {
		rapid.Check(t, func(t *rapid.T) {
			v := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")
			there, err := unit.Convert(v, tt[0], tt[1])
			require.NoError(t, err)
			back, err := unit.Convert(there, tt[1], tt[0])
			require.NoError(t, err)
			require.InDelta(t, v, back, 1e-15*math.Abs(v)*4+1e-13, tt)
		})
	}
	r := run(t, "convert", "value=2; from=gal; to=l")
	require.Len(t, r.Notes, 1)
	v, _ := r.Get("result")
	require.Equal(t, "l", v.Unit)
	require.Equal(t, "2 * 3.785411784", r.Lines[0].Numbers)
	for _, tt := range []struct{ from, to, want string }{
		{"degF", "degC", "(-40 - 32) * 5 / 9"}, {"degC", "degF", "-40 * 9 / 5 + 32"}, {"degC", "degC", "-40 * 1"},
	} {
		r := run(t, "convert", "value=-40; from="+tt.from+"; to="+tt.to)
		require.Equal(t, tt.want, r.Lines[0].Numbers)
		require.Equal(t, -40.0, r.Lines[0].Value)
	}
}

// What a calculation refuses, and the words.
func TestWrongInput(t *testing.T) {
	for _, tt := range []struct{ calc, in, want string }{
		{"three-point", "low=9; likely=8; high=13", `three-point: likely "8": want low to high, 9 h to 13 h`},
		{"three-point", "low=4; likely=14; high=13", `three-point: likely "14": want low to high, 4 h to 13 h`},
		{"three-point", "low=4; likely=8", `three-point: high is missing: want 0 to 1000000 h`},
		{"three-point", "low=4; likely=8 V; high=9", `three-point: likely "8 V": "8 V" where a time in h is wanted; want 0 to 1000000 h`},
		{"three-point-quantile", "low=4; likely=8; high=9; p=90", `three-point-quantile: p "90": want 0 to 1`},
		{"three-point-quantile", "low=4; likely=3; high=9", `three-point-quantile: likely "3": want low to high, 4 h to 9 h`},
		{"critical-path", "tasks=A", `critical-path: tasks "A": "A" has no time, want a name and hours, such as "E 5/6/9 after C, D"`},
		{"critical-path", "tasks=A 5; task=B", `critical-path: task "B": want one of A`},
		{"critical-path", "tasks=A 5; form=nodes", `critical-path: form "nodes": want one of tasks, arcs`},
		{"earned-value", "BAC=100; EV=101; AC=1", `earned-value: EV "101": want 0 to BAC, 100`},
		{"learning-curve", "n=2.5", `learning-curve: n "2.5": want a whole number, 1 to 100000`},
		{"learning-curve", "rate=0.8", `learning-curve: rate "0.8": want 50 to 100 %`},
		{"learning-curve", "target=2", `learning-curve: target "2": want at most T1, 1 h`},
		{"learning-curve", "rate=100; target=0.5", `learning-curve: target "0.5": cannot be reached at a rate of 100 %, want T1 or a lower rate`},
		{"learning-curve", "rate=99.99; target=1e-9; form=cumulative-average",
			`learning-curve: target "1e-9": takes more than 1e15 units, want a longer time or a lower rate`},
		{"normal-quantile", "p=1", `normal-quantile: p "1": want 1e-12 to 0.999999999999`},
		{"normal-probability", "value=1; sd=0", `normal-probability: sd "0": want 1e-12 to 1e+12`},
		{"t-quantile", "dof=0", `t-quantile: dof "0": want 0.5 to 1000000`},
		{"beta-quantile", "alpha=0; beta=1", `beta-quantile: alpha "0": want 0.1 to 100000`},
		{"summary-statistics", "readings=5", `summary-statistics: readings "5": want two numbers or more`},
		{"summary-statistics", "readings=5 x", `summary-statistics: readings "x": "x" is not a number, want one such as 84.3; want numbers from -1e+15 to 1e+15, separated by spaces`},
		{"instrument-uncertainty", "digits=2", `instrument-uncertainty: digit "0": want what one digit is worth, such as 0.01`},
		{"combined-uncertainty", "u=1 2; dof=4", `combined-uncertainty: dof "4": 1 values for 2 uncertainties, want one for each`},
		{"combined-uncertainty", "u=1; dof=0", `combined-uncertainty: dof "0": "0": want 1 to 1000000000, or inf`},
		{"combined-uncertainty", "u=1; dof=many", `combined-uncertainty: dof "many": "many" is not a number, want one such as 84.3`},
		{"guard-band", "reading=1; U=1", `guard-band: low is missing: want a lower limit, an upper limit or both`},
		{"guard-band", "reading=1; U=1; low=3; high=2", `guard-band: high "2": want at least low, 3`},
		{"tolerance-factor", "n=4.5", `tolerance-factor: n "4.5": want a whole number, 2 to 100000`},
		{"convert", "from=furlong; to=m", `convert: from "furlong": is not a known unit, want one such as mm, in, Nm, lbf·ft, kPa, psi, degC`},
		{"convert", "from=m; to=furlong", `convert: to "furlong": is not a known unit, want one such as mm, in, Nm, lbf·ft, kPa, psi, degC`},
		{"convert", "from=V; to=Nm", `convert: to "Nm": a voltage in V is not a torque in Nm`},
		{"convert", "from=V", `convert: to is missing: want unit it is wanted in`},
	} {
		_, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.EqualError(t, err, tt.want)
		var in *desk.InputError
		require.ErrorAs(t, err, &in)
	}
}

// With a decimal comma the same numbers are read and shown.
func TestComma(t *testing.T) {
	c := criticalPath()
	r, err := c.Run(map[string]string{"tasks": "A 2,5; B 1,5 after A", "by": "4,5"}, unit.Style{Mark: unit.Comma})
	require.NoError(t, err)
	s, _ := r.Get("schedule")
	require.Equal(t, "A: ES 0  EF 2,5  LS 0  LF 2,5  float 0  critical\nB: ES 2,5  EF 4  LS 2,5  LF 4  float 0  critical", s.Text)
	p, _ := r.Get("p_all")
	require.Equal(t, 1.0, p.Number)
	r, err = convert().Run(map[string]string{"value": "1,5", "from": "in", "to": "mm"}, unit.Style{Mark: unit.Comma})
	require.NoError(t, err)
	require.Equal(t, "1,5 * 25,4", r.Lines[0].Numbers)
}
