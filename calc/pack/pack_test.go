package pack

import (
	"fmt"
	"math"
	"testing"

	"ampwright/calc/desk/desktest"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWorking(t *testing.T) {
	desktest.Working(t, Calcs(), desktest.Options{Unread: map[string]string{
		"peukert-exponent": "it is a logarithm", "self-discharge": "it is a power",
	}})
}

func TestPolymerCurve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(0, 1).Draw(t, "a")
		b := rapid.Float64Range(0, 1).Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		require.LessOrEqual(t, PolymerV(a), PolymerV(b), "rises throughout")
		require.InDelta(t, a, PolymerSoC(PolymerV(a)), 1e-9, "the inverse")
	})
	require.Equal(t, 0.0, PolymerSoC(0))
	require.Equal(t, 1.0, PolymerSoC(5))
	// Two of five public codes have the sign of s² wrong; they give 4.34 V.
	require.InDelta(t, 4.103, PolymerV(1), 0.001)
}

func TestBetween(t *testing.T) {
	low, high := NMCPoints()
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(2, 5).Draw(t, "v")
		w := rapid.Float64Range(v, 5).Draw(t, "w")
		for _, points := range [][]Point{LeadAcidPoints(), low, high} {
			require.LessOrEqual(t, Between(points, v), Between(points, w))
		}
		require.LessOrEqual(t, Between(low, v), Between(high, v), "the edges do not cross")
	})
	for _, p := range LeadAcidPoints() {
		require.Equal(t, p.Percent, Between(LeadAcidPoints(), p.V))
	}
}

// The range always holds the middle, and widens with the meter's error.
func TestSoCRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		battery := rapid.SampledFrom([]string{"nmc", "polymer", "lead-acid"}).Draw(t, "battery")
		v := rapid.Float64Range(2.5, 4.5).Draw(t, "v")
		if battery == "lead-acid" {
			v += 8
		}
		width := -1.0
		for _, mv := range []float64{0, 5, 50} {
			res, err := desktest.Run(Calcs(), "soc-from-voltage", fmt.Sprintf("battery=%s; rested_V=%v; meter_mV=%v", battery, v, mv))
			require.NoError(t, err)
			soc, _ := res.Get("soc")
			lo, _ := res.Get("soc_low")
			hi, _ := res.Get("soc_high")
			require.LessOrEqual(t, lo.Number, soc.Number+1e-9)
			require.GreaterOrEqual(t, hi.Number, soc.Number-1e-9)
			require.GreaterOrEqual(t, hi.Number-lo.Number, width-1e-9)
			width = hi.Number - lo.Number
		}
	})
}

// The integral of energy over power, in a thousand steps, agrees.
func TestTaperAgainstSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.Float64Range(0.05, 1).Draw(t, "start")
		end := rapid.Float64Range(0.05, start).Draw(t, "end")
		from := rapid.Float64Range(0, 0.9).Draw(t, "from")
		to := rapid.Float64Range(from, 1).Draw(t, "to")
		const steps = 1000
		var want float64
		for i := range steps {
			share := start + (end-start)*(float64(i)+0.5)/steps
			want += ChargeHours(5, 1000, 0.9, from, to) / steps / share
		}
		require.InDelta(t, want, TaperHours(5, 1000, 0.9, from, to, start, end), 1e-3*want+1e-12)
	})
	require.InDelta(t, ChargeHours(5, 1000, 0.9, 0.8, 1), TaperHours(5, 1000, 0.9, 0.8, 1, 1, 1-1e-9), 1e-8, "no taper in the limit")
	require.Equal(t, 0.0, TaperHours(5, 1000, 0.9, 0.8, 0.8, 1, 0.1), "nothing to charge")
}

// A charge begun within the taper takes the rest of the time of the whole.
func TestChargeSplits(t *testing.T) {
	hours := func(from, to float64) float64 {
		res, err := desktest.Run(Calcs(), "charge-time", fmt.Sprintf("soc_from=%v; soc_taper=80; soc_to=%v", from, to))
		require.NoError(t, err)
		v, _ := res.Get("time_h")
		return v.Number
	}
	at := func(from float64) float64 { return hours(from, 100) }
	require.InDelta(t, hours(20, 80)+at(80), at(20), 1e-9)
	last := at(79)
	for from := 80.0; from < 100; from++ {
		require.Less(t, at(from), last)
		last = at(from)
	}
}

