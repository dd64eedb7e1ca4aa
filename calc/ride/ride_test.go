package ride

import (
	"fmt"
	"math"
	"testing"

	"ampwright/calc/desk/desktest"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWorking(t *testing.T) { desktest.Working(t, Calcs(), desktest.Options{}) }

func drawRoad(t *rapid.T) Road {
	return Road{
		RhoKgM3:  rapid.Float64Range(0.5, 2).Draw(t, "rho"),
		CdAM2:    rapid.Float64Range(0.05, 5).Draw(t, "cda"),
		Crr:      rapid.Float64Range(0.001, 0.1).Draw(t, "crr"),
		MassKg:   rapid.Float64Range(50, 500).Draw(t, "mass"),
		SlopeRad: rapid.Float64Range(0, 0.3).Draw(t, "slope"),
		GMS2:     9.81,
	}
}

func TestRoadLoad(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRoad(t)
		v := rapid.Float64Range(0.1, 60).Draw(t, "v")
		require.Greater(t, r.TotalN(v+0.1), r.TotalN(v), "rises with speed")
		require.InEpsilon(t, 4*r.DragN(v), r.DragN(2*v), 1e-12, "drag goes with the square")
		require.Equal(t, 0.0, r.DragN(0))
		steeper := r
		steeper.SlopeRad += 0.1
		require.Greater(t, steeper.TotalN(v), r.TotalN(v))
		flat := r
		flat.SlopeRad = 0
		require.Equal(t, 0.0, flat.GradeN())
		require.InEpsilon(t, r.MassKg*9.81*r.Crr, flat.RollN(), 1e-12)
	})
	require.Equal(t, 0.0, WhKm(-50, 0.8), "a push costs nothing")
}

func drawDrive(t *rapid.T) Drive {
	return Drive{
		Kv:       rapid.Float64Range(4, 30).Draw(t, "kv"),
		PackV:    rapid.Float64Range(24, 120).Draw(t, "V"),
		PackOhm:  rapid.Float64Range(0.001, 0.1).Draw(t, "pack ohm"),
		MotorOhm: rapid.Float64Range(0.01, 0.5).Draw(t, "motor ohm"),
		PeakNm:   rapid.Float64Range(20, 300).Draw(t, "Nm"),
		BattA:    rapid.Float64Range(10, 100).Draw(t, "A"),
		Eff:      rapid.Float64Range(0.5, 1).Draw(t, "eff"),
		CircM:    rapid.Float64Range(1, 2.5).Draw(t, "circ"),
	}
}

// At the top speed thrust and load meet, below it there is thrust to spare,
// above it there is too little; no-load speed is never passed.
func TestTopSpeedIsTheBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, d := drawRoad(t), drawDrive(t)
		if d.BatteryW() <= 0 {
			return // refused by the calculation
		}
		top := d.TopMS(r)
		require.LessOrEqual(t, top*3.6, KMH(NoLoadRPM(d.Kv, d.PackV), d.CircM))
		if top == 0 {
			require.LessOrEqual(t, d.ThrustN(0), r.TotalN(0))
			return
		}
		require.InDelta(t, r.TotalN(top), d.ThrustN(top), 1e-6*r.TotalN(top))
		v := rapid.Float64Range(0, 1).Draw(t, "below") * top * 0.999
		require.Greater(t, d.ThrustN(v), r.TotalN(v))
		require.Less(t, d.ThrustN(top*1.001), r.TotalN(top*1.001))
		// A scan in small steps finds the same speed.
		scan := 0.0
		for d.ThrustN(scan+0.01) > r.TotalN(scan+0.01) {
			scan += 0.01
		}
		require.InDelta(t, top, scan, 0.0101)
		heavier := r
		heavier.MassKg += 20
		require.LessOrEqual(t, d.TopMS(heavier), top)
		stronger := d
		stronger.BattA *= 1.01
		stronger.PeakNm *= 1.1
		if stronger.BatteryW() > d.BatteryW() {
			require.GreaterOrEqual(t, stronger.TopMS(r), top-1e-9)
		}
	})
}

