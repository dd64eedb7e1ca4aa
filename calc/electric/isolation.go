package electric

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
	"ampwright/calc/unit"
)

// What a bus is, for its least isolation resistance.
const (
	BusJoined    = "joined"           // DC and AC galvanically joined: the usual motor drive
	BusProtected = "joined-protected" // joined, every AC part doubly insulated or in a housing
	BusDC        = "dc"
	BusAC        = "ac"
	BusInlet     = "inlet" // charging inlet on its own
)

const inletOhm = 1e6

// LeastPerVolt returns the least isolation resistance of a bus in ohms per volt
// of working voltage: UN R100, 100 for DC on its own, 500 for AC on its own and
// for DC and AC joined, or 100 joined where every AC part has double insulation
// or robust mechanical protection. It is 0 for the inlet, see [LeastIsolation].
func LeastPerVolt(bus string) float64 {
	switch bus {
	case BusDC, BusProtected:
		return 100
	case BusJoined, BusAC:
		return 500
	}
	return 0
}

// LeastIsolation returns the least isolation resistance, in ohms, of a bus with
// a working voltage in volts: UN R100. A charging inlet wants 1 Mohm.
func LeastIsolation(bus string, volts float64) float64 {
	if bus == BusInlet {
		return inletOhm
	}
	return LeastPerVolt(bus) * volts
}

func busInput() desk.Input {
	return desk.Choice("bus", "What is tested", BusJoined, BusJoined, BusProtected, BusDC, BusAC, BusInlet)
}

const sourceR100 = "UN R100.02 (read in reproduction; the inlet's 1 Mohm and the limits of high voltage from memory)"

// isolationVerdict words how a resistance stands to the least of its bus.
func isolationVerdict(bus string, ohms, volts float64) string {
	least := LeastIsolation(bus, volts)
	word := "holds"
	if below(ohms, least) {
		word = "fails"
	}
	if bus == BusInlet {
		return fmt.Sprintf("%s: %s, want %s or more", word, unit.Format(ohms, "ohm", unit.Style{}), unit.Format(least, "ohm", unit.Style{}))
	}
	return fmt.Sprintf("%s: %.4g ohm/V, want %.4g ohm/V or more", word, ohms/volts, LeastPerVolt(bus))
}

func isolationMin() *desk.Calc {
	return &desk.Calc{
		Name: "isolation-min", Title: "Least isolation resistance to the frame", Group: groupHV,
		Inputs: []desk.Input{
			packMax(""), busInput(),
			desk.Num("iso_reading_ohm", "Resistance read", "ohm", "-", 0.001, 1e14),
		},
		Outputs: []desk.Output{
			desk.Out("iso_min_ohm", "Least insulation resistance to frame", "ohm").On("pack_max_V"),
			desk.Out("high_voltage", "High voltage", ""),
			desk.Out("test_min_V", "Least test voltage, UN R100", "V"), desk.Out("test_iso6469_V", "Least test voltage, ISO 6469-3", "V"),
			desk.Out("ohm_per_V", "Reading over working voltage", "ohm/V"), desk.Out("verdict", "Reading", ""),
		},
		Formula: []string{
			"iso_min_ohm = 500 * pack_max_V, DC and AC joined as in the usual motor drive, or AC alone",
			"iso_min_ohm = 100 * pack_max_V, DC alone, or joined with every AC part doubly insulated or in a housing",
			"iso_min_ohm = 1000000, charging inlet", "ohm_per_V = iso_reading_ohm / pack_max_V",
		},
		Source: sourceR100 + "; ISO 6469-3 clause 8 (read)",
		Valid:  "binds over 60 V DC or 30 V AC rms; UN R136 for light vehicles follows it in most, its text was not read",
		Cautions: []string{
			"an approval minimum, not a goal: a dry new build reads megohms, and a fall between two readings is the warning",
			cautionInsul, cautionReading, cautionHV,
		},
		Do: func(s *desk.Sheet) {
			v, bus := s.Num("pack_max_V"), s.Text("bus")
			formula := fmt.Sprintf("%g * pack_max_V", LeastPerVolt(bus))
			if bus == BusInlet {
				formula = "1000000"
			}
			s.Out("iso_min_ohm", LeastIsolation(bus, v), formula)
			limit, kind := 60.0, "DC"
			if bus == BusAC {
				limit, kind = 30, "AC rms"
			}
			if above(v, limit) {
				s.Say("high_voltage", fmt.Sprintf("yes: over %g V %s", limit, kind))
			} else {
				s.Say("high_voltage", fmt.Sprintf("no: not over %g V %s", limit, kind))
				s.Note("below the limit of high voltage the rule does not bind: test anyway")
			}
			s.Out("test_min_V", v/2, "pack_max_V / 2")
			s.Out("test_iso6469_V", v, "pack_max_V")
			if s.Has("iso_reading_ohm") {
				r := s.Num("iso_reading_ohm")
				s.Out("ohm_per_V", r/v, "iso_reading_ohm / pack_max_V")
				s.Say("verdict", isolationVerdict(bus, r, v))
				if (bus == BusJoined || bus == BusAC) && below(r, 500*v) && !below(r, 100*v) {
					s.Note("500 ohm/V fails, 100 ohm/V would hold: that takes double insulation or housings on every AC part")
				}
			}
		},
	}
}