func TestPeukert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(1, 500).Draw(t, "c")
		h := rapid.Float64Range(1, 100).Draw(t, "h")
		i := rapid.Float64Range(0.1, 500).Draw(t, "i")
		k := rapid.Float64Range(1, 2).Draw(t, "k")
		j := i * rapid.Float64Range(1.1, 10).Draw(t, "more")
		t1, t2 := PeukertHours(c, h, i, k), PeukertHours(c, h, j, k)
		require.Less(t, t2, t1)
		require.InEpsilon(t, k, PeukertExponent(i, t1, j, t2), 1e-9, "the inverse")
		require.InEpsilon(t, c/i, PeukertHours(c, h, i, 1), 1e-12, "k = 1 is an ideal battery")
		// The bare form is the normalised one of the capacity at 1 A.
		require.InEpsilon(t, PeukertBareHours(c, i, k), PeukertHours(c, c, i, k), 1e-9)
	})
}

// Both ways of measuring find the resistance of a cell that has one.
func TestResistanceIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ohm := rapid.Float64Range(1e-4, 1).Draw(t, "ohm")
		open := rapid.Float64Range(2, 100).Draw(t, "open")
		i1 := rapid.Float64Range(0, 10).Draw(t, "i1")
		i2 := i1 + rapid.Float64Range(1, 100).Draw(t, "more")
		require.InEpsilon(t, ohm, StepOhm(open-i1*ohm, i1, open-i2*ohm, i2), 1e-6)
		load := rapid.Float64Range(0.1, 10).Draw(t, "load")
		require.InEpsilon(t, ohm, LoadOhm(open, open*load/(load+ohm), load), 1e-6)
	})
}

func TestShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SliceOfN(rapid.Float64Range(0.1, 50), 1, 20).Draw(t, "cells")
		total := rapid.Float64Range(0, 500).Draw(t, "total")
		var sum float64
		for i, a := range Shares(total, cells) {
			sum += a
			require.InDelta(t, Shares(total, cells)[0]*cells[0], a*cells[i], 1e-6, "one voltage across all")
		}
		require.InDelta(t, total, sum, 1e-6)
	})
}

func TestKeptAndFade(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.Float64Range(0, 1).Draw(t, "q")
		a := rapid.Float64Range(0, 50).Draw(t, "a")
		b := rapid.Float64Range(0, 50).Draw(t, "b")
		require.InDelta(t, Kept(q, a)*Kept(q, b), Kept(q, a+b), 1e-9)
		require.Equal(t, 1.0, Kept(q, 0))
		end := rapid.Float64Range(0, 100).Draw(t, "end")
		require.Equal(t, 100.0, CapacityLeft(1000, end, 0))
		require.InDelta(t, end, CapacityLeft(1000, end, 1000), 1e-9)
		require.GreaterOrEqual(t, CapacityLeft(1000, end, 1000*a), 0.0)
	})
}

func TestSpread(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SliceOfN(rapid.Float64Range(2, 4.3), 2, 30).Draw(t, "cells")
		spread, mean := Spread(cells)
		shifted := make([]float64, len(cells))
		for i, v := range cells {
			require.LessOrEqual(t, math.Abs(v-mean), spread+1e-12)
			shifted[i] = v + 0.1
		}
		again, moved := Spread(shifted)
		require.InDelta(t, spread, again, 1e-12)
		require.InDelta(t, mean+0.1, moved, 1e-12)
	})
}

// "Above 60 V" is judged on the highest voltage, and 60 V itself is not above.
func TestVoltageClass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom(Chemistries()).Draw(t, "chemistry")
		n := float64(rapid.IntRange(1, 60).Draw(t, "n"))
		p := c.Series(n)
		require.Less(t, p.FloorV, p.MinV)
		require.Less(t, p.MinV, p.NomV)
		require.Less(t, p.NomV, p.MaxV)
		require.Equal(t, p.MaxV <= 60+1e-9, VoltageClass(p.NomV, p.MaxV) == NeverAbove60)
	})
	require.Equal(t, NeverAbove60, VoltageClass(57.6, 60))
	require.Equal(t, ChargedAbove60, VoltageClass(60, 60.001))
	require.Equal(t, Above60, VoltageClass(60.001, 70))
}

