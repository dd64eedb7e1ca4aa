package electric

import (
	"strings"
	"testing"

	"ampwright/calc/desk/desktest"

	"github.com/stretchr/testify/require"
)

func TestWrongInput(t *testing.T) {
	for _, tt := range []struct{ calc, in, want string }{
		{"awg-size", "wire=41", `wire "41": want a gauge from 4/0 to 40`},
		{"wire-resistance", "wire=10", `wire "10": want a gauge from 4/0 AWG to 40 AWG or an area`},
		{"wire-resistance", "wire=10 AWG; conductor_C=300", `conductor_C "300": want -50 to 250 °C`},
		{"voltage-drop", "batt_cont_A=10; wire=10 AWG", "cable_one_way_m is missing: want the length one way, or cable_loop_m"},
		{"voltage-drop", "batt_cont_A=10; wire=10 AWG; cable_one_way_m=1; cable_loop_m=2", "not both"},
		{"voltage-drop", "batt_cont_A=10; cable_one_way_m=1", "wire is missing: want a gauge"},
		{"voltage-drop", "batt_cont_A=10; cable_one_way_m=1; wire=10 AWG; cable_mohm_per_m=3", "give wire or cable_mohm_per_m"},
		{"voltage-drop", "batt_cont_A=-1; cable_one_way_m=1; wire=10 AWG", `batt_cont_A "-1": want 0.001 to 5000 A`},
		{"ambient-correction", "insulation_C=60; ambient_C=60", `ambient_C "60": want less than insulation_C`},
		{"ampacity-building", "wire=20 AWG", "want a gauge of the table, from 18 AWG to 4/0 AWG"},
		{"ampacity-building", "wire=16 AWG; insulation_C=60", "this insulation has no value for 16 AWG"},
		{"ampacity-building", "wire=10 AWG; insulation_C=60; ambient_C=57", "want at most 55 °C"},
		{"ampacity-building", "wire=10 AWG; conductors=2.5", `conductors "2.5": want a whole number`},
		{"ampacity-boat", "wire=10 AWG; insulation_C=100", `insulation_C "100": want one of 60, 75, 80`},
		{"fuse-choice", "batt_cont_A=10; short_A=100; pack_mohm=10", "give pack_mohm or short_A, not both"},
		{"fuse-pulse", "pulse_A=10; pulse_s=1; base_A=20; shape=trapezoid", `base_A "20": want at most pulse_A`},
		{"fuse-pulse", "pulse_A=10; pulse_s=1; base_A=5", `base_A "5": is asked for with the trapezoid only`},
		{"fuse-pulse", "pulse_A=10; pulse_s=1; pulses=200000", `pulses "200000": want 1 to 100000`},
		{"precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; level=1", `level "1": want 0.01 to 0.999999`},
		{"precharge", "pack_max_V=84; controller_cap_uF=5000", "precharge_ohm is missing"},
		{"precharge-size", "time_s=1", "want controller_cap_uF or precharge_ohm, one of the two"},
		{"isolation-min", "pack_max_V=84 A", `"84 A" where a voltage in V is wanted`},
		{"isolation-live", "pack_V=84; neg_V=90; pos_V=1; r0_ohm=42k; with_r0_V=10", `neg_V "90": want at most pack_V`},
		{"isolation-live", "pack_V=84; neg_V=1; pos_V=90; r0_ohm=42k; with_r0_V=10", `pos_V "90": want at most pack_V`},
		{"isolation-live", "pack_V=84; neg_V=60; pos_V=20; r0_ohm=42k; with_r0_V=60", `with_r0_V "60": want less than neg_V`},
		{"bond-resistance", "drop_V=1", "test_A is missing"},
		{"insulation-test", "nominal_V=72; circuit=selv-pelv", "want at most 50 V for selv-pelv"},
		{"throttle-signal", "signal_V=1; throttle_rest_V=2; throttle_full_V=2", "want more than throttle_rest_V"},
		{"throttle-signal", "signal_V=1; fault_low_V=1", "want at most throttle_rest_V"},
		{"throttle-signal", "signal_V=1; fault_high_V=3", "want at least throttle_full_V"},
		{"hall-states", "states=12", `states "12": want states of three digits`},
		{"ip-code", "code=IP99", `code "IP99": want IP`},
		{"ip-code", "kode=IP99", "is not asked for; the inputs are code"},
	} {
		_, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.ErrorContains(t, err, tt.want, "%s %s", tt.calc, tt.in)
	}
}

