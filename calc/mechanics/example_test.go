package mechanics_test

import (
	"fmt"
	"strings"

	"ampwright/calc/mechanics"
	"ampwright/calc/unit"
)

// The numbers below were compared with the formulas by hand.

// run prints the working, the answers in words and the notes of a calculation.
func run(name, typed string) {
	in := map[string]string{}
	for _, p := range strings.Split(typed, "; ") {
		k, v, _ := strings.Cut(p, "=")
		in[k] = v
	}
	for _, c := range mechanics.Calcs() {
		if c.Name != name {
			continue
		}
		res, err := c.Run(in, unit.Style{})
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, l := range res.Lines {
			fmt.Printf("%s = %s = %s\n", l.Name, l.Numbers, unit.Format(l.Value, l.Unit, unit.Style{}))
		}
		for _, n := range res.Notes {
			fmt.Println("note:", n)
		}
	}
}

// A fine thread in both units.
func Example_threadArea() {
	run("thread-area", "thread=3/8-24 UNF")
	// Output:
	// d_mm = of 3/8-24 UNF = 9.52 mm
	// pitch_mm = of 3/8-24 UNF = 1.06 mm
	// area_mm2 = pi / 4 * (9.525 mm - 0.9743 * 1.05833 mm)^2 = 56.7 mm²
	// area_in2 = 56.6631 mm² / (25.4)^2 = 0.0878 in²
}

// An axle clamp bolt with a fine thread.
func Example_boltProof() {
	run("bolt-proof", "thread=M10x1.25; class=8.8")
	// Output:
	// d_mm = of M10x1.25 = 10.0 mm
	// pitch_mm = of M10x1.25 = 1.25 mm
	// formula_mm2 = pi / 4 * (10 mm - 0.9382 * 1.25 mm)^2 = 61.2 mm²
	// area_mm2 = 61.1985 mm², three figures as ISO 898-1 prints it = 61.2 mm²
	// proof_MPa = of 8.8 = 580 MPa
	// tensile_MPa = of 8.8 = 800 MPa
	// proof_N = 61.2 mm² * 580 MPa = 35.5 kN
	// ultimate_N = 61.2 mm² * 800 MPa = 49.0 kN
}

// An oiled bolt, and what the wrench leaves open.
func Example_boltTorque() {
	run("bolt-torque", "thread=M8; class=8.8; k=0.15")
	// Output:
	// d_mm = of M8 = 8.00 mm
	// pitch_mm = of M8 = 1.25 mm
	// formula_mm2 = pi / 4 * (8 mm - 0.9382 * 1.25 mm)^2 = 36.6 mm²
	// area_mm2 = 36.6085 mm², three figures as ISO 898-1 prints it = 36.6 mm²
	// proof_MPa = of 8.8 = 580 MPa
	// proof_N = 36.6 mm² * 580 MPa = 21.2 kN
	// preload_N = 0.75 * 21228 N = 15.9 kN
	// torque_Nm = 0.15 * 8 mm / 1000 * 15921 N = 19.1 N·m
	// preload_low_N = 15921 N * (1 - 0.3) = 11.1 kN
	// preload_high_N = 15921 N * (1 + 0.3) = 20.7 kN
	// proof_share = 15921 N / 21228 N = 0.750
}

// What 82 N·m on a dry M12 gives.
func Example_boltPreload() {
	run("bolt-preload", "thread=M12; torque_Nm=82; class=8.8")
	// Output:
	// d_mm = of M12 = 12.0 mm
	// pitch_mm = of M12 = 1.75 mm
	// formula_mm2 = pi / 4 * (12 mm - 0.9382 * 1.75 mm)^2 = 84.3 mm²
	// area_mm2 = 84.2664 mm², three figures as ISO 898-1 prints it = 84.3 mm²
	// proof_MPa = of 8.8 = 580 MPa
	// proof_N = 84.3 mm² * 580 MPa = 48.9 kN
	// preload_N = 82 N·m / (0.2 * 12 mm / 1000) = 34.2 kN
	// preload_low_N = 34166.7 N * (1 - 0.3) = 23.9 kN
	// preload_high_N = 34166.7 N * (1 + 0.3) = 44.4 kN
	// proof_share = 34166.7 N / 48894 N = 0.699
}

