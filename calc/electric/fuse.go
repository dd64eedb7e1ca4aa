package electric

import (
	"fmt"

	"ampwright/calc/desk"
	"ampwright/calc/unit"
)

// steps are the ratings fuses are commonly sold in, in amperes (from memory).
var steps = [...]float64{15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300}

// FuseAtLeast returns the smallest common rating of amperes or more, and false
// above the list's end of 300 A.
func FuseAtLeast(amperes float64) (float64, bool) {
	for _, r := range steps {
		if !below(r, amperes) {
			return r, true
		}
	}
	return 0, false
}

// FuseAtMost returns the largest common rating of amperes or less, and false
// below the list's beginning of 15 A.
func FuseAtMost(amperes float64) (float64, bool) {
	best, ok := 0.0, false
	for _, r := range steps {
		if !above(r, amperes) {
			best, ok = r, true
		}
	}
	return best, ok
}

// FuseDerated returns the least rating for a continuous load in amperes: a
// fuse carries 75 % of its rating (EDN, fuse-selection checklist, 1996).
func FuseDerated(loadA float64) float64 { return loadA / 0.75 }

// ShortCircuit returns the prospective short-circuit current, in amperes, of a
// pack with volts and milliohms, joints included.
func ShortCircuit(volts, milliohms float64) float64 { return 1000 * volts / milliohms }

func fuseChoice() *desk.Calc {
	return &desk.Calc{
		Name: "fuse-choice", Title: "Choice of the main fuse", Group: groupWire,
		Inputs: []desk.Input{
			contCurrent(),
			desk.Num("cable_ampacity_A", "Traction cable continuous rating", "A", "-", 1, 5000),
			desk.Choice("rule", "Fuse against the cable: at most its rating, or 150 % as in boats", "rating", "rating", "boat"),
			packMax("-"),
			desk.Num("fuse_rating_A", "Rating of the fuse to be judged", "A", "-", 1, 5000),
			desk.Num("fuse_dc_V", "DC voltage rating of the fuse", "V", "-", 1, 5000),
			desk.Num("fuse_breaking_A", "Breaking capacity of the fuse, DC", "A", "-", 1, 1e6),
			desk.Num("pack_mohm", "Pack resistance, joints included", "mohm", "-", 0.01, 1e6),
			desk.Num("short_A", "Prospective short-circuit current, instead of pack_mohm", "A", "-", 1, 1e6),
		},
		Outputs: []desk.Output{
			desk.Out("fuse_min_A", "Least main fuse rating, 1.25 x the load", "A").On("batt_cont_A"),
			desk.Out("fuse_derated_A", "Least rating with 25 % derating", "A"),
			desk.Out("fuse_A", "Next common rating", "A"),
			desk.Out("fuse_max_A", "Largest rating the cable allows", "A"),
			desk.Out("fuse_max_step_A", "Largest common rating the cable allows", "A"),
			desk.Out("short_A", "Prospective short-circuit current", "A"),
			desk.Out("rating_verdict", "Rating", ""), desk.Out("voltage_verdict", "Voltage", ""),
			desk.Out("breaking_verdict", "Breaking capacity", ""), desk.Out("verdict", "Fuse", ""),
		},
		Formula: []string{
			"fuse_min_A = 1.25 * batt_cont_A", "fuse_derated_A = batt_cont_A / 0.75", "fuse_derated_A <= rating <= fuse_max_A",
			"fuse_max_A = cable_ampacity_A, or 1.5 * cable_ampacity_A by the rule for boats",
			"fuse_dc_V >= pack_max_V", "short_A = 1000 * pack_max_V / pack_mohm", "fuse_breaking_A >= short_A",
		},
		Source: "25 % derating: EDN, fuse-selection checklist, 1996 (read); 1.25 x continuous load: common practice, no published source; 150 % of the cable: ABYC E-11 (from memory); common ratings from memory",
		Valid:  "fuse near 25 °C; a hot place wants the maker's derating curve",
		Cautions: []string{
			cautionFuse, cautionFuseHome,
			"road-vehicle blade fuses (ISO 8820-3) are rated 32 V or 58 V and break 1000 A: not enough for a traction pack",
			"the voltage that counts is the highest of charging, not the nominal one",
		},
		Do: doFuseChoice,
	}
}

