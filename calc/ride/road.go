package ride

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
)

// A Road is a machine on a road: everything that resists it but its speed.
type Road struct {
	RhoKgM3  float64 // air density
	CdAM2    float64 // drag area
	Crr      float64 // rolling resistance coefficient
	MassKg   float64 // with rider and load
	SlopeRad float64 // uphill is positive
	GMS2     float64 // acceleration of free fall
}

// DragN returns the air drag in N at v m/s in still air.
func (r Road) DragN(v float64) float64 { return 0.5 * r.RhoKgM3 * r.CdAM2 * v * v }

// RollN returns the rolling resistance in N, with the cosine of the slope.
func (r Road) RollN() float64 { return r.MassKg * r.GMS2 * r.Crr * math.Cos(r.SlopeRad) }

// GradeN returns the downhill pull in N; it is negative downhill.
func (r Road) GradeN() float64 { return r.MassKg * r.GMS2 * math.Sin(r.SlopeRad) }

// TotalN returns the sum of the three in N at v m/s.
func (r Road) TotalN(v float64) float64 { return r.DragN(v) + r.RollN() + r.GradeN() }

// WhKm returns the energy per distance in Wh/km: force in N, efficiency as a
// fraction. A force that pushes costs nothing.
func WhKm(forceN, eff float64) float64 { return max(forceN, 0) / eff / 3.6 }

// roadInputs are those of a [Road]; a slope may be downhill from lowest on.
func roadInputs(lowest float64) []desk.Input {
	steepest := 100 * math.Tan(lowest*math.Pi/180)
	return []desk.Input{
		desk.Num("rho", "Air density", "kg/m3", "1.2", 0.5, 2),
		desk.Num("cda_m2", "Drag area", "m2", "0.54", 0.05, 5),
		desk.Num("crr", "Rolling resistance coefficient", "ratio", "0.015", 0, 0.3),
		desk.Num("mass_bike_kg", "Finished machine", "kg", "124", 1, 5000),
		desk.Num("mass_rider_kg", "Rider with kit", "kg", "82", 0, 1000),
		desk.Num("slope_deg", "Slope as an angle, uphill positive", "deg", "-", lowest, 30),
		desk.Num("slope_grade", "Slope as rise per distance on the map, instead", "%", "-", math.Ceil(steepest), 57),
		desk.Num("g_ms2", "Acceleration of free fall", "m/s2", "9.81", 9.7, 9.9),
	}
}

const roadSource = "aerodynamic drag, rolling resistance and grade as in a university course's solutions (read in a copy); " +
	"two-wheeler with rider, drag area 0.54 m², Crr 0.015: the same; textbooks span 0.18 m² (streamlined) to 0.7 m² (upright), Crr about 0.02 (from memory)"

const roadValid = "still air, dry hard road; a coast-down of the finished machine beats every default"

func roadFormula() []string {
	return []string{
		"drag_N = 0.5 * rho * cda_m2 * v^2",
		"roll_N = mass_kg * g_ms2 * crr * cos(slope)",
		"grade_N = mass_kg * g_ms2 * sin(slope)",
	}
}

// readRoad reads a Road and shows its mass and slope.
func readRoad(s *desk.Sheet) Road {
	r := Road{RhoKgM3: s.Num("rho"), CdAM2: s.Num("cda_m2"), Crr: s.Num("crr"), GMS2: s.Num("g_ms2")}
	r.MassKg = s.Step("mass_kg", s.Num("mass_bike_kg")+s.Num("mass_rider_kg"), "kg", "mass_bike_kg + mass_rider_kg")
	slope, formula := s.Num("slope_deg"), "slope_deg"
	switch {
	case s.Has("slope_deg") && s.Has("slope_grade"):
		s.Fail("slope_grade", "want the slope as an angle or as a grade, not both")
	case s.Has("slope_grade"):
		slope, formula = math.Atan(s.Num("slope_grade")/100)*180/math.Pi, "arctan(slope_grade / 100)"
	case !s.Has("slope_deg"):
		formula = "0"
	}
	r.SlopeRad = s.Step("slope", slope, "deg", formula) * math.Pi / 180
	return r
}

func forceOutputs(more ...desk.Output) []desk.Output {
	return append([]desk.Output{
		desk.Out("cruise_ms", "Speed in metres per second", "m/s").On("cruise_kmh"),
		desk.Out("drag_N", "Air drag", "N").On("rho", "cda_m2", "cruise_kmh"),
		desk.Out("roll_N", "Rolling resistance", "N").On("crr", "mass_bike_kg", "mass_rider_kg", "slope_deg", "slope_grade", "g_ms2"),
		desk.Out("grade_N", "Grade", "N"),
		desk.Out("road_N", "Force to hold the speed", "N"),
	}, more...)
}

