package pack

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
)

// PolymerV returns the open-circuit voltage of a lithium-ion polymer cell at
// state of charge s, 0 to 1. The fit is that of M. Chen and G. A.
// Rincón-Mora, IEEE Trans. Energy Conversion 21(2), 2006 (from memory, matched
// with three public codes; two others have the sign of s² wrong and give
// 4.34 V at full). It rises throughout.
func PolymerV(s float64) float64 {
	return -1.031*math.Exp(-35*s) + 3.685 + 0.2156*s - 0.1178*s*s + 0.3201*s*s*s
}

// PolymerSoC returns the state of charge, 0 to 1, at which PolymerV is v;
// beyond the ends of the curve it is 0 or 1.
func PolymerSoC(v float64) float64 {
	lo, hi := 0.0, 1.0
	switch {
	case v <= PolymerV(lo):
		return lo
	case v >= PolymerV(hi):
		return hi
	}
	for range 60 {
		mid := (lo + hi) / 2
		if PolymerV(mid) < v {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// A Point is a rested voltage and the state of charge, in %, it stands for.
type Point struct{ V, Percent float64 }

// LeadAcidPoints are the rested voltages of a 12 V lead-acid battery (read in
// a mailing-list table), straight lines between.
func LeadAcidPoints() []Point {
	return []Point{{11.6, 0}, {12, 25}, {12.2, 50}, {12.4, 75}, {12.6, 100}}
}

// NMCPoints are the two edges of a coarse NMC table (from memory, weak): low
// reads the least charge from a voltage, high the most.
func NMCPoints() (low, high []Point) {
	return []Point{{3, 0}, {3.5, 10}, {3.75, 50}, {4.2, 100}}, []Point{{3, 0}, {3.3, 10}, {3.65, 50}, {4.2, 100}}
}

// Between reads v off points joined by straight lines, in order of voltage;
// outside it keeps to the ends.
func Between(points []Point, v float64) float64 {
	if v <= points[0].V {
		return points[0].Percent
	}
	for i, p := range points[1:] {
		if v <= p.V {
			q := points[i]
			return q.Percent + (p.Percent-q.Percent)*(v-q.V)/(p.V-q.V)
		}
	}
	return points[len(points)-1].Percent
}

func ocvCalc() *desk.Calc {
	return &desk.Calc{
		Name:    "cell-ocv",
		Title:   "Rested voltage of a lithium-ion polymer cell at a state of charge",
		Group:   groupPack,
		Inputs:  []desk.Input{desk.Num("soc", "State of charge", "%", "", 0, 100)},
		Outputs: []desk.Output{desk.Out("ocv_V", "Open-circuit voltage", "V")},
		Formula: []string{"ocv_V = -1.031 * exp(-35 * s) + 3.685 + 0.2156 * s - 0.1178 * s^2 + 0.3201 * s^3, s = soc / 100"},
		Source:  "M. Chen and G. A. Rincón-Mora, IEEE Trans. Energy Conversion 21(2), 2006, 504-511 (from memory, matched with public codes)",
		Valid:   "one polymer cell measured in 2006, after hours of rest; not LFP, not LTO",
		Do: func(s *desk.Sheet) {
			x := s.Step("s", s.Num("soc")/100, "ratio", "soc / 100")
			s.Out("ocv_V", PolymerV(x), "-1.031 * exp(-35 * s) + 3.685 + 0.2156 * s - 0.1178 * s * s + 0.3201 * s * s * s")
		},
	}
}

func socCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "soc-from-voltage",
		Title: "State of charge from rested voltage, with its uncertainty",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Choice("battery", "Battery: one cell, or a 12 V lead-acid battery", "nmc", "nmc", "polymer", "lfp", "lead-acid"),
			desk.Num("rested_V", "Voltage after hours of rest, without load", "V", "", 1, 16),
			desk.Num("meter_mV", "Error of the voltmeter", "mV", "5", 0, 500),
		},
		Outputs: []desk.Output{
			desk.Out("soc", "State of charge, middle of the range", "%"),
			desk.Out("soc_low", "At least", "%"),
			desk.Out("soc_high", "At most", "%"),
			desk.Out("answer", "State of charge in words", ""),
		},
		Formula: []string{
			"polymer: the state of charge whose cell-ocv is rested_V",
			"lead-acid: straight lines 11.6 V 0 %, 12.0 V 25 %, 12.2 V 50 %, 12.4 V 75 %, 12.6 V 100 %",
			"nmc: between the edges 3.0 V 0 %, 3.3 to 3.5 V 10 %, 3.65 to 3.75 V 50 %, 4.2 V 100 %",
			"lfp: none",
		},
		Source: "polymer: Chen and Rincón-Mora 2006 (from memory; its 30 mV too); lead-acid: rested-voltage table (read on a mailing list), " +
			"its 0.1 V: common practice, no published source; nmc: from memory, weak",
		Valid: "hours after the last charge or load, near 20 °C",
		Cautions: []string{
			datasheetFirst,
			"a voltage is a rough gauge: count ampere-hours between two known points",
		},
		Do: doSoC,
	}
}