// The judgement of a spread changes where the source says, the limits included.
func TestImbalanceAnswers(t *testing.T) {
	for cells, want := range map[string]string{
		"4.1 4.1":           "under 20 mV: fine",
		"4.100 4.119":       "under 20 mV: fine",
		"4.100 4.120":       "20 to 50 mV: balance, and watch it",
		"4.100 4.150":       "20 to 50 mV: balance, and watch it",
		"4.100 4.151":       "over 50 mV: look into it",
		"4.100 4.200":       "over 50 mV: look into it",
		"4100mV 4201mV":     "over 100 mV: stop and find the cell",
		"3.300 0.000 3.301": "over 100 mV: stop and find the cell",
	} {
		res, err := imbalanceCalc().Run(map[string]string{"cells_V": cells}, unit.Style{})
		require.NoError(t, err)
		got, _ := res.Get("answer")
		require.Equal(t, want, got.Text, cells)
	}
}

// Three figures after a comma could be thousands: they are asked back, even
// where only one of the two would be accepted.
func TestDecimalComma(t *testing.T) {
	for _, m := range []unit.Mark{unit.Point, unit.Comma} {
		_, err := imbalanceCalc().Run(desktest.Typed("cells_V=3,962 3.958"), unit.Style{Mark: m})
		require.ErrorContains(t, err, `"3,962" can mean 3`)
		res, err := imbalanceCalc().Run(desktest.Typed("cells_V=3,96 3971mV 3,95"), unit.Style{Mark: m})
		require.NoError(t, err)
		mean, _ := res.Get("mean_V")
		require.InDelta(t, (3.96+3.971+3.95)/3, mean.Number, 1e-12)
	}
	_, err := cRateCalc().Run(desktest.Typed("batt_A=1,200"), unit.Style{})
	require.EqualError(t, err, `c-rate: batt_A "1,200": "1,200" can mean 1.200 A or 1200 A: type one of these; want 0 to 5000 A`)
}

func TestWrongInput(t *testing.T) {
	for _, tt := range []struct{ calc, in, want string }{
		{"pack-voltage", "chemistry=nickel", `pack-voltage: chemistry "nickel": want one of nmc, nca, lco, lmo, lfp, lto, lead-acid`},
		{"pack-voltage", "cells_series=14.5", `pack-voltage: cells_series "14.5": want a whole number, 1 to 400`},
		{"pack-voltage", "cells_series=0", `pack-voltage: cells_series "0": want 1 to 400`},
		{"pack-voltage", "cell_V_max=2.9", `pack-voltage: cell_V_max "2.9": want more than the discharge stop of the cell`},
		{"pack-voltage", "cell_V_min=4.3", `pack-voltage: cell_V_min "4.3": want less than the highest voltage of the cell`},
		{"pack-voltage", "cell_V_min=2.4", `pack-voltage: cell_V_min "2.4": want at least the absolute minimum of the cell in the chemistry table`},
		{"pack-voltage", "cell_V_nom=4.5", `pack-voltage: cell_V_nom "4.5": want a voltage between the lowest and the highest of the cell`},
		{"pack-voltage", "cell_V_charge=4.25", `pack-voltage: cell_V_charge "4.25": want more than the discharge stop and at most the highest voltage of the cell`},
		{"pack-energy", "cell_V_nom=3.7 Ah", `pack-energy: cell_V_nom "3.7 Ah": "3.7 Ah" where a voltage in V is wanted; want 0.5 to 5 V`},
		{"c-rate", "", `c-rate: batt_A is missing: want 0 to 5000 A`},
		{"c-rate-current", "c_rate=-1", `c-rate-current: c_rate "-1": want 0 to 100`},
		{"charge-time", "soc_from=90; soc_to=80", `charge-time: soc_to "80": want more than soc_from`},
		{"charge-time", "charge_eff=88", `charge-time: charge_eff "88": want 0.3 to 1`},
		{"charge-time-current", "charger_A=0", `charge-time-current: charger_A "0": want 0.01 to 1000 A`},
		{"dc-resistance", "v1_V=4; i1_A=2; v2_V=3.9; i2_A=2", `dc-resistance: i2_A "2": want more than i1_A, both as discharge currents`},
		{"dc-resistance", "v1_V=4; i1_A=2; v2_V=4.1; i2_A=3", `dc-resistance: v2_V "4.1": want at most v1_V: the voltage falls under the higher current`},
		{"dc-resistance-load", "open_V=4; load_V=4.1; load_ohm=4", `dc-resistance-load: load_V "4.1": want at most open_V`},
		{"pack-resistance", "cells_parallel=2.5", `pack-resistance: cells_parallel "2.5": want a whole number, 1 to 500`},
		{"group-current-share", "cells_mohm=1.2 0", `group-current-share: cells_mohm "0": want numbers from 0.001 to 10000 mohm, separated by spaces`},
		{"peukert-time", "capacity_Ah=100; load_A=5; peukert_k=0.9", `peukert-time: peukert_k "0.9": want 1 to 2`},
		{"peukert-exponent", "i1_A=5; t1_h=20; i2_A=5; t2_h=7", `peukert-exponent: i2_A "5": want another current than i1_A`},
		{"cell-ocv", "soc=101", `cell-ocv: soc "101": want 0 to 100 %`},
		{"soc-from-voltage", "rested_V=12.4", `soc-from-voltage: rested_V "12.4": want the voltage of one cell, 1 to 5 V`},
		{"soc-from-voltage", "battery=lead-acid; rested_V=2.1", `soc-from-voltage: rested_V "2.1": want the voltage of a 12 V battery, 9 to 16 V`},
		{"self-discharge", "months=six", `self-discharge: months "six": "six" is not a number, want one such as 84.3; want 0 to 600`},
		{"rest-drop", "first_V=4; last_V=4; rest_d=0", `rest-drop: rest_d "0": want 0.5 to 1000 d`},
		{"capacity-fade", "cycles=-5", `capacity-fade: cycles "-5": want 0 to 100000`},
		{"cell-imbalance", "cells_V=3.9", `cell-imbalance: cells_V "3.9": want at least two`},
		{"dcdc-input", "", `dcdc-input: lv_load_W is missing: want the load in W, or in A as lv_load_A`},
		{"dcdc-input", "lv_load_W=5; lv_load_A=5", `dcdc-input: lv_load_A "5": want the load in W or in A, not both`},
		{"12v-budget", "", `12v-budget: loads_W is missing: want numbers from 0 to 5000 W, separated by spaces`},
		{"accessory-energy", "accessory_W=60; cruise_kmh=0", `accessory-energy: cruise_kmh "0": want 1 to 300 km/h`},
		{"wall-energy", "elec_cents_kWh=-1", `wall-energy: elec_cents_kWh "-1": want 0 to 10000 cents/kWh`},
		{"distance-cost", "wh_km=40; petrol_l_100km=3", `distance-cost: petrol_cents_l is missing: want the petrol price with petrol_l_100km`},
		{"distance-cost", "wh_km=40; petrol_cents_l=180", `distance-cost: petrol_l_100km is missing: want the petrol taken with petrol_cents_l`},
		{"distance-cost", "wh_km=40; net_spend_cents=400000", `distance-cost: net_spend_cents "400000": want petrol_l_100km and petrol_cents_l with it`},
	} {
		_, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.EqualError(t, err, tt.want)
	}
}

