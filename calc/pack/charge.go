package pack

import (
	"fmt"
	"math"

	"ampwright/calc/desk"
)

// ChargeHours returns the hours that constant power takes: energy of the full
// pack in kWh, states of charge and efficiency (0 < eff <= 1) as fractions of
// 1, power taken from the wall in W.
func ChargeHours(packKWh, wallW, eff, from, to float64) float64 {
	return packKWh * 1000 * (to - from) / (eff * wallW)
}

// TaperHours returns the hours while the power falls in a straight line with
// the state of charge, from startShare of wallW at from to endShare of it at
// to, both shares above 0. The taper is a model, not a standard.
func TaperHours(packKWh, wallW, eff, from, to, startShare, endShare float64) float64 {
	full := ChargeHours(packKWh, wallW, eff, from, to)
	d := (startShare - endShare) / endShare
	if d == 0 {
		return full / endShare
	}
	return full * math.Log1p(d) / (startShare - endShare)
}

func chargeTimeCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "charge-time",
		Title: "Charge time at constant power, then with a taper",
		Group: groupCost,
		Inputs: []desk.Input{
			desk.Num("pack_kWh", "Pack energy", "kWh", "3.1", 0.001, 500),
			desk.Num("charger_W", "Charger power taken from the wall", "W", "750", 1, 100000),
			chargeEff(),
			desk.Num("soc_from", "State of charge at the start", "%", "20", 0, 100),
			desk.Num("soc_taper", "State of charge where the taper begins; 100 for none", "%", "80", 0, 100),
			desk.Num("soc_to", "State of charge at the end", "%", "100", 0, 100),
			desk.Num("taper_end", "Share of the power left at the end", "ratio", "0.1", 0.001, 1),
		},
		Outputs: []desk.Output{
			desk.Out("cp_h", "Time at constant power", "h"),
			desk.Out("taper_h", "Time in the taper", "h"),
			desk.Out("time_h", "Charge time", "h"),
			desk.Out("wall_kWh", "Energy from the wall", "kWh"),
		},
		Formula: []string{
			"cp_h = pack_kWh * 1000 * (soc_cp - soc_from) / 100 / (charge_eff * charger_W)",
			"taper_h = pack_kWh * 1000 * (soc_to - soc_taper) / 100 / (charge_eff * charger_W * (1 - taper_end)) * ln(1 / taper_end)",
		},
		Source: "energy balance; the taper is a model (power falling in a straight line with the state of charge), no standard; " +
			"yardstick: a lithium cell at 0.7 to 1 C takes about 3 h to full (published chemistry table, read)",
		Valid: "the power is what the charger takes from the wall; the taper ends at soc_to",
		Cautions: []string{
			"never charge below 0 °C, never leave a first charge alone, charge away from beds and the way out",
		},
		Do: doChargeTime,
	}
}