// Without limits and losses, on no road at all, the top speed is the no-load
// speed; with nothing but a battery limit it is where drag eats the power.
func TestTopSpeedLimits(t *testing.T) {
	d := Drive{Kv: 10, PackV: 72, PackOhm: 1e-6, MotorOhm: 1e-6, PeakNm: 1e6, BattA: 1e6, Eff: 1, CircM: 1.884}
	require.InDelta(t, 72*10*1.884/60, d.TopMS(Road{RhoKgM3: 1.2, CdAM2: 0.01, MassKg: 1, GMS2: 9.81}), 1e-3)
	d = Drive{Kv: 1000, PackV: 72, PackOhm: 1e-9, MotorOhm: 1e-9, PeakNm: 1e6, BattA: 50, Eff: 1, CircM: 1.884}
	// By hand: P = rho/2 CdA v³.
	require.InEpsilon(t, math.Cbrt(72*50/(0.5*1.2*0.54)), d.TopMS(Road{RhoKgM3: 1.2, CdAM2: 0.54, MassKg: 1, GMS2: 9.81}), 1e-6)
}

// Speed times thrust is voltage times current, whatever the winding and tyre.
func TestTrade(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kv := rapid.Float64Range(1, 100).Draw(t, "kv")
		circ := rapid.Float64Range(0.5, 3).Draw(t, "circ")
		volts := rapid.Float64Range(12, 200).Draw(t, "V")
		amps := rapid.Float64Range(1, 500).Draw(t, "A")
		v := KMH(NoLoadRPM(kv, volts), circ) / 3.6
		require.InEpsilon(t, volts*amps, v*ThrustN(Kt(kv)*amps, circ), 1e-12)
		require.InEpsilon(t, Kt(kv)*amps, TorqueNm(volts*amps, NoLoadRPM(kv, volts)), 1e-12)
	})
}

// A sine drive: three phases of effective voltage and current give the power
// that torque times speed takes.
func TestCurrentFactor(t *testing.T) {
	const kv, volts, amps = 10.0, 72.0, 80.0 // peak voltage between lines, effective phase current
	speed := NoLoadRPM(kv, volts) * 2 * math.Pi / 60
	power := 3 * volts / math.Sqrt(3) / math.Sqrt2 * amps
	require.InEpsilon(t, power/speed, Kt(kv)*amps*CurrentFactor(phaseRMS), 1e-12)
	require.InEpsilon(t, power/speed, Kt(kv)*amps*math.Sqrt2*CurrentFactor(phasePeak), 1e-12)
	require.Equal(t, 1.0, CurrentFactor(directCurrent))
}

func TestSteepestHill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRoad(t)
		thrust := rapid.Float64Range(0, 0.99).Draw(t, "share of the weight") * r.MassKg * r.GMS2
		slope, ok := r.SteepestRad(thrust)
		require.True(t, ok)
		r.SlopeRad = slope
		require.InDelta(t, thrust, r.TotalN(0), 1e-9*r.MassKg*r.GMS2, "thrust holds the machine there")
	})
	_, ok := Road{MassKg: 100, GMS2: 9.81}.SteepestRad(982)
	require.False(t, ok)
}

func TestRangeInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := rapid.Float64Range(0.1, 50).Draw(t, "kWh")
		u := rapid.Float64Range(0.05, 1).Draw(t, "share")
		wh := rapid.Float64Range(5, 200).Draw(t, "Wh/km")
		km := RangeKm(e, u, wh)
		require.InEpsilon(t, RangeKm(e, 1, wh), km+RangeKm(e, 1-u, wh), 1e-9, "range and reserve are the whole pack")
		res, err := desktest.Run(Calcs(), "range", fmt.Sprintf("pack_kWh=%v; usable_fraction=%v; wh_km=%v; range_target_km=%v", e, u, wh, km))
		require.NoError(t, err)
		need, _ := res.Get("energy_need_kWh")
		require.InEpsilon(t, e, need.Number, 1e-9)
	})
}

func TestAnswers(t *testing.T) {
	for _, tt := range []struct{ calc, out, in, want string }{
		{"range", "answer", "wh_km=40; range_target_km=55", "within the range, spread counted"},
		{"range", "answer", "wh_km=40; range_target_km=60", "within the spread: may or may not be reached"},
		{"range", "answer", "wh_km=40; range_target_km=80", "beyond the range, spread counted"},
		{"top-speed", "limit", "batt_cont_A=20", "battery current"},
		{"top-speed", "limit", "", "voltage"},
		{"top-speed", "limit", "motor_peak_Nm=20", "motor torque"},
	} {
		res, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.NoError(t, err)
		got, _ := res.Get(tt.out)
		require.Equal(t, tt.want, got.Text)
	}
}

