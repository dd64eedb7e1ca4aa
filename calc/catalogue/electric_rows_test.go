package catalogue

// The published prints behind the sections on wire, fuses, pre-charge, high
// voltage and commissioning.
const (
	srcAWG     = "ASTM B258 sizes in two published tables, 20 °C (R)"
	srcCu      = "IEC 60028:1925 (R)"
	srcChart   = "a trade chart of wire resistance at 65 °C (R)"
	srcClass5  = "IEC 60228 class 5, plain, reproduced (R)"
	srcDrop1   = "a course in electrical calculation, lesson 135 (R)"
	srcDrop2   = "an engineering handbook's page on voltage drop (R)"
	srcDrop3   = "a published page on voltage drop in DC circuits (R)"
	srcDrop4   = "a published example of wiring loss (R)"
	srcNEC     = "NFPA 70 table 310.16, reproduced (R)"
	srcNEC17   = "NFPA 70 table 310.17 (M)"
	srcNECF    = "NFPA 70 table 310.15(B)(2)(b), 40 °C base, reproduced (R)"
	srcCFR     = "33 CFR 183.425 and ABYC E-11 (R)"
	srcABYC    = "33 CFR 183.425 (R), 150 % rule of ABYC E-11 (M)"
	srcEDN     = "EDN, the fuse-selection checklist, 26 September 1996 (R), worked (D)"
	srcISO8820 = "ISO 8820-3:2015, scope (R), worked (D)"
	srcI2t     = "a fuse maker's guide, charts 1 and 2 (R), worked (D)"
	srcPre1    = "TI TIDUF73, 2.2.1 (R)"
	srcPre2    = "a resistor maker's published example (R)"
	srcPre3    = "a published text on pre-charge resistors (R)"
	srcPre4    = "a relay maker's published definitions (R)"
	srcD       = "worked from the formula (D)"
	srcR100    = "UN R100 (R), worked (D)"
	src571     = "49 CFR 571.305 (M), worked (D)"
	srcIEC6036 = "IEC 60364-6 table 6.1, current edition (R)"
	srcHall    = "a published text on latching hall sensors (R), 60 degrees (M)"
	srcIP      = "IEC 60529 (R)"
)

