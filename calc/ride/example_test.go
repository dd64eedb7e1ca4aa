package ride_test

import (
	"ampwright/calc/desk/desktest"
	"ampwright/calc/ride"
)

func ExampleCalcs_roadLoad() {
	desktest.Show(ride.Calcs(), "road-load", "cruise_kmh=80; slope_deg=8")
	// Output:
	// mass_kg = mass_bike_kg + mass_rider_kg = 124 kg + 82 kg = 206 kg
	// slope = slope_deg = 8 ° = 8 °
	// cruise_ms = cruise_kmh / 3.6 = 80 km/h / 3.6 = 22.2222 m/s
	// drag_N = 0.5 * rho * cda_m2 * cruise_ms * cruise_ms = 0.5 * 1.2 kg/m³ * 0.54 m² * 22.2222 m/s * 22.2222 m/s = 160 N
	// roll_N = mass_kg * g_ms2 * crr * cos(slope) = 206 kg * 9.81 m/s² * 0.015 * cos(8 °) = 30.0179 N
	// grade_N = mass_kg * g_ms2 * sin(slope) = 206 kg * 9.81 m/s² * sin(8 °) = 281.249 N
	// road_N = drag_N + roll_N + grade_N = 160 N + 30.0179 N + 281.249 N = 471.267 N
}

func ExampleCalcs_energyPerKm() {
	desktest.Show(ride.Calcs(), "energy-per-km", "mass_bike_kg=100; mass_rider_kg=80; cruise_kmh=80; drive_eff=0.85")
	// Output:
	// mass_kg = mass_bike_kg + mass_rider_kg = 100 kg + 80 kg = 180 kg
	// slope = 0 = 0 °
	// cruise_ms = cruise_kmh / 3.6 = 80 km/h / 3.6 = 22.2222 m/s
	// drag_N = 0.5 * rho * cda_m2 * cruise_ms * cruise_ms = 0.5 * 1.2 kg/m³ * 0.54 m² * 22.2222 m/s * 22.2222 m/s = 160 N
	// roll_N = mass_kg * g_ms2 * crr * cos(slope) = 180 kg * 9.81 m/s² * 0.015 * cos(0 °) = 26.487 N
	// grade_N = mass_kg * g_ms2 * sin(slope) = 180 kg * 9.81 m/s² * sin(0 °) = 0 N
	// road_N = drag_N + roll_N + grade_N = 160 N + 26.487 N + 0 N = 186.487 N
	// wheel_W = road_N * cruise_ms = 186.487 N * 22.2222 m/s = 4144.16 W
	// batt_W = max(wheel_W, 0) / drive_eff = max(4144.16 W, 0) / 0.85 = 4875.48 W
	// wh_km = batt_W / cruise_kmh = 4875.48 W / 80 km/h = 60.9435 Wh/km
}

func ExampleCalcs_tripConsumption() {
	desktest.Show(ride.Calcs(), "trip-consumption", "trip_kWh=2.5; trip_km=100")
	// Output:
	// wh_km = 1000 * trip_kWh / trip_km = 1000 * 2.5 kWh / 100 km = 25 Wh/km
}

func ExampleCalcs_range() {
	desktest.Show(ride.Calcs(), "range", "pack_kWh=2016 Wh; usable_fraction=90 %; wh_km=60.94; range_target_km=25")
	// Output:
	// range_km = 1000 * pack_kWh * usable_fraction / wh_km = 1000 * 2.016 kWh * 0.9 / 60.94 Wh/km = 29.7735 km
	// range_low_km = range_km * (1 - forecast_spread / 100) = 29.7735 km * (1 - 15 % / 100) = 25.3075 km
	// range_high_km = range_km * (1 + forecast_spread / 100) = 29.7735 km * (1 + 15 % / 100) = 34.2396 km
	// reserve_kWh = pack_kWh * (1 - usable_fraction) = 2.016 kWh * (1 - 0.9) = 0.2016 kWh
	// reserve_km = 1000 * reserve_kWh / wh_km = 1000 * 0.2016 kWh / 60.94 Wh/km = 3.30817 km
	// energy_need_kWh = range_target_km * wh_km / 1000 / usable_fraction = 25 km * 60.94 Wh/km / 1000 / 0.9 = 1.69278 kWh
	// Against the range wanted: within the range, spread counted
}

