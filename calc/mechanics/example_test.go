package mechanics_test

import (
	"ampwright/calc/desk/desktest"
	"ampwright/calc/mechanics"
)

// The numbers below were compared with the formulas by hand.

// A fine thread in both units.
func Example_threadArea() {
	desktest.Show(mechanics.Calcs(), "thread-area", "thread=3/8-24 UNF")
	// Output:
	// d_mm = of thread = of 3/8-24 UNF = 9.525 mm
	// pitch_mm = of thread = of 3/8-24 UNF = 1.05833 mm
	// area_mm2 = pi / 4 * (d_mm - 0.9743 * pitch_mm)^2 = pi / 4 * (9.525 mm - 0.9743 * 1.05833 mm)^2 = 56.6631 mm²
	// area_in2 = area_mm2 / (25.4)^2 = 56.6631 mm² / (25.4)^2 = 0.0878281 in²
}

// An axle clamp bolt with a fine thread.
func Example_boltProof() {
	desktest.Show(mechanics.Calcs(), "bolt-proof", "thread=M10x1.25; class=8.8")
	// Output:
	// d_mm = of thread = of M10x1.25 = 10 mm
	// pitch_mm = of thread = of M10x1.25 = 1.25 mm
	// formula_mm2 = pi / 4 * (d_mm - 0.9382 * pitch_mm)^2 = pi / 4 * (10 mm - 0.9382 * 1.25 mm)^2 = 61.1985 mm²
	// area_mm2 = formula_mm2, three figures as ISO 898-1 prints it = 61.1985 mm², three figures as ISO 898-1 prints it = 61.2 mm²
	// proof_MPa = of class = of 8.8 = 580 MPa
	// tensile_MPa = of class = of 8.8 = 800 MPa
	// proof_N = area_mm2 * proof_MPa = 61.2 mm² * 580 MPa = 35496 N
	// ultimate_N = area_mm2 * tensile_MPa = 61.2 mm² * 800 MPa = 48960 N
}

// An oiled bolt, and what the wrench leaves open.
func Example_boltTorque() {
	desktest.Show(mechanics.Calcs(), "bolt-torque", "thread=M8; class=8.8; k=0.15")
	// Output:
	// d_mm = of thread = of M8 = 8 mm
	// pitch_mm = of thread = of M8 = 1.25 mm
	// formula_mm2 = pi / 4 * (d_mm - 0.9382 * pitch_mm)^2 = pi / 4 * (8 mm - 0.9382 * 1.25 mm)^2 = 36.6085 mm²
	// area_mm2 = formula_mm2, three figures as ISO 898-1 prints it = 36.6085 mm², three figures as ISO 898-1 prints it = 36.6 mm²
	// proof_MPa = of class = of 8.8 = 580 MPa
	// proof_N = area_mm2 * proof_MPa = 36.6 mm² * 580 MPa = 21228 N
	// preload_N = share * proof_N = 0.75 * 21228 N = 15921 N
	// torque_Nm = k * d_mm / 1000 * preload_N = 0.15 * 8 mm / 1000 * 15921 N = 19.1052 N·m
	// preload_low_N = preload_N * (1 - scatter) = 15921 N * (1 - 0.3) = 11144.7 N
	// preload_high_N = preload_N * (1 + scatter) = 15921 N * (1 + 0.3) = 20697.3 N
	// proof_share = preload_N / proof_N = 15921 N / 21228 N = 0.75
}

// What 82 N·m on a dry M12 gives.
func Example_boltPreload() {
	desktest.Show(mechanics.Calcs(), "bolt-preload", "thread=M12; torque_Nm=82; class=8.8")
	// Output:
	// d_mm = of thread = of M12 = 12 mm
	// pitch_mm = of thread = of M12 = 1.75 mm
	// formula_mm2 = pi / 4 * (d_mm - 0.9382 * pitch_mm)^2 = pi / 4 * (12 mm - 0.9382 * 1.75 mm)^2 = 84.2664 mm²
	// area_mm2 = formula_mm2, three figures as ISO 898-1 prints it = 84.2664 mm², three figures as ISO 898-1 prints it = 84.3 mm²
	// proof_MPa = of class = of 8.8 = 580 MPa
	// proof_N = area_mm2 * proof_MPa = 84.3 mm² * 580 MPa = 48894 N
	// preload_N = torque_Nm / (k * d_mm / 1000) = 82 N·m / (0.2 * 12 mm / 1000) = 34166.7 N
	// preload_low_N = preload_N * (1 - scatter) = 34166.7 N * (1 - 0.3) = 23916.7 N
	// preload_high_N = preload_N * (1 + scatter) = 34166.7 N * (1 + 0.3) = 44416.7 N
	// proof_share = preload_N / proof_N = 34166.7 N / 48894 N = 0.698791
}

