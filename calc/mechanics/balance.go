package mechanics

import (
	"math"

	"ampwright/calc/desk"
)

// CentreX returns how far the centre of gravity is behind the front axle, in
// the unit of wheelbase: rear load x wheelbase / total. The loads are readings
// of the machine standing level.
func CentreX(front, rear, wheelbase float64) float64 { return rear * wheelbase / (front + rear) }

// A Load is a mass in kg at x mm behind the front axle; a mass taken out is
// negative.
type Load struct{ MassKg, XMM float64 }

// Loads returns the total of the parts in kg and the load on the rear axle,
// sum(m x) / L; the front carries the rest, and less than nothing if the
// parts tip it up.
func Loads(parts []Load, wheelbaseMM float64) (totalKg, rearKg float64) {
	for _, p := range parts {
		totalKg += p.MassKg
		rearKg += p.MassKg * p.XMM / wheelbaseMM
	}
	return totalKg, rearKg
}

// CentreHeight returns the height of the centre of gravity above the ground,
// in the unit of the lengths, from the load gained at the end that stays down
// when the other end is lifted: h = r + gain L / (m tan t), sin t = lift / L.
// Wheels of equal size, suspension locked, 0 < lift < wheelbase.
func CentreHeight(wheelbase, mass, gain, lift, axleHeight float64) float64 {
	return axleHeight + gain*wheelbase/(mass*math.Tan(math.Asin(lift/wheelbase)))
}

// SprungRatio returns sprung over unsprung mass: (total - unsprung) / unsprung.
func SprungRatio(total, unsprung float64) float64 { return (total - unsprung) / unsprung }

const (
	balance  = "mass and balance"
	cgSource = "equilibrium of moments; as in a builder's note on the centre of gravity (read)"
	strap    = "strap the machine before a wheel is lifted, and have somebody hold it"
)

var wheelbaseInput = desk.Num("wheelbase_m", "Wheelbase", "m", "", 0.3, 4)

func limit(name, title string) desk.Input {
	return desk.Num(name, title, "kg", "-", 1, 5000)
}

