package unit

import (
	"math"
	"strings"
)

// dimension is what a unit measures, worded for an error: "45 V" where a
// torque in N·m is wanted.
type dimension string

const (
	count           dimension = "a count"
	pieces          dimension = "a number of pieces"
	sets            dimension = "a number of sets"
	lots            dimension = "a number of lots"
	ratio           dimension = "a ratio"
	voltage         dimension = "a voltage"
	current         dimension = "a current"
	charge          dimension = "an electric charge"
	power           dimension = "a power"
	energy          dimension = "an energy"
	resistance      dimension = "a resistance"
	perLength       dimension = "a resistance per length"
	capacitance     dimension = "a capacitance"
	duration        dimension = "a time"
	timeVariance    dimension = "a variance of time"
	frequency       dimension = "a frequency"
	rotation        dimension = "a speed of rotation"
	speedPerVolt    dimension = "a speed of rotation per volt"
	length          dimension = "a length"
	area            dimension = "an area"
	volume          dimension = "a volume"
	mass            dimension = "a mass"
	density         dimension = "a density"
	speed           dimension = "a speed"
	acceleration    dimension = "an acceleration"
	torque          dimension = "a torque"
	force           dimension = "a force"
	pressure        dimension = "a pressure"
	temperature     dimension = "a temperature"
	temperatureGap  dimension = "a temperature difference"
	thermal         dimension = "a thermal resistance"
	drift           dimension = "a voltage drift"
	consumption     dimension = "an energy per distance"
	money           dimension = "an amount of money"
	energyPrice     dimension = "an energy price"
	currentDensity  dimension = "a current density"
	resistivity     dimension = "a resistivity"
	perVolt         dimension = "a resistance per volt"
	pulse           dimension = "a pulse energy I²t"
	angle           dimension = "an angle"
	torquePerAmpere dimension = "a torque per ampere"
	fuelUse         dimension = "a volume of fuel per distance"
	volumePrice     dimension = "a price per volume"
	distancePrice   dimension = "a price per distance"
	lineLoad        dimension = "a force per length"
)

// Exact definitions: foot, pound and standard gravity; international yard and
// pound agreement of 1959 and NIST SP 811 (2008), appendix B.
const (
	foot    = 0.3048      // m
	inch    = foot / 12   // m
	mile    = foot * 5280 // m
	pound   = 0.45359237  // kg
	gravity = 9.80665     // m/s2
)

// A measure is one unit: a value v in it is (v - zero) x factor x 10^exp in
// the SI unit of its dimension. Units that differ by powers of ten only share
// a factor, so that their conversion is exact.
type measure struct {
	name    string // as in data files
	symbol  string // as shown; "" for name
	dim     dimension
	factor  float64
	exp     int8
	zero    float64
	us      string // the unit shown instead under Style.US; "" for none
	steps   bool   // may be shown as another unit of its dimension that steps
	aliases string // further spellings, spelled as compact leaves them
}

