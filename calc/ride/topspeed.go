package ride

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
)

// A Drive is a hub motor with its battery. Its thrust is the least of three:
// what the torque limit, the battery current limit and the voltage leave.
type Drive struct {
	Kv       float64 // speed constant in rpm/V
	PackV    float64 // pack voltage without load
	PackOhm  float64
	MotorOhm float64 // between lines, with the leads and the controller
	PeakNm   float64 // torque limit
	BattA    float64 // battery current limit; 0 for none
	Eff      float64 // battery to road at the battery limit, a fraction
	CircM    float64 // rolled tyre circumference
}

// VoltageA returns the DC-equivalent current in A that the voltage drives
// through motor and pack at v m/s with the controller fully open; it is 0 at
// the no-load speed and above.
func (d Drive) VoltageA(v float64) float64 {
	return max(0, (d.PackV-60*v/d.CircM/d.Kv)/(d.PackOhm+d.MotorOhm))
}

// VoltageN returns the thrust in N at v m/s that the voltage allows.
func (d Drive) VoltageN(v float64) float64 { return ThrustN(Kt(d.Kv)*d.VoltageA(v), d.CircM) }

// BatteryW returns the power in W at the wheel that the battery current allows.
func (d Drive) BatteryW() float64 { return (d.PackV - d.BattA*d.PackOhm) * d.BattA * d.Eff }

// TorqueN returns the thrust in N at the torque limit.
func (d Drive) TorqueN() float64 { return ThrustN(d.PeakNm, d.CircM) }

// ThrustN returns the thrust in N at v m/s; it never rises with v.
func (d Drive) ThrustN(v float64) float64 {
	f := min(d.TorqueN(), d.VoltageN(v))
	if v > 0 && d.BattA > 0 {
		f = min(f, d.BatteryW()/v)
	}
	return f
}

// NoLoadKMH returns the road speed in km/h at which the voltage leaves no thrust.
func (d Drive) NoLoadKMH() float64 { return KMH(NoLoadRPM(d.Kv, d.PackV), d.CircM) }

// FullTorqueMS returns the speed in m/s up to which the voltage allows the torque
// limit; it is below 0 where it does not even at a standstill.
func (d Drive) FullTorqueMS() float64 {
	return (d.PackV - d.PeakNm/Kt(d.Kv)*(d.PackOhm+d.MotorOhm)) * d.Kv * d.CircM / 60
}

// draw adds the curve of thrust against speed up to the no-load speed.
func (d Drive) draw(s *desk.Sheet, title, sentence string) {
	s.Draw(desk.Curve{
		Title: title, X: desk.Axis{Title: "road speed", Unit: "km/h"}, Y: desk.Axis{Title: "thrust at the tyre", Unit: "N"}, Sentence: sentence,
	}, 0, d.NoLoadKMH(), 60, func(kmh float64) float64 { return d.ThrustN(kmh / 3.6) })
}