// Isolation returns the isolation resistance, in ohms, by UN R100's method with
// one voltmeter: pack volts, the larger of the two pole-to-chassis voltages,
// the same with the known resistor across it, and that resistor in ohms. It is
// the smaller of the two leakage resistances; the meter's own resistance
// cancels out.
func Isolation(packV, largerV, withR0V, r0Ohm float64) float64 {
	return r0Ohm * packV * (1/withR0V - 1/largerV)
}

// Isolation571 returns the isolation resistance, in ohms, in the form of 49 CFR
// 571.305, which takes the sum of the two pole voltages for the pack's: it is
// low when the meter loads the bus. smallerV is the other pole's voltage.
func Isolation571(largerV, smallerV, withR0V, r0Ohm float64) float64 {
	return r0Ohm * (1 + smallerV/largerV) * (largerV - withR0V) / withR0V
}

// OtherLeakage returns the leakage resistance, in ohms, of the pole whose
// voltage to the chassis is the larger, from that of the weaker pole; meterOhm
// is the voltmeter's own, +Inf for an ideal one. It is +Inf where the reading
// leaves nothing for a leakage.
func OtherLeakage(packV, largerV, weakOhm, meterOhm float64) float64 {
	siemens := (packV/largerV-1)/weakOhm - 1/meterOhm
	if siemens <= 1e-9/weakOhm {
		return math.Inf(1)
	}
	return 1 / siemens
}

func isolationLive() *desk.Calc {
	return &desk.Calc{
		Name: "isolation-live", Title: "Isolation of the live system with a voltmeter and a known resistor", Group: groupHV,
		Inputs: []desk.Input{
			desk.Num("pack_V", "Pack voltage now, pole to pole", "V", "", 1, 1500),
			desk.Num("neg_V", "V1: negative pole to chassis", "V", "", 0, 1500),
			desk.Num("pos_V", "V2: positive pole to chassis", "V", "", 0, 1500),
			desk.Num("r0_ohm", "Known resistor R0 for the live insulation reading", "ohm", "", 1, 1e9),
			desk.Num("with_r0_V", "V1' or V2': the larger of the two again, with R0 across it", "V", "", 0.0001, 1500),
			desk.Num("meter_ohm", "Resistance of the voltmeter", "ohm", "-", 1000, 1e12),
			busInput(),
		},
		Outputs: []desk.Output{
			desk.Out("iso_ohm", "Isolation resistance", "ohm"), desk.Out("ohm_per_V", "Isolation over pack voltage", "ohm/V"),
			desk.Out("weak_pole", "Weaker pole", ""),
			desk.Out("leak_neg_ohm", "Leakage of the negative pole", "ohm"), desk.Out("leak_pos_ohm", "Leakage of the positive pole", "ohm"),
			desk.Out("iso_571_ohm", "In the form of 49 CFR 571.305", "ohm"), desk.Out("iso_min_ohm", "Least insulation resistance to frame", "ohm"),
			desk.Out("verdict", "Isolation", ""),
		},
		Formula: []string{
			"neg_V >= pos_V: R0 from negative to chassis, iso_ohm = r0_ohm * pack_V * (1 / with_r0_V - 1 / neg_V), the positive pole is the weaker",
			"pos_V > neg_V: R0 from positive to chassis, iso_ohm = r0_ohm * pack_V * (1 / with_r0_V - 1 / pos_V), the negative pole is the weaker",
			"leakage of the stronger pole = 1 / ((pack_V / larger - 1) / iso_ohm - 1 / meter_ohm)",
			"iso_571_ohm = r0_ohm * (1 + smaller / larger) * (larger - with_r0_V) / with_r0_V",
		},
		Source: "UN R100.02 annex 4B (read in reproduction); 49 CFR 571.305 (from memory); that the meter cancels: circuit theory",
		Valid:  "iso_ohm is the smaller of the two leakages, not their parallel value; one printed draft has \"- Vb\" in place of \"- 1/V1\", which is a slip; R0 about the least allowed ohm/V times the pack voltage, within 20 %; voltmeter of 10 Mohm or more",
		Cautions: []string{
			cautionHV, "live work for competent people: gloves, second person, disconnect in reach",
			"never put an insulation tester on a pack with its BMS: this method is for that", cautionReading,
		},
		Do: doIsolationLive,
	}
}

