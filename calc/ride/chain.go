package ride

import "ampwright/calc/desk"

func chainCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "chain-drive",
		Title: "Chain drive: ratio, axle speed and no-load speed",
		Group: groupMotor,
		Inputs: []desk.Input{
			desk.Num("teeth_motor", "Motor sprocket teeth", "count", "", 5, 100),
			desk.Num("teeth_axle", "Axle sprocket teeth", "count", "", 5, 300),
			desk.Num("motor_kv", "Motor speed constant", "rpm/V", "100", 0.1, 20000),
			packNomV(), tyreCirc(),
		},
		Outputs: []desk.Output{
			desk.Out("ratio", "Chain ratio, axle over motor", "ratio").On("teeth_motor", "teeth_axle"),
			desk.Out("axle_rpm", "No-load speed of the axle", "rpm").On("teeth_motor", "teeth_axle", "motor_kv", "pack_nom_V"),
			desk.Out("top_noload_kmh", "No-load road speed at nominal voltage", "km/h").On("teeth_motor", "teeth_axle", "motor_kv", "pack_nom_V", "tyre_circ_m"),
		},
		Formula: []string{
			"ratio = teeth_axle / teeth_motor",
			"axle_rpm = motor_kv * pack_nom_V / ratio",
			"top_noload_kmh = axle_rpm * tyre_circ_m * 0.06",
		},
		Source:   "a chain moves as many teeth on one wheel as on the other; " + motorSource,
		Valid:    "one chain, no slip; an upper bound: the speed reached is where thrust meets road load",
		Cautions: []string{"a chain takes fingers: guard it, and turn the wheel by hand only with the pack disconnected"},
		Do: func(s *desk.Sheet) {
			ratio := s.Out("ratio", s.Whole("teeth_axle")/s.Whole("teeth_motor"), "teeth_axle / teeth_motor")
			rpm := s.Out("axle_rpm", NoLoadRPM(s.Num("motor_kv"), s.Num("pack_nom_V"))/ratio, "motor_kv * pack_nom_V / ratio")
			s.Out("top_noload_kmh", KMH(rpm, s.Num("tyre_circ_m")), "axle_rpm * tyre_circ_m * 0.06")
		},
	}
}