func doFuseChoice(s *desk.Sheet) {
	load := s.Num("batt_cont_A")
	s.Out("fuse_min_A", 1.25*load, "1.25 * batt_cont_A")
	least := s.Out("fuse_derated_A", FuseDerated(load), "batt_cont_A / 0.75")
	next, inList := FuseAtLeast(least)
	if inList {
		s.Out("fuse_A", next, "next common rating from fuse_derated_A up")
	} else {
		s.Note("%.4g A is above the list of common ratings, which ends at 300 A", least)
	}
	most := 0.0
	if s.Has("cable_ampacity_A") {
		most = s.Num("cable_ampacity_A")
		if s.Text("rule") == "boat" {
			most = s.Out("fuse_max_A", 1.5*most, "1.5 * cable_ampacity_A")
		} else {
			s.Out("fuse_max_A", most, "cable_ampacity_A")
		}
		if r, ok := FuseAtMost(most); ok {
			s.Out("fuse_max_step_A", r, "largest common rating up to fuse_max_A")
		}
	}

	failed, open := 0, 0
	judge := func(name, text string, known, holds bool) {
		switch {
		case !known:
			open++
			text = "not shown: " + text
		case holds:
			text = "holds: " + text
		default:
			failed++
			text = "rejected: " + text
		}
		s.Say(name, text)
	}

	rating, given := next, s.Has("fuse_rating_A")
	if given {
		rating = s.Num("fuse_rating_A")
	}
	switch {
	case most > 0 && above(least, most):
		judge("rating_verdict", fmt.Sprintf("the cable allows %.4g A, the load wants %.4g A or more: a thicker cable", most, least), true, false)
	case !given && !inList:
		judge("rating_verdict", "want fuse_rating_A", false, false)
	case below(rating, least):
		judge("rating_verdict", fmt.Sprintf("%.4g A, the load wants %.4g A or more", rating, least), true, false)
		if !below(rating, 1.25*load) {
			s.Note("%.4g A holds the design sheet's 1.25 x the load, not the 25 %% derating", rating)
		}
	case most == 0:
		judge("rating_verdict", "want cable_ampacity_A", false, false)
	case above(rating, most):
		judge("rating_verdict", fmt.Sprintf("%.4g A, the cable allows %.4g A at most", rating, most), true, false)
	default:
		judge("rating_verdict", fmt.Sprintf("%.4g A, want %.4g A to %.4g A", rating, least, most), true, true)
	}

	v, dc := s.Num("pack_max_V"), s.Num("fuse_dc_V")
	if s.Has("pack_max_V") && s.Has("fuse_dc_V") {
		judge("voltage_verdict", fmt.Sprintf("%.5g V DC, the pack reaches %.5g V", dc, v), true, !below(dc, v))
	} else {
		judge("voltage_verdict", "want pack_max_V and fuse_dc_V", false, false)
	}

	short, known := s.Num("short_A"), s.Has("short_A")
	switch {
	case known && s.Has("pack_mohm"):
		s.Fail("short_A", "give pack_mohm or short_A, not both")
		return
	case known:
		s.Out("short_A", short, "as given")
	case s.Has("pack_mohm") && s.Has("pack_max_V"):
		short, known = s.Out("short_A", ShortCircuit(v, s.Num("pack_mohm")), "1000 * pack_max_V / pack_mohm"), true
	}
	if known && s.Has("fuse_breaking_A") {
		b := s.Num("fuse_breaking_A")
		judge("breaking_verdict", fmt.Sprintf("breaks %s, a short circuit reaches %s", unit.Format(b, "A", unit.Style{}), unit.Format(short, "A", unit.Style{})), true, !below(b, short))
	} else {
		judge("breaking_verdict", "want fuse_breaking_A, and short_A or pack_mohm with pack_max_V", false, false)
	}

	switch {
	case failed > 0:
		s.Say("verdict", "rejected")
	case open > 0:
		s.Say("verdict", "not shown: all three tests must hold")
	default:
		s.Say("verdict", "all three tests hold")
	}
}

// The shapes of a current pulse.
const (
	Rectangle   = "rectangle"
	Ramp        = "ramp"
	HalfSine    = "half-sine"
	Trapezoid   = "trapezoid"
	Parabola    = "parabola"
	Exponential = "exponential"
)