func doIsolationLive(s *desk.Sheet) {
	vb, v1, v2 := s.Num("pack_V"), s.Num("neg_V"), s.Num("pos_V")
	r0, with, bus := s.Num("r0_ohm"), s.Num("with_r0_V"), s.Text("bus")
	if v1 > 1.01*vb {
		s.Fail("neg_V", "want at most pack_V")
		return
	}
	if v2 > 1.01*vb {
		s.Fail("pos_V", "want at most pack_V")
		return
	}
	larger, smaller, name := v1, v2, "neg_V"
	weakLeak, otherLeak := "leak_pos_ohm", "leak_neg_ohm"
	if v2 > v1 {
		larger, smaller, name = v2, v1, "pos_V"
		weakLeak, otherLeak = otherLeak, weakLeak
	}
	if with >= larger {
		s.Fail("with_r0_V", fmt.Sprintf("want less than %s: R0 across a pole brings its voltage down", name))
		return
	}
	ri := s.Out("iso_ohm", Isolation(vb, larger, with, r0), "r0_ohm * pack_V * (1 / with_r0_V - 1 / "+name+")")
	s.Out("ohm_per_V", ri/vb, "iso_ohm / pack_V")
	switch {
	case v1 == v2:
		s.Say("weak_pole", "neither: both leak alike")
	case v1 > v2:
		s.Say("weak_pole", "positive")
	default:
		s.Say("weak_pole", "negative")
	}
	s.Out(weakLeak, ri, "iso_ohm")
	meter := math.Inf(1)
	formula := "1 / ((pack_V / " + name + " - 1) / iso_ohm)"
	if s.Has("meter_ohm") {
		meter = s.Num("meter_ohm")
		formula = "1 / ((pack_V / " + name + " - 1) / iso_ohm - 1 / meter_ohm)"
	}
	if other := OtherLeakage(vb, larger, ri, meter); math.IsInf(other, 0) {
		s.Note("the leakage of the stronger pole is too large to be found from these readings")
	} else {
		s.Out(otherLeak, other, formula)
	}
	small := "pos_V"
	if name == "pos_V" {
		small = "neg_V"
	}
	s.Out("iso_571_ohm", Isolation571(larger, smaller, with, r0),
		fmt.Sprintf("r0_ohm * (1 + %s / %s) * (%s - with_r0_V) / with_r0_V", small, name, name))
	least := fmt.Sprintf("%g * pack_V", LeastPerVolt(bus))
	if bus == BusInlet {
		least = "1000000"
	}
	s.Out("iso_min_ohm", LeastIsolation(bus, vb), least)
	s.Say("verdict", isolationVerdict(bus, ri, vb))

	if r := r0 / vb; bus != BusInlet && (below(r, 0.8*LeastPerVolt(bus)) || above(r, 1.2*LeastPerVolt(bus))) {
		s.Note("R0 is %.4g ohm/V: the regulation wants about %g, within 20 %%", r, LeastPerVolt(bus))
	}
	switch sum := (v1 + v2) / vb; {
	case sum > 1.02:
		s.Note("the two pole voltages add up to %.4g of the pack voltage: read again, they cannot be more than it", sum)
	case sum < 0.98:
		s.Note("the two pole voltages add up to %.4g of the pack voltage: the meter loads the bus, and the form of 571.305 is low", sum)
	}
	if s.Has("meter_ohm") && meter < 1e7 {
		s.Note("the regulation wants a voltmeter of 10 Mohm or more")
	}
	if larger > 0.9*vb {
		s.Note("one pole reads near the full pack voltage to the chassis: the other leaks far more; open the disconnect and find the branch")
	}
}