// forces works out the resistances at cruise_kmh.
func forces(s *desk.Sheet, r Road) (roadN float64) {
	v := s.Out("cruise_ms", s.Num("cruise_kmh")/3.6, "cruise_kmh / 3.6")
	s.Out("drag_N", r.DragN(v), "0.5 * rho * cda_m2 * cruise_ms * cruise_ms")
	s.Out("roll_N", r.RollN(), "mass_kg * g_ms2 * crr * cos(slope)")
	s.Out("grade_N", r.GradeN(), "mass_kg * g_ms2 * sin(slope)")
	return s.Out("road_N", r.TotalN(v), "drag_N + roll_N + grade_N")
}

func roadLoadCalc() *desk.Calc {
	return &desk.Calc{
		Name:    "road-load",
		Title:   "Resistances on the road",
		Group:   groupRoad,
		Inputs:  append([]desk.Input{cruise(0)}, roadInputs(-30)...),
		Outputs: forceOutputs(),
		Formula: append(roadFormula(), "road_N = drag_N + roll_N + grade_N"),
		Source:  roadSource,
		Valid:   roadValid,
		Do: func(s *desk.Sheet) {
			r := readRoad(s)
			load := forces(s, r)
			top := max(60, 1.5*s.Num("cruise_kmh"))
			s.Draw(desk.Curve{
				Title: "Road load against speed", X: desk.Axis{Title: "speed", Unit: "km/h"}, Y: desk.Axis{Title: "force", Unit: "N"},
				Sentence: fmt.Sprintf("%.0f N at %.0f km/h, %.0f N at %.0f km/h: air drag grows with the square of the speed.",
					load, s.Num("cruise_kmh"), r.TotalN(top/3.6), top),
			}, 0, top, 60, func(kmh float64) float64 { return r.TotalN(kmh / 3.6) })
			if load < 0 {
				s.Note("the slope pushes harder than the road resists: brakes hold the speed")
			}
		},
	}
}

func energyCalc() *desk.Calc {
	return &desk.Calc{
		Name:   "energy-per-km",
		Title:  "Power and energy per kilometre at a steady speed",
		Group:  groupRoad,
		Inputs: append([]desk.Input{cruise(1), driveEff()}, roadInputs(-30)...),
		Outputs: forceOutputs(
			desk.Out("wheel_W", "Power at the wheel", "W"),
			desk.Out("batt_W", "Power from the battery", "W"),
			desk.Out("wh_km", "Energy per kilometre", "Wh/km").On("cruise_kmh", "drive_eff", "rho", "cda_m2", "crr", "mass_bike_kg", "mass_rider_kg", "slope_deg", "slope_grade", "g_ms2"),
		),
		Formula: append(roadFormula(),
			"wheel_W = (drag_N + roll_N + grade_N) * cruise_kmh / 3.6",
			"batt_W = wheel_W / drive_eff",
			"wh_km = batt_W / cruise_kmh"),
		Source: roadSource,
		Valid:  roadValid + "; steady speed: stops, wind and hills come on top, and lamps (accessory-energy)",
		Do: func(s *desk.Sheet) {
			f := forces(s, readRoad(s))
			wheel := s.Out("wheel_W", f*s.Num("cruise_kmh")/3.6, "road_N * cruise_ms")
			s.Out("batt_W", max(wheel, 0)/s.Num("drive_eff"), "max(wheel_W, 0) / drive_eff")
			s.Out("wh_km", WhKm(f, s.Num("drive_eff")), "batt_W / cruise_kmh")
			if f < 0 {
				s.Note("the slope pushes harder than the road resists: nothing is drawn, and what regeneration brings back is not counted")
			}
		},
	}
}

func tripCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "trip-consumption",
		Title: "Energy per kilometre of a ride that was measured",
		Group: groupRoad,
		Inputs: []desk.Input{
			desk.Num("trip_kWh", "Energy taken from the pack", "kWh", "", 0, 1000),
			desk.Num("trip_km", "Distance", "km", "", 0.01, 10000),
		},
		Outputs: []desk.Output{desk.Out("wh_km", "Energy per kilometre", "Wh/km")},
		Formula: []string{"wh_km = 1000 * trip_kWh / trip_km"},
		Source:  "definition",
		Valid:   "energy at the pack; at the wall it is more by the charging losses",
		Do: func(s *desk.Sheet) {
			s.Out("wh_km", 1000*s.Num("trip_kWh")/s.Num("trip_km"), "1000 * trip_kWh / trip_km")
		},
	}
}
