package bms

import (
	"fmt"
	"math"
)

// A Figure is one number of a run.
type Figure struct {
	Name  string
	Value float64
	Unit  string // as calc/unit names it
}

// Figures returns what there is to say of a run in numbers. km is its distance
// where a person knows it, else 0.
func (r *Run) Figures(km float64) []Figure {
	rows := []Figure{
		{"pack volts, lowest", r.VoltsLow, "V"}, {"pack volts, highest", r.VoltsHigh, "V"}, {"current out, peak", r.Discharge, "A"}, {"current back, peak", r.Charge, "A"},
		{"of it within 30 s after a discharge", r.Regen, "A"}, {"sag at the peak", r.Sag, "V"}, {"energy out", r.OutWh, "Wh"}, {"energy back", r.BackWh, "Wh"},
		{"charge out", r.OutAh, "Ah"}, {"charge back", r.BackAh, "Ah"},
	}
	if r.Cells > 1 {
		rows = append(rows, Figure{"lowest group", r.CellLow, "V"}, Figure{"highest group", r.CellHigh, "V"}, Figure{"spread, last at rest", r.RestSpread * 1000, "mV"},
			Figure{"spread, largest at rest", r.MostRest * 1000, "mV"}, Figure{"spread, largest under load", r.MostLoad * 1000, "mV"})
	}
	if !math.IsNaN(r.Hottest) {
		rows = append(rows, Figure{fmt.Sprintf("hottest, sensor T%d", r.HotSensor), r.Hottest, "degC"})
	}
	if km <= 0 {
		km = r.Km
	}
	if km > 0 {
		rows = append(rows, Figure{"distance", km, "km"}, Figure{"energy per kilometre", r.WhPerKm(km), "Wh/km"})
	}
	return rows
}