// What is outside a formula's validity is said beside the result.
func TestNotes(t *testing.T) {
	for _, tt := range []struct{ calc, in, want string }{
		{"wire-resistance", "wire=1.3 mm2", "no size of IEC 60228 class 5"},
		{"voltage-drop", "batt_cont_A=1000; cable_one_way_m=100; wire=20 AWG; pack_nom_V=12", "this current cannot flow"},
		{"ambient-correction", "insulation_C=60; ambient_C=57", "the tables end below this temperature"},
		{"ambient-correction", "insulation_C=125; ambient_C=85", "wider bands"},
		{"ampacity-building", "wire=10 AWG", "stays at 30 A or less"},
		{"ampacity-boat", "wire=25 mm2", "taken as 4 AWG"},
		{"ampacity-boat", "wire=300 mm2", "taken as 4/0 AWG"},
		{"fuse-choice", "batt_cont_A=300", "above the list of common ratings"},
		{"fuse-choice", "batt_cont_A=40; fuse_rating_A=50; cable_ampacity_A=80", "1.25 x the load, not the 25 % derating"},
		{"precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; level=0.8", "below 90 %"},
		{"isolation-min", "pack_max_V=58.4", "test anyway"},
		{"isolation-min", "pack_max_V=84; iso_reading_ohm=30k", "100 ohm/V would hold"},
		{"isolation-live", "pack_V=84; neg_V=60; pos_V=24; r0_ohm=4.2k; with_r0_V=10", "R0 is 50 ohm/V"},
		{"isolation-live", "pack_V=84; neg_V=60; pos_V=40; r0_ohm=42k; with_r0_V=10", "they cannot be more than it"},
		{"isolation-live", "pack_V=84; neg_V=50; pos_V=20; r0_ohm=42k; with_r0_V=10", "the meter loads the bus"},
		{"isolation-live", "pack_V=84; neg_V=50; pos_V=20; r0_ohm=42k; with_r0_V=10; meter_ohm=1M", "10 Mohm or more"},
		{"isolation-live", "pack_V=84; neg_V=84; pos_V=0; r0_ohm=42k; with_r0_V=10", "too large to be found"},
		{"isolation-live", "pack_V=84; neg_V=83; pos_V=1; r0_ohm=42k; with_r0_V=10", "near the full pack voltage"},
		{"bus-discharge", "pack_max_V=50; controller_cap_uF=1000; bleed_ohm=1k", "never above end_V"},
		{"insulation-test", "nominal_V=230; reading_ohm=5M; test_V=1000", "more than the 500 V"},
		{"throttle-signal", "signal_V=1; throttle_rest_V=0; throttle_full_V=4.6", "looks like rest"},
		{"welded-contactor", "bus_V=84; bleed_ohm=100k; controller_cap_uF=5000; after_s=5", "wait longer"},
	} {
		res, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.NoError(t, err, "%s %s", tt.calc, tt.in)
		require.Contains(t, strings.Join(res.Notes, "\n"), tt.want, "%s %s", tt.calc, tt.in)
	}
}

