package ride

import (
	"math"

	"ampwright/calc/desk"
)

// NoLoadRPM returns the speed in turns per minute of a motor without load:
// speed constant in rpm/V, voltage in V.
func NoLoadRPM(kv, volts float64) float64 { return kv * volts }

// KMH returns the road speed in km/h of a wheel of the circumference in m
// that turns at rpm.
func KMH(rpm, circM float64) float64 { return rpm * circM * 0.06 }

// Kt returns the torque constant in N·m/A of a motor of speed constant kv in
// rpm/V between lines, for DC-equivalent current.
func Kt(kv float64) float64 { return 60 / (2 * math.Pi * kv) }

// ThrustN returns the force in N at the tyre of a torque in N·m at the axle.
func ThrustN(torqueNm, circM float64) float64 { return torqueNm * 2 * math.Pi / circM }

// TorqueNm returns the torque in N·m of a power in W at rpm.
func TorqueNm(powerW, rpm float64) float64 { return powerW * 60 / (2 * math.Pi * rpm) }

// Kinds of ampere that a motor current can be given in.
const (
	directCurrent = "dc"
	phasePeak     = "sine-peak"
	phaseRMS      = "sine-rms"
)

// CurrentFactor returns what Kt is to be multiplied with for a kind of
// current: 1 for "dc"; for the phase current of a sine drive √3/2 of its peak
// ("sine-peak") or √(3/2) of its effective value ("sine-rms"). By hand: with
// Kv from the peak voltage between lines, 3/2 · V̂/√3 · Î = torque · speed.
func CurrentFactor(kind string) float64 {
	switch kind {
	case phasePeak:
		return math.Sqrt(3) / 2
	case phaseRMS:
		return math.Sqrt(1.5)
	}
	return 1
}

func currentKind() desk.Input {
	return desk.Choice("current_kind", "Which current: DC equivalent, or phase current of a sine drive", directCurrent, directCurrent, phasePeak, phaseRMS)
}

const motorSource = "no-load speed and torque constant as on a published formula page (read); 60/(2 pi Kv): definition in SI"

func motorSpeedCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "motor-speed",
		Title: "No-load speed of motor and machine",
		Group: groupMotor,
		Inputs: []desk.Input{
			motorKv(), packNomV(),
			desk.Num("sag_V", "Sag of the pack under load", "V", "-", 0, 1500),
			tyreCirc(),
		},
		Outputs: []desk.Output{
			desk.Out("noload_rpm", "No-load speed of the wheel", "rpm"),
			desk.Out("top_noload_kmh", "No-load road speed at nominal voltage", "km/h").On("motor_kv", "pack_nom_V", "tyre_circ_m"),
			desk.Out("sagged_rpm", "Speed of the wheel at the sagged voltage", "rpm"),
			desk.Out("top_sagged_kmh", "Road speed at the sagged voltage", "km/h"),
		},
		Formula: []string{
			"noload_rpm = motor_kv * pack_nom_V",
			"top_noload_kmh = noload_rpm * tyre_circ_m * 0.06",
			"sagged_rpm = motor_kv * (pack_nom_V - sag_V)",
		},
		Source: motorSource,
		Valid:  "hub motor without a gear; an upper bound: the speed reached is where thrust meets road load (top-speed)",
		Do: func(s *desk.Sheet) {
			kv, v, circ := s.Num("motor_kv"), s.Num("pack_nom_V"), s.Num("tyre_circ_m")
			if s.Num("sag_V") > v {
				s.Fail("sag_V", "want at most pack_nom_V")
				return
			}
			rpm := s.Out("noload_rpm", NoLoadRPM(kv, v), "motor_kv * pack_nom_V")
			s.Out("top_noload_kmh", KMH(rpm, circ), "noload_rpm * tyre_circ_m * 0.06")
			if s.Has("sag_V") {
				rpm = s.Out("sagged_rpm", NoLoadRPM(kv, v-s.Num("sag_V")), "motor_kv * (pack_nom_V - sag_V)")
				s.Out("top_sagged_kmh", KMH(rpm, circ), "sagged_rpm * tyre_circ_m * 0.06")
			}
		},
	}
}

func torqueConstantCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "torque-constant",
		Title: "Torque constant from the speed constant",
		Group: groupMotor,
		Inputs: []desk.Input{
			motorKv(),
			desk.Num("motor_A", "Motor current", "A", "100", 0, 5000),
			currentKind(),
		},
		Outputs: []desk.Output{
			desk.Out("motor_kt", "Torque per ampere of DC-equivalent current", "Nm/A"),
			desk.Out("motor_Nm", "Torque at this current", "Nm"),
		},
		Formula: []string{
			"motor_kt = 60 / (2 * pi * motor_kv)",
			"motor_Nm = motor_kt * motor_A * current_factor",
		},
		Source: motorSource + "; sine drive: by hand from the power of three phases",
		Valid:  "motor_kv in rpm per volt between lines, below magnetic saturation; losses are left out",
		Do: func(s *desk.Sheet) {
			kt := s.Out("motor_kt", Kt(s.Num("motor_kv")), "60 / (2 * pi * motor_kv)")
			f := s.Step("current_factor", CurrentFactor(s.Text("current_kind")), "ratio", factorText(s.Text("current_kind")))
			s.Out("motor_Nm", kt*s.Num("motor_A")*f, "motor_kt * motor_A * current_factor")
			if f == 1 {
				s.Note("battery current is not motor current: at low speed the controller turns few battery amperes into many motor amperes")
			}
		},
	}
}

func factorText(kind string) string {
	switch kind {
	case phasePeak:
		return "sqrt(3) / 2"
	case phaseRMS:
		return "sqrt(1.5)"
	}
	return "1"
}

func torqueFromPowerCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "torque-from-power",
		Title: "Torque of a power at a speed",
		Group: groupMotor,
		Inputs: []desk.Input{
			desk.Num("motor_W", "Mechanical power", "W", "", 0, 1e6),
			desk.Num("motor_rpm", "Speed", "rpm", "", 0.1, 100000),
		},
		Outputs: []desk.Output{desk.Out("motor_Nm", "Torque", "Nm")},
		Formula: []string{"motor_Nm = motor_W * 60 / (2 * pi * motor_rpm)"},
		Source:  "definition of power",
		Do: func(s *desk.Sheet) {
			s.Out("motor_Nm", TorqueNm(s.Num("motor_W"), s.Num("motor_rpm")), "motor_W * 60 / (2 * pi * motor_rpm)")
		},
	}
}
