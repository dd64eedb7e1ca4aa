package ride_test

import (
	"fmt"
	"strings"

	"ampwright/calc/ride"
	"ampwright/calc/unit"
)

// show does a calculation with what is typed and prints the results.
func show(name, typed string) {
	in := map[string]string{}
	for _, pair := range strings.Split(typed, "; ") {
		k, v, _ := strings.Cut(pair, "=")
		in[k] = v
	}
	for _, c := range ride.Calcs() {
		if c.Name != name {
			continue
		}
		res, err := c.Run(in, unit.Style{})
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, v := range res.Out {
			if v.Unit == "" {
				fmt.Println(v.Title+":", v.Text)
			} else {
				fmt.Println(v.Title+":", unit.Format(v.Number, v.Unit, unit.Style{}))
			}
		}
		for _, n := range res.Notes {
			fmt.Println("note:", n)
		}
	}
}

func ExampleCalcs_roadLoad() {
	show("road-load", "cruise_kmh=80; slope_deg=8")
	// Output:
	// Air drag: 160 N
	// Rolling resistance: 30.0 N
	// Grade: 281 N
	// Force to hold the speed: 471 N
}

func ExampleCalcs_energyPerKm() {
	show("energy-per-km", "mass_bike_kg=100; mass_rider_kg=80; cruise_kmh=80; drive_eff=0.85")
	// Output:
	// Air drag: 160 N
	// Rolling resistance: 26.5 N
	// Grade: 0 N
	// Force to hold the speed: 186 N
	// Power at the wheel: 4144 W
	// Power from the battery: 4875 W
	// Energy per kilometre: 60.9 Wh/km
}

func ExampleCalcs_tripConsumption() {
	show("trip-consumption", "trip_kWh=2.5; trip_km=100")
	// Output:
	// Energy per kilometre: 25.0 Wh/km
}

func ExampleCalcs_range() {
	show("range", "pack_kWh=2016 Wh; usable_fraction=90 %; wh_km=60.94; range_target_km=25")
	// Output:
	// Range on the usable share: 29.8 km
	// Count on no more than: 25.3 km
	// At best: 34.2 km
	// Energy kept in reserve: 0.202 kWh
	// Distance the reserve is worth: 3.31 km
	// Pack energy the wanted range needs: 1.69 kWh
	// Against the range wanted: within the range, spread counted
}

func ExampleCalcs_motorSpeed() {
	show("motor-speed", "motor_kv=10; pack_nom_V=72; sag_V=6; tyre_circ_m=1884 mm")
	// Output:
	// No-load speed of the wheel: 720 rpm
	// No-load road speed at nominal voltage: 81.4 km/h
	// Speed of the wheel at the sagged voltage: 660 rpm
	// Road speed at the sagged voltage: 74.6 km/h
}

func ExampleCalcs_torqueConstant() {
	show("torque-constant", "motor_kv=10; motor_A=100")
	// Output:
	// Torque per ampere of DC-equivalent current: 0.955 N·m/A
	// Torque at this current: 95.5 N·m
	// note: battery current is not motor current: at low speed the controller turns few battery amperes into many motor amperes
}

func ExampleCalcs_torqueFromPower() {
	show("torque-from-power", "motor_W=3 kW; motor_rpm=500")
	// Output:
	// Torque: 57.3 N·m
}

func ExampleCalcs_speedTorqueTrade() {
	show("speed-torque-trade", "motor_kv=10; other_kv=12; pack_nom_V=72; tyre_circ_m=1.884; motor_A=100")
	// Output:
	// No-load road speed: 81.4 km/h
	// Launch torque: 95.5 N·m
	// Launch thrust at the tyre: 318 N
	// The other: no-load road speed: 97.7 km/h
	// The other: launch torque: 79.6 N·m
	// The other: launch thrust at the tyre: 265 N
	// Change of speed: 20.0 %
	// Change of thrust: -16.7 %
}

func ExampleCalcs_topSpeed() {
	show("top-speed", "slope_grade=3 %")
	// Output:
	// No-load road speed, the upper bound: 82.6 km/h
	// Top speed: 69.5 km/h
	// Thrust at that speed: 212 N
	// Road load at that speed: 212 N
	// Power at the wheel: 4085 W
	// What limits it: battery current
}

func ExampleCalcs_steepestHill() {
	show("steepest-hill", "motor_peak_Nm=150")
	// Output:
	// Thrust at the tyre: 476 N
	// First acceleration on the flat: 2.16 m/s²
	// Steepest slope, angle: 12.8 °
	// Steepest slope, rise per distance on the map: 22.7 %
}