func doChargeTime(s *desk.Sheet) {
	from, taper, to := s.Num("soc_from"), s.Num("soc_taper"), s.Num("soc_to")
	e, w, eff, end := s.Num("pack_kWh"), s.Num("charger_W"), s.Num("charge_eff"), s.Num("taper_end")
	if to <= from {
		s.Fail("soc_to", "want more than soc_from")
		return
	}
	cp := s.Step("soc_cp", math.Max(from, math.Min(taper, to)), "%", "max(soc_from, min(soc_taper, soc_to))")
	t1 := s.Out("cp_h", ChargeHours(e, w, eff, from/100, cp/100), "pack_kWh * 1000 * (soc_cp - soc_from) / 100 / (charge_eff * charger_W)")
	t2 := 0.0
	switch {
	case to <= taper:
		s.Out("taper_h", 0, "0")
	case end == 1:
		t2 = s.Out("taper_h", ChargeHours(e, w, eff, cp/100, to/100), "pack_kWh * 1000 * (soc_to - soc_cp) / 100 / (charge_eff * charger_W)")
	default:
		span := s.Step("taper_span", to-taper, "%", "soc_to - soc_taper")
		share := s.Step("share_start", 1-(1-end)*(cp-taper)/span, "ratio", "1 - (1 - taper_end) * (soc_cp - soc_taper) / taper_span")
		t2 = s.Out("taper_h", TaperHours(e, w, eff, cp/100, to/100, share, end),
			"pack_kWh * 1000 * taper_span / 100 / (charge_eff * charger_W * (1 - taper_end)) * ln(share_start / taper_end)")
	}
	t := s.Out("time_h", t1+t2, "cp_h + taper_h")
	s.Draw(desk.Curve{
		Title: "State of charge while charging", X: desk.Axis{Title: "time", Unit: "h"}, Y: desk.Axis{Title: "state of charge", Unit: "%"},
		Sentence: fmt.Sprintf("From %.0f %% to %.0f %% in %.3g h, the last %.3g h of it in the taper.", from, to, t, t2),
	}, 0, t, 60, func(h float64) float64 { return socAt(h, t1, 100*eff*w/(1000*e), from, cp, taper, to, end) })
	s.Out("wall_kWh", e*(to-from)/100/eff, "pack_kWh * (soc_to - soc_from) / 100 / charge_eff")
	rate := s.Step("charge_c_rate", eff*w/(1000*e), "ratio", "charge_eff * charger_W / (1000 * pack_kWh)")
	if to > 95 && taper >= to {
		s.Note("without the taper the time to full comes out too short")
	}
	if to > 95 && from <= 20 && rate >= 0.7 && t < 3 {
		s.Note("shorter than the yardstick: at 0.7 to 1 C a lithium cell takes about 3 h to full")
	}
	if rate > 1 {
		s.Note("charges at more than 1 C: many cells do not allow that, see the data sheet")
	}
}

// socAt returns the state of charge in % after h hours: at a constant rate (%
// an hour) for the first t1 hours, then at a rate that falls in a straight line
// with the state of charge from 1 at taper to end at to.
func socAt(h, t1, rate, from, cp, taper, to, end float64) float64 {
	if h <= t1 || to <= taper {
		return math.Min(from+rate*h, to)
	}
	if end == 1 {
		return math.Min(cp+rate*(h-t1), to)
	}
	fall := (1 - end) / (to - taper) // of the rate, for each % of charge
	start := 1 - fall*(cp-taper)
	return cp + start/fall*(1-math.Exp(-fall*rate*(h-t1)))
}

// ChargeHoursAtCurrent returns the hours by the builder's rule: a tenth more
// than the ampere-hours to put back over the charger's current.
func ChargeHoursAtCurrent(packAh, usedFraction, chargerA float64) float64 {
	return 1.1 * packAh * usedFraction / chargerA
}

func chargeTimeCurrentCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "charge-time-current",
		Title: "Charge time from the charger's current",
		Group: groupCost,
		Inputs: []desk.Input{
			desk.Num("pack_Ah_design", "Design capacity of the weakest group", "Ah", "42", 0.01, 10000),
			desk.Num("usable_fraction", "Share of the pack used per ride", "ratio", "0.85", 0, 1),
			desk.Num("charger_A", "Charger output current", "A", "8", 0.01, 1000),
		},
		Outputs: []desk.Output{desk.Out("charge_h", "Charge time after a full ride", "h").On("pack_Ah_design", "usable_fraction", "charger_A")},
		Formula: []string{"charge_h = 1.1 * pack_Ah_design * usable_fraction / charger_A"},
		Source:  "common practice, no published source (a tenth more for the taper)",
		Valid:   "up to about 0.3 C; above that the taper takes longer: charge-time",
		Cautions: []string{
			"never charge below 0 °C, never leave a first charge alone, charge away from beds and the way out",
		},
		Do: func(s *desk.Sheet) {
			c, a := s.Num("pack_Ah_design"), s.Num("charger_A")
			s.Out("charge_h", ChargeHoursAtCurrent(c, s.Num("usable_fraction"), a), "1.1 * pack_Ah_design * usable_fraction / charger_A")
			if CRate(a, c) > 0.3 {
				s.Note("charges at more than 0.3 C: the taper takes longer than a tenth, use charge-time")
			}
		},
	}
}
