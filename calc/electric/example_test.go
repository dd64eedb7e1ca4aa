package electric_test

import (
	"ampwright/calc/desk/desktest"
	"ampwright/calc/electric"
)

func Example_awgSize() {
	desktest.Show(electric.Calcs(), "awg-size", "wire=2/0 AWG")
	// Output:
	// n = gauge number of wire = gauge number of 2/0 AWG = -1
	// diameter_in = 0.005 * 92^((36 - n) / 39) = 0.005 * 92^((36 - (-1)) / 39) = 0.364797 in
	// diameter_mm = 25.4 * diameter_in = 25.4 * 0.364797 in = 9.26583 mm
	// area_mm2 = pi / 4 * diameter_mm^2 = pi / 4 * (9.26583 mm)^2 = 67.4309 mm²
	// circular_mils = (1000 * diameter_in)^2 = (1000 * 0.364797 in)^2 = 133077
	// cable_mohm_per_m = 1000 / 58 / area_mm2 = 1000 / 58 / 67.4309 mm² = 0.25569 mohm/m
	// ohm_per_1000ft = cable_mohm_per_m * 304.8 / 1000 = 0.25569 mohm/m * 304.8 / 1000 = 0.0779342 ohm/1000 ft
}

func Example_wireResistance() {
	desktest.Show(electric.Calcs(), "wire-resistance", "wire=25 mm2; conductor_C=90")
	// Output:
	// wire_mohm_per_m = IEC 60228 class 5, largest for wire = IEC 60228 class 5, largest for 25 mm2 = 0.78 mohm/m
	// cable_mohm_per_m = wire_mohm_per_m = 0.78 mohm/m = 0.78 mohm/m
	// ohm_per_1000ft = cable_mohm_per_m * 304.8 / 1000 = 0.78 mohm/m * 304.8 / 1000 = 0.237744 ohm/1000 ft
	// temp_factor = 1 + 0.00393 * (conductor_C - 20) = 1 + 0.00393 * (90 °C - 20) = 1.2751
	// hot_mohm_per_m = cable_mohm_per_m * temp_factor = 0.78 mohm/m * 1.2751 = 0.994578 mohm/m
	// hot_ohm_per_1000ft = hot_mohm_per_m * 304.8 / 1000 = 0.994578 mohm/m * 304.8 / 1000 = 0.303147 ohm/1000 ft
	// rho_hot = 1 / 58 * temp_factor = 1 / 58 * 1.2751 = 0.0219845 ohm·mm²/m
}

func Example_voltageDrop() {
	desktest.Show(electric.Calcs(), "voltage-drop", "batt_cont_A=150; cable_one_way_m=1.2; wire=25 mm2; pack_nom_V=72")
	// Output:
	// cable_loop_m = 2 * cable_one_way_m = 2 * 1.2 m = 2.4 m
	// wire_mohm_per_m = IEC 60228 class 5, largest for wire = IEC 60228 class 5, largest for 25 mm2 = 0.78 mohm/m
	// cable_mohm_per_m = wire_mohm_per_m = 0.78 mohm/m = 0.78 mohm/m
	// temp_factor = 1 + 0.00393 * (conductor_C - 20) = 1 + 0.00393 * (20 °C - 20) = 1
	// loop_ohm = cable_loop_m * cable_mohm_per_m * temp_factor / 1000 = 2.4 m * 0.78 mohm/m * 1 / 1000 = 0.001872 ohm
	// cable_drop_V = batt_cont_A * loop_ohm = 150 A * 0.001872 ohm = 0.2808 V
	// drop_percent = 100 * cable_drop_V / pack_nom_V = 100 * 0.2808 V / 72 V = 0.39 %
	// cable_loss_W = cable_drop_V * batt_cont_A = 0.2808 V * 150 A = 42.12 W
}

func Example_ambientCorrection() {
	desktest.Show(electric.Calcs(), "ambient-correction", "insulation_C=75; ambient_C=43")
	// Output:
	// factor = sqrt((insulation_C - ambient_C) / (insulation_C - base_C)) = sqrt((75 °C - 43 °C) / (75 °C - 40)) = 0.956183
	// band_C = upper end of the band of ambient_C = upper end of the band of 43 °C = 45 °C
	// factor_table = sqrt((insulation_C - band_C) / (insulation_C - base_C)), two decimals = sqrt((75 °C - 45 °C) / (75 °C - 40)), two decimals = 0.93
}