// A bolt in a clevis, thread in both planes.
func Example_boltShear() {
	desktest.Show(mechanics.Calcs(), "bolt-shear", "thread=M10; class=8.8; planes=2")
	// Output:
	// d_mm = of thread = of M10 = 10 mm
	// pitch_mm = of thread = of M10 = 1.5 mm
	// formula_mm2 = pi / 4 * (d_mm - 0.9382 * pitch_mm)^2 = pi / 4 * (10 mm - 0.9382 * 1.5 mm)^2 = 57.9895 mm²
	// area_mm2 = formula_mm2, three figures as ISO 898-1 prints it = 57.9895 mm², three figures as ISO 898-1 prints it = 58 mm²
	// alpha_v = of class = of 8.8 = 0.6
	// fub_MPa = of class = of 8.8 = 800 MPa
	// shear_N = planes * alpha_v * fub_MPa * area_mm2 / gamma_M2 = 2 * 0.6 * 800 MPa * 58 mm² / 1.25 = 44544 N
}

// A vintage rear tyre.
func Example_tyreSize() {
	desktest.Show(mechanics.Calcs(), "tyre-size", "tyre=2.75-18")
	// Output:
	// width_mm = of tyre = of 2.75-18 = 69.85 mm
	// aspect = of tyre = of 2.75-18 = 1
	// rim_in = of tyre = of 2.75-18 = 18 in
	// height_mm = width_mm * aspect = 69.85 mm * 1 = 69.85 mm
	// diameter_mm = 25.4 * rim_in + 2 * height_mm = 25.4 * 18 in + 2 * 69.85 mm = 596.9 mm
	// circ_mm = pi * diameter_mm = pi * 596.9 mm = 1875.22 mm
	// turns_km = 1000000 / circ_mm = 1000000 / 1875.22 mm = 533.272
	// rolled_circ_m = 3.05 * diameter_mm / 1000 = 3.05 * 596.9 mm / 1000 = 1.82054 m
}

// Drive one way, regeneration the other.
func Example_armForce() {
	desktest.Show(mechanics.Calcs(), "arm-force", "motor_peak_Nm=150; regen_peak_Nm=60; torque_arm_m=0.11; torque_arm_allow_N=6000")
	// Output:
	// arm_force_N = motor_peak_Nm / (arms * torque_arm_m) = 150 N·m / (1 * 0.11 m) = 1363.64 N
	// arm_force_back_N = regen_peak_Nm / (arms * torque_arm_m) = 60 N·m / (1 * 0.11 m) = 545.455 N
	// arm_torque_Nm = torque_arm_allow_N * arms * torque_arm_m = 6000 N * 1 * 0.11 m = 660 N·m
	// larger_N = max(arm_force_N, arm_force_back_N) = max(1363.64 N, 545.455 N) = 1363.64 N
	// arm_margin_calc = torque_arm_allow_N / larger_N = 6000 N / 1363.64 N = 4.4
}

// The order of size that calls for an arm.
func Example_flatForce() {
	desktest.Show(mechanics.Calcs(), "flat-force", "motor_peak_Nm=150; axle_flat_mm=12")
	// Output:
	// flat_force_N = 1000 * motor_peak_Nm / axle_flat_mm = 1000 * 150 N·m / 12 mm = 12500 N
}