// An Installation is a row of the insulation test of low-voltage circuits.
type Installation struct {
	LeastOhm, TestV float64
}

// What an insulation test is made on.
const (
	CircuitSELV    = "selv-pelv"
	CircuitOther   = "installation"
	CircuitMachine = "machine"
)

// InsulationTest returns the least insulation resistance and the DC test
// voltage of a circuit with a nominal voltage in volts: IEC 60364-6 table 6.1,
// current edition; for a machine IEC 60204-1.
func InsulationTest(circuit string, nominalV float64) Installation {
	switch {
	case circuit == CircuitMachine:
		return Installation{1e6, 500}
	case circuit == CircuitSELV:
		return Installation{0.5e6, 250}
	case nominalV <= 500:
		return Installation{1e6, 500}
	}
	return Installation{1e6, 1000}
}

func insulationTest() *desk.Calc {
	return &desk.Calc{
		Name: "insulation-test", Title: "Insulation resistance test of an installation", Group: groupCommission,
		Inputs: []desk.Input{
			desk.Num("nominal_V", "Nominal voltage of the circuit", "V", "", 1, 1500),
			desk.Choice("circuit", "Kind of circuit", CircuitOther, CircuitSELV, CircuitOther, CircuitMachine),
			desk.Num("reading_ohm", "Resistance read", "ohm", "-", 0.001, 1e14),
			desk.Num("test_V", "Test voltage used, DC", "V", "-", 1, 10000),
		},
		Outputs: []desk.Output{
			desk.Out("least_ohm", "Least insulation resistance", "ohm"), desk.Out("test_want_V", "Test voltage, DC", "V"), desk.Out("verdict", "Test", ""),
		},
		Formula: []string{
			"SELV and PELV 500000 ohm at 250 V", "up to 500 V 1000000 ohm at 500 V", "above 500 V 1000000 ohm at 1000 V",
			"machine 1000000 ohm at 500 V",
		},
		Source:   "IEC 60364-6 table 6.1, current edition (read in reproduction); IEC 60204-1 (from memory)",
		Valid:    "older editions print 250000, 500000 and 1000000 ohm: not to be mixed",
		Cautions: []string{cautionInsul, cautionReading, cautionHV},
		Do: func(s *desk.Sheet) {
			v, circuit := s.Num("nominal_V"), s.Text("circuit")
			if circuit == CircuitSELV && v > 50 {
				s.Fail("nominal_V", "want at most 50 V for selv-pelv, or circuit installation")
				return
			}
			want := InsulationTest(circuit, v)
			s.Out("least_ohm", want.LeastOhm, "table 6.1, circuit, nominal_V")
			s.Out("test_want_V", want.TestV, "table 6.1, circuit, nominal_V")
			switch r := s.Num("reading_ohm"); {
			case !s.Has("reading_ohm"):
			case !s.Has("test_V"):
				s.Say("verdict", fmt.Sprintf("not shown: want the test voltage, %g V or more", want.TestV))
			case below(s.Num("test_V"), want.TestV):
				s.Say("verdict", fmt.Sprintf("not a valid test: made at %g V, want %g V", s.Num("test_V"), want.TestV))
			case below(r, want.LeastOhm):
				s.Say("verdict", fmt.Sprintf("fails: %.4g Mohm, want %g Mohm or more", r/1e6, want.LeastOhm/1e6))
			default:
				s.Say("verdict", fmt.Sprintf("holds: %.4g Mohm, want %g Mohm or more", r/1e6, want.LeastOhm/1e6))
			}
			if s.Num("test_V") > want.TestV {
				s.Note("tested at more than the %g V of the table: look at what else was stressed", want.TestV)
			}
		},
	}
}
