package pack

import "ampwright/calc/desk"

// InputA returns the current in A that a DC-DC converter draws at inputV for
// outputW; eff is a fraction.
func InputA(outputW, inputV, eff float64) float64 { return outputW / (eff * inputV) }

func busV(def string) desk.Input {
	return desk.Num("lv_bus_V", "Voltage of the 12 V bus", "V", def, 5, 60)
}

func dcdcCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "dcdc-input",
		Title: "Input current of the DC-DC converter",
		Group: groupSupply,
		Inputs: []desk.Input{
			desk.Num("lv_load_W", "Load on the 12 V side in watts", "W", "-", 0, 20000),
			desk.Num("lv_load_A", "Load on the 12 V side in amperes, instead", "A", "-", 0, 1000),
			busV("13.8"),
			desk.Num("pack_min_V", "Lowest pack voltage", "V", "60", 5, 1500),
			desk.Num("dcdc_eff", "Efficiency of the converter", "ratio", "0.88", 0.3, 1),
		},
		Outputs: []desk.Output{
			desk.Out("dcdc_out_W", "Output power", "W"),
			desk.Out("dcdc_in_A", "Input current, worst case", "A"),
			desk.Out("dcdc_in_W", "Power from the pack", "W"),
			desk.Out("dcdc_heat_W", "Heat in the converter", "W"),
		},
		Formula: []string{"dcdc_in_A = dcdc_out_W / (dcdc_eff * pack_min_V)"},
		Source:  "energy balance; worst at the lowest pack voltage",
		Valid:   "steady loads: inrush of bulbs and capacitors comes on top when the fuse is chosen",
		Do: func(s *desk.Sheet) {
			w, formula := s.Num("lv_load_W"), "lv_load_W"
			switch {
			case s.Has("lv_load_W") && s.Has("lv_load_A"):
				s.Fail("lv_load_A", "want the load in W or in A, not both")
				return
			case s.Has("lv_load_A"):
				w, formula = s.Num("lv_load_A")*s.Num("lv_bus_V"), "lv_load_A * lv_bus_V"
			case !s.Has("lv_load_W"):
				s.Fail("lv_load_W", "want the load in W, or in A as lv_load_A")
				return
			}
			s.Out("dcdc_out_W", w, formula)
			s.Out("dcdc_in_A", InputA(w, s.Num("pack_min_V"), s.Num("dcdc_eff")), "dcdc_out_W / (dcdc_eff * pack_min_V)")
			in := s.Out("dcdc_in_W", w/s.Num("dcdc_eff"), "dcdc_out_W / dcdc_eff")
			s.Out("dcdc_heat_W", in-w, "dcdc_in_W - dcdc_out_W")
		},
	}
}

func budgetCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "12v-budget",
		Title: "Loads on the 12 V side against the converter",
		Group: groupSupply,
		Inputs: []desk.Input{
			{Name: "loads_W", Title: "Loads that can be on at once", Unit: "W", Min: 0, Max: 5000, List: true},
			desk.Num("in_hand", "Factor in hand", "count", "1.25", 1, 5),
			busV("13.8"),
			desk.Num("dcdc_A", "DC-DC converter output rating", "A", "-", 0.1, 1000),
		},
		Outputs: []desk.Output{
			desk.Out("lv_sum_W", "All loads", "W"),
			desk.Out("lv_need_W", "Converter power wanted", "W"),
			desk.Out("lv_need_A", "Converter current wanted", "A"),
			desk.Out("answer", "Against the converter", ""),
		},
		Formula: []string{
			"lv_need_W = in_hand * (sum of loads_W)",
			"lv_need_A = lv_need_W / lv_bus_V",
		},
		Source: "common practice, no published source: size for all at once with 25 % in hand; usual loads: headlamp bulb 60/55 or 35/35 W, " +
			"LED 20 to 35 W, brake and tail 21/5 W, indicators 21 W each, two at a time, horn 3 to 5 A",
		Cautions: []string{"the lamps must stay on when the traction pack is cut off"},
		Do: func(s *desk.Sheet) {
			var sum float64
			for _, w := range s.List("loads_W") {
				sum += w
			}
			s.Out("lv_sum_W", sum, "sum of loads_W")
			need := s.Out("lv_need_W", sum*s.Num("in_hand"), "lv_sum_W * in_hand")
			a := s.Out("lv_need_A", need/s.Num("lv_bus_V"), "lv_need_W / lv_bus_V")
			switch {
			case !s.Has("dcdc_A"):
			case a <= s.Num("dcdc_A"):
				s.Say("answer", "enough")
			default:
				s.Say("answer", "too small")
			}
		},
	}
}

func accessoryCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "accessory-energy",
		Title: "Energy per kilometre of lamps and accessories",
		Group: groupSupply,
		Inputs: []desk.Input{
			desk.Num("accessory_W", "Power from the pack for accessories", "W", "", 0, 20000),
			desk.Num("cruise_kmh", "Speed", "km/h", "50", 1, 300),
		},
		Outputs: []desk.Output{desk.Out("accessory_wh_km", "Energy per kilometre", "Wh/km")},
		Formula: []string{"accessory_wh_km = accessory_W / cruise_kmh"},
		Source:  "power over speed",
		Do: func(s *desk.Sheet) {
			s.Out("accessory_wh_km", s.Num("accessory_W")/s.Num("cruise_kmh"), "accessory_W / cruise_kmh")
		},
	}
}
