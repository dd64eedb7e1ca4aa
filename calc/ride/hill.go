package ride

import (
	"math"

	"ampwright/calc/desk"
)

// SteepestRad returns the steepest slope in rad on which a thrust in N holds
// the machine at walking pace; it is below 0 if the thrust does not even
// overcome the rolling resistance, and ok is false if it would climb a wall.
func (r Road) SteepestRad(thrustN float64) (slope float64, ok bool) {
	// sin a + Crr cos a = F/(m g), and the left is sqrt(1+Crr²) sin(a + atan Crr).
	x := thrustN / (r.MassKg * r.GMS2) / math.Sqrt(1+r.Crr*r.Crr)
	if x > 1 {
		return math.Pi / 2, false
	}
	return math.Asin(x) - math.Atan(r.Crr), true
}

func hillCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "steepest-hill",
		Title: "Steepest hill the motor can start on",
		Group: groupMotor,
		Inputs: []desk.Input{
			desk.Num("motor_peak_Nm", "Motor peak torque at the axle", "Nm", "150", 0, 5000),
			tyreCirc(),
			desk.Num("crr", "Rolling resistance coefficient", "ratio", "0.015", 0, 0.3),
			desk.Num("mass_bike_kg", "Finished machine", "kg", "124", 1, 5000),
			desk.Num("mass_rider_kg", "Rider with kit", "kg", "82", 0, 1000),
			desk.Num("g_ms2", "Acceleration of free fall", "m/s2", "9.81", 9.7, 9.9),
		},
		Outputs: []desk.Output{
			desk.Out("launch_N", "Thrust at the tyre", "N"),
			desk.Out("slope_deg", "Steepest slope, angle", "deg"),
			desk.Out("slope_grade", "Steepest slope, rise per distance on the map", "%"),
			desk.Out("flat_ms2", "First acceleration on the flat", "m/s2"),
		},
		Formula: []string{
			"launch_N = motor_peak_Nm * 2 * pi / tyre_circ_m",
			"launch_N = mass_kg * g_ms2 * (sin(slope_deg) + crr * cos(slope_deg))",
			"flat_ms2 = launch_N / mass_kg - crr * g_ms2",
		},
		Source: "balance of forces",
		Valid:  "as long as the tyre grips and the front wheel stays down; a peak torque lasts seconds, then heat cuts it back",
		Do:     doHill,
	}
}

func doHill(s *desk.Sheet) {
	r := Road{Crr: s.Num("crr"), GMS2: s.Num("g_ms2")}
	r.MassKg = s.Step("mass_kg", s.Num("mass_bike_kg")+s.Num("mass_rider_kg"), "kg", "mass_bike_kg + mass_rider_kg")
	f := s.Out("launch_N", ThrustN(s.Num("motor_peak_Nm"), s.Num("tyre_circ_m")), "motor_peak_Nm * 2 * pi / tyre_circ_m")
	a := s.Out("flat_ms2", max(0, f/r.MassKg-r.Crr*r.GMS2), "max(0, launch_N / mass_kg - crr * g_ms2)")
	slope, ok := r.SteepestRad(f)
	switch {
	case !ok:
		s.Note("the thrust is more than the weight: the tyre slips or the front lifts long before, there is no slope to name")
		return
	case slope < 0:
		s.Note("the thrust does not overcome the rolling resistance: it does not move on the flat")
		return
	}
	s.Step("weight_ratio", f/(r.MassKg*r.GMS2), "ratio", "launch_N / (mass_kg * g_ms2)")
	s.Out("slope_deg", slope*180/math.Pi, "arcsin(weight_ratio / sqrt(1 + crr * crr)) - arctan(crr)")
	if slope < 89*math.Pi/180 {
		s.Out("slope_grade", 100*math.Tan(slope), "100 * tan(slope_deg)")
	}
	if slope > 25*math.Pi/180 || a > 5 {
		s.Note("at this thrust grip and the front wheel set the limit, not the motor")
	}
}