func electricRows() []row {
	all := []row{
		// 2a. Tolerance: one in the last digit printed.
		{"2a1", "awg-size", "wire=4/0 AWG", "diameter_in", 0.4600, 0.0001, srcAWG, ""},
		{"2a1", "awg-size", "wire=0000", "area_mm2", 107, 1, srcAWG, ""},
		{"2a1", "awg-size", "wire=4/0", "ohm_per_1000ft", 0.04901, 0.00001, srcAWG, ""},
		{"2a2", "awg-size", "wire=2 AWG", "diameter_in", 0.2576, 0.0001, srcAWG, ""},
		{"2a2", "awg-size", "wire=AWG 2", "area_mm2", 33.6, 0.1, srcAWG, ""},
		{"2a2", "awg-size", "wire=2", "ohm_per_1000ft", 0.1563, 0.0001, srcAWG, ""},
		{"2a3", "awg-size", "wire=6", "diameter_in", 0.1620, 0.0001, srcAWG, ""},
		{"2a3", "awg-size", "wire=6", "area_mm2", 13.3, 0.1, srcAWG, ""},
		{"2a3", "awg-size", "wire=6", "ohm_per_1000ft", 0.3951, 0.0001, srcAWG, ""},
		{"2a4", "awg-size", "wire=10", "diameter_in", 0.1019, 0.0001, srcAWG, ""},
		{"2a4", "awg-size", "wire=10", "area_mm2", 5.26, 0.01, srcAWG, ""},
		{"2a4", "awg-size", "wire=10", "ohm_per_1000ft", 0.9989, 0.0001, srcAWG, ""},
		{"2a5", "awg-size", "wire=12", "diameter_in", 0.0808, 0.0001, srcAWG, ""},
		{"2a5", "awg-size", "wire=12", "area_mm2", 3.31, 0.01, srcAWG, ""},
		{"2a5", "awg-size", "wire=12", "ohm_per_1000ft", 1.588, 0.001, srcAWG, ""},
		{"2a6", "awg-size", "wire=16", "diameter_in", 0.0508, 0.0001, srcAWG, ""},
		{"2a6", "awg-size", "wire=16", "area_mm2", 1.31, 0.01, srcAWG, ""},
		{"2a6", "awg-size", "wire=16", "ohm_per_1000ft", 4.016, 0.001, srcAWG, ""},
		{"2a7", "awg-size", "wire=20", "diameter_in", 0.0320, 0.0001, srcAWG, ""},
		{"2a7", "awg-size", "wire=20", "area_mm2", 0.518, 0.001, srcAWG, ""},
		{"2a7", "awg-size", "wire=20", "ohm_per_1000ft", 10.15, 0.01, srcAWG, ""},
		// One trade chart prints these resistances as those of 25 °C: they are 20 °C values.
		{"2a8", "awg-size", "wire=14", "diameter_in", 0.0641, 0.0001, srcAWG, ""},
		{"2a8", "awg-size", "wire=14", "area_mm2", 2.08, 0.01, srcAWG, ""},
		{"2a8", "awg-size", "wire=14", "ohm_per_1000ft", 2.525, 0.001, srcAWG, ""},
		// 1/58, printed with six decimals.
		{"2a9", "wire-resistance", "wire=10 AWG; conductor_C=20", "rho_hot", 0.017241, 0.0000005, srcCu, ""},
		{"2a9", "wire-resistance", "wire=10 AWG; conductor_C=21", "temp_factor", 1.00393, 1e-12, srcCu, ""},

		{"2b1", "wire-resistance", "wire=10 AWG; conductor_C=90", "temp_factor", 1.2751, 0.0005 * 1.2751, srcCu + " (D)", ""},
		{"2b2", "wire-resistance", "wire=10 AWG; conductor_C=65", "hot_ohm_per_1000ft", 1.175, 0.002 * 1.175, srcChart, ""},
		{"2b3", "wire-resistance", "wire=12 AWG; conductor_C=65", "hot_ohm_per_1000ft", 1.868, 0.002 * 1.868, srcChart, ""},
		{"2b4", "wire-resistance", "wire=10 AWG; conductor_C=50", "temp_factor", 1.1179, 0.0005 * 1.1179, srcD, ""},

		{"2c1", "wire-resistance", "wire=1.5 mm2", "cable_mohm_per_m", 13.3, 0.05, srcClass5, ""},
		{"2c2", "wire-resistance", "wire=4 mm²", "cable_mohm_per_m", 4.95, 0.005, srcClass5, ""},
		{"2c3", "wire-resistance", "wire=10 mm2", "cable_mohm_per_m", 1.91, 0.005, srcClass5, ""},
		{"2c4", "wire-resistance", "wire=25 mm2", "cable_mohm_per_m", 0.780, 0.0005, srcClass5, ""},
		{"2c5", "wire-resistance", "wire=50 mm2", "cable_mohm_per_m", 0.386, 0.0005, srcClass5, ""},
		{"2c6", "wire-resistance", "wire=6 mm2", "cable_mohm_per_m", 3.30, 0.005, srcClass5, ""},
		{"2c7", "wire-resistance", "wire=35 mm2", "cable_mohm_per_m", 0.554, 0.0005, srcClass5, ""},

		{"2d1", "voltage-drop", "batt_cont_A=4; cable_one_way_m=100 ft; cable_mohm_per_m=4.99 ohm/1000 ft; pack_nom_V=24", "cable_drop_V", 4.0, 0.003 * 4, srcDrop1, ""},
		// The print divides the rounded 4.0 V by 24 V and has 16.7 %; 3.992 / 24 is 16.63 %.
		{"2d1", "voltage-drop", "batt_cont_A=4; cable_one_way_m=100 ft; cable_mohm_per_m=4.99 ohm/1000 ft; pack_nom_V=24", "drop_percent", 100 * 3.992 / 24, 0.003 * 16.7, srcDrop1, ""},
		{"2d2", "voltage-drop", "batt_cont_A=10; cable_one_way_m=100 ft; cable_mohm_per_m=1.02 ohm/1000 ft", "loop_ohm", 0.204, 0.000204, srcDrop2, ""},
		{"2d2", "voltage-drop", "batt_cont_A=10; cable_one_way_m=100 ft; cable_mohm_per_m=1.02 ohm/1000 ft", "cable_drop_V", 2.04, 0.00204, srcDrop2, ""},
		{"2d3", "voltage-drop", "batt_cont_A=100; cable_one_way_m=15 ft; cable_mohm_per_m=0.25 ohm/1000 ft; pack_nom_V=12", "cable_drop_V", 0.75, 0.00075, srcDrop3, ""},
		{"2d3", "voltage-drop", "batt_cont_A=100; cable_one_way_m=15 ft; cable_mohm_per_m=0.25 ohm/1000 ft; pack_nom_V=12", "drop_percent", 6.25, 0.00625, srcDrop3, ""},
		{"2d4", "voltage-drop", "batt_cont_A=150; cable_one_way_m=1.2; wire=25 mm2; pack_nom_V=72", "cable_drop_V", 0.2808, 0.0002808, srcD, ""},
		{"2d4", "voltage-drop", "batt_cont_A=150; cable_loop_m=2.4; cable_mohm_per_m=0.78; pack_nom_V=72", "drop_percent", 0.39, 0.00039, srcD, ""},
		{"2d5", "voltage-drop", "batt_cont_A=100; cable_one_way_m=15 ft; cable_mohm_per_m=0.16 ohm/1000 ft; pack_nom_V=12", "cable_drop_V", 0.48, 0.00048, srcDrop3, ""},
		{"2d5", "voltage-drop", "batt_cont_A=100; cable_one_way_m=15 ft; cable_mohm_per_m=0.16 ohm/1000 ft; pack_nom_V=12", "drop_percent", 4, 0.004, srcDrop3, ""},
		{"2d6", "voltage-drop", "batt_cont_A=1; cable_one_way_m=20; wire=1.3 mm2; rho=0.01785; pack_nom_V=12", "cable_drop_V", 0.549, 0.000549, srcDrop4, ""},
		{"2d6", "voltage-drop", "batt_cont_A=1; cable_one_way_m=20; wire=1.3 mm2; rho=0.01785; pack_nom_V=12", "drop_percent", 4.58, 0.00458, srcDrop4, ""},
	}
	// 2e. Exact. 14 AWG at 60 °C is 20 A in older tables and 15 A in that of 2023:
	// the current edition is the default. 1 AWG and 3 AWG at 90 °C are printed here
	// from the older table (150 A, 110 A); that of 2023 has 145 A and 115 A.
	for _, e := range []struct {
		id, in string
		want   float64
		source string
	}{
		{"2e1", "wire=12 AWG; insulation_C=75", 25, srcNEC},
		{"2e2", "wire=10 AWG; insulation_C=60", 30, srcNEC}, {"2e2", "wire=10 AWG; insulation_C=75", 35, srcNEC}, {"2e2", "wire=10 AWG; insulation_C=90", 40, srcNEC},
		{"2e3", "wire=8 AWG; insulation_C=60", 40, srcNEC}, {"2e3", "wire=8 AWG; insulation_C=75", 50, srcNEC}, {"2e3", "wire=8 AWG; insulation_C=90", 55, srcNEC},
		{"2e4", "wire=4 AWG; insulation_C=60", 70, srcNEC}, {"2e4", "wire=4 AWG; insulation_C=75", 85, srcNEC}, {"2e4", "wire=4 AWG; insulation_C=90", 95, srcNEC},
		{"2e5", "wire=1 AWG; insulation_C=60", 110, srcNEC}, {"2e5", "wire=1 AWG; insulation_C=75", 130, srcNEC},
		{"2e5", "wire=1 AWG; insulation_C=90; edition=2008", 150, srcNEC}, {"2e5", "wire=1 AWG; insulation_C=90", 145, srcNEC},
		{"2e6", "wire=3 AWG; insulation_C=60", 85, srcNEC}, {"2e6", "wire=3 AWG; insulation_C=75", 100, srcNEC},
		{"2e6", "wire=3 AWG; insulation_C=90; edition=2008", 110, srcNEC}, {"2e6", "wire=3 AWG; insulation_C=90", 115, srcNEC},
		{"2e2", "wire=14 AWG; insulation_C=60", 15, srcNEC}, {"2e2", "wire=14 AWG; insulation_C=60; edition=2008", 20, srcNEC},
		{"2e7", "wire=6 AWG; laid=free-air", 95, srcNEC17}, {"2e7", "wire=4 AWG; laid=free-air", 125, srcNEC17}, {"2e7", "wire=2 AWG; laid=free-air", 170, srcNEC17},
		{"2e8", "wire=8 AWG; laid=free-air", 70, srcNEC17}, {"2e8", "wire=1/0; laid=free-air", 230, srcNEC17}, {"2e8", "wire=4/0 AWG; laid=free-air", 360, srcNEC17},
	} {
		all = append(all, row{e.id, "ampacity-building", e.in, "cable_ampacity_A", e.want, 0, e.source, ""})
	}
	// Small conductors, NFPA 70, 240.4(D).
	all = append(all,
		row{"2e1", "ampacity-building", "wire=12 AWG", "small_fuse_A", 20, 0, srcNEC, ""},
		row{"2e2", "ampacity-building", "wire=10 AWG", "small_fuse_A", 30, 0, srcNEC, ""},
		row{"2e9", "ambient-correction", "insulation_C=75; ambient_C=45", "factor", 0.93, 0.005, srcNECF, ""},
		row{"2e9", "ambient-correction", "insulation_C=75; ambient_C=41", "factor_table", 0.93, 0.005, srcNECF, ""},
		row{"2e10", "ambient-correction", "insulation_C=90; ambient_C=50", "factor", 0.89, 0.005, srcNECF, ""},
		row{"2e10", "ambient-correction", "insulation_C=90; ambient_C=46", "factor_table", 0.89, 0.005, srcNECF, ""},
	)
	for _, e := range []struct {
		id, in    string
		want, tol float64
	}{
		{"2f1", "wire=16 AWG", 25, 0.5}, {"2f1", "wire=16 AWG; place=inside", 21, 0.5},
		{"2f2", "wire=12 AWG", 45, 0.5}, {"2f2", "wire=12 AWG; place=inside", 38, 0.5},
		{"2f3", "wire=8 AWG", 80, 0.5}, {"2f3", "wire=8 AWG; place=inside", 68, 0.5},
		{"2f4", "wire=4 AWG", 160, 0.5}, {"2f4", "wire=4 AWG; place=inside", 136, 0.5},
		{"2f5", "wire=1/0 AWG", 285, 0.5}, {"2f5", "wire=1/0 AWG; place=inside", 242, 0.5},
		{"2f6", "wire=10 AWG", 60, 0.5}, {"2f6", "wire=10 AWG; place=inside", 51, 0.5},
		{"2f7", "wire=2 AWG", 210, 0.5}, {"2f7", "wire=2 AWG; place=inside", 178.5, 0.5}, // printed rounded down, 178
		{"2f8", "wire=6 AWG; conductors=3", 84, 0.1},
		{"2f9", "wire=6 AWG; conductors=4", 72, 0.1}, {"2f9", "wire=6 AWG; conductors=6", 72, 0.1},
		{"2f10", "wire=4 AWG; conductors=5", 96, 0.1}, {"2f10", "wire=4 AWG; conductors=5; place=inside", 81.6, 0.1},
	} {
		all = append(all, row{e.id, "ampacity-boat", e.in, "cable_ampacity_A", e.want, e.tol, srcCFR, ""})
	}
	return append(all, []row{
		// 2g. The 25 % derating chooses the fuse; 1.25 x the load, the design
		// sheet's rule, is shown beside it.
		{"2g1", "fuse-choice", "batt_cont_A=40", "fuse_derated_A", 53.3, 0.05, srcEDN, ""},
		{"2g1", "fuse-choice", "batt_cont_A=40", "fuse_A", 60, 0, srcEDN, ""},
		{"2g1", "fuse-choice", "batt_cont_A=40", "fuse_min_A", 50, 0, "1.25 x the load: common practice, no published source (C)", ""},
		{"2g2", "ampacity-boat", "wire=6 AWG; place=inside", "fuse_max_A", 153, 1e-9, srcABYC, ""},
		{"2g2", "fuse-choice", "batt_cont_A=60; cable_ampacity_A=102; rule=boat", "fuse_max_step_A", 150, 0, srcABYC, ""},
		{"2g3", "fuse-choice", "batt_cont_A=40; pack_max_V=84; fuse_dc_V=58", "voltage_verdict", 0, 0, srcISO8820, "rejected: 58 V DC, the pack reaches 84 V"},
		{"2g3", "fuse-choice", "batt_cont_A=40; pack_max_V=72; fuse_dc_V=58", "verdict", 0, 0, srcISO8820, "rejected"},
		{"2g4", "fuse-choice", "batt_cont_A=40; pack_max_V=58.4; fuse_dc_V=58", "voltage_verdict", 0, 0, srcISO8820, "rejected: 58 V DC, the pack reaches 58.4 V"},
		{"2g5", "ampacity-boat", "wire=10 AWG", "fuse_max_A", 90, 0, srcABYC, ""},
		{"2g5", "fuse-choice", "batt_cont_A=40; cable_ampacity_A=60; rule=boat", "fuse_max_step_A", 90, 0, srcABYC, ""},
		{"2g6", "fuse-choice", "batt_cont_A=40; pack_max_V=58.8; fuse_dc_V=58", "voltage_verdict", 0, 0, srcISO8820, "rejected: 58 V DC, the pack reaches 58.8 V"},

		{"2h1", "fuse-pulse", "shape=half-sine; pulse_A=40; pulse_s=2 ms", "i2t_A2s", 1.6, 0.002 * 1.6, srcI2t, ""},
		{"2h1", "fuse-pulse", "shape=half-sine; pulse_A=40; pulse_s=2 ms; pulses=100000", "melting_min_A2s", 7.27, 0.002 * 7.27, srcI2t, ""},
		{"2h2", "fuse-pulse", "shape=ramp; pulse_A=30; pulse_s=10 ms", "i2t_A2s", 3.0, 0.006, srcI2t, ""},
		{"2h3", "fuse-pulse", "shape=rectangle; pulse_A=100; pulse_s=5 ms", "i2t_A2s", 50, 0.1, srcI2t, ""},

		{"4a1", "precharge-size", "time_s=0.5; time_constants=5; precharge_ohm=50", "tau_s", 0.1, 0.0001, srcPre1, ""},
		{"4a1", "precharge-size", "time_s=0.5; time_constants=5; precharge_ohm=50", "controller_cap_uF", 2000, 2, srcPre1, ""},
		{"4a2", "precharge", "pack_max_V=800; precharge_ohm=47; controller_cap_uF=1000", "tau_s", 0.0470, 0.002 * 0.047, srcPre2, ""},
		// The print takes 3 and 4.6 time constants: 141.0 and 216.2 ms.
		{"4a2", "precharge", "pack_max_V=800; precharge_ohm=47; controller_cap_uF=1000", "time_95_s", 0.1408, 0.002 * 0.1408, srcPre2, ""},
		{"4a2", "precharge", "pack_max_V=800; precharge_ohm=47; controller_cap_uF=1 mF", "time_99_s", 0.2164, 0.002 * 0.2164, srcPre2, ""},
		{"4a2", "precharge", "pack_max_V=800; precharge_ohm=47; controller_cap_uF=1000", "precharge_peak_A", 17.0, 0.002 * 17, srcPre2, ""},
		{"4a2", "precharge", "pack_max_V=800; precharge_ohm=47; controller_cap_uF=1000", "precharge_peak_W", 13617, 0.002 * 13617, srcPre2, ""},
		{"4a2", "precharge", "pack_max_V=800; precharge_ohm=47; controller_cap_uF=1000", "precharge_J", 320, 0.002 * 320, srcPre2, ""},
		{"4a3", "precharge", "pack_max_V=100; precharge_ohm=10; controller_cap_uF=10000", "precharge_J", 50, 1e-12, srcPre3, ""},
		{"4a4", "precharge", "pack_max_V=100; precharge_ohm=10; controller_cap_uF=10000; level=0.99326", "time_constants", 5.000, 0.001, srcPre4, ""},
		{"4a5", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000", "tau_s", 0.05, 0.00005, srcD, ""},
		{"4a5", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000", "time_s", 0.1498, 0.0001498, srcD, ""},
		{"4a5", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000", "time_99_s", 0.2303, 0.0002303, srcD, ""},
		{"4a5", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000", "precharge_peak_A", 8.4, 0.0084, srcD, ""},
		{"4a5", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000", "precharge_peak_W", 705.6, 0.7056, srcD, ""},
		{"4a5", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000", "precharge_J", 17.64, 0.01764, srcD, ""},
		{"4a6", "precharge", "pack_max_V=117.6; precharge_ohm=33; controller_cap_uF=2200", "tau_s", 0.0726, 0.0000726, srcD, ""},
		{"4a6", "precharge", "pack_max_V=117.6; precharge_ohm=33; controller_cap_uF=2200", "time_s", 0.2175, 0.0002175, srcD, ""},
		{"4a6", "precharge", "pack_max_V=117.6; precharge_ohm=33; controller_cap_uF=2200; level=0.99", "time_s", 0.3343, 0.0003343, srcD, ""},
		{"4a6", "precharge", "pack_max_V=117.6; precharge_ohm=33; controller_cap_uF=2200", "precharge_peak_A", 3.564, 0.003564, srcD, ""},
		{"4a6", "precharge", "pack_max_V=117.6; precharge_ohm=33; controller_cap_uF=2200", "precharge_peak_W", 419.1, 0.4191, srcD, ""},
		{"4a6", "precharge", "pack_max_V=117.6; precharge_ohm=33; controller_cap_uF=2200", "precharge_J", 15.21, 0.01521, srcD, ""},
		{"4a7", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; level=0.90", "time_constants", 2.3026, 0.0001, srcD, ""},
		{"4a7", "precharge", "pack_max_V=84; precharge_ohm=10; controller_cap_uF=5000; level=0.98", "time_constants", 3.9120, 0.0001, srcD, ""},

		{"5a1", "isolation-min", "pack_max_V=84; bus=dc", "iso_min_ohm", 8400, 8.4, srcR100, ""},
		{"5a1", "isolation-min", "pack_max_V=84", "iso_min_ohm", 42000, 42, srcR100, ""},
		{"5a2", "isolation-min", "pack_max_V=72; bus=dc", "iso_min_ohm", 7200, 7.2, srcR100, ""},
		{"5a2", "isolation-min", "pack_max_V=72; bus=joined", "iso_min_ohm", 36000, 36, srcR100, ""},
		{"5a3", "isolation-min", "pack_max_V=58.4", "high_voltage", 0, 0, srcR100, "no: not over 60 V DC"},
		{"5a4", "isolation-min", "pack_max_V=84; iso_reading_ohm=30k", "ohm_per_V", 357, 0.357, srcR100, ""},
		{"5a4", "isolation-min", "pack_max_V=84; iso_reading_ohm=30k", "verdict", 0, 0, srcR100, "fails: 357.1 ohm/V, want 500 ohm/V or more"},
		{"5a4", "isolation-min", "pack_max_V=84; iso_reading_ohm=30k; bus=joined-protected", "verdict", 0, 0, srcR100, "holds: 357.1 ohm/V, want 100 ohm/V or more"},
		{"5a5", "isolation-min", "pack_max_V=62.05; bus=dc", "iso_min_ohm", 6205, 6.205, srcR100, ""},
		{"5a5", "isolation-min", "pack_max_V=62.05", "iso_min_ohm", 31025, 31.025, srcR100, ""},

		{"5b1", "isolation-live", "pack_V=80; neg_V=60; pos_V=20; r0_ohm=40k; with_r0_V=20.8696", "iso_ohm", 100e3, 50, srcR100, ""},
		{"5b1", "isolation-live", "pack_V=80; neg_V=60; pos_V=20; r0_ohm=40k; with_r0_V=20.8696", "ohm_per_V", 1250, 0.625, srcR100, ""},
		{"5b1", "isolation-live", "pack_V=80; neg_V=60; pos_V=20; r0_ohm=40k; with_r0_V=20.8696", "leak_neg_ohm", 300e3, 150, srcR100, ""},
		{"5b1", "isolation-live", "pack_V=80; neg_V=60; pos_V=20; r0_ohm=40k; with_r0_V=20.8696", "weak_pole", 0, 0, srcR100, "positive"},
		{"5b2", "isolation-live", "pack_V=84; neg_V=4; pos_V=80; r0_ohm=42k; with_r0_V=37.4920", "iso_ohm", 50e3, 25, srcR100, ""},
		{"5b2", "isolation-live", "pack_V=84; neg_V=4; pos_V=80; r0_ohm=42k; with_r0_V=37.4920", "ohm_per_V", 595.2, 0.0005 * 595.2, srcR100, ""},
		{"5b2", "isolation-live", "pack_V=84; neg_V=4; pos_V=80; r0_ohm=42k; with_r0_V=37.4920", "leak_pos_ohm", 1e6, 500, srcR100, ""},
		{"5b2", "isolation-live", "pack_V=84; neg_V=4; pos_V=80; r0_ohm=42k; with_r0_V=37.4920", "weak_pole", 0, 0, srcR100, "negative"},
		{"5b3", "isolation-live", "pack_V=84; neg_V=42; pos_V=42; r0_ohm=42k; with_r0_V=1.69290", "iso_ohm", 2e6, 1000, srcR100, ""},
		{"5b3", "isolation-live", "pack_V=84; neg_V=42; pos_V=42; r0_ohm=42k; with_r0_V=1.69290", "ohm_per_V", 23810, 0.0005 * 23810, srcR100, ""},
		{"5b4", "isolation-live", "pack_V=80; neg_V=55.814; pos_V=18.605; r0_ohm=40k; with_r0_V=3.02648; meter_ohm=10M", "iso_ohm", 1e6, 500, srcR100, ""},
		{"5b4", "isolation-live", "pack_V=80; neg_V=55.814; pos_V=18.605; r0_ohm=40k; with_r0_V=3.02648; meter_ohm=10M", "leak_neg_ohm", 3e6, 1500, srcR100, ""},
		{"5b4", "isolation-live", "pack_V=80; neg_V=55.814; pos_V=18.605; r0_ohm=40k; with_r0_V=3.02648; meter_ohm=10M", "iso_571_ohm", 0.930e6, 465, src571, ""},
		{"5b5", "isolation-live", "pack_V=75; neg_V=70.5882; pos_V=4.41176; r0_ohm=37.5k; with_r0_V=43.3735", "iso_ohm", 25e3, 12.5, srcR100, ""},
		{"5b5", "isolation-live", "pack_V=75; neg_V=70.5882; pos_V=4.41176; r0_ohm=37.5k; with_r0_V=43.3735", "verdict", 0, 0, srcR100, "fails: 333.3 ohm/V, want 500 ohm/V or more"},
		{"5b5", "isolation-live", "pack_V=75; neg_V=70.5882; pos_V=4.41176; r0_ohm=37.5k; with_r0_V=43.3735; bus=joined-protected", "verdict", 0, 0, srcR100, "holds: 333.3 ohm/V, want 100 ohm/V or more"},

		{"5c1", "bond-resistance", "test_A=0.2; drop_V=15 mV", "bond_ohm", 0.075, 1e-15, srcR100, ""},
		{"5c1", "bond-resistance", "test_A=0.2; drop_V=15 mV", "verdict", 0, 0, srcR100, "holds: 75 mohm, want less than 100 mohm"},
		{"5c2", "bond-resistance", "test_A=5; drop_V=0.60", "verdict", 0, 0, srcR100, "fails: 120 mohm, want less than 100 mohm"},
		{"5c3", "bond-resistance", "test_A=0.2; drop_V=20 mV", "verdict", 0, 0, srcR100, "fails: 100 mohm, want less than 100 mohm"},
		{"5c4", "bond-resistance", "test_A=0.1; drop_V=5 mV", "bond_ohm", 0.05, 1e-15, srcR100, ""},
		{"5c4", "bond-resistance", "test_A=0.1; drop_V=5 mV", "verdict", 0, 0, srcR100, "not a valid test: made with 0.1 A, want 0.2 A or more"},

		{"5d1", "bus-discharge", "pack_max_V=84; controller_cap_uF=10000; end_V=60; limit_s=5", "bleed_max_ohm", 1486, 1.486, srcD, ""},
		{"5d2", "bus-discharge", "pack_max_V=84; controller_cap_uF=10000; bleed_ohm=100k", "discharge_s", 336.5, 0.3365, srcD, ""},
		{"5d3", "bus-discharge", "pack_max_V=84; controller_cap_uF=10000", "left_J", 18.0, 0.018, srcD, ""},
		{"5d4", "bus-discharge", "pack_max_V=84; controller_cap_uF=10000; limit_J=0.2", "cap_max_uF", 111.1, 0.1111, srcD, ""},

		// 12a. The current edition: SELV 0.5, others 1.0 Mohm; older ones print 0.25, 0.5, 1.0.
		{"12a1", "insulation-test", "nominal_V=48; circuit=selv-pelv; reading_ohm=0.6M; test_V=250", "verdict", 0, 0, srcIEC6036, "holds: 0.6 Mohm, want 0.5 Mohm or more"},
		{"12a2", "insulation-test", "nominal_V=230; reading_ohm=0.8M; test_V=500", "verdict", 0, 0, srcIEC6036, "fails: 0.8 Mohm, want 1 Mohm or more"},
		{"12a3", "insulation-test", "nominal_V=230; reading_ohm=5M; test_V=250", "verdict", 0, 0, srcIEC6036, "not a valid test: made at 250 V, want 500 V"},

		{"12b1", "throttle-signal", "signal_V=2.25; throttle_rest_V=0.9; throttle_full_V=3.6", "throttle_percent", 50.0, 0.05, srcD, ""},
		{"12b2", "throttle-signal", "signal_V=4.1; throttle_rest_V=0.9; throttle_full_V=3.6", "state", 0, 0, srcD, "fault: above 4 V, no drive"},
		{"12b2", "throttle-signal", "signal_V=4.1; throttle_rest_V=0.9; throttle_full_V=3.6", "throttle_percent", 0, 0, srcD, ""},
		{"12b3", "throttle-signal", "signal_V=1.6; throttle_rest_V=1; throttle_full_V=4", "throttle_percent", 20.0, 0.02, srcD, ""},

		{"12c1", "hall-states", "states=101 100 110 010 011 001", "pattern", 0, 0, srcHall, "valid 120 degrees"},
		{"12c2", "hall-states", "states=111", "pattern", 0, 0, srcHall, "not 120 degrees: 000 or 111 means 60 degree spacing, lost supply or a broken wire; 1 of 6 states seen"},
		{"12c3", "hall-states", "states=000 100 110 111 011 001", "pattern", 0, 0, srcHall, "valid 60 degrees"},

		{"12d1", "welded-contactor", "bus_V=84; bleed_ohm=1486; controller_cap_uF=10000; after_s=5; reading_V=83", "expected_V", 60.0, 0.12, srcD, ""},
		{"12d1", "welded-contactor", "bus_V=84; bleed_ohm=1486; controller_cap_uF=10000; after_s=5; reading_V=83", "verdict", 0, 0, srcD, "fails: 83 V read, 60 V expected: welded contact or no bleed"},
		{"12d2", "welded-contactor", "bus_V=58.4; bleed_ohm=2k; controller_cap_uF=5000; after_s=10", "expected_V", 21.5, 0.043, srcD, ""},
		{"12d3", "welded-contactor", "bus_V=117.6; bleed_ohm=10k; controller_cap_uF=2200; after_s=30", "expected_V", 30.07, 0.06, srcD, ""},

		{"12e1", "ip-code", "code=IPXXB", "meaning", 0, 0, srcIP, "finger-proof (12 mm by 80 mm test finger); dust not stated; water not stated"},
		{"12e2", "ip-code", "code=IP54", "meaning", 0, 0, srcIP, "dust-protected; splash"},
		{"12e3", "ip-code", "code=IP67", "meaning", 0, 0, srcIP, "dust-tight; short immersion (1 m, 30 min); jets not shown"},
	}...)
}