func Example_ampacityBuilding() {
	desktest.Show(electric.Calcs(), "ampacity-building", "wire=12 AWG; ambient_C=40; conductors=6")
	// Output:
	// table_A = table 310.16, wire, insulation_C = table 310.16, 12 AWG, 75 = 25 A
	// band_C = upper end of the band of ambient_C = upper end of the band of 40 °C = 40 °C
	// ambient_factor = sqrt((insulation_C - band_C) / (insulation_C - 30)), two decimals = sqrt((75 - 40 °C) / (75 - 30)), two decimals = 0.88
	// bundle_factor = table 310.15(C)(1), conductors = table 310.15(C)(1), 6 = 0.8
	// cable_ampacity_A = table_A * ambient_factor * bundle_factor = 25 A * 0.88 * 0.8 = 17.6 A
	// small_fuse_A = 240.4(D), wire = 240.4(D), 12 AWG = 20 A
	// note: the fuse of 12 AWG stays at 20 A or less, whatever the table carries
}

func Example_ampacityBoat() {
	desktest.Show(electric.Calcs(), "ampacity-boat", "wire=4 AWG; place=inside; conductors=5")
	// Output:
	// table_A = 33 CFR 183.425 table 5, wire, insulation_C = 33 CFR 183.425 table 5, 4 AWG, 105 = 160 A
	// place_factor = note 1 of table 5, place = note 1 of table 5, inside = 0.85
	// bundle_factor = note 2 of table 5, conductors = note 2 of table 5, 5 = 0.6
	// cable_ampacity_A = table_A * place_factor * bundle_factor = 160 A * 0.85 * 0.6 = 81.6 A
	// fuse_max_A = 1.5 * cable_ampacity_A = 1.5 * 81.6 A = 122.4 A
}

func Example_fuseChoice() {
	desktest.Show(electric.Calcs(), "fuse-choice", "batt_cont_A=110; cable_ampacity_A=160; pack_max_V=84; fuse_dc_V=125; fuse_breaking_A=2000; pack_mohm=15")
	// Output:
	// fuse_min_A = 1.25 * batt_cont_A = 1.25 * 110 A = 137.5 A
	// fuse_derated_A = batt_cont_A / 0.75 = 110 A / 0.75 = 146.667 A
	// fuse_A = next common rating from fuse_derated_A up = next common rating from 146.667 A up = 150 A
	// fuse_max_A = cable_ampacity_A = 160 A = 160 A
	// fuse_max_step_A = largest common rating up to fuse_max_A = largest common rating up to 160 A = 150 A
	// short_A = 1000 * pack_max_V / pack_mohm = 1000 * 84 V / 15 mohm = 5600 A
	// Rating: holds: 150 A, want 146.7 A to 160 A
	// Voltage: holds: 125 V DC, the pack reaches 84 V
	// Breaking capacity: rejected: breaks 2000 A, a short circuit reaches 5600 A
	// Fuse: rejected
}

func Example_fusePulse() {
	desktest.Show(electric.Calcs(), "fuse-pulse", "shape=half-sine; pulse_A=40; pulse_s=2 ms")
	// Output:
	// i2t_A2s = pulse_A^2 * pulse_s / 2 = (40 A)^2 * 0.002 s / 2 = 1.6 A²s
	// pulse_share = chart 2, pulses = chart 2, 100000 = 0.22
	// melting_min_A2s = i2t_A2s / pulse_share = 1.6 A²s / 0.22 = 7.27273 A²s
}

func Example_precharge() {
	desktest.Show(electric.Calcs(), "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; precharge_pulse_W=800")
	// Output:
	// tau_s = precharge_ohm * controller_cap_uF / 1000000 = 10 ohm * 5000 µF / 1000000 = 0.05 s
	// time_constants = -ln(1 - level) = -ln(1 - 0.95) = 2.99573
	// time_s = tau_s * time_constants = 0.05 s * 2.99573 = 0.149787 s
	// time_95_s = tau_s * -ln(1 - 0.95) = 0.05 s * -ln(1 - 0.95) = 0.149787 s
	// time_99_s = tau_s * -ln(1 - 0.99) = 0.05 s * -ln(1 - 0.99) = 0.230259 s
	// gap_V = pack_max_V * (1 - level) = 84 V * (1 - 0.95) = 4.2 V
	// precharge_peak_A = pack_max_V / precharge_ohm = 84 V / 10 ohm = 8.4 A
	// precharge_peak_W = pack_max_V^2 / precharge_ohm = (84 V)^2 / 10 ohm = 705.6 W
	// precharge_J = 0.5 * controller_cap_uF * pack_max_V^2 / 1000000 = 0.5 * 5000 µF * (84 V)^2 / 1000000 = 17.64 J
	// Resistor: peak power holds; the energy of 17.64 J is not shown
}

