package exact_test

import (
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	. "ampwright/calc/exact"
	"ampwright/calc/figures"
)

func TestExpLog(t *testing.T) {
	for x := -699.0; x <= 699; x += 0.0137 {
		require.InEpsilon(t, math.Exp(x), Exp(x), 1e-15)
		if y := math.Exp(x); math.Abs(x) > 0.01 {
			require.InEpsilon(t, math.Log(y), Log(y), 1e-14)
		}
	}
	require.Zero(t, Log(1))
	require.Equal(t, 1.0, Exp(0))
}

// The other functions of the project, by other methods, are the reference.
func TestNormal(t *testing.T) {
	for z := -30.0; z <= 30; z += 0.0037 {
		want := figures.NormalProbability(z)
		require.InDelta(t, want, NormalProbability(z), 1e-15, z)
		if z < -3 {
			require.InEpsilon(t, want, NormalProbability(z), 1e-12, z)
		}
	}
	for p := 0.0037; p < 1; p += 0.0037 {
		require.InDelta(t, figures.NormalQuantile(p), NormalQuantile(p), 3e-14, p)
	}
	for e := 1.0; e <= 10; e += 0.1 {
		p := math.Pow(10, -e)
		require.InEpsilon(t, figures.NormalQuantile(p), NormalQuantile(p), 1e-13, p)
	}
	for _, tt := range []struct{ p, z float64 }{
		// Tables of the normal distribution; Wichura 1988 gives these two as
		// checks of PPND16 (from memory).
		{0.25, -0.6744897501960817}, {0.001, -3.090232306167814},
	} {
		require.InEpsilon(t, tt.z, NormalQuantile(tt.p), 1e-14)
	}
	require.Zero(t, NormalQuantile(0.5))
	require.Equal(t, 0.5, NormalProbability(0))
	require.Equal(t, 1.0, NormalProbability(math.Inf(1)))
	require.Less(t, NormalProbability(math.Inf(-1)), 1e-300)
	require.Equal(t, NormalQuantile(1e-10), NormalQuantile(0))
}

// Every device computes the same bits: this test runs natively and as
// WebAssembly. The figure is that of this program, first run on amd64.
func TestSameBits(t *testing.T) {
	sum := fnv.New64a()
	for i := range 4000 {
		x := float64(i-2000)/256 + 1.0/3
		for _, y := range []float64{Exp(x), Log(math.Abs(x)), NormalProbability(x), NormalQuantile((float64(i) + 0.5) / 4000)} {
			require.NoError(t, binary.Write(sum, binary.LittleEndian, y))
		}
	}
	require.Equal(t, "a21dad6989625bf0", fmt.Sprintf("%016x", sum.Sum64()))
}