func balanceCalcs() []*desk.Calc {
	return []*desk.Calc{{
		Name: "cg-position", Title: "Centre of gravity fore and aft, from two scales", Group: balance,
		Inputs: []desk.Input{wheelbaseInput,
			desk.Num("front_kg", "Reading under the front wheel", "kg", "", 0, 2000),
			desk.Num("rear_kg", "Reading under the rear wheel", "kg", "", 0, 2000)},
		Outputs: []desk.Output{
			desk.Out("total_kg", "Mass", "kg"),
			desk.Out("cg_x_mm", "Centre of gravity behind the front axle", "mm"),
			desk.Out("rear_share", "Share on the rear wheel", "ratio"),
			desk.Out("front_share", "Share on the front wheel", "ratio")},
		Formula:  []string{"total_kg = front_kg + rear_kg", "cg_x_mm = rear_kg * wheelbase_mm / total_kg", "rear_share = cg_x_mm / wheelbase_mm"},
		Source:   cgSource,
		Valid:    "both wheels at one level, the machine upright, brakes free",
		Cautions: []string{"mass moved to the rear lightens the steering; check both axle loads against the plate", strap},
		Do: func(s *desk.Sheet) {
			front, rear := s.Num("front_kg"), s.Num("rear_kg")
			if front+rear == 0 {
				s.Fail("rear_kg", "want two readings that are not both 0")
				return
			}
			mm := s.Step("wheelbase_mm", 1000*s.Num("wheelbase_m"), "mm", "1000 * wheelbase_m")
			s.Out("total_kg", front+rear, "front_kg + rear_kg")
			x := s.Out("cg_x_mm", CentreX(front, rear, mm), "rear_kg * wheelbase_mm / total_kg")
			s.Out("rear_share", x/mm, "cg_x_mm / wheelbase_mm")
			s.Out("front_share", 1-x/mm, "1 - rear_share")
		},
	}, {
		Name: "axle-loads", Title: "Axle loads and centre of gravity from parts put in and taken out", Group: balance,
		Inputs: []desk.Input{wheelbaseInput,
			{Name: "parts_kg", Title: "Masses, the bike first; a part taken out is negative", Unit: "kg", Min: -2000, Max: 2000, List: true},
			{Name: "parts_x_mm", Title: "How far each is behind the front axle", Unit: "mm", Min: -3000, Max: 6000, List: true},
			limit("gross_max_kg", "Highest gross mass on the plate"),
			limit("axle_front_max_kg", "Front load limit"),
			limit("axle_rear_max_kg", "Rear load limit")},
		Outputs: []desk.Output{
			desk.Out("total_kg", "Mass", "kg"),
			desk.Out("cg_x_mm", "Centre of gravity behind the front axle", "mm"),
			desk.Out("rear_kg", "Load on the rear wheel", "kg"),
			desk.Out("front_kg", "Load on the front wheel", "kg"),
			desk.Out("rear_share", "Share on the rear wheel", "ratio"),
			desk.Out("front_share", "Share on the front wheel", "ratio"),
			desk.Out("moment_Nm", "Moment about the rear axle that lifts the front", "Nm")},
		Formula: []string{"rear_kg = sum of parts_kg * parts_x_mm / wheelbase_mm", "front_kg = total_kg - rear_kg",
			"cg_x_mm = rear_kg * wheelbase_mm / total_kg", "moment_Nm = 9.80665 * wheelbase_m * (rear_kg - total_kg)"},
		Source:   cgSource,
		Valid:    "the machine upright and level; riders and luggage at their seated places",
		Cautions: []string{"mass moved to the rear lightens the steering", "more mass, or another place for it, changes brakes, tyres' load index, suspension and the stand: check against tyre load and gross mass"},
		Do:       doAxleLoads,
	}, {
		Name: "cg-height", Title: "Height of the centre of gravity, by raising one end", Group: balance,
		Inputs: []desk.Input{wheelbaseInput,
			desk.Num("mass_bike_kg", "Mass of the bike", "kg", "", 10, 2000),
			desk.Num("low_level_kg", "Reading at the end that stays down, bike level", "kg", "", 0, 2000),
			desk.Num("low_raised_kg", "Reading there with the other end raised", "kg", "", 0, 2000),
			desk.Num("lift_mm", "How far the other axle is raised", "mm", "", 1, 3000),
			desk.Num("axle_height_mm", "Height of the axles, bike level", "mm", "", 50, 600)},
		Outputs: []desk.Output{
			desk.Out("cg_height_mm", "Height of the centre of gravity above the ground", "mm"),
			desk.Out("per_kg_mm", "Change of that height for 1 kg of scale error", "mm")},
		Formula: []string{"angle_tan = tan(asin(lift_mm / wheelbase_mm))",
			"cg_height_mm = axle_height_mm + gain_kg * wheelbase_mm / (mass_bike_kg * angle_tan)"},
		Source:   "equilibrium of moments: derived, no published source",
		Valid:    "wheels of equal size, suspension locked, bike upright, tank and pack as ridden; lift less than the wheelbase",
		Cautions: []string{"small differences of large readings: 1 kg of scale error moves the height by tens of millimetres", strap},
		Do:       doHeight,
	}, {
		Name: "sprung-ratio", Title: "Sprung to unsprung mass", Group: balance,
		Inputs: []desk.Input{
			desk.Num("mass_bike_kg", "Mass of the bike", "kg", "", 1, 2000),
			desk.Num("unsprung_kg", "Unsprung mass: wheels, tyres, brakes, half of fork and swing arm", "kg", "", 0.1, 1000),
			desk.Num("wheel_out_kg", "Taken out of the wheel: hub, sprocket", "kg", "0", 0, 500),
			desk.Num("wheel_in_kg", "Put into the wheel: hub motor", "kg", "0", 0, 500)},
		Outputs: []desk.Output{
			desk.Out("total_after_kg", "Mass of the bike after", "kg"),
			desk.Out("unsprung_after_kg", "Unsprung mass after", "kg"),
			desk.Out("sprung_ratio", "Sprung over unsprung", "ratio")},
		Formula:  []string{"sprung_ratio = (total_after_kg - unsprung_after_kg) / unsprung_after_kg"},
		Source:   "definition; no published source",
		Cautions: []string{"a heavier wheel follows the road less: spring and damping must be set again, and the brake has more to stop"},
		Do: func(s *desk.Sheet) {
			out, in := s.Num("wheel_out_kg"), s.Num("wheel_in_kg")
			if s.Num("unsprung_kg") >= s.Num("mass_bike_kg") {
				s.Fail("unsprung_kg", "want less than mass_bike_kg")
				return
			}
			if out >= s.Num("unsprung_kg") {
				s.Fail("wheel_out_kg", "want less than unsprung_kg")
				return
			}
			total := s.Out("total_after_kg", s.Num("mass_bike_kg")-out+in, "mass_bike_kg - wheel_out_kg + wheel_in_kg")
			unsprung := s.Out("unsprung_after_kg", s.Num("unsprung_kg")-out+in, "unsprung_kg - wheel_out_kg + wheel_in_kg")
			s.Out("sprung_ratio", SprungRatio(total, unsprung), "(total_after_kg - unsprung_after_kg) / unsprung_after_kg")
		},
	}}
}