// TopMS returns the speed in m/s at which thrust and road load meet. It is 0
// if the thrust does not move the machine; road load must not fall with speed,
// and its slope must not push.
func (d Drive) TopMS(r Road) float64 {
	lo, hi := 0.0, d.Kv*d.PackV*d.CircM/60
	if d.ThrustN(0) <= r.TotalN(0) {
		return 0
	}
	for range 100 {
		mid := (lo + hi) / 2
		if d.ThrustN(mid) > r.TotalN(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func topSpeedCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "top-speed",
		Title: "Top speed by the balance of thrust and road load",
		Group: groupMotor,
		Inputs: append([]desk.Input{
			motorKv(), packNomV(),
			packOhm(), motorOhm(),
			desk.Num("motor_peak_Nm", "Torque the motor holds at the axle", "Nm", "150", 0.01, 5000),
			desk.Num("batt_cont_A", "Battery current limit", "A", "70", 0.1, 5000),
			driveEff(), tyreCirc(),
		}, roadInputs(0)...),
		Outputs: []desk.Output{
			desk.Out("top_noload_kmh", "No-load road speed, the upper bound", "km/h"),
			desk.Out("top_kmh", "Top speed", "km/h"),
			desk.Out("thrust_N", "Thrust at that speed", "N"),
			desk.Out("road_N", "Road load at that speed", "N"),
			desk.Out("wheel_W", "Power at the wheel", "W"),
			desk.Out("limit", "What limits it", ""),
		},
		Formula: []string{
			"voltage_N = 60 / (2 * pi * motor_kv) * (pack_nom_V - rpm / motor_kv) / (pack_mohm + motor_mohm) * 1000 * 2 * pi / tyre_circ_m",
			"battery_N = (pack_nom_V - batt_cont_A * pack_mohm / 1000) * batt_cont_A * drive_eff / v",
			"torque_N = motor_peak_Nm * 2 * pi / tyre_circ_m",
			"top speed: where min(voltage_N, battery_N, torque_N) = drag_N + roll_N + grade_N",
		},
		Source: "balance of forces; DC machine equation; " + roadSource,
		Valid: "hub motor without field weakening; iron and bearing losses count only in drive_eff; " + roadValid +
			"; at least 15 % either way",
		Cautions: []string{
			"tyre, brakes and frame must be meant for the speed, and the law for the category",
		},
		Do: doTopSpeed,
	}
}

// What limits the top speed.
const (
	limitVoltage = "voltage"
	limitBattery = "battery current"
	limitTorque  = "motor torque"
)

func doTopSpeed(s *desk.Sheet) {
	r := readRoad(s)
	d := Drive{
		Kv: s.Num("motor_kv"), PackV: s.Num("pack_nom_V"), PackOhm: s.Num("pack_mohm") / 1000, MotorOhm: s.Num("motor_mohm") / 1000,
		PeakNm: s.Num("motor_peak_Nm"), BattA: s.Num("batt_cont_A"), Eff: s.Num("drive_eff"), CircM: s.Num("tyre_circ_m"),
	}
	if 2*d.BattA*d.PackOhm > d.PackV {
		s.Fail("batt_cont_A", "want a current that takes at most half the pack voltage in sag (pack_nom_V / pack_mohm / 2)")
		return
	}
	s.Out("top_noload_kmh", d.NoLoadKMH(), "motor_kv * pack_nom_V * tyre_circ_m * 0.06")
	v := d.TopMS(r)
	d.draw(s, "Thrust against speed", fmt.Sprintf("%.0f N from a standstill; it meets the road load at %.0f km/h.", d.ThrustN(0), v*3.6))
	s.Out("top_kmh", v*3.6, "speed at which thrust_N meets road_N, found by halving; proof:")
	if v == 0 {
		s.Note("the thrust does not overcome the road load at a standstill: it does not move")
	}
	s.Step("top_ms", v, "m/s", "top_kmh / 3.6")
	s.Step("rpm", 60*v/d.CircM, "rpm", "60 * top_ms / tyre_circ_m")
	s.Step("voltage_A", d.VoltageA(v), "A", "1000 * (pack_nom_V - rpm / motor_kv) / (pack_mohm + motor_mohm)")
	volt := s.Step("voltage_N", d.VoltageN(v), "N", "60 / (2 * pi * motor_kv) * voltage_A * 2 * pi / tyre_circ_m")
	torque := s.Step("torque_N", d.TorqueN(), "N", "motor_peak_Nm * 2 * pi / tyre_circ_m")
	limit, formula := limitVoltage, "min(voltage_N, torque_N)"
	least := volt
	if torque < least {
		limit, least = limitTorque, torque
	}
	if v > 0 {
		formula = "min(voltage_N, torque_N, battery_N)"
		batt := s.Step("battery_N", d.BatteryW()/v, "N", "(pack_nom_V - batt_cont_A * pack_mohm / 1000) * batt_cont_A * drive_eff / top_ms")
		if batt < least {
			limit, least = limitBattery, batt
		}
	}
	s.Out("thrust_N", least, formula)
	s.Step("drag_N", r.DragN(v), "N", "0.5 * rho * cda_m2 * top_ms * top_ms")
	s.Step("roll_N", r.RollN(), "N", "mass_kg * g_ms2 * crr * cos(slope)")
	s.Step("grade_N", r.GradeN(), "N", "mass_kg * g_ms2 * sin(slope)")
	road := s.Out("road_N", r.TotalN(v), "drag_N + roll_N + grade_N")
	s.Out("wheel_W", road*v, "road_N * top_ms")
	s.Say("limit", limit)
	if v > 0 && math.Abs(least-road) > 0.001*road {
		s.Note("thrust falls off so steeply here that the speed is right but thrust and load differ in the last digits")
	}
}