// PulseI2t returns the integral of the squared current, in A²s, of a pulse with
// peak amperes over seconds. A trapezoid ends at base amperes; of an
// exponential, seconds is the time to fall to 1/e. Fuse maker's guide, chart 1.
// It is 0 for a shape that is none of the constants.
func PulseI2t(shape string, peak, base, seconds float64) float64 {
	switch shape {
	case Rectangle:
		return peak * peak * seconds
	case Ramp:
		return peak * peak * seconds / 3
	case HalfSine, Exponential:
		return peak * peak * seconds / 2
	case Trapezoid:
		return (peak*peak + peak*base + base*base) * seconds / 3
	case Parabola:
		return peak * peak * seconds / 5
	}
	return 0
}

// PulseShare returns the share of a fuse's nominal melting I²t that each of so
// many pulses may take, at the next count of the fuse maker's chart 2; 0 above
// its end of 100 000.
func PulseShare(pulses float64) float64 {
	switch {
	case pulses <= 100:
		return 0.48
	case pulses <= 1000:
		return 0.38
	case pulses <= 10000:
		return 0.29
	case pulses <= 100000:
		return 0.22
	}
	return 0
}

func fusePulse() *desk.Calc {
	return &desk.Calc{
		Name: "fuse-pulse", Title: "Pulse energy of a fuse, I²t", Group: groupWire,
		Inputs: []desk.Input{
			desk.Choice("shape", "Shape of the pulse", Rectangle, Rectangle, Ramp, HalfSine, Trapezoid, Parabola, Exponential),
			desk.Num("pulse_A", "Peak current", "A", "", 0.001, 1e6),
			desk.Num("base_A", "Other end of a trapezoid", "A", "0", 0, 1e6),
			desk.Num("pulse_s", "Length; of an exponential the time to fall to 1/e", "s", "", 1e-9, 1000),
			desk.Num("pulses", "Pulses in the fuse's life", "count", "100000", 1, 100000),
			desk.Num("fuse_melting_A2s", "Nominal melting I²t of the fuse", "A2s", "-", 1e-6, 1e12),
		},
		Outputs: []desk.Output{
			desk.Out("i2t_A2s", "I²t of the pulse", "A2s"), desk.Out("pulse_share", "Share of the melting I²t allowed", "ratio"),
			desk.Out("melting_min_A2s", "Least nominal melting I²t", "A2s"), desk.Out("verdict", "Fuse", ""),
		},
		Formula: []string{
			"rectangle pulse_A^2 * pulse_s; ramp a third; half sine and exponential a half; parabola a fifth",
			"trapezoid (pulse_A^2 + pulse_A * base_A + base_A^2) * pulse_s / 3",
			"melting_min_A2s = i2t_A2s / pulse_share: 0.22 for 100 000 pulses, 0.29 for 10 000, 0.38 for 1 000, 0.48 for 100",
		},
		Source:   "a fuse maker's guide, charts 1 and 2 (read)",
		Valid:    "pulses far enough apart for the fuse to cool; between counts the next larger one is taken",
		Cautions: []string{cautionFuse, "the chart is one maker's: use that of the fuse"},
		Do: func(s *desk.Sheet) {
			shape, peak, base := s.Text("shape"), s.Num("pulse_A"), s.Num("base_A")
			if base > peak {
				s.Fail("base_A", "want at most pulse_A")
				return
			}
			if base > 0 && shape != Trapezoid {
				s.Fail("base_A", "is asked for with the trapezoid only")
				return
			}
			formula := map[string]string{
				Rectangle: "pulse_A^2 * pulse_s", Ramp: "pulse_A^2 * pulse_s / 3", HalfSine: "pulse_A^2 * pulse_s / 2",
				Exponential: "pulse_A^2 * pulse_s / 2", Parabola: "pulse_A^2 * pulse_s / 5",
				Trapezoid: "(pulse_A^2 + pulse_A * base_A + base_A^2) * pulse_s / 3",
			}
			e := s.Out("i2t_A2s", PulseI2t(shape, peak, base, s.Num("pulse_s")), formula[shape])
			share := s.Out("pulse_share", PulseShare(s.Num("pulses")), "chart 2, pulses")
			least := s.Out("melting_min_A2s", e/share, "i2t_A2s / pulse_share")
			if s.Has("fuse_melting_A2s") {
				word := "holds"
				if below(s.Num("fuse_melting_A2s"), least) {
					word = "rejected"
				}
				s.Say("verdict", fmt.Sprintf("%s: melts at %.4g A²s, want %.4g A²s or more", word, s.Num("fuse_melting_A2s"), least))
			}
		},
	}
}