func doAxleLoads(s *desk.Sheet) {
	masses, xs := s.List("parts_kg"), s.List("parts_x_mm")
	if len(masses) != len(xs) {
		s.Fail("parts_x_mm", "want as many positions as there are masses in parts_kg")
		return
	}
	var parts []Load
	for i := range masses {
		parts = append(parts, Load{masses[i], xs[i]})
	}
	l := 1000 * s.Num("wheelbase_m")
	total, rear := Loads(parts, l)
	if total <= 0 {
		s.Fail("parts_kg", "want a total above 0 kg")
		return
	}
	s.Step("wheelbase_mm", l, "mm", "1000 * wheelbase_m")
	s.Out("total_kg", total, "sum of parts_kg")
	s.Out("rear_kg", rear, "sum of parts_kg * parts_x_mm / wheelbase_mm")
	front := s.Out("front_kg", total-rear, "total_kg - rear_kg")
	s.Out("cg_x_mm", rear*l/total, "rear_kg * wheelbase_mm / total_kg")
	s.Out("rear_share", rear/total, "rear_kg / total_kg")
	s.Out("front_share", front/total, "front_kg / total_kg")
	s.Out("moment_Nm", -front*gravity*l/1000, "9.80665 * wheelbase_m * (rear_kg - total_kg)")
	if front < 0 {
		s.Note("these parts by themselves take %.4g kg off the front", -front)
	}
	for _, over := range []struct {
		name, what string
		got        float64
	}{
		{"gross_max_kg", "gross mass", total},
		{"axle_front_max_kg", "front load", front},
		{"axle_rear_max_kg", "rear load", rear},
	} {
		if s.Has(over.name) && over.got > s.Num(over.name) {
			s.Note("%s %.4g kg is above its limit of %.4g kg", over.what, over.got, s.Num(over.name))
		}
	}
}

func doHeight(s *desk.Sheet) {
	l, m := 1000*s.Num("wheelbase_m"), s.Num("mass_bike_kg")
	level, raised, lift, r := s.Num("low_level_kg"), s.Num("low_raised_kg"), s.Num("lift_mm"), s.Num("axle_height_mm")
	for _, reading := range []string{"low_level_kg", "low_raised_kg"} {
		if s.Num(reading) > m {
			s.Fail(reading, "want no more than mass_bike_kg")
			return
		}
	}
	if lift >= l {
		s.Fail("lift_mm", "want less than the wheelbase")
		return
	}
	s.Step("wheelbase_mm", l, "mm", "1000 * wheelbase_m")
	tan := s.Step("angle_tan", math.Tan(math.Asin(lift/l)), "ratio", "tan(asin(lift_mm / wheelbase_mm))")
	gain := s.Step("gain_kg", raised-level, "kg", "low_raised_kg - low_level_kg")
	h := s.Out("cg_height_mm", CentreHeight(l, m, gain, lift, r), "axle_height_mm + gain_kg * wheelbase_mm / (mass_bike_kg * angle_tan)")
	per := s.Out("per_kg_mm", l/(m*tan), "wheelbase_mm / (mass_bike_kg * angle_tan)")
	switch {
	case h < 0 || h > 2*l:
		s.Note("a centre of gravity there is not credible: check both readings")
	case gain <= 0:
		s.Note("the lower end gained nothing, so the centre of gravity would be at or under the axles: check both readings")
	}
	if per > 50 {
		s.Note("1 kg of scale error moves the height by %.0f mm: raise the end further", per)
	}
}