func Example_prechargeSize() {
	desktest.Show(electric.Calcs(), "precharge-size", "time_s=0.5; controller_cap_uF=2 mF; pack_max_V=84")
	// Output:
	// tau_s = time_s / time_constants = 0.5 s / 5 = 0.1 s
	// level = 1 - e^(-time_constants) = 1 - e^(-5) = 0.993262
	// precharge_ohm = 1000000 * tau_s / controller_cap_uF = 1000000 * 0.1 s / 2000 µF = 50 ohm
	// precharge_peak_A = pack_max_V / precharge_ohm = 84 V / 50 ohm = 1.68 A
	// precharge_peak_W = pack_max_V^2 / precharge_ohm = (84 V)^2 / 50 ohm = 141.12 W
	// precharge_J = 0.5 * controller_cap_uF * pack_max_V^2 / 1000000 = 0.5 * 2000 µF * (84 V)^2 / 1000000 = 7.056 J
}

func Example_isolationMin() {
	desktest.Show(electric.Calcs(), "isolation-min", "pack_max_V=84; iso_reading_ohm=30k")
	// Output:
	// iso_min_ohm = 500 * pack_max_V = 500 * 84 V = 42000 ohm
	// test_min_V = pack_max_V / 2 = 84 V / 2 = 42 V
	// test_iso6469_V = pack_max_V = 84 V = 84 V
	// ohm_per_V = iso_reading_ohm / pack_max_V = 30000 ohm / 84 V = 357.143 ohm/V
	// High voltage: yes: over 60 V DC
	// Reading: fails: 357.1 ohm/V, want 500 ohm/V or more
	// note: 500 ohm/V fails, 100 ohm/V would hold: that takes double insulation or housings on every AC part
}

func Example_isolationLive() {
	desktest.Show(electric.Calcs(), "isolation-live", "pack_V=84; neg_V=4; pos_V=80; r0_ohm=42k; with_r0_V=37.4920")
	// Output:
	// iso_ohm = r0_ohm * pack_V * (1 / with_r0_V - 1 / pos_V) = 42000 ohm * 84 V * (1 / 37.492 V - 1 / 80 V) = 50000.1 ohm
	// ohm_per_V = iso_ohm / pack_V = 50000.1 ohm / 84 V = 595.239 ohm/V
	// leak_neg_ohm = iso_ohm = 50000.1 ohm = 50000.1 ohm
	// leak_pos_ohm = 1 / ((pack_V / pos_V - 1) / iso_ohm) = 1 / ((84 V / 80 V - 1) / 50000.1 ohm) = 1000001 ohm
	// iso_571_ohm = r0_ohm * (1 + neg_V / pos_V) * (pos_V - with_r0_V) / with_r0_V = 42000 ohm * (1 + 4 V / 80 V) * (80 V - 37.492 V) / 37.492 V = 50000.1 ohm
	// iso_min_ohm = 500 * pack_V = 500 * 84 V = 42000 ohm
	// Weaker pole: negative
	// Isolation: holds: 595.2 ohm/V, want 500 ohm/V or more
	// note: one pole reads near the full pack voltage to the chassis: the other leaks far more; open the disconnect and find the branch
}

func Example_bondResistance() {
	desktest.Show(electric.Calcs(), "bond-resistance", "test_A=5; drop_V=0.60")
	// Output:
	// bond_ohm = drop_V / test_A = 0.6 V / 5 A = 0.12 ohm
	// Bond: fails: 120 mohm, want less than 100 mohm
}

