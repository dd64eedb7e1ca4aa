package figures

import "ampwright/calc/desk"

// An EarnedValue is where a build stands, in one unit throughout (money or
// hours).
type EarnedValue struct {
	BAC float64 // budget at completion
	PV  float64 // planned value: what the plan had done by now
	EV  float64 // earned value: the budget of what is done
	AC  float64 // actual cost of what is done
}

// CPI is the cost performance index, SPI the schedule performance index.
func (e EarnedValue) CPI() float64 { return e.EV / e.AC }
func (e EarnedValue) SPI() float64 { return e.EV / e.PV }

// EAC is the estimate at completion, BAC / CPI, with nothing rounded between.
func (e EarnedValue) EAC() float64 { return e.BAC / e.CPI() }

// TCPI is the performance that the rest needs to end on budget.
func (e EarnedValue) TCPI() float64 { return (e.BAC - e.EV) / (e.BAC - e.AC) }

func earnedValue() *desk.Calc {
	const most = 1e12
	return &desk.Calc{
		Name: "earned-value", Title: "earned value: where a build stands against its plan", Group: forecasting,
		Inputs: []desk.Input{
			{Name: "BAC", Title: "budget at completion, in money or hours", Unit: "count", Min: 1e-6, Max: most},
			{Name: "PV", Title: "planned value by now; may be left out", Unit: "count", Default: "-", Max: most},
			{Name: "EV", Title: "earned value: the budget of what is done", Unit: "count", Max: most},
			{Name: "AC", Title: "actual cost of what is done", Unit: "count", Max: most},
			{Name: "planned_time", Title: "planned time of the whole build, in days or months; may be left out", Unit: "count", Default: "-", Max: most},
		},
		Outputs: []desk.Output{
			{Name: "CV", Title: "cost variance", Unit: "count"},
			{Name: "SV", Title: "schedule variance", Unit: "count"},
			{Name: "CPI", Title: "cost performance index", Unit: "ratio"},
			{Name: "SPI", Title: "schedule performance index", Unit: "ratio"},
			{Name: "EAC", Title: "estimate at completion", Unit: "count"},
			{Name: "ETC", Title: "estimate to complete", Unit: "count"},
			{Name: "VAC", Title: "variance at completion", Unit: "count"},
			{Name: "TCPI", Title: "performance that the rest needs to end on budget", Unit: "ratio"},
			{Name: "time", Title: "time the whole build takes at this pace", Unit: "count"},
		},
		Formula: []string{
			"CV = EV - AC", "SV = EV - PV", "CPI = EV / AC", "SPI = EV / PV",
			"EAC = BAC / CPI", "ETC = EAC - AC", "VAC = BAC - EAC",
			"TCPI = (BAC - EV) / (BAC - AC)", "time = planned_time / SPI",
		},
		Source: "earned value management, worked textbook exercises (read); nothing is rounded in the middle",
		Valid: "EAC takes the rest to cost what the work so far did, in proportion; early in a build the ratio is mostly noise. " +
			"SPI ends at 1 however late the build is",
		Do: func(s *desk.Sheet) {
			e := EarnedValue{s.Num("BAC"), s.Num("PV"), s.Num("EV"), s.Num("AC")}
			if e.EV > e.BAC {
				s.Fail("EV", "want 0 to BAC, "+s.Figure(e.BAC, "count"))
				return
			}
			s.Out("CV", e.EV-e.AC, "EV - AC")
			if s.Has("PV") {
				s.Out("SV", e.EV-e.PV, "EV - PV")
			}
			switch {
			case e.AC == 0:
				s.Note("Nothing is spent yet: there is no CPI and no estimate at completion.")
			case e.EV == 0:
				s.Out("CPI", 0, "EV / AC")
				s.Note("Nothing is earned yet: there is no estimate at completion.")
			default:
				s.Out("CPI", e.CPI(), "EV / AC")
				eac := s.Out("EAC", e.EAC(), "BAC / CPI")
				s.Out("ETC", eac-e.AC, "EAC - AC")
				s.Out("VAC", e.BAC-eac, "BAC - EAC")
			}
			if e.AC < e.BAC {
				s.Out("TCPI", e.TCPI(), "(BAC - EV) / (BAC - AC)")
			} else {
				s.Note("The budget is spent: no performance of the rest ends on it, there is no TCPI.")
			}
			if e.PV == 0 {
				return
			}
			spi := s.Out("SPI", e.SPI(), "EV / PV")
			if s.Has("planned_time") && spi > 0 {
				s.Out("time", s.Num("planned_time")/spi, "planned_time / SPI")
			}
		},
	}
}
