package bms

import (
	"fmt"
	"math"
)

// Limits of what counts as what.
const (
	restAmps  = 1.0  // at rest below it, either way
	loadShare = 0.5  // under load above this share of the peak
	restAfter = 10.0 // seconds without load before a group's voltage counts as at rest (own choice)
	longGap   = 60.0 // seconds between lines: a longer step is a jump of the clock
	cellLow   = 0.5  // V; below it a cell is missing, not empty
	cellHigh  = 5.0  // V
)

// A Run is what a log shows. Voltages in V, currents in A, energies in Wh,
// spreads in V, temperatures in °C, times in seconds. Discharge is above zero.
type Run struct {
	Hash  string // SHA-256 of the log's bytes, hexadecimal
	Bytes int64
	Rows  int // lines of values that were read
	Cells int
	Temps int

	Seconds float64 // time under way, jumps of the clock left out
	Sign    int     // 1: the log's current is above zero while discharging; -1: the other way; 0: never told
	SignWhy string

	Rest       []float64 // voltage of each group in the last line at rest with all cells; nil if there is none
	RestSpread float64   // highest less lowest of them
	MostRest   float64   // the largest spread of a line at rest
	MostLoad   float64   // the largest spread of a line under load
	CellLow    float64   // the lowest and the highest voltage that a cell had
	CellHigh   float64
	LowCell    int // its number, from 1
	HighCell   int

	Discharge float64 // peak currents; Charge is regeneration, or a charger
	Charge    float64
	Regen     float64 // the largest charging current within 30 s after a discharge
	Sag       float64 // volts at rest before the largest discharge, less volts in it
	VoltsLow  float64
	VoltsHigh float64
	Hottest   float64 // NaN without a sensor
	HotSensor int

	OutWh, BackWh float64 // out of the pack, and back into it
	OutAh, BackAh float64
	Km            float64 // from the log's distance or speed; 0 where it has neither
	Odd           []Odd
	Trace         []Point // the run in at most 1200 steps
}

// An Odd is something about a log that a person should know.
type Odd struct {
	What  string
	Line  int // the first
	Count int
}

// A Point is a step of the picture: the largest and smallest values within it.
type Point struct {
	At              float64 // seconds under way
	VoltsLow, Volts float64
	AmpsLow, Amps   float64
	Spread          float64
}

// WhPerKm returns net energy per kilometre for a distance; 0 without one.
func (r *Run) WhPerKm(km float64) float64 {
	if km <= 0 {
		return 0
	}
	return (r.OutWh - r.BackWh) / km
}

func (o Odd) String() string {
	if o.Count == 1 {
		return fmt.Sprintf("line %d: %s", o.Line, o.What)
	}
	return fmt.Sprintf("%d times, first in line %d: %s", o.Count, o.Line, o.What)
}

// signOf settles which sign of the current means discharge. tell is below zero
// where discharge is above zero: the sum over lines of the change of current
// times the change of voltage, since a pack sags under load.
func signOf(soc, charge, tell float64) (int, string) {
	switch {
	case math.Abs(soc) >= 1 && charge != 0:
		if (soc < 0) == (charge > 0) {
			return 1, "the state of charge falls while it is above zero"
		}
		return -1, "the state of charge falls while it is below zero"
	case tell < 0:
		return 1, "the pack sags when it rises"
	case tell > 0:
		return -1, "the pack sags when it falls"
	}
	return 0, ""
}