// A bolt in a clevis, thread in both planes.
func Example_boltShear() {
	run("bolt-shear", "thread=M10; class=8.8; planes=2")
	// Output:
	// d_mm = of M10 = 10.0 mm
	// pitch_mm = of M10 = 1.50 mm
	// formula_mm2 = pi / 4 * (10 mm - 0.9382 * 1.5 mm)^2 = 58.0 mm²
	// area_mm2 = 57.9895 mm², three figures as ISO 898-1 prints it = 58.0 mm²
	// alpha_v = of 8.8 = 0.600
	// fub_MPa = of 8.8 = 800 MPa
	// shear_N = 2 * 0.6 * 800 MPa * 58 mm² / 1.25 = 44.5 kN
}

// A vintage rear tyre.
func Example_tyreSize() {
	run("tyre-size", "tyre=2.75-18")
	// Output:
	// width_mm = of 2.75-18 = 69.8 mm
	// aspect = of 2.75-18 = 1.00
	// rim_in = of 2.75-18 = 18.000 in
	// height_mm = 69.85 mm * 1 = 69.8 mm
	// diameter_mm = 25.4 * 18 in + 2 * 69.85 mm = 597 mm
	// circ_mm = pi * 596.9 mm = 1875 mm
	// turns_km = 1000000 / 1875.22 mm = 533
	// rolled_circ_m = 3.05 * 596.9 mm / 1000 = 1.82 m
}

// Drive one way, regeneration the other.
func Example_armForce() {
	run("arm-force", "motor_peak_Nm=150; regen_peak_Nm=60; torque_arm_m=0.11; torque_arm_allow_N=6000")
	// Output:
	// arm_force_N = 150 N·m / (1 * 0.11 m) = 1364 N
	// arm_force_back_N = 60 N·m / (1 * 0.11 m) = 545 N
	// arm_torque_Nm = 6000 N * 1 * 0.11 m = 660 N·m
	// larger_N = max(1363.64 N, 545.455 N) = 1364 N
	// arm_margin_calc = 6000 N / 1363.64 N = 4.40
}

// The order of size that calls for an arm.
func Example_flatForce() {
	run("flat-force", "motor_peak_Nm=150; axle_flat_mm=12")
	// Output:
	// flat_force_N = 1000 * 150 N·m / 12 mm = 12.5 kN
}

// Mild steel dropouts.
func Example_flatPressure() {
	run("flat-pressure", "motor_peak_Nm=100; axle_mm=16; axle_flat_mm=12; plate_mm=8; yield_MPa=250")
	// Output:
	// side_Nm = 100 N·m / 2 = 50.0 N·m
	// chord_mm = sqrt((16 mm)^2 - (12 mm)^2) = 10.6 mm
	// pressure_MPa = 6000 * 50 N·m / (8 mm * (10.583 mm)^2) = 335 MPa
	// yield_factor = 250 MPa / 334.821 MPa = 0.747
	// note: factor 0.75 is under 2: the flats alone do not hold this torque, a torque arm is wanted
}

// A bracket weld, static load.
func Example_weldStrength() {
	run("weld-strength", "leg_mm=4; fexx_MPa=490")
	// Output:
	// throat_mm = 0.707 * 4 mm = 2.83 mm
	// allow_MPa = 0.30 * 490 MPa = 147 MPa
	// allow_N_mm = 2.828 mm * 147 MPa = 416 N/mm
	// design_MPa = 0.75 * 0.60 * 490 MPa = 220 MPa
	// design_N_mm = 2.828 mm * 220.5 MPa = 624 N/mm
}

// The leg for a load.
func Example_weldLeg() {
	run("weld-leg", "weld_load_N=12 kN; weld_length_mm=60; fexx_MPa=490")
	// Output:
	// allow_MPa = 0.30 * 490 MPa = 147 MPa
	// leg_mm = 12000 N / (0.707 * 60 mm * 147 MPa) = 1.92 mm
}