// Mild steel dropouts.
func Example_flatPressure() {
	desktest.Show(mechanics.Calcs(), "flat-pressure", "motor_peak_Nm=100; axle_mm=16; axle_flat_mm=12; plate_mm=8; yield_MPa=250")
	// Output:
	// side_Nm = motor_peak_Nm / sides = 100 N·m / 2 = 50 N·m
	// chord_mm = sqrt(axle_mm^2 - axle_flat_mm^2) = sqrt((16 mm)^2 - (12 mm)^2) = 10.583 mm
	// pressure_MPa = 6000 * side_Nm / (plate_mm * chord_mm^2) = 6000 * 50 N·m / (8 mm * (10.583 mm)^2) = 334.821 MPa
	// yield_factor = yield_MPa / pressure_MPa = 250 MPa / 334.821 MPa = 0.746667
	// note: factor 0.75 is under 2: the flats alone do not hold this torque, a torque arm is wanted
}

// A bracket weld, static load.
func Example_weldStrength() {
	desktest.Show(mechanics.Calcs(), "weld-strength", "leg_mm=4; fexx_MPa=490")
	// Output:
	// throat_mm = 0.707 * leg_mm = 0.707 * 4 mm = 2.828 mm
	// allow_MPa = 0.30 * fexx_MPa = 0.30 * 490 MPa = 147 MPa
	// allow_N_mm = throat_mm * allow_MPa = 2.828 mm * 147 MPa = 415.716 N/mm
	// design_MPa = 0.75 * 0.60 * fexx_MPa = 0.75 * 0.60 * 490 MPa = 220.5 MPa
	// design_N_mm = throat_mm * design_MPa = 2.828 mm * 220.5 MPa = 623.574 N/mm
}

// The leg for a load.
func Example_weldLeg() {
	desktest.Show(mechanics.Calcs(), "weld-leg", "weld_load_N=12 kN; weld_length_mm=60; fexx_MPa=490")
	// Output:
	// allow_MPa = 0.30 * fexx_MPa = 0.30 * 490 MPa = 147 MPa
	// leg_mm = weld_load_N / (0.707 * weld_length_mm * allow_MPa) = 12000 N / (0.707 * 60 mm * 147 MPa) = 1.92439 mm
}

// Two scales.
func Example_cgPosition() {
	desktest.Show(mechanics.Calcs(), "cg-position", "wheelbase_m=1.4; front_kg=80; rear_kg=100")
	// Output:
	// wheelbase_mm = 1000 * wheelbase_m = 1000 * 1.4 m = 1400 mm
	// total_kg = front_kg + rear_kg = 80 kg + 100 kg = 180 kg
	// cg_x_mm = rear_kg * wheelbase_mm / total_kg = 100 kg * 1400 mm / 180 kg = 777.778 mm
	// rear_share = cg_x_mm / wheelbase_mm = 777.778 mm / 1400 mm = 0.555556
	// front_share = 1 - rear_share = 1 - 0.555556 = 0.444444
}

// Engine out, pack in.
func Example_axleLoads() {
	desktest.Show(mechanics.Calcs(), "axle-loads", "wheelbase_m=1.4; parts_kg=180 -30 25; parts_x_mm=777.8 600 650")
	// Output:
	// wheelbase_mm = 1000 * wheelbase_m = 1000 * 1.4 m = 1400 mm
	// total_kg = sum of parts_kg = sum of (180 -30 25) = 175 kg
	// rear_kg = sum of parts_kg * parts_x_mm / wheelbase_mm = sum of (180 -30 25) * (777.8 600 650) / 1400 mm = 98.7529 kg
	// front_kg = total_kg - rear_kg = 175 kg - 98.7529 kg = 76.2471 kg
	// cg_x_mm = rear_kg * wheelbase_mm / total_kg = 98.7529 kg * 1400 mm / 175 kg = 790.023 mm
	// rear_share = rear_kg / total_kg = 98.7529 kg / 175 kg = 0.564302
	// front_share = front_kg / total_kg = 76.2471 kg / 175 kg = 0.435698
	// moment_Nm = 9.80665 * wheelbase_m * (rear_kg - total_kg) = 9.80665 * 1.4 m * (98.7529 kg - 175 kg) = -1046.82 N·m
}

