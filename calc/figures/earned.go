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
		Name: "earned-value", Title: "Earned value: where a build stands against its plan", Group: forecasting,
		Inputs: []desk.Input{
			desk.Num("BAC", "Budget at completion, in money or hours", "count", "", 1e-6, most),
			desk.Num("PV", "Planned value by now; may be left out", "count", "-", 0, most),
			desk.Num("EV", "Earned value: the budget of what is done", "count", "", 0, most),
			desk.Num("AC", "Actual cost of what is done", "count", "", 0, most),
			desk.Num("planned_time", "Planned time of the whole build, in days or months; may be left out", "count", "-", 0, most),
		},
		Outputs: []desk.Output{
			desk.Out("CV", "Cost variance", "count"),
			desk.Out("SV", "Schedule variance", "count"),
			desk.Out("CPI", "Cost performance index", "ratio"),
			desk.Out("SPI", "Schedule performance index", "ratio"),
			desk.Out("EAC", "Estimate at completion", "count"),
			desk.Out("ETC", "Estimate to complete", "count"),
			desk.Out("VAC", "Variance at completion", "count"),
			desk.Out("TCPI", "Performance that the rest needs to end on budget", "ratio"),
			desk.Out("time", "Time the whole build takes at this pace", "count"),
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