// The answers in words, one each; what is wanted is said in the sentence.
func TestVerdicts(t *testing.T) {
	pack := "batt_cont_A=40; cable_ampacity_A=80; pack_max_V=84; fuse_dc_V=125; fuse_breaking_A=10000; pack_mohm=15"
	for _, tt := range []struct{ calc, in, out, want string }{
		{"fuse-choice", pack, "verdict", "all three tests hold"},
		{"fuse-choice", pack, "rating_verdict", "holds: 60 A, want 53.33 A to 80 A"},
		// By hand: 84 V over 15 mohm is 5600 A.
		{"fuse-choice", pack, "breaking_verdict", "holds: breaks 10000 A, a short circuit reaches 5600 A"},
		{"fuse-choice", "batt_cont_A=40; fuse_breaking_A=2000; short_A=5600", "breaking_verdict", "rejected: breaks 2000 A, a short circuit reaches 5600 A"},
		{"fuse-choice", "batt_cont_A=40", "verdict", "not shown: all three tests must hold"},
		{"fuse-choice", "batt_cont_A=40; cable_ampacity_A=50", "rating_verdict", "rejected: the cable allows 50 A, the load wants 53.33 A or more: a thicker cable"},
		{"fuse-choice", "batt_cont_A=40; cable_ampacity_A=55", "rating_verdict", "rejected: 60 A, the cable allows 55 A at most"},
		{"fuse-choice", "batt_cont_A=400", "rating_verdict", "not shown: want fuse_rating_A"},
		{"fuse-choice", "batt_cont_A=400; fuse_rating_A=600; cable_ampacity_A=700", "rating_verdict", "holds: 600 A, want 533.3 A to 700 A"},
		{"fuse-pulse", "shape=half-sine; pulse_A=40; pulse_s=2 ms; fuse_melting_A2s=7", "verdict", "rejected: melts at 7 A²s, want 7.273 A²s or more"},
		{"fuse-pulse", "shape=half-sine; pulse_A=40; pulse_s=2 ms; fuse_melting_A2s=8", "verdict", "holds: melts at 8 A²s, want 7.273 A²s or more"},
		{"precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; precharge_pulse_W=500", "pulse_verdict", "rejected: rated 500 W for the pulse, it takes 705.6 W"},
		{"precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; precharge_pulse_W=800", "pulse_verdict", "peak power holds; the energy of 17.64 J is not shown"},
		{"precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; precharge_pulse_J=10", "pulse_verdict", "rejected: rated 10 J for the pulse, it takes 17.64 J"},
		{"precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; precharge_pulse_J=20", "pulse_verdict", "energy holds; the peak power of 705.6 W is not shown"},
		{"precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; precharge_pulse_J=20; precharge_pulse_W=800", "pulse_verdict", "peak power and energy hold"},
		{"isolation-min", "pack_max_V=84; bus=inlet; iso_reading_ohm=0.9M", "verdict", "fails: 900 kohm, want 1.00 Mohm or more"},
		{"isolation-min", "pack_max_V=48; bus=ac", "high_voltage", "yes: over 30 V AC rms"},
		{"isolation-live", "pack_V=84; neg_V=42; pos_V=42; r0_ohm=42k; with_r0_V=10", "weak_pole", "neither: both leak alike"},
		{"bus-discharge", "pack_max_V=84; controller_cap_uF=10000; bleed_ohm=1k", "verdict", "holds: 3.365 s to 60 V, want 5 s at most"},
		{"bus-discharge", "pack_max_V=84; controller_cap_uF=10000; bleed_ohm=2k", "verdict", "fails: 6.729 s to 60 V, want 5 s at most"},
		{"insulation-test", "nominal_V=690; reading_ohm=2M; test_V=500", "verdict", "not a valid test: made at 500 V, want 1000 V"},
		{"insulation-test", "nominal_V=230; reading_ohm=2M", "verdict", "not shown: want the test voltage, 500 V or more"},
		{"throttle-signal", "signal_V=0.2", "state", "fault: below 0.5 V, no drive"},
		{"throttle-signal", "signal_V=0.7", "state", "rest"},
		{"throttle-signal", "signal_V=3.8", "state", "full drive"},
		{"throttle-signal", "signal_V=2", "state", "drive"},
		{"hall-states", "states=101 100 110 010 011 001", "verdict", "holds"},
		{"hall-states", "states=101 100 110 010 011 001; expected=60", "verdict", "fails: 120 degree sensors, the controller is set to 60"},
		{"hall-states", "states=101 100 100 110", "verdict", "not shown: 3 of 6 states seen"},
		{"hall-states", "states=101 110", "verdict", "fails: 101 to 110: 2 sensors change at once, a state was missed or a sensor fails"},
		{"hall-states", "states=101 100 110 111 101 100", "pattern", "not 120 degrees: 000 or 111 means 60 degree spacing, lost supply or a broken wire; only 4 different states come round: sensor 1 never changes"},
		{"welded-contactor", "bus_V=84; bleed_ohm=1486; controller_cap_uF=10000; after_s=5; reading_V=60", "verdict", "falls: 60 V read, 60 V expected"},
		{"welded-contactor", "bus_V=84; bleed_ohm=1486; controller_cap_uF=10000; after_s=5; reading_V=72", "verdict", "fails: 72 V read, 60 V expected: falls too slowly, something feeds the bus or the bleed is weak"},
		{"welded-contactor", "bus_V=84; bleed_ohm=1486; controller_cap_uF=10000; after_s=5; reading_V=20", "verdict", "falls: 20 V read, 60 V expected: faster than the bleed says, another load is on the bus"},
		{"welded-contactor", "bus_V=84; bleed_ohm=100k; controller_cap_uF=5000; after_s=5; reading_V=83", "verdict", "not shown: 83 V read, 83.16 V expected, too soon to tell"},
	} {
		res, err := desktest.Run(Calcs(), tt.calc, tt.in)
		require.NoError(t, err, "%s %s", tt.calc, tt.in)
		got, ok := res.Get(tt.out)
		require.True(t, ok, tt.out)
		require.Equal(t, tt.want, got.Text, "%s %s", tt.calc, tt.in)
	}
}
