package catalogue

import "math"

// rideRows are section 6 (road load, range, top speed).
func rideRows() []row {
	var rows []row
	add := func(id, calc, in, out string, want, percent float64, source string) {
		rows = append(rows, row{id: id, calc: calc, in: in, out: out, want: want, tol: math.Abs(want) * percent / 100, source: source})
	}

	const course = "COURSE R"
	add("6a1", "road-load", "rho=1.2; cda_m2=0.54; cruise_kmh=30", "drag_N", 22.5, 0.1, course)
	add("6a1", "road-load", "rho=1.2; cda_m2=0.54; cruise_kmh=80", "drag_N", 160, 0.1, course)
	// The sheet takes g 9.8 for the two-wheeler and leaves out the cosine of
	// the slope there; on the flat it is 1. Elsewhere it takes g 9.81 and the
	// cosine, as this program always does.
	add("6a2", "road-load", "mass_bike_kg=120; mass_rider_kg=80; crr=0.015; g_ms2=9.8", "roll_N", 29.4, 0.1, course)
	add("6a3", "road-load", "mass_bike_kg=120; mass_rider_kg=80; slope_deg=8; g_ms2=9.8", "grade_N", 273, 0.2, course)
	add("6a3", "road-load", "mass_bike_kg=120; mass_rider_kg=80; slope_deg=8", "grade_N", 273, 0.2, course)
	// Cd 0.3 x 2.5 m².
	const car = "rho=1.2; cda_m2=0.75; mass_bike_kg=1500; mass_rider_kg=0; crr=0.015"
	add("6a4", "road-load", car+"; cruise_kmh=30", "drag_N", 31.25, 0.05, course)
	add("6a4", "road-load", car+"; cruise_kmh=80", "drag_N", 222.22, 0.05, course)
	add("6a5", "road-load", car+"; slope_deg=8°; g_ms2=9.81", "grade_N", 2047.93, 0.05, course)
	add("6a5", "road-load", car+"; slope_deg=8°; g_ms2=9.81", "roll_N", 218.57, 0.05, course)

	for _, p := range []struct {
		id, in                   string
		road, wheel, battery, wh float64
	}{
		{"6b1", "mass_bike_kg=100; mass_rider_kg=80; crr=0.015; cda_m2=0.54; rho=1.2; cruise_kmh=80; drive_eff=0.85", 186.49, 4144, 4875, 60.94},
		{"6b2", "mass_bike_kg=80; mass_rider_kg=80; crr=0.02; cda_m2=0.45; rho=1.225; cruise_kmh=45; drive_eff=0.80", 74.46, 930.7, 1163, 25.85},
		{"6b3", "mass_bike_kg=120; mass_rider_kg=80; crr=0.015; cda_m2=0.54; rho=1.2; cruise_kmh=30; drive_eff=1", 51.93, 432.8, 432.8, 14.43},
		{"6b5", "mass_bike_kg=110; mass_rider_kg=80; crr=0.018; cda_m2=0.60; rho=1.2; cruise_kmh=60; drive_eff=0.82", 133.55, 2226, 2714, 45.24},
	} {
		add(p.id, "energy-per-km", p.in, "road_N", p.road, 0.1, "D")
		add(p.id, "energy-per-km", p.in, "wheel_W", p.wheel, 0.1, "D")
		add(p.id, "energy-per-km", p.in, "batt_W", p.battery, 0.1, "D")
		add(p.id, "energy-per-km", p.in, "wh_km", p.wh, 0.1, "D")
	}
	add("6b4", "trip-consumption", "trip_kWh=2.5; trip_km=100", "wh_km", 25, 0.1, "E4C R")

	add("6c1", "range", "pack_kWh=2016 Wh; usable_fraction=90 %; wh_km=60.94", "range_km", 29.77, 0.1, "D")
	add("6c2", "range", "pack_kWh=5.12; usable_fraction=0.85; wh_km=45", "range_km", 96.71, 0.1, "D")
	add("6c3", "range", "pack_kWh=1.008; usable_fraction=0.8; wh_km=25.85", "range_km", 31.20, 0.1, "D")

	add("6d1", "motor-speed", "motor_kv=5700; pack_nom_V=11.1", "noload_rpm", 63270, 0, "KV R")
	add("6d2", "motor-speed", "motor_kv=10; pack_nom_V=72; tyre_circ_m=1884 mm", "noload_rpm", 720, 0.05, "D")
	add("6d2", "motor-speed", "motor_kv=10; pack_nom_V=72; tyre_circ_m=1884 mm", "top_noload_kmh", 81.39, 0.05, "D")
	add("6d3", "motor-speed", "motor_kv=10; pack_nom_V=72; sag_V=6; tyre_circ_m=1884 mm", "sagged_rpm", 660, 0.05, "D")
	add("6d3", "motor-speed", "motor_kv=10; pack_nom_V=72; sag_V=6; tyre_circ_m=1884 mm", "top_sagged_kmh", 74.61, 0.05, "D")
	add("6d4", "torque-constant", "motor_kv=10; motor_A=100", "motor_kt", 0.95493, 0.01, "D")
	add("6d4", "torque-constant", "motor_kv=10; motor_A=100", "motor_Nm", 95.49, 0.01, "D")
	add("6d5", "torque-from-power", "motor_W=3 kW; motor_rpm=500", "motor_Nm", 57.30, 0.05, "D")
	add("6d6", "motor-speed", "motor_kv=12; pack_nom_V=84; tyre_circ_m=1.7954", "noload_rpm", 1008, 0.05, "D")
	add("6d6", "motor-speed", "motor_kv=12; pack_nom_V=84; tyre_circ_m=1.7954", "top_noload_kmh", 108.59, 0.05, "D")
	// Same quantities by the trade between speed and thrust.
	add("6d2", "speed-torque-trade", "motor_kv=10; pack_nom_V=72; tyre_circ_m=1.884; motor_A=100", "top_noload_kmh", 81.39, 0.05, "D")
	add("6d4", "speed-torque-trade", "motor_kv=10; pack_nom_V=72; tyre_circ_m=1.884; motor_A=100", "launch_Nm", 95.49, 0.01, "D")
	return rows
}