// Two scales.
func Example_cgPosition() {
	run("cg-position", "wheelbase_m=1.4; front_kg=80; rear_kg=100")
	// Output:
	// wheelbase_mm = 1.4 m = 1400 mm
	// total_kg = 80 kg + 100 kg = 180 kg
	// cg_x_mm = 100 kg * 1400 mm / 180 kg = 778 mm
	// rear_share = 777.778 mm / 1400 mm = 0.556
	// front_share = 1 - 0.555556 = 0.444
}

// Engine out, pack in.
func Example_axleLoads() {
	run("axle-loads", "wheelbase_m=1.4; parts_kg=180 -30 25; parts_x_mm=777.8 600 650")
	// Output:
	// wheelbase_mm = 1.4 m = 1400 mm
	// total_kg = sum of (180 -30 25) = 175 kg
	// rear_kg = sum of (180 -30 25) * (777.8 600 650) / 1400 mm = 98.8 kg
	// front_kg = 175 kg - 98.7529 kg = 76.2 kg
	// cg_x_mm = 98.7529 kg * 1400 mm / 175 kg = 790 mm
	// rear_share = 98.7529 kg / 175 kg = 0.564
	// front_share = 76.2471 kg / 175 kg = 0.436
	// moment_Nm = 9.80665 * 1.4 m * (98.7529 kg - 175 kg) = -1047 N·m
}

// Rear axle raised by 300 mm.
func Example_cgHeight() {
	run("cg-height", "wheelbase_m=1.4; mass_bike_kg=180; low_level_kg=80; low_raised_kg=88; lift_mm=300; axle_height_mm=310")
	// Output:
	// wheelbase_mm = 1.4 m = 1400 mm
	// angle_tan = tan(asin(300 mm / 1400 mm)) = 0.219
	// gain_kg = 88 kg - 80 kg = 8.00 kg
	// cg_height_mm = 310 mm + 8 kg * 1400 mm / (180 kg * 0.219382) = 594 mm
	// per_kg_mm = 1400 mm / (180 kg * 0.219382) = 35.5 mm
}

// A hub motor in place of hub and sprocket.
func Example_sprungRatio() {
	run("sprung-ratio", "mass_bike_kg=180; unsprung_kg=26; wheel_out_kg=4; wheel_in_kg=12")
	// Output:
	// total_after_kg = 180 kg - 4 kg + 12 kg = 188 kg
	// unsprung_after_kg = 26 kg - 4 kg + 12 kg = 34.0 kg
	// sprung_ratio = (188 kg - 34 kg) / 34 kg = 4.53
}

// The limits of a 30 km/h test.
func Example_stopDistance() {
	run("stop-distance", "test_speed_kmh=30")
	// Output:
	// stop_front_max_m = 0.1 * 30 km/h + (30 km/h)^2 / (25.92 * 4.4 m/s²) = 10.9 m
	// stop_rear_max_m = 0.1 * 30 km/h + (30 km/h)^2 / (25.92 * 2.9 m/s²) = 15.0 m
}

// Ten metres from 30 km/h.
func Example_stopDeceleration() {
	run("stop-deceleration", "test_speed_kmh=30; stop_m=10")
	// Output:
	// brake_ms2 = (30 km/h)^2 / (25.92 * (10 m - 0.1 * 30 km/h)) = 4.96 m/s²
}

// How light the rear gets.
func Example_brakeTransfer() {
	run("brake-transfer", "mass_bike_kg=124; mass_rider_kg=82; brake_ms2=4.4; cg_height_mm=700; wheelbase_m=1.32; rear_kg=115")
	// Output:
	// mass_kg = 124 kg + 82 kg = 206 kg
	// wheelbase_mm = 1.32 m = 1320 mm
	// transfer_kg = 206 kg * 4.4 m/s² * 700 mm / (9.80665 * 1320 mm) = 49.0 kg
	// rear_lifts_ms2 = 9.80665 * 115 kg / 206 kg * 1320 mm / 700 mm = 10.3 m/s²
	// rear_braking_kg = 115 kg - 49.0144 kg = 66.0 kg
	// front_braking_kg = 206 kg - 65.9856 kg = 140 kg
}

// The load test of the pack mounts.
func Example_mountLoad() {
	run("mount-load", "pack_mass_kg=36; mount_g=8")
	// Output:
	// mount_load_N = 36 kg * 9.81 * 8 g = 2825 N
}