// measures is in the order in which units are offered to a person.
var measures = [...]measure{
	{name: "count", symbol: none, dim: count, factor: 1},
	{name: "pc", dim: pieces, factor: 1, aliases: "pcs"},
	{name: "set", dim: sets, factor: 1, aliases: "sets"},
	{name: "lot", dim: lots, factor: 1, aliases: "lots"},
	{name: "ratio", symbol: none, dim: ratio, factor: 1},
	{name: "%", dim: ratio, factor: 1, exp: -2, aliases: "percent"},

	{name: "V", dim: voltage, factor: 1, steps: true, aliases: "v volt volts"},
	{name: "mV", dim: voltage, factor: 1, exp: -3, steps: true, aliases: "mv millivolt millivolts"},
	{name: "A", dim: current, factor: 1, steps: true, aliases: "a amp amps ampere amperes"},
	{name: "mA", dim: current, factor: 1, exp: -3, steps: true, aliases: "ma milliamp milliamps"},
	{name: "Ah", dim: charge, factor: 1, steps: true, aliases: "ah AH amphours"},
	{name: "mAh", dim: charge, factor: 1, exp: -3, steps: true, aliases: "mah"},
	{name: "W", dim: power, factor: 1, steps: true, aliases: "w watt watts"},
	{name: "kW", dim: power, factor: 1, exp: 3, steps: true, aliases: "kw KW kilowatt kilowatts"},
	{name: "hp", dim: power, factor: 550 * foot * pound * gravity, aliases: "HP horsepower"},
	{name: "PS", dim: power, factor: 75 * gravity, aliases: "ps"},
	{name: "Wh", dim: energy, factor: 3600, steps: true, aliases: "wh WH watthours"},
	{name: "kWh", dim: energy, factor: 3600, exp: 3, steps: true, aliases: "kwh KWh KWH"},
	{name: "J", dim: energy, factor: 1, aliases: "joule joules Ws"},
	{name: "kJ", dim: energy, factor: 1, exp: 3},
	{name: "MJ", dim: energy, factor: 1, exp: 6},
	{name: "ohm", dim: resistance, factor: 1, steps: true, aliases: "Ohm OHM ohms Ohms"},
	{name: "uohm", symbol: "µohm", dim: resistance, factor: 1, exp: -6, steps: true, aliases: "uOhm"},
	{name: "mohm", dim: resistance, factor: 1, exp: -3, steps: true, aliases: "mOhm mohms milliohm milliohms"},
	{name: "kohm", dim: resistance, factor: 1, exp: 3, steps: true, aliases: "kOhm Kohm KOhm kohms"},
	{name: "Mohm", dim: resistance, factor: 1, exp: 6, steps: true, aliases: "MOhm Mohms Megohm megohm megohms"},
	{name: "Gohm", dim: resistance, factor: 1, exp: 9, steps: true, aliases: "GOhm"},
	{name: "mohm/m", dim: perLength, factor: 1, exp: -3, aliases: "mOhm/m"},
	{name: "ohm/km", dim: perLength, factor: 1, exp: -3, aliases: "Ohm/km"},
	{name: "ohm/kft", symbol: "ohm/1000 ft", dim: perLength, factor: 1 / foot, exp: -3, aliases: "ohm/1000ft Ohm/1000ft Ohm/kft"},
	{name: "ohmmm2/m", symbol: "ohm·mm²/m", dim: resistivity, factor: 1, exp: -6},
	{name: "ohm/V", dim: perVolt, factor: 1, aliases: "Ohm/V"},
	{name: "F", dim: capacitance, factor: 1, steps: true, aliases: "farad farads"},
	{name: "uF", symbol: "µF", dim: capacitance, factor: 1, exp: -6, steps: true, aliases: "uf"},
	{name: "mF", dim: capacitance, factor: 1, exp: -3},

	{name: "s", dim: duration, factor: 1, aliases: "sec secs second seconds"},
	{name: "ms", dim: duration, factor: 1, exp: -3},
	{name: "min", dim: duration, factor: 60, aliases: "mins minute minutes"},
	{name: "h", dim: duration, factor: 3600, aliases: "hr hrs hour hours"},
	{name: "h2", symbol: "h²", dim: timeVariance, factor: 3600 * 3600},
	{name: "d", dim: duration, factor: 86400, aliases: "day days"},
	{name: "Hz", dim: frequency, factor: 1, aliases: "hz"},
	{name: "rpm", dim: rotation, factor: 1, aliases: "RPM r/min"},
	{name: "rpm/V", dim: speedPerVolt, factor: 1, aliases: "RPM/V rpm/v"},

	{name: "m", dim: length, factor: 1, us: "ft", aliases: "metre metres meter meters"},
	{name: "mm", dim: length, factor: 1, exp: -3, us: "in"},
	{name: "cm", dim: length, factor: 1, exp: -2, us: "in"},
	{name: "km", dim: length, factor: 1, exp: 3, us: "mi"},
	{name: "in", dim: length, factor: inch, aliases: `inch inches " ″`},
	{name: "ft", dim: length, factor: foot, aliases: "foot feet ' ′"},
	{name: "mi", dim: length, factor: mile, aliases: "mile miles"},
	{name: "yd", dim: length, factor: 3 * foot, aliases: "yard yards"},
	{name: "m2", symbol: "m²", dim: area, factor: 1},
	{name: "mm2", symbol: "mm²", dim: area, factor: 1, exp: -6},
	{name: "in2", symbol: "in²", dim: area, factor: inch * inch, aliases: "sqin"},
	{name: "l", dim: volume, factor: 1, exp: -3, aliases: "L litre litres liter liters"},
	{name: "ml", dim: volume, factor: 1, exp: -6, aliases: "mL cc cm3"},
	{name: "gal", symbol: "US gal", dim: volume, factor: 231 * inch * inch * inch, aliases: "USgal USgallon USgallons gallon gallons"},
	{name: "impgal", symbol: "imp gal", dim: volume, factor: 4.54609, exp: -3, aliases: "UKgal impgallon impgallons"},
	{name: "kg", dim: mass, factor: 1, us: "lb", aliases: "Kg KG kgs kilo kilos"},
	{name: "gram", symbol: "g", dim: mass, factor: 1, exp: -3, aliases: "g grams"},
	{name: "lb", dim: mass, factor: pound, aliases: "lbs lbm pound pounds"},
	{name: "oz", dim: mass, factor: pound / 16, aliases: "ounce ounces"},
	{name: "kg/m3", symbol: "kg/m³", dim: density, factor: 1},

	{name: "m/s", dim: speed, factor: 1},
	{name: "km/h", dim: speed, factor: 1 / 3.6, us: "mph", aliases: "kmh kph KPH km/hr"},
	{name: "mph", dim: speed, factor: mile / 3600, aliases: "MPH mi/h"},
	{name: "ft/s", dim: speed, factor: foot, aliases: "fps"},
	{name: "m/s2", symbol: "m/s²", dim: acceleration, factor: 1},
	{name: "g", dim: acceleration, factor: gravity, aliases: "g0 gn G"},
	{name: "Nm", symbol: "N·m", dim: torque, factor: 1, us: "lbfft", aliases: "nm NM"},
	{name: "lbfft", symbol: "lbf·ft", dim: torque, factor: pound * gravity * foot, aliases: "lbft ftlb ftlbs lbsft ftlbf footpounds"},
	{name: "lbfin", symbol: "lbf·in", dim: torque, factor: pound * gravity * inch, aliases: "lbin inlb inlbs lbsin inlbf inchpounds"},
	{name: "kgfm", symbol: "kgf·m", dim: torque, factor: gravity, aliases: "kgm mkg"},
	{name: "N", dim: force, factor: 1, us: "lbf", steps: true, aliases: "newton newtons"},
	{name: "kN", dim: force, factor: 1, exp: 3, us: "lbf", steps: true},
	{name: "lbf", dim: force, factor: pound * gravity},
	{name: "kgf", dim: force, factor: gravity, aliases: "kp"},
	{name: "Pa", dim: pressure, factor: 1, aliases: "pascal N/m2"},
	{name: "kPa", dim: pressure, factor: 1, exp: 3, us: "psi", aliases: "kpa KPa"},
	{name: "bar", dim: pressure, factor: 1, exp: 5, us: "psi", aliases: "Bar BAR bars"},
	{name: "MPa", dim: pressure, factor: 1, exp: 6, aliases: "N/mm2"},
	{name: "psi", dim: pressure, factor: pound * gravity / (inch * inch), aliases: "PSI Psi lbf/in2 lb/in2"},
	{name: "ksi", dim: pressure, factor: 1000 * pound * gravity / (inch * inch), aliases: "KSI"},
	{name: "N/mm", dim: lineLoad, factor: 1, exp: 3, us: "lbf/in"},
	{name: "lbf/in", dim: lineLoad, factor: pound * gravity / inch, aliases: "lb/in"},

	{name: "degC", symbol: "°C", dim: temperature, factor: 1, us: "degF", aliases: "C c ℃"},
	{name: "degF", symbol: "°F", dim: temperature, factor: 5.0 / 9, zero: 32, aliases: "F f ℉"},
	{name: "K", dim: temperatureGap, factor: 1},
	{name: "K/W", dim: thermal, factor: 1, aliases: "degC/W"},
	{name: "mV/week", dim: drift, factor: 1, aliases: "mV/wk"},
	{name: "Wh/km", dim: consumption, factor: 1, us: "Wh/mi", aliases: "wh/km"},
	{name: "Wh/mi", dim: consumption, factor: 1000 / mile, aliases: "wh/mi Wh/mile"},
	{name: "cents", dim: money, factor: 1, aliases: "cent"},
	{name: "cents/kWh", dim: energyPrice, factor: 1, aliases: "cent/kWh ct/kWh"},
	{name: "A/mm2", symbol: "A/mm²", dim: currentDensity, factor: 1},
	{name: "A2s", symbol: "A²s", dim: pulse, factor: 1},
	{name: "cents/km", dim: distancePrice, factor: 1, aliases: "cent/km ct/km"},
	{name: "cents/l", dim: volumePrice, factor: 1, aliases: "cent/l ct/l"},
	{name: "l/100km", symbol: "l/100 km", dim: fuelUse, factor: 1, aliases: "L/100km"},
	{name: "Nm/A", symbol: "N·m/A", dim: torquePerAmpere, factor: 1},
	{name: "deg", symbol: "°", dim: angle, factor: math.Pi / 180, aliases: "degree degrees"},
}

