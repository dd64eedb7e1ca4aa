package mechanics

import "ampwright/calc/desk"

// StopDistance returns the stopping distance in m from speedKmh at a mean
// deceleration in m/s²: 0.1 V + V² / (25.92 a). The first term is 0.36 s of
// free travel; 25.92 is 2 x 3.6².
func StopDistance(speedKmh, ms2 float64) float64 {
	return 0.1*speedKmh + speedKmh*speedKmh/(25.92*ms2)
}

// StopDeceleration returns the mean deceleration in m/s² of a stop measured
// over distanceM, which must be more than 0.1 V: the inverse of [StopDistance].
func StopDeceleration(speedKmh, distanceM float64) float64 {
	return speedKmh * speedKmh / (25.92 * (distanceM - 0.1*speedKmh))
}

// LoadTransfer returns the load in kg that moves from the rear wheel to the
// front one: m a h / (g L), heights and wheelbase in the same unit. Rigid
// suspension, level road.
func LoadTransfer(massKg, ms2, height, wheelbase float64) float64 {
	return massKg * ms2 * height / (gravity * wheelbase)
}

// planGravity is g as the built-in plan has it in mount_load_N, so that both
// show the same number; it is 0.03 % above the standard value.
const planGravity = 9.81

// MountLoad returns the force in N on the mounts of massKg at n times the
// acceleration of free fall: F = m g n.
func MountLoad(massKg, n float64) float64 { return massKg * planGravity * n }

const (
	brakes     = "brakes and mounts"
	stopSource = "S = 0.1 V + V²/(25.92 a): form and figures of UN R78 from memory, not read; the inspector's figure wins"
	stopRule   = "a conversion changes mass and its place: brakes must be checked again, at low speed first, on closed ground"
)

var stopSpeed = desk.Num("test_speed_kmh", "Brake test speed", "km/h", "", 1, 200)

