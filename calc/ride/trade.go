package ride

import (
	"fmt"

	"ampwright/calc/desk"
)

func tradeCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "speed-torque-trade",
		Title: "Hub motor: speed against push, by speed constant and tyre",
		Group: groupMotor,
		Inputs: []desk.Input{
			motorKv(), tyreCirc(),
			desk.Num("other_kv", "Speed constant of the other motor or winding", "rpm/V", "-", 0.1, 20000),
			desk.Num("other_circ_m", "Circumference of the other tyre", "m", "-", 0.3, 4),
			packNomV(),
			desk.Num("motor_A", "Motor current at launch", "A", "150", 0, 5000),
			currentKind(),
			packOhm(), motorOhm(),
		},
		Outputs: []desk.Output{
			desk.Out("top_noload_kmh", "No-load road speed", "km/h"),
			desk.Out("launch_Nm", "Launch torque", "Nm"),
			desk.Out("launch_N", "Launch thrust at the tyre", "N"),
			desk.Out("full_torque_kmh", "Speed up to which the voltage keeps that torque up", "km/h"),
			desk.Out("other_kmh", "The other: no-load road speed", "km/h"),
			desk.Out("other_Nm", "The other: launch torque", "Nm"),
			desk.Out("other_N", "The other: launch thrust at the tyre", "N"),
			desk.Out("other_full_torque_kmh", "The other: speed up to which it keeps that torque up", "km/h"),
			desk.Out("speed_change", "Change of speed", "%"),
			desk.Out("thrust_change", "Change of thrust", "%"),
		},
		Formula: []string{
			"top_noload_kmh = motor_kv * pack_nom_V * tyre_circ_m * 0.06",
			"launch_Nm = 60 / (2 * pi * motor_kv) * motor_A * current_factor",
			"launch_N = launch_Nm * 2 * pi / tyre_circ_m",
			"full_torque_kmh = motor_kv * (pack_nom_V - motor_A * current_factor * (pack_mohm + motor_mohm) / 1000) * tyre_circ_m * 0.06",
		},
		Source: motorSource + "; fall of the thrust: DC machine equation",
		Valid:  "at one voltage and one motor current speed times thrust stays the same; the same winding heat is not the same current in another motor; both are drawn with one resistance, and without the battery's current limit, which top-speed has",
		Do:     doTrade,
	}
}

func doTrade(s *desk.Sheet) {
	f := s.Step("current_factor", CurrentFactor(s.Text("current_kind")), "ratio", factorText(s.Text("current_kind")))
	v, a := s.Num("pack_nom_V"), s.Num("motor_A")
	kv, circ := s.Num("motor_kv"), s.Num("tyre_circ_m")
	ohm := (s.Num("pack_mohm") + s.Num("motor_mohm")) / 1000
	one := func(kv, circ float64, names [4]string, kvText, circText, title string) (kmh, thrust float64) {
		kmh = s.Out(names[0], KMH(NoLoadRPM(kv, v), circ), kvText+" * pack_nom_V * "+circText+" * 0.06")
		t := s.Out(names[1], Kt(kv)*a*f, "60 / (2 * pi * "+kvText+") * motor_A * current_factor")
		thrust = s.Out(names[2], ThrustN(t, circ), names[1]+" * 2 * pi / "+circText)
		d := Drive{Kv: kv, PackV: v, MotorOhm: ohm, PeakNm: t, CircM: circ}
		if full := 3.6 * d.FullTorqueMS(); full >= 0 {
			s.Out(names[3], full, kvText+" * (pack_nom_V - motor_A * current_factor * (pack_mohm + motor_mohm) / 1000) * "+circText+" * 0.06")
			d.draw(s, title, fmt.Sprintf("%.0f N up to %.0f km/h, then less and less until none is left at %.0f km/h.", thrust, full, kmh))
		} else {
			s.Note("the voltage does not drive motor_A through pack and motor: it launches with less")
			d.draw(s, title, fmt.Sprintf("%.0f N from a standstill, where the voltage sets the limit, falling to none at %.0f km/h.", d.ThrustN(0), kmh))
		}
		return kmh, thrust
	}
	kmh, n := one(kv, circ, [4]string{"top_noload_kmh", "launch_Nm", "launch_N", "full_torque_kmh"}, "motor_kv", "tyre_circ_m", "Thrust against speed")
	kvText, circText := "motor_kv", "tyre_circ_m"
	if s.Has("other_kv") {
		kv, kvText = s.Num("other_kv"), "other_kv"
	}
	if s.Has("other_circ_m") {
		circ, circText = s.Num("other_circ_m"), "other_circ_m"
	}
	if kvText == "motor_kv" && circText == "tyre_circ_m" {
		return
	}
	kmh2, n2 := one(kv, circ, [4]string{"other_kmh", "other_Nm", "other_N", "other_full_torque_kmh"}, kvText, circText, "The other: thrust against speed")
	s.Out("speed_change", 100*(kmh2/kmh-1), "100 * (other_kmh / top_noload_kmh - 1)")
	if n > 0 {
		s.Out("thrust_change", 100*(n2/n-1), "100 * (other_N / launch_N - 1)")
	}
}