// Rear axle raised by 300 mm.
func Example_cgHeight() {
	desktest.Show(mechanics.Calcs(), "cg-height", "wheelbase_m=1.4; mass_bike_kg=180; low_level_kg=80; low_raised_kg=88; lift_mm=300; axle_height_mm=310")
	// Output:
	// wheelbase_mm = 1000 * wheelbase_m = 1000 * 1.4 m = 1400 mm
	// angle_tan = tan(asin(lift_mm / wheelbase_mm)) = tan(asin(300 mm / 1400 mm)) = 0.219382
	// gain_kg = low_raised_kg - low_level_kg = 88 kg - 80 kg = 8 kg
	// cg_height_mm = axle_height_mm + gain_kg * wheelbase_mm / (mass_bike_kg * angle_tan) = 310 mm + 8 kg * 1400 mm / (180 kg * 0.219382) = 593.625 mm
	// per_kg_mm = wheelbase_mm / (mass_bike_kg * angle_tan) = 1400 mm / (180 kg * 0.219382) = 35.4532 mm
}

// A hub motor in place of hub and sprocket.
func Example_sprungRatio() {
	desktest.Show(mechanics.Calcs(), "sprung-ratio", "mass_bike_kg=180; unsprung_kg=26; wheel_out_kg=4; wheel_in_kg=12")
	// Output:
	// total_after_kg = mass_bike_kg - wheel_out_kg + wheel_in_kg = 180 kg - 4 kg + 12 kg = 188 kg
	// unsprung_after_kg = unsprung_kg - wheel_out_kg + wheel_in_kg = 26 kg - 4 kg + 12 kg = 34 kg
	// sprung_ratio = (total_after_kg - unsprung_after_kg) / unsprung_after_kg = (188 kg - 34 kg) / 34 kg = 4.52941
}

// The limits of a 30 km/h test.
func Example_stopDistance() {
	desktest.Show(mechanics.Calcs(), "stop-distance", "test_speed_kmh=30")
	// Output:
	// stop_front_max_m = 0.1 * test_speed_kmh + test_speed_kmh^2 / (25.92 * brake_front_min_ms2) = 0.1 * 30 km/h + (30 km/h)^2 / (25.92 * 4.4 m/s²) = 10.8914 m
	// stop_rear_max_m = 0.1 * test_speed_kmh + test_speed_kmh^2 / (25.92 * brake_rear_min_ms2) = 0.1 * 30 km/h + (30 km/h)^2 / (25.92 * 2.9 m/s²) = 14.9732 m
}

// Ten metres from 30 km/h.
func Example_stopDeceleration() {
	desktest.Show(mechanics.Calcs(), "stop-deceleration", "test_speed_kmh=30; stop_m=10")
	// Output:
	// brake_ms2 = test_speed_kmh^2 / (25.92 * (stop_m - 0.1 * test_speed_kmh)) = (30 km/h)^2 / (25.92 * (10 m - 0.1 * 30 km/h)) = 4.96032 m/s²
}

// How light the rear gets.
func Example_brakeTransfer() {
	desktest.Show(mechanics.Calcs(), "brake-transfer", "mass_bike_kg=124; mass_rider_kg=82; brake_ms2=4.4; cg_height_mm=700; wheelbase_m=1.32; rear_kg=115")
	// Output:
	// mass_kg = mass_bike_kg + mass_rider_kg = 124 kg + 82 kg = 206 kg
	// wheelbase_mm = 1000 * wheelbase_m = 1000 * 1.32 m = 1320 mm
	// transfer_kg = mass_kg * brake_ms2 * cg_height_mm / (9.80665 * wheelbase_mm) = 206 kg * 4.4 m/s² * 700 mm / (9.80665 * 1320 mm) = 49.0144 kg
	// rear_lifts_ms2 = 9.80665 * rear_kg / mass_kg * wheelbase_mm / cg_height_mm = 9.80665 * 115 kg / 206 kg * 1320 mm / 700 mm = 10.3235 m/s²
	// rear_braking_kg = rear_kg - transfer_kg = 115 kg - 49.0144 kg = 65.9856 kg
	// front_braking_kg = mass_kg - rear_braking_kg = 206 kg - 65.9856 kg = 140.014 kg
}

// The load test of the pack mounts.
func Example_mountLoad() {
	desktest.Show(mechanics.Calcs(), "mount-load", "pack_mass_kg=36; mount_g=8")
	// Output:
	// mount_load_N = pack_mass_kg * 9.81 * mount_g = 36 kg * 9.81 * 8 g = 2825.28 N
}