// none is the symbol of a bare number.
const none = "-"

// compact takes out of a unit what people write differently: "lbf·ft",
// "lbf ft" and "lbf-ft" all become "lbfft".
var compact = strings.NewReplacer(
	" ", "", "\u00a0", "", "\u2009", "", "\u202f", "",
	"·", "", "⋅", "", "•", "", "*", "", "-", "", ".", "",
	"²", "2", "³", "3", "^", "",
	"Ω", "ohm", "\u2126", "ohm", // Greek letter, and the old sign of its own
	"µ", "u", "μ", "u", // micro sign, and the Greek letter
	"°", "deg", "º", "deg",
)

// find returns the unit that s names. A spelling of two units ("g", "F") is
// the one of dimension dim; with dim "" the first name, else the first alias.
func find(s string, dim dimension) (measure, bool) {
	for i := range measures { // nearly always it is written as it is called here
		if u := &measures[i]; s == u.name && (u.dim == dim || dim == "") {
			return *u, true
		}
	}
	s = compact.Replace(s)
	if s == "" {
		return measure{}, false
	}
	var other measure
	for _, byAlias := range [...]bool{false, true} {
		for i := range measures {
			u := &measures[i]
			if s != u.name && !(byAlias && u.hasAlias(s)) {
				continue
			}
			if u.dim == dim || dim == "" {
				return *u, true
			}
			if other.name == "" {
				other = *u
			}
		}
	}
	return other, other.name != ""
}