func ExampleCalcs_motorSpeed() {
	desktest.Show(ride.Calcs(), "motor-speed", "motor_kv=10; pack_nom_V=72; sag_V=6; tyre_circ_m=1884 mm")
	// Output:
	// noload_rpm = motor_kv * pack_nom_V = 10 rpm/V * 72 V = 720 rpm
	// top_noload_kmh = noload_rpm * tyre_circ_m * 0.06 = 720 rpm * 1.884 m * 0.06 = 81.3888 km/h
	// sagged_rpm = motor_kv * (pack_nom_V - sag_V) = 10 rpm/V * (72 V - 6 V) = 660 rpm
	// top_sagged_kmh = sagged_rpm * tyre_circ_m * 0.06 = 660 rpm * 1.884 m * 0.06 = 74.6064 km/h
}

func ExampleCalcs_torqueConstant() {
	desktest.Show(ride.Calcs(), "torque-constant", "motor_kv=10; motor_A=100")
	// Output:
	// motor_kt = 60 / (2 * pi * motor_kv) = 60 / (2 * pi * 10 rpm/V) = 0.95493 N·m/A
	// current_factor = 1 = 1
	// motor_Nm = motor_kt * motor_A * current_factor = 0.95493 N·m/A * 100 A * 1 = 95.493 N·m
	// note: battery current is not motor current: at low speed the controller turns few battery amperes into many motor amperes
}

func ExampleCalcs_torqueFromPower() {
	desktest.Show(ride.Calcs(), "torque-from-power", "motor_W=3 kW; motor_rpm=500")
	// Output:
	// motor_Nm = motor_W * 60 / (2 * pi * motor_rpm) = 3000 W * 60 / (2 * pi * 500 rpm) = 57.2958 N·m
}

func ExampleCalcs_speedTorqueTrade() {
	desktest.Show(ride.Calcs(), "speed-torque-trade", "motor_kv=10; other_kv=12; pack_nom_V=72; tyre_circ_m=1.884; motor_A=100")
	// Output:
	// current_factor = 1 = 1
	// top_noload_kmh = motor_kv * pack_nom_V * tyre_circ_m * 0.06 = 10 rpm/V * 72 V * 1.884 m * 0.06 = 81.3888 km/h
	// launch_Nm = 60 / (2 * pi * motor_kv) * motor_A * current_factor = 60 / (2 * pi * 10 rpm/V) * 100 A * 1 = 95.493 N·m
	// launch_N = launch_Nm * 2 * pi / tyre_circ_m = 95.493 N·m * 2 * pi / 1.884 m = 318.471 N
	// full_torque_kmh = motor_kv * (pack_nom_V - motor_A * current_factor * (pack_mohm + motor_mohm) / 1000) * tyre_circ_m * 0.06 = 10 rpm/V * (72 V - 100 A * 1 * (15 mohm + 80 mohm) / 1000) * 1.884 m * 0.06 = 70.65 km/h
	// other_kmh = other_kv * pack_nom_V * tyre_circ_m * 0.06 = 12 rpm/V * 72 V * 1.884 m * 0.06 = 97.6666 km/h
	// other_Nm = 60 / (2 * pi * other_kv) * motor_A * current_factor = 60 / (2 * pi * 12 rpm/V) * 100 A * 1 = 79.5775 N·m
	// other_N = other_Nm * 2 * pi / tyre_circ_m = 79.5775 N·m * 2 * pi / 1.884 m = 265.393 N
	// other_full_torque_kmh = other_kv * (pack_nom_V - motor_A * current_factor * (pack_mohm + motor_mohm) / 1000) * tyre_circ_m * 0.06 = 12 rpm/V * (72 V - 100 A * 1 * (15 mohm + 80 mohm) / 1000) * 1.884 m * 0.06 = 84.78 km/h
	// speed_change = 100 * (other_kmh / top_noload_kmh - 1) = 100 * (97.6666 km/h / 81.3888 km/h - 1) = 20 %
	// thrust_change = 100 * (other_N / launch_N - 1) = 100 * (265.393 N / 318.471 N - 1) = -16.6667 %
}