// What the table or fit itself may be off by, in V; for NMC the two edges say.
const (
	polymerError  = 0.03 // largest error the paper reports, from memory
	leadAcidError = 0.1  // tables of the trade differ by about this
)

func doSoC(s *desk.Sheet) {
	v, meter := s.Num("rested_V"), s.Num("meter_mV")/1000
	kind := s.Text("battery")
	lead := kind == "lead-acid"
	if !lead && v > 5 {
		s.Fail("rested_V", "want the voltage of one cell, 1 to 5 V")
		return
	}
	if lead && v < 9 {
		s.Fail("rested_V", "want the voltage of a 12 V battery, 9 to 16 V")
		return
	}
	var read func(v, side float64) float64 // side -1 least, 0 middle, 1 most
	var bottom, top float64
	e := meter
	switch kind {
	case "polymer":
		read = func(v, _ float64) float64 { return 100 * PolymerSoC(v) }
		bottom, top = PolymerV(0), PolymerV(1)
		e += polymerError
		s.Step("u_V", e, "V", "meter_mV / 1000 + 0.03")
	case "lead-acid":
		points := LeadAcidPoints()
		read = func(v, _ float64) float64 { return Between(points, v) }
		bottom, top = points[0].V, points[len(points)-1].V
		e += leadAcidError
		s.Step("u_V", e, "V", "meter_mV / 1000 + 0.1")
	case "nmc":
		low, high := NMCPoints()
		read = func(v, side float64) float64 {
			return (Between(low, v)*(1-side) + Between(high, v)*(1+side)) / 2
		}
		bottom, top = low[0].V, low[len(low)-1].V
		s.Step("u_V", e, "V", "meter_mV / 1000")
	default:
		s.Say("answer", "no figure from a voltage: published LFP tables contradict each other "+
			"(3.33 V is about 50 % in one, 3.30 V 80 % and 3.20 V about 20 % in others); from 20 to 80 % the curve is flat within 50 to 100 mV")
		s.Note("charge to the top and count ampere-hours from there")
		return
	}
	mid := s.Out("soc", read(v, 0), "read at rested_V")
	lo := s.Out("soc_low", read(v-e, -1), "least read at rested_V - u_V")
	hi := s.Out("soc_high", read(v+e, 1), "most read at rested_V + u_V")
	s.Say("answer", fmt.Sprintf("about %.0f %%, between %.0f and %.0f %%", mid, math.Floor(lo+1e-9), math.Ceil(hi-1e-9)))
	if v > top {
		s.Note("above the end of the curve: full, or not rested after the charge")
	}
	if v > 4.2+meter && !lead {
		s.Note("above 4.20 V, the full charge of these chemistries: stop charging and find out why")
	}
	if v < bottom {
		s.Note("below the end of the curve: empty; do not charge an over-discharged cell without the maker's word")
	}
}
