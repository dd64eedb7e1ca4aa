package figures

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// near compares with a share of the wanted value, the smallest size being 1e-300.
func near(t rapid.TB, want, got, share float64, what ...any) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Max(math.Abs(want), 1e-300)) {
		t.Fatalf("got %.17g, want %.17g within %g of it: %v", got, want, share, what)
	}
}

var chances = rapid.Float64Range(1e-9, 1-1e-9)

// The reference is gonum: RegIncBeta and the distributions of stat/distuv. The
// tolerance is theirs, not ours: their gamma functions lose digits as shapes grow.
func TestProbabilitiesAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0.1, 500).Draw(t, "a"), rapid.Float64Range(0.1, 500).Draw(t, "b")
		x := rapid.Float64Range(0, 1).Draw(t, "x")
		require.InDelta(t, mathext.RegIncBeta(a, b, x), BetaProbability(x, a, b), 1e-11)
		z := rapid.Float64Range(-9, 9).Draw(t, "z")
		near(t, distuv.UnitNormal.CDF(z), NormalProbability(z), 1e-12, z)
		dof := rapid.Float64Range(0.5, 1000).Draw(t, "dof")
		if math.Abs(z) > 0.01 { // nearer to 0 gonum loses t² in 1 - t²
			require.InDelta(t, distuv.StudentsT{Sigma: 1, Nu: dof}.CDF(z), StudentProbability(z, dof), 1e-11)
		}
		c := rapid.Float64Range(0, 3*dof).Draw(t, "c")
		require.InDelta(t, distuv.ChiSquared{K: dof}.CDF(c), ChiSquaredProbability(c, dof), 1e-11)
	})
}

func TestQuantilesAgainstGonum(t *testing.T) {
	for _, p := range []float64{0.001, 0.01, 0.05, 0.25, 0.4, 0.6, 0.9, 0.975, 0.999} {
		near(t, distuv.UnitNormal.Quantile(p), NormalQuantile(p), 1e-13, "normal", p)
		for _, dof := range []float64{1, 2, 3.5, 10, 30.86, 1000} {
			near(t, distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(p), StudentQuantile(p, dof), 1e-9, "t", p, dof)
			near(t, distuv.ChiSquared{K: dof}.Quantile(p), ChiSquaredQuantile(p, dof), 1e-9, "chi squared", p, dof)
		}
		for _, s := range [][2]float64{{0.5, 0.5}, {1, 5}, {2, 4}, {1.5, 4.5}, {3, 3}, {40, 2}, {300, 500}} {
			near(t, distuv.Beta{Alpha: s[0], Beta: s[1]}.Quantile(p), BetaQuantile(p, s[0], s[1]), 1e-9, "beta", p, s)
		}
	}
}

func TestQuantilesUndoProbabilities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := chances.Draw(t, "p")
		near(t, p, NormalProbability(NormalQuantile(p)), 1e-12, "normal")
		dof := rapid.Float64Range(0.5, 1e5).Draw(t, "dof")
		near(t, p, StudentProbability(StudentQuantile(p, dof), dof), 1e-9, "t")
		near(t, p, ChiSquaredProbability(ChiSquaredQuantile(p, dof), dof), 1e-9, "chi squared")
		a, b := rapid.Float64Range(0.5, 1e4).Draw(t, "a"), rapid.Float64Range(0.5, 1e4).Draw(t, "b")
		// Where x is close to 1 its rounding alone moves p: 1e-16 times the density.
		x := BetaQuantile(p, a, b)
		low, high := BetaProbability(math.Nextafter(x, 0), a, b), BetaProbability(math.Nextafter(x, 1), a, b)
		if !(low-1e-10*p <= p && p <= high+1e-10*p) {
			t.Fatalf("beta %g %g at %g: %.17g gives %.17g to %.17g", a, b, p, x, low, high)
		}
	})
}

func TestQuantilesRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := chances.Draw(t, "p"), chances.Draw(t, "q")
		if p > q {
			p, q = q, p
		}
		dof := rapid.Float64Range(0.5, 1000).Draw(t, "dof")
		const slack = 1e-12
		for name, f := range map[string]func(p float64) float64{
			"normal":      NormalQuantile,
			"t":           func(p float64) float64 { return StudentQuantile(p, dof) },
			"chi squared": func(p float64) float64 { return ChiSquaredQuantile(p, dof) },
			"beta":        func(p float64) float64 { return BetaQuantile(p, dof, 2) },
			"triangular":  func(p float64) float64 { return TriangularQuantile(p, 4, 8, 13) },
		} {
			require.LessOrEqual(t, f(p), f(q)+slack*math.Abs(f(q)), name)
		}
		near(t, -NormalQuantile(p), NormalQuantile(1-p), 1e-6, "symmetry") // 1 - p is rounded
		require.Zero(t, StudentQuantile(0.5, dof))
		require.Greater(t, StudentQuantile(0.9, dof), NormalQuantile(0.9), "the t distribution has the longer tails")
	})
}

// Closed forms: Beta(1, n): 1 - (1-p)^(1/n); Beta(2, 2): 3x² - 2x³ = p; t with 1
// degree of freedom is tan(π (p - 1/2)), with 2 it is (2p-1) sqrt(2 / (4p(1-p)));
// chi squared with 2 is -2 ln(1-p).
func TestClosedForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "p")
		n := rapid.Float64Range(1, 50).Draw(t, "n")
		near(t, -math.Expm1(math.Log1p(-p)/n), BetaQuantile(p, 1, n), 1e-13, "Beta(1, n)")
		x := BetaQuantile(p, 2, 2)
		near(t, p, x*x*(3-2*x), 1e-13, "Beta(2, 2)")
		require.InDelta(t, 0, math.Atan(StudentQuantile(p, 1))/math.Pi-(p-0.5), 1e-14)
		near(t, (2*p-1)*math.Sqrt(2/(4*p*(1-p))), StudentQuantile(p, 2), 1e-8, "t, 2")
		near(t, -2*math.Log1p(-p), ChiSquaredQuantile(p, 2), 1e-13, "chi squared, 2")
	})
}

// Against e-Handbook 1.3.6.7.4, upper critical values of chi squared (from
// memory): 3.841 for 1 at 0.95, 18.307 for 10 at 0.95, 23.209 for 10 at 0.99.
func TestChiSquaredTable(t *testing.T) {
	for _, tt := range []struct{ p, dof, want float64 }{{0.95, 1, 3.841}, {0.95, 10, 18.307}, {0.99, 10, 23.209}, {0.05, 10, 3.940}} {
		require.InDelta(t, tt.want, ChiSquaredQuantile(tt.p, tt.dof), 0.0005)
	}
}

func TestEnds(t *testing.T) {
	require.Equal(t, 0.0, BetaQuantile(0, 2, 3))
	require.Equal(t, 1.0, BetaQuantile(1, 2, 3))
	require.Equal(t, 0.0, NormalQuantile(0.5))
	for _, v := range []float64{
		BetaQuantile(-0.1, 2, 3), BetaQuantile(0.5, 0, 3), BetaQuantile(math.NaN(), 2, 3), BetaProbability(1.1, 2, 3),
		NormalQuantile(0), NormalQuantile(1), NormalQuantile(math.NaN()),
		StudentQuantile(0, 5), StudentQuantile(0.9, 0), StudentProbability(1, -1),
		ChiSquaredQuantile(1, 5), ChiSquaredQuantile(0.5, 0), ChiSquaredProbability(-1, 5),
	} {
		require.True(t, math.IsNaN(v), "%g", v)
	}
}
