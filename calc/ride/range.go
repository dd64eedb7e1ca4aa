package ride

import "ampwright/calc/desk"

// RangeKm returns the distance in km on the usable fraction of the pack.
func RangeKm(packKWh, usableFraction, whKm float64) float64 {
	return 1000 * packKWh * usableFraction / whKm
}

func rangeCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "range",
		Title: "Range, with its spread and its reserve",
		Group: groupRoad,
		Inputs: []desk.Input{
			desk.Num("pack_kWh", "Pack energy", "kWh", "3.1", 0.001, 500),
			desk.Num("usable_fraction", "Share of the pack used per ride", "ratio", "0.85", 0.01, 1),
			desk.Num("wh_km", "Energy per kilometre", "Wh/km", "", 0.1, 2000),
			desk.Num("forecast_spread", "Spread of the forecast, plus and minus", "%", "15", 15, 90),
			desk.Num("range_target_km", "Range wanted", "km", "-", 0, 10000),
		},
		Outputs: []desk.Output{
			desk.Out("range_km", "Range on the usable share", "km").On("pack_kWh", "usable_fraction", "wh_km"),
			desk.Out("range_low_km", "Count on no more than", "km"),
			desk.Out("range_high_km", "At best", "km"),
			desk.Out("reserve_kWh", "Energy kept in reserve", "kWh"),
			desk.Out("reserve_km", "Distance the reserve is worth", "km"),
			desk.Out("energy_need_kWh", "Pack energy the wanted range needs", "kWh").On("range_target_km", "wh_km", "usable_fraction"),
			desk.Out("answer", "Against the range wanted", ""),
		},
		Formula: []string{
			"range_km = 1000 * pack_kWh * usable_fraction / wh_km",
			"reserve_kWh = pack_kWh * (1 - usable_fraction)",
			"energy_need_kWh = range_target_km * wh_km / 1000 / usable_fraction",
		},
		Source: "energy balance; spread: a model with measured efficiency maps, speed and slope was off by 0.4 to 11.3 % per trip " +
			"(World Electr. Veh. J. 17(2), 2026, 90, abstract read), so less than 15 % is not accepted here",
		Valid:    "a warm, healthy pack; cold and age take from it",
		Cautions: []string{"the reserve is there to reach a place to stop, not to plan with"},
		Do:       doRange,
	}
}

func doRange(s *desk.Sheet) {
	e, u, wh, spread := s.Num("pack_kWh"), s.Num("usable_fraction"), s.Num("wh_km"), s.Num("forecast_spread")/100
	km := s.Out("range_km", RangeKm(e, u, wh), "1000 * pack_kWh * usable_fraction / wh_km")
	low := s.Out("range_low_km", km*(1-spread), "range_km * (1 - forecast_spread / 100)")
	high := s.Out("range_high_km", km*(1+spread), "range_km * (1 + forecast_spread / 100)")
	s.Out("reserve_kWh", e*(1-u), "pack_kWh * (1 - usable_fraction)")
	s.Out("reserve_km", RangeKm(e, 1-u, wh), "1000 * reserve_kWh / wh_km")
	if u == 1 {
		s.Note("no reserve: the whole pack is counted on")
	}
	if !s.Has("range_target_km") {
		return
	}
	want := s.Num("range_target_km")
	s.Out("energy_need_kWh", want*wh/1000/u, "range_target_km * wh_km / 1000 / usable_fraction")
	switch {
	case want <= low:
		s.Say("answer", "within the range, spread counted")
	case want <= high:
		s.Say("answer", "within the spread: may or may not be reached")
	default:
		s.Say("answer", "beyond the range, spread counted")
	}
}
