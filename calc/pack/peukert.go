package pack

import (
	"math"

	"ampwright/calc/desk"
)

// PeukertHours returns the hours that a lead-acid battery lasts at currentA,
// in the normalised form: capacityAh is what it gives in ratedHours.
func PeukertHours(capacityAh, ratedHours, currentA, k float64) float64 {
	return ratedHours * math.Pow(capacityAh/(currentA*ratedHours), k)
}

// PeukertBareHours returns the hours in the bare form I^k t = C, in which
// capacityAh is the capacity at 1 A.
func PeukertBareHours(capacityAh, currentA, k float64) float64 {
	return capacityAh / math.Pow(currentA, k)
}

// PeukertExponent returns k from two tests at different currents, in A and h.
func PeukertExponent(i1, t1, i2, t2 float64) float64 {
	return math.Log(t2/t1) / math.Log(i1/i2)
}

const peukertRange = "lead-acid at one temperature; usual k: flooded 1.2 to 1.6, gel 1.1 to 1.25, AGM 1.05 to 1.15; no law for lithium cells"

func peukertTimeCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "peukert-time",
		Title: "How long a lead-acid battery lasts (Peukert)",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("capacity_Ah", "Rated capacity", "Ah", "", 0.01, 10000),
			desk.Num("rated_h", "Hours of the rating", "h", "20", 0.1, 1000),
			desk.Num("load_A", "Discharge current", "A", "", 0.001, 10000),
			desk.Num("peukert_k", "Peukert exponent", "count", "1.2", 1, 2),
		},
		Outputs: []desk.Output{
			desk.Out("run_h", "Time it lasts, normalised form", "h"),
			desk.Out("run_Ah", "Capacity at this current", "Ah"),
			desk.Out("bare_h", "Time by the bare form, capacity taken as that at 1 A", "h"),
		},
		Formula: []string{
			"run_h = rated_h * (capacity_Ah / (load_A * rated_h))^peukert_k",
			"bare_h = capacity_Ah / load_A^peukert_k",
		},
		Source: "Peukert's law, normalised form and bare form, ranges of k (read on an electrical engineering page and a battery seller's page)",
		Valid:  peukertRange,
		Do: func(s *desk.Sheet) {
			c, h, i, k := s.Num("capacity_Ah"), s.Num("rated_h"), s.Num("load_A"), s.Num("peukert_k")
			t := s.Out("run_h", PeukertHours(c, h, i, k), "rated_h * (capacity_Ah / (load_A * rated_h))^peukert_k")
			s.Out("run_Ah", i*t, "load_A * run_h")
			s.Out("bare_h", PeukertBareHours(c, i, k), "capacity_Ah / load_A^peukert_k")
			s.Note("two forms are in print; use the normalised one, run_h: the bare form is right only if the capacity is that at 1 A")
			if k > 1.6 {
				s.Note("peukert_k above 1.6 is outside what is published for lead-acid")
			}
			if i < c/h {
				s.Note("below the rated current the formula promises more than the rated capacity: do not count on it")
			}
		},
	}
}

func peukertExponentCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "peukert-exponent",
		Title: "Peukert exponent from two discharges",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Num("i1_A", "Current of the first test", "A", "", 0.001, 10000),
			desk.Num("t1_h", "Time of the first test", "h", "", 0.001, 10000),
			desk.Num("i2_A", "Current of the second test", "A", "", 0.001, 10000),
			desk.Num("t2_h", "Time of the second test", "h", "", 0.001, 10000),
		},
		Outputs: []desk.Output{desk.Out("peukert_k", "Peukert exponent", "count")},
		Formula: []string{"peukert_k = ln(t2_h / t1_h) / ln(i1_A / i2_A)"},
		Source:  "Peukert's law solved for the exponent (read on a battery seller's page)",
		Valid:   peukertRange,
		Do: func(s *desk.Sheet) {
			i1, t1, i2, t2 := s.Num("i1_A"), s.Num("t1_h"), s.Num("i2_A"), s.Num("t2_h")
			if i1 == i2 {
				s.Fail("i2_A", "want another current than i1_A")
				return
			}
			k := s.Out("peukert_k", PeukertExponent(i1, t1, i2, t2), "ln(t2_h / t1_h) / ln(i1_A / i2_A)")
			switch {
			case k < 1:
				s.Note("below 1: the higher current gave more ampere-hours; measure again at one temperature")
			case k > 1.6:
				s.Note("above 1.6 is outside what is published for lead-acid")
			}
		},
	}
}