// What lies outside a formula is said beside the result.
func TestNotes(t *testing.T) {
	for _, tt := range []struct{ calc, in, want string }{
		{"pack-energy", "pack_Ah_design=53", "the weakest group is given more than its cells have when new"},
		{"charge-time", "soc_taper=100", "without the taper the time to full comes out too short"},
		{"charge-time", "charger_W=5 kW", "shorter than the yardstick: at 0.7 to 1 C a lithium cell takes about 3 h to full"},
		{"charge-time-current", "charger_A=20", "charges at more than 0.3 C: the taper takes longer than a tenth, use charge-time"},
		{"peukert-time", "capacity_Ah=100; load_A=2", "below the rated current the formula promises more than the rated capacity: do not count on it"},
		{"peukert-exponent", "i1_A=5; t1_h=20; i2_A=10; t2_h=11", "below 1: the higher current gave more ampere-hours; measure again at one temperature"},
		{"pack-resistance", "cell_ir_ref_mohm=100", "the sag is more than the whole voltage: the pack cannot give this current"},
		{"soc-from-voltage", "battery=polymer; rested_V=4.3", "above 4.20 V, the full charge of these chemistries: stop charging and find out why"},
		{"soc-from-voltage", "battery=lead-acid; rested_V=11", "below the end of the curve: empty; do not charge an over-discharged cell without the maker's word"},
		{"soc-from-voltage", "battery=lfp; rested_V=3.3", "charge to the top and count ampere-hours from there"},
		{"rest-drop", "first_V=4; last_V=4.01; rest_d=7", "the voltage rose: the cell had not rested, or was warmer"},
		{"capacity-fade", "cycles=1200", "past the end of life: from there cells often fall faster than a straight line"},
		{"distance-cost", "wh_km=500; petrol_l_100km=1; petrol_cents_l=100; net_spend_cents=1", "electricity is not cheaper here: fuel never earns the build back"},
	} {
		res, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.NoError(t, err)
		require.Contains(t, res.Notes, tt.want, tt.calc)
	}
}
