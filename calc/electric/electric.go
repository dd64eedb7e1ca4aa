// Package electric holds the calculations of wire, fuses, pre-charge, high
// voltage and electrical commissioning. The functions take plain numbers in
// the units of their names; [Calcs] wraps them for the engineering desk.
package electric

import (
	"math"

	"ampwright/calc/desk"
)

// Groups of the desk's list.
const (
	groupWire       = "wire and fuses"
	groupPrecharge  = "pre-charge"
	groupHV         = "high voltage"
	groupCommission = "commissioning"
)

// Cautions that stand beside several calculations.
const (
	cautionHV       = "above 60 V DC, judged on the highest charge voltage, treat as deadly; a pack cannot be switched off, and below 60 V its short-circuit current still burns and blinds"
	cautionCaps     = "capacitors hold their charge after the pack is off: wait, measure, prove the tester before and after"
	cautionArith    = "a check on arithmetic, not leave to go on: local codes, the makers' instructions and competent people come first"
	cautionReading  = "a reading near a limit is not a pass until the instrument's error clears it"
	cautionInsul    = "an insulation tester destroys electronics and can itself shock: unplug controller, BMS, DC-DC and charger first, discharge after"
	cautionFuse     = "an AC rating says nothing about DC: above its DC voltage or breaking capacity a fuse may burst or keep arcing"
	cautionFuseHome = "the fuse belongs in the first few centimetres of the pack"
)

// Calcs returns the calculations of this package in the order of the list.
func Calcs() []*desk.Calc {
	return []*desk.Calc{
		awgSize(), wireResistance(), voltageDrop(),
		ambientCorrection(), ampacityBuilding(), ampacityBoat(),
		fuseChoice(), fusePulse(), busbarSection(),
		precharge(), prechargeSize(),
		isolationMin(), isolationLive(), isolationResistor(), bondResistance(), busDischarge(),
		insulationTest(), throttleSignal(), hallStates(), weldedContactor(), ipCode(),
	}
}

func packMax(def string) desk.Input {
	return desk.Num("pack_max_V", "Highest pack voltage", "V", def, 1, 1500)
}

func contCurrent() desk.Input {
	return desk.Num("batt_cont_A", "Continuous battery current", "A", "", 0.001, 5000)
}

func busCapacitance(def string) desk.Input {
	return desk.Num("controller_cap_uF", "Controller input capacitance", "uF", def, 0.001, 1e7)
}

// below reports a < b, and above a > b, with no regard to the last digits that
// binary arithmetic leaves: 0.3 V / 3 A is not below 0.1 ohm.
func below(a, b float64) bool { return a < b-1e-9*max(math.Abs(a), math.Abs(b)) }
func above(a, b float64) bool { return below(b, a) }
