package catalogue

import (
	"math"
	"testing"

	"ampwright/calc/desk/desktest"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
)

// Each picture ends where its figures say.
func TestCurves(t *testing.T) {
	for _, tt := range []struct {
		calc, in string
		x, y     float64 // a point the working gives by other means
		tol      float64
	}{
		// 95 % after three time constants (RC charging, 1 - e^-3 = 0.9502).
		{"precharge", "pack_max_V=84; precharge_ohm=220; controller_cap_uF=2200", 3 * 220 * 2200e-6, 84 * (1 - math.Exp(-3)), 0.01},
		{"road-load", "cruise_kmh=60; mass_bike_kg=124; mass_rider_kg=82", 0, 206 * 9.81 * 0.015, 0.5},
		{"top-speed", "mass_bike_kg=124; mass_rider_kg=82", 0, 150 * 2 * math.Pi / 1.98, 1},
		// By hand: 60 / (2 pi x 10) x 100 A = 95.49 N·m at 1.884 m / (2 pi); at the
		// no-load speed of 81.39 km/h none is left.
		{"speed-torque-trade", "motor_kv=10; pack_nom_V=72; tyre_circ_m=1.884; motor_A=100", 0, 95.493 * 2 * math.Pi / 1.884, 0.1},
		{"speed-torque-trade", "motor_kv=10; pack_nom_V=72; tyre_circ_m=1.884; motor_A=100", 81.3888, 0, 0.1},
		{"charge-time", "pack_kWh=3; charger_W=750; charge_eff=0.9; soc_from=20; soc_taper=80; soc_to=100; taper_end=0.1", 0, 20, 1e-9},
	} {
		t.Run(tt.calc, func(t *testing.T) {
			c, err := Find(tt.calc)
			require.NoError(t, err)
			r, err := c.Run(desktest.Typed(tt.in), unit.Style{})
			require.NoError(t, err)
			require.Len(t, r.Curves, 1)
			k := r.Curves[0]
			require.Greater(t, len(k.Points), 50)
			require.NotEmpty(t, k.Sentence)
			best := math.Inf(1)
			for _, p := range k.Points {
				if d := math.Abs(p[0] - tt.x); d < best {
					best = d
				}
			}
			for _, p := range k.Points {
				if math.Abs(p[0]-tt.x) <= best+1e-12 {
					require.InDelta(t, tt.y, p[1], tt.tol+best*50)
				}
			}
		})
	}
	// The charge curve ends at the wanted state of charge, at the time worked out.
	c, err := Find("charge-time")
	require.NoError(t, err)
	r, err := c.Run(desktest.Typed("soc_to=95; soc_taper=70; taper_end=0.2"), unit.Style{})
	require.NoError(t, err)
	last := r.Curves[0].Points[len(r.Curves[0].Points)-1]
	hours, _ := r.Get("time_h")
	require.InDelta(t, hours.Number, last[0], 1e-9)
	require.InDelta(t, 95, last[1], 1e-6)
}
