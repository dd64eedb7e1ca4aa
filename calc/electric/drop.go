package electric

import "ampwright/calc/desk"

// VoltageDrop returns the volts lost in both conductors of a two-wire DC
// circuit: amperes, metres out and back, milliohms per metre.
func VoltageDrop(amperes, loopM, mohmPerM float64) float64 {
	return amperes * loopM * mohmPerM / 1000
}

func voltageDrop() *desk.Calc {
	return &desk.Calc{
		Name: "voltage-drop", Title: "Voltage drop of a two-wire DC circuit", Group: groupWire,
		Inputs: []desk.Input{
			contCurrent(),
			desk.Num("cable_one_way_m", "Cable length one way", "m", "-", 0.001, 10000),
			desk.Num("cable_loop_m", "Traction cable length out and back, instead", "m", "-", 0.001, 20000),
			wireInput(`Wire, as "2/0 AWG" or "25 mm²"`, "-"),
			desk.Num("cable_mohm_per_m", "Cable resistance at 20 °C, instead of the wire", "mohm/m", "-", 1e-5, 10000),
			rhoInput(), conductorTemp(),
			desk.Num("pack_nom_V", "Nominal pack voltage", "V", "-", 0.1, 1500),
		},
		Outputs: []desk.Output{
			desk.Out("loop_ohm", "Resistance out and back", "ohm"), desk.Out("cable_drop_V", "Traction cable drop at continuous current", "V").On("batt_cont_A", "cable_loop_m", "cable_mohm_per_m", "conductor_C"),
			desk.Out("drop_percent", "Drop, share of the nominal voltage", "%"), desk.Out("cable_loss_W", "Heat in the cable", "W"),
		},
		Formula: []string{
			"cable_loop_m = 2 * cable_one_way_m", "loop_ohm = cable_loop_m * cable_mohm_per_m * (1 + 0.00393 * (conductor_C - 20)) / 1000",
			"cable_drop_V = batt_cont_A * loop_ohm", "drop_percent = 100 * cable_drop_V / pack_nom_V",
		},
		Source:   "Ohm's law; wire tables as in wire-resistance: IEC 60028 (read), IEC 60228 class 5 (read in reproduction), ASTM B258 (rule read in reproduction)",
		Valid:    "direct current; lugs, studs, fuse and contactor add their own drop",
		Cautions: []string{"a cable at its rated current is hot: at 90 °C its resistance is 28 % above the 20 °C figure"},
		Do: func(s *desk.Sheet) {
			loop := s.Num("cable_loop_m")
			switch {
			case s.Has("cable_loop_m") && s.Has("cable_one_way_m"):
				s.Fail("cable_one_way_m", "give cable_one_way_m or cable_loop_m, not both")
				return
			case s.Has("cable_one_way_m"):
				loop = s.Step("cable_loop_m", 2*s.Num("cable_one_way_m"), "m", "2 * cable_one_way_m")
			case !s.Has("cable_loop_m"):
				s.Fail("cable_one_way_m", "want the length one way, or cable_loop_m out and back")
				return
			}
			r := s.Num("cable_mohm_per_m")
			switch {
			case s.Has("cable_mohm_per_m") && s.Has("wire"):
				s.Fail("cable_mohm_per_m", "give wire or cable_mohm_per_m, not both")
				return
			case s.Has("wire"):
				var ok bool
				if r, ok = conductor(s); !ok {
					return
				}
				s.Step("cable_mohm_per_m", r, "mohm/m", "wire_mohm_per_m")
			case !s.Has("cable_mohm_per_m"):
				s.Fail("wire", wantWire+", or cable_mohm_per_m")
				return
			}
			k := s.Step("temp_factor", CopperFactor(s.Num("conductor_C")), "ratio", "1 + 0.00393 * (conductor_C - 20)")
			s.Out("loop_ohm", VoltageDrop(1, loop, r*k), "cable_loop_m * cable_mohm_per_m * temp_factor / 1000")
			v := s.Out("cable_drop_V", VoltageDrop(s.Num("batt_cont_A"), loop, r*k), "batt_cont_A * loop_ohm")
			if s.Has("pack_nom_V") {
				s.Out("drop_percent", 100*v/s.Num("pack_nom_V"), "100 * cable_drop_V / pack_nom_V")
				if v > s.Num("pack_nom_V") {
					s.Note("the drop is more than the whole voltage: this current cannot flow")
				}
			}
			s.Out("cable_loss_W", v*s.Num("batt_cont_A"), "cable_drop_V * batt_cont_A")
		},
	}
}