func ExampleCalcs_topSpeed() {
	desktest.Show(ride.Calcs(), "top-speed", "slope_grade=3 %")
	// Output:
	// mass_kg = mass_bike_kg + mass_rider_kg = 124 kg + 82 kg = 206 kg
	// slope = arctan(slope_grade / 100) = arctan(3 % / 100) = 1.71836 °
	// top_noload_kmh = motor_kv * pack_nom_V * tyre_circ_m * 0.06 = 9.4 rpm/V * 74 V * 1.98 m * 0.06 = 82.6373 km/h
	// top_kmh = speed at which thrust_N meets road_N, found by halving; proof: = 69.4929 km/h
	// top_ms = top_kmh / 3.6 = 69.4929 km/h / 3.6 = 19.3036 m/s
	// rpm = 60 * top_ms / tyre_circ_m = 60 * 19.3036 m/s / 1.98 m = 584.957 rpm
	// voltage_A = 1000 * (pack_nom_V - rpm / motor_kv) / (pack_mohm + motor_mohm) = 1000 * (74 V - 584.957 rpm / 9.4 rpm/V) / (15 mohm + 80 mohm) = 123.901 A
	// voltage_N = 60 / (2 * pi * motor_kv) * voltage_A * 2 * pi / tyre_circ_m = 60 / (2 * pi * 9.4 rpm/V) * 123.901 A * 2 * pi / 1.98 m = 399.422 N
	// torque_N = motor_peak_Nm * 2 * pi / tyre_circ_m = 150 N·m * 2 * pi / 1.98 m = 475.999 N
	// battery_N = (pack_nom_V - batt_cont_A * pack_mohm / 1000) * batt_cont_A * drive_eff / top_ms = (74 V - 70 A * 15 mohm / 1000) * 70 A * 0.8 / 19.3036 m/s = 211.629 N
	// thrust_N = min(voltage_N, torque_N, battery_N) = min(399.422 N, 475.999 N, 211.629 N) = 211.629 N
	// drag_N = 0.5 * rho * cda_m2 * top_ms * top_ms = 0.5 * 1.2 kg/m³ * 0.54 m² * 19.3036 m/s * 19.3036 m/s = 120.731 N
	// roll_N = mass_kg * g_ms2 * crr * cos(slope) = 206 kg * 9.81 m/s² * 0.015 * cos(1.71836 °) = 30.2993 N
	// grade_N = mass_kg * g_ms2 * sin(slope) = 206 kg * 9.81 m/s² * sin(1.71836 °) = 60.5985 N
	// road_N = drag_N + roll_N + grade_N = 120.731 N + 30.2993 N + 60.5985 N = 211.629 N
	// wheel_W = road_N * top_ms = 211.629 N * 19.3036 m/s = 4085.2 W
	// What limits it: battery current
}

func ExampleCalcs_steepestHill() {
	desktest.Show(ride.Calcs(), "steepest-hill", "motor_peak_Nm=150")
	// Output:
	// mass_kg = mass_bike_kg + mass_rider_kg = 124 kg + 82 kg = 206 kg
	// launch_N = motor_peak_Nm * 2 * pi / tyre_circ_m = 150 N·m * 2 * pi / 1.98 m = 475.999 N
	// flat_ms2 = max(0, launch_N / mass_kg - crr * g_ms2) = max(0, 475.999 N / 206 kg - 0.015 * 9.81 m/s²) = 2.16352 m/s²
	// weight_ratio = launch_N / (mass_kg * g_ms2) = 475.999 N / (206 kg * 9.81 m/s²) = 0.235543
	// slope_deg = arcsin(weight_ratio / sqrt(1 + crr * crr)) - arctan(crr) = arcsin(0.235543 / sqrt(1 + 0.015 * 0.015)) - arctan(0.015) = 12.7627 °
	// slope_grade = 100 * tan(slope_deg) = 100 * tan(12.7627 °) = 22.651 %
}

// By hand: 62 / 14; 100 rpm/V x 51.2 V / 4.42857.
func ExampleCalcs_chainDrive() {
	desktest.Show(ride.Calcs(), "chain-drive", "teeth_motor=14; teeth_axle=62; motor_kv=100; pack_nom_V=51.2; tyre_circ_m=0.84")
	// Output:
	// ratio = teeth_axle / teeth_motor = 62 / 14 = 4.42857
	// axle_rpm = motor_kv * pack_nom_V / ratio = 100 rpm/V * 51.2 V / 4.42857 = 1156.13 rpm
	// top_noload_kmh = axle_rpm * tyre_circ_m * 0.06 = 1156.13 rpm * 0.84 m * 0.06 = 58.2689 km/h
}