func Example_busDischarge() {
	desktest.Show(electric.Calcs(), "bus-discharge", "pack_max_V=84; controller_cap_uF=10000; bleed_ohm=1k")
	// Output:
	// bleed_max_ohm = 1000000 * limit_s / (controller_cap_uF * ln(pack_max_V / end_V)) = 1000000 * 5 s / (10000 µF * ln(84 V / 60 V)) = 1486.01 ohm
	// tau_s = bleed_ohm * controller_cap_uF / 1000000 = 1000 ohm * 10000 µF / 1000000 = 10 s
	// discharge_s = tau_s * ln(pack_max_V / end_V), not below 0 = 10 s * ln(84 V / 60 V), not below 0 = 3.36472 s
	// bleed_W = pack_max_V^2 / bleed_ohm = (84 V)^2 / 1000 ohm = 7.056 W
	// full_J = 0.5 * controller_cap_uF * pack_max_V^2 / 1000000 = 0.5 * 10000 µF * (84 V)^2 / 1000000 = 35.28 J
	// left_J = 0.5 * controller_cap_uF * end_V^2 / 1000000 = 0.5 * 10000 µF * (60 V)^2 / 1000000 = 18 J
	// cap_max_uF = 2000000 * limit_J / end_V^2 = 2000000 * 0.2 J / (60 V)^2 = 111.111 µF
	// Discharge: holds: 3.365 s to 60 V, want 5 s at most
}

func Example_insulationTest() {
	desktest.Show(electric.Calcs(), "insulation-test", "nominal_V=230; reading_ohm=0.8M; test_V=500")
	// Output:
	// least_ohm = table 6.1, circuit, nominal_V = table 6.1, installation, 230 V = 1000000 ohm
	// test_want_V = table 6.1, circuit, nominal_V = table 6.1, installation, 230 V = 500 V
	// Test: fails: 0.8 Mohm, want 1 Mohm or more
}

func Example_throttleSignal() {
	desktest.Show(electric.Calcs(), "throttle-signal", "signal_V=2.25")
	// Output:
	// throttle_percent = 100 * (signal_V - throttle_rest_V) / (throttle_full_V - throttle_rest_V), held to 0 and 100 = 100 * (2.25 V - 0.9 V) / (3.6 V - 0.9 V), held to 0 and 100 = 50 %
	// Signal: drive
}

func Example_hallStates() {
	desktest.Show(electric.Calcs(), "hall-states", "states=101 100 110 010 011 001")
	// Output:
	// spacing_deg = from the two patterns left out = 120 °
	// Pattern: valid 120 degrees
	// Sensors: holds
}

func Example_weldedContactor() {
	desktest.Show(electric.Calcs(), "welded-contactor", "bus_V=84; bleed_ohm=1486; controller_cap_uF=10000; after_s=5; reading_V=83")
	// Output:
	// tau_s = bleed_ohm * controller_cap_uF / 1000000 = 1486 ohm * 10000 µF / 1000000 = 14.86 s
	// expected_V = bus_V * e^(-after_s / tau_s) = 84 V * e^(-5 s / 14.86 s) = 59.9999 V
	// high_V = bus_V * e^(-after_s / (tau_s * (1 + rc_tolerance))) = 84 V * e^(-5 s / (14.86 s * (1 + 0.25))) = 64.1765 V
	// low_V = bus_V * e^(-after_s / (tau_s * (1 - rc_tolerance))) = 84 V * e^(-5 s / (14.86 s * (1 - 0.25))) = 53.6341 V
	// Contactor: fails: 83 V read, 60 V expected: welded contact or no bleed
}

func Example_ipCode() {
	desktest.Show(electric.Calcs(), "ip-code", "code=IP67")
	// Output:
	// Access of people to live parts: wire (1.0 mm)
	// Objects and dust: dust-tight
	// Water: short immersion (1 m, 30 min)
	// In short: dust-tight; short immersion (1 m, 30 min); jets not shown
}

// UN R100: 500 ohm for each volt, here 74 V; by hand 74² / 37000.
func Example_isolationResistor() {
	desktest.Show(electric.Calcs(), "isolation-resistor", "pack_nom_V=74")
	// Output:
	// r0_ohm = 500 * pack_nom_V = 500 * 74 V = 37000 ohm
	// r0_least_ohm = 0.8 * r0_ohm = 0.8 * 37000 ohm = 29600 ohm
	// r0_most_ohm = 1.2 * r0_ohm = 1.2 * 37000 ohm = 44400 ohm
	// r0_W = pack_nom_V^2 / r0_ohm = (74 V)^2 / 37000 ohm = 0.148 W
}

func Example_busbarSection() {
	desktest.Show(electric.Calcs(), "busbar-section", "batt_cont_A=70")
	// Output:
	// busbar_min_mm2 = batt_cont_A / busbar_A_mm2 = 70 A / 3 A/mm² = 23.3333 mm²
}
