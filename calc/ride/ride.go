// Package ride has the desk's calculations about the road: resistances, energy
// per distance, range, the motor's constants, top speed and climbing.
package ride

import "ampwright/calc/desk"

// Calcs returns the calculations of this package.
func Calcs() []*desk.Calc {
	return []*desk.Calc{
		roadLoadCalc(), energyCalc(), tripCalc(), rangeCalc(),
		motorSpeedCalc(), torqueConstantCalc(), torqueFromPowerCalc(),
		chainCalc(), tradeCalc(), topSpeedCalc(), hillCalc(),
	}
}

// Headings of the list.
const (
	groupRoad  = "road load and range"
	groupMotor = "motor and top speed"
)

func cruise(lo float64) desk.Input { return desk.Num("cruise_kmh", "Speed", "km/h", "50", lo, 300) }

func driveEff() desk.Input {
	return desk.Num("drive_eff", "Battery-to-road efficiency", "ratio", "0.8", 0.1, 1)
}

func motorKv() desk.Input {
	return desk.Num("motor_kv", "Motor speed constant", "rpm/V", "9.4", 0.1, 20000)
}

func packNomV() desk.Input { return desk.Num("pack_nom_V", "Nominal pack voltage", "V", "74", 1, 1500) }

func tyreCirc() desk.Input {
	return desk.Num("tyre_circ_m", "Rolled tyre circumference", "m", "1.98", 0.3, 4)
}

func packOhm() desk.Input {
	return desk.Num("pack_mohm", "Pack resistance, joints included", "mohm", "15", 0.1, 10000)
}

func motorOhm() desk.Input {
	return desk.Num("motor_mohm", "Motor resistance between lines, leads and controller included", "mohm", "80", 0.1, 100000)
}