func TestWrongInput(t *testing.T) {
	for _, tt := range []struct{ calc, in, want string }{
		{"road-load", "slope_deg=5; slope_grade=8", `road-load: slope_grade "8": want the slope as an angle or as a grade, not both`},
		{"road-load", "slope_deg=31", `road-load: slope_deg "31": want -30 to 30 °`},
		{"road-load", "cda_m2=0.54 m", `road-load: cda_m2 "0.54 m": "0.54 m" where an area in m² is wanted; want 0.05 to 5 m²`},
		{"energy-per-km", "drive_eff=80", `energy-per-km: drive_eff "80": want 0.1 to 1`},
		{"energy-per-km", "cruise_kmh=0", `energy-per-km: cruise_kmh "0": want 1 to 300 km/h`},
		{"trip-consumption", "trip_kWh=2", `trip-consumption: trip_km is missing: want 0.01 to 10000 km`},
		{"range", "wh_km=40; forecast_spread=5", `range: forecast_spread "5": want 15 to 90 %`},
		{"motor-speed", "pack_nom_V=72; sag_V=80", `motor-speed: sag_V "80": want at most pack_nom_V`},
		{"torque-constant", "current_kind=battery", `torque-constant: current_kind "battery": want one of dc, sine-peak, sine-rms`},
		{"torque-from-power", "motor_W=3000; motor_rpm=0", `torque-from-power: motor_rpm "0": want 0.1 to 100000 rpm`},
		{"speed-torque-trade", "other_kv=0", `speed-torque-trade: other_kv "0": want 0.1 to 20000 rpm/V`},
		{"top-speed", "slope_deg=-2", `top-speed: slope_deg "-2": want 0 to 30 °`},
		{"top-speed", "pack_mohm=900", `top-speed: batt_cont_A "70": want a current that takes at most half the pack voltage in sag (pack_nom_V / pack_mohm / 2)`},
		{"steepest-hill", "tyre_circ_m=0", `steepest-hill: tyre_circ_m "0": want 0.3 to 4 m`},
	} {
		_, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.EqualError(t, err, tt.want)
	}
}

func TestNotes(t *testing.T) {
	for _, tt := range []struct{ calc, in, want string }{
		{"road-load", "slope_deg=-5; cruise_kmh=10", "the slope pushes harder than the road resists: brakes hold the speed"},
		{"energy-per-km", "slope_grade=-10; cruise_kmh=10", "the slope pushes harder than the road resists: nothing is drawn, and what regeneration brings back is not counted"},
		{"range", "wh_km=40; usable_fraction=1", "no reserve: the whole pack is counted on"},
		{"top-speed", "slope_deg=30", "the thrust does not overcome the road load at a standstill: it does not move"},
		{"steepest-hill", "motor_peak_Nm=1", "the thrust does not overcome the rolling resistance: it does not move on the flat"},
		{"steepest-hill", "motor_peak_Nm=1000", "the thrust is more than the weight: the tyre slips or the front lifts long before, there is no slope to name"},
	} {
		res, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.NoError(t, err)
		require.Contains(t, res.Notes, tt.want)
	}
}

// Up to the speed named the torque limit holds, above it the voltage; at the
// no-load speed no thrust is left.
func TestFullTorque(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Drive{
			Kv: rapid.Float64Range(5, 200).Draw(t, "kv"), PackV: rapid.Float64Range(20, 120).Draw(t, "V"), MotorOhm: rapid.Float64Range(0.01, 0.2).Draw(t, "ohm"),
			CircM: rapid.Float64Range(0.8, 2.2).Draw(t, "circ"),
		}
		d.PeakNm = Kt(d.Kv) * rapid.Float64Range(0, 300).Draw(t, "A")
		v := d.FullTorqueMS()
		require.InDelta(t, d.TorqueN(), ThrustN(Kt(d.Kv)*(d.PackV-60*v/d.CircM/d.Kv)/d.MotorOhm, d.CircM), 1e-6*(1+d.TorqueN()))
		require.InDelta(t, 0, d.ThrustN(d.NoLoadKMH()/3.6), 1e-6*(1+d.TorqueN()))
		if v > 0 {
			require.InDelta(t, d.TorqueN(), d.ThrustN(0.99*v), 1e-9*(1+d.TorqueN()))
			require.LessOrEqual(t, d.ThrustN(1.01*v), d.TorqueN())
		}
	})
}