func brakeCalcs() []*desk.Calc {
	return []*desk.Calc{{
		Name: "stop-distance", Title: "Longest stopping distance at a test speed", Group: brakes,
		Inputs: []desk.Input{stopSpeed,
			desk.Num("brake_front_min_ms2", "Deceleration, front brake only", "m/s2", "4.4", 0.1, 15),
			desk.Num("brake_rear_min_ms2", "Deceleration, rear brake only", "m/s2", "2.9", 0.1, 15)},
		Outputs: []desk.Output{
			desk.Out("stop_front_max_m", "Longest stop, front only", "m").On("test_speed_kmh", "brake_front_min_ms2"),
			desk.Out("stop_rear_max_m", "Longest stop, rear only", "m").On("test_speed_kmh", "brake_rear_min_ms2")},
		Formula: []string{"stop_front_max_m = 0.1 * test_speed_kmh + test_speed_kmh^2 / (25.92 * brake_front_min_ms2)",
			"stop_rear_max_m = 0.1 * test_speed_kmh + test_speed_kmh^2 / (25.92 * brake_rear_min_ms2)"},
		Source:   stopSource,
		Valid:    "dry, level, good surface, brakes cold, wheels not locked; speed in km/h, distance in m",
		Cautions: []string{stopRule},
		Do: func(s *desk.Sheet) {
			v := s.Num("test_speed_kmh")
			s.Out("stop_front_max_m", StopDistance(v, s.Num("brake_front_min_ms2")), "0.1 * test_speed_kmh + test_speed_kmh^2 / (25.92 * brake_front_min_ms2)")
			s.Out("stop_rear_max_m", StopDistance(v, s.Num("brake_rear_min_ms2")), "0.1 * test_speed_kmh + test_speed_kmh^2 / (25.92 * brake_rear_min_ms2)")
		},
	}, {
		Name: "stop-deceleration", Title: "Deceleration from a measured stop", Group: brakes,
		Inputs: []desk.Input{stopSpeed,
			desk.Num("stop_m", "Stopping distance measured, from touching the lever", "m", "", 0.1, 1000)},
		Outputs:  []desk.Output{desk.Out("brake_ms2", "Mean deceleration", "m/s2")},
		Formula:  []string{"brake_ms2 = test_speed_kmh^2 / (25.92 * (stop_m - 0.1 * test_speed_kmh))"},
		Source:   stopSource,
		Valid:    "as stop-distance; the stop must be longer than 0.1 V",
		Cautions: []string{stopRule, "a speedometer reads high: measure the speed, 5 % of speed is 10 % of distance"},
		Do: func(s *desk.Sheet) {
			v, d := s.Num("test_speed_kmh"), s.Num("stop_m")
			if d <= 0.1*v {
				s.Fail("stop_m", "want more than 0.1 V, the free travel before the brake bites")
				return
			}
			if a := s.Out("brake_ms2", StopDeceleration(v, d), "test_speed_kmh^2 / (25.92 * (stop_m - 0.1 * test_speed_kmh))"); a > 10 {
				s.Note("more than 10 m/s²: tyres on a road hardly give that, check speed and distance")
			}
		},
	}, {
		Name: "brake-transfer", Title: "Load transfer in braking", Group: brakes,
		Inputs: []desk.Input{
			desk.Num("mass_bike_kg", "Mass of the bike", "kg", "", 1, 2000),
			desk.Num("mass_rider_kg", "Rider with kit", "kg", "0", 0, 500),
			desk.Num("brake_ms2", "Deceleration", "m/s2", "", 0, 15),
			desk.Num("cg_height_mm", "Height of the centre of gravity, bike and rider together", "mm", "", 1, 2000),
			wheelbaseInput,
			desk.Num("rear_kg", "Rear load at rest, bike and rider together", "kg", "-", 0, 2500)},
		Outputs: []desk.Output{
			desk.Out("transfer_kg", "Load that moves to the front wheel", "kg"),
			desk.Out("rear_braking_kg", "Load left on the rear wheel", "kg"),
			desk.Out("front_braking_kg", "Load on the front wheel", "kg"),
			desk.Out("rear_lifts_ms2", "Deceleration at which the rear wheel lifts", "m/s2")},
		Formula: []string{"transfer_kg = mass_kg * brake_ms2 * cg_height_mm / (9.80665 * wheelbase_mm)",
			"rear_braking_kg = rear_kg - transfer_kg", "rear_lifts_ms2 = 9.80665 * rear_kg / mass_kg * wheelbase_mm / cg_height_mm"},
		Source:   "equilibrium of moments, m a h / (g L): derived, no published source",
		Valid:    "level road, steady deceleration, no dive of the fork, rider not moving",
		Cautions: []string{"the rear brake, and regeneration through the rear wheel, have least grip when they are needed most", stopRule},
		Do: func(s *desk.Sheet) {
			a, h, l := s.Num("brake_ms2"), s.Num("cg_height_mm"), 1000*s.Num("wheelbase_m")
			m := s.Step("mass_kg", s.Num("mass_bike_kg")+s.Num("mass_rider_kg"), "kg", "mass_bike_kg + mass_rider_kg")
			s.Step("wheelbase_mm", l, "mm", "1000 * wheelbase_m")
			moved := s.Out("transfer_kg", LoadTransfer(m, a, h, l), "mass_kg * brake_ms2 * cg_height_mm / (9.80665 * wheelbase_mm)")
			if !s.Has("rear_kg") {
				return
			}
			rear := s.Num("rear_kg")
			if rear > m {
				s.Fail("rear_kg", "want no more than bike and rider together")
				return
			}
			s.Out("rear_lifts_ms2", gravity*rear/m*l/h, "9.80665 * rear_kg / mass_kg * wheelbase_mm / cg_height_mm")
			left := s.Out("rear_braking_kg", rear-moved, "rear_kg - transfer_kg")
			s.Out("front_braking_kg", m-left, "mass_kg - rear_braking_kg")
			if left <= 0 {
				s.Note("the rear wheel is off the ground at this deceleration: it cannot be reached")
			}
		},
	}, {
		Name: "mount-load", Title: "Load test of mounts", Group: brakes,
		Inputs: []desk.Input{
			desk.Num("pack_mass_kg", "Mass of the pack with its case", "kg", "", 0, 1000),
			desk.Num("mount_g", "Design acceleration for the mounts", "g", "8", 0, 100)},
		Outputs:  []desk.Output{desk.Out("mount_load_N", "Load on all mounts together", "N").On("pack_mass_kg", "mount_g")},
		Formula:  []string{"mount_load_N = pack_mass_kg * 9.81 * mount_g"},
		Source:   "F = m g n: derived, no published source; n comes from the authority, 8 is a placeholder (common practice, no published source)",
		Valid:    "static test load with the force through the centre of gravity; a lever arm adds bending",
		Cautions: []string{"no lasting bend and no crack after the load, in each direction; fatigue is not covered", "keep out of the line of a loaded jack or hoist", witness},
		Do: func(s *desk.Sheet) {
			s.Out("mount_load_N", MountLoad(s.Num("pack_mass_kg"), s.Num("mount_g")), "pack_mass_kg * 9.81 * mount_g")
		},
	}}
}