func (u *measure) hasAlias(s string) bool {
	for rest := u.aliases; rest != ""; {
		var alias string
		alias, rest, _ = strings.Cut(rest, " ")
		if alias == s {
			return true
		}
	}
	return false
}

// Known reports whether unit is one that this package reads, converts and
// shows: the names used in data files ("Nm", "degC", "kg/m3") and every other
// spelling that Parse takes ("N·m", "ft-lb", "kΩ").
//
// "g" is the standard acceleration of free fall, 9.80665 m/s2, also spelled
// "g0"; the gram is "gram", though Parse takes "500 g" where a mass is wanted.
// "gal" is the US gallon of 231 cubic inches, "impgal" the imperial one; "hp" is
// 550 ft·lbf/s, "PS" the metric horsepower of 75 kgf·m/s.
// "K" is a difference of temperature, which has no zero, and so does not
// convert to degC. "rpm" does not convert to Hz: whose turns would be counted?
func Known(unit string) bool {
	_, ok := find(unit, "")
	return ok
}

// Symbol returns unit as people write it: "N·m" for "Nm", "°C" for "degC".
// It is "" for count and ratio; an unknown unit comes back unchanged.
func Symbol(unit string) string {
	u, ok := find(unit, "")
	switch {
	case !ok:
		return unit
	case u.symbol == none:
		return ""
	case u.symbol != "":
		return u.symbol
	}
	return u.name
}
