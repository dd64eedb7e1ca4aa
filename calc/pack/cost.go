package pack

import "ampwright/calc/desk"

// WallKWh returns the energy taken from the wall for packKWh put into the
// pack; eff is a fraction.
func WallKWh(packKWh, eff float64) float64 { return packKWh / eff }

// CentsPerKm returns the cost of a kilometre: consumption from the pack in
// Wh/km, wall-to-pack efficiency, price in cents per kWh.
func CentsPerKm(whKm, eff, centsKWh float64) float64 { return whKm / 1000 / eff * centsKWh }

func price() desk.Input {
	return desk.Num("elec_cents_kWh", "Electricity price", "cents/kWh", "31", 0, 10000)
}

func wallCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "wall-energy",
		Title: "Energy and cost of a charge at the wall",
		Group: groupCost,
		Inputs: []desk.Input{
			desk.Num("pack_kWh", "Pack energy", "kWh", "3.1", 0.001, 500),
			desk.Num("usable_fraction", "Share of the pack put back", "ratio", "1", 0, 1),
			chargeEff(), price(),
		},
		Outputs: []desk.Output{
			desk.Out("wall_kWh", "Energy from the wall", "kWh"),
			desk.Out("charge_cents", "Cost of the charge", "cents"),
		},
		Formula: []string{"wall_kWh = pack_kWh * usable_fraction / charge_eff", "charge_cents = wall_kWh * elec_cents_kWh"},
		Source:  "energy balance",
		Do: func(s *desk.Sheet) {
			w := s.Out("wall_kWh", WallKWh(s.Num("pack_kWh")*s.Num("usable_fraction"), s.Num("charge_eff")), "pack_kWh * usable_fraction / charge_eff")
			s.Out("charge_cents", w*s.Num("elec_cents_kWh"), "wall_kWh * elec_cents_kWh")
		},
	}
}

func distanceCostCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "distance-cost",
		Title: "Electricity per distance, against a petrol twin",
		Group: groupCost,
		Inputs: []desk.Input{
			desk.Num("wh_km", "Energy per kilometre from the pack", "Wh/km", "", 0, 2000),
			chargeEff(), price(),
			desk.Num("petrol_l_100km", "Petrol the donor took", "l/100km", "-", 0, 100),
			desk.Num("petrol_cents_l", "Petrol price", "cents/l", "-", 0, 10000),
			desk.Num("net_spend_cents", "Net spend on the build, to be earned back", "cents", "-", 0, 1e10),
		},
		Outputs: []desk.Output{
			desk.Out("wall_wh_km", "Energy per kilometre at the wall", "Wh/km"),
			desk.Out("cost_km_cents", "Electricity per km", "cents/km"),
			desk.Out("cost_per_100km_cents", "Electricity per 100 km", "cents").On("wh_km", "charge_eff", "elec_cents_kWh"),
			desk.Out("petrol_per_100km_cents", "Petrol per 100 km", "cents"),
			desk.Out("saving_per_100km_cents", "Electricity costs less by, per 100 km", "cents"),
			desk.Out("payback_km", "Distance that earns the build back", "km"),
		},
		Formula: []string{
			"cost_km_cents = wh_km / 1000 / charge_eff * elec_cents_kWh",
			"petrol_per_100km_cents = petrol_l_100km * petrol_cents_l",
			"payback_km = 100 * net_spend_cents / saving_per_100km_cents",
		},
		Source: "energy balance",
		Valid:  "fuel only: tyres, insurance and the wear of the pack are left out",
		Do:     doDistanceCost,
	}
}

func doDistanceCost(s *desk.Sheet) {
	wh, eff, kwh := s.Num("wh_km"), s.Num("charge_eff"), s.Num("elec_cents_kWh")
	s.Out("wall_wh_km", wh/eff, "wh_km / charge_eff")
	km := s.Out("cost_km_cents", CentsPerKm(wh, eff, kwh), "wh_km / 1000 / charge_eff * elec_cents_kWh")
	electric := s.Out("cost_per_100km_cents", 100*km, "100 * cost_km_cents")
	litres, litre := s.Has("petrol_l_100km"), s.Has("petrol_cents_l")
	switch {
	case litres && !litre:
		s.Fail("petrol_cents_l", "want the petrol price with petrol_l_100km")
		return
	case litre && !litres:
		s.Fail("petrol_l_100km", "want the petrol taken with petrol_cents_l")
		return
	case !litres && s.Has("net_spend_cents"):
		s.Fail("net_spend_cents", "want petrol_l_100km and petrol_cents_l with it")
		return
	case !litres:
		return
	}
	petrol := s.Out("petrol_per_100km_cents", s.Num("petrol_l_100km")*s.Num("petrol_cents_l"), "petrol_l_100km * petrol_cents_l")
	saving := s.Out("saving_per_100km_cents", petrol-electric, "petrol_per_100km_cents - cost_per_100km_cents")
	switch {
	case !s.Has("net_spend_cents"):
	case saving <= 0:
		s.Note("electricity is not cheaper here: fuel never earns the build back")
	default:
		s.Out("payback_km", 100*s.Num("net_spend_cents")/saving, "100 * net_spend_cents / saving_per_100km_cents")
	}
}
