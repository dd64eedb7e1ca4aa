package pack

import (
	"strings"

	"ampwright/calc/desk"
)

// A Chemistry gives the voltages of one cell, in V.
type Chemistry struct {
	Name   string
	NomV   float64 // nominal
	MaxV   float64 // full charge
	MinV   float64 // full discharge
	FloorV float64 // absolute minimum; 0 if none is published
}

// Chemistries returns the cell voltages of a published chemistry table (read
// in a reproduction); the absolute minimum of LTO is an estimate there. The
// lead-acid cell is common practice, without a published source.
func Chemistries() []Chemistry {
	return []Chemistry{
		{"nmc", 3.6, 4.2, 3, 2.5},
		{"nca", 3.6, 4.2, 3, 2.5},
		{"lco", 3.6, 4.2, 3, 2.5},
		{"lmo", 3.7, 4.2, 3, 2.5},
		{"lfp", 3.2, 3.65, 2.5, 2},
		{"lto", 2.4, 2.85, 1.8, 1.5},
		{"lead-acid", 2, 2.4, 1.75, 0},
	}
}

func chemistry(name string) Chemistry {
	for _, c := range Chemistries() {
		if c.Name == name {
			return c
		}
	}
	return Chemistry{}
}

func chemistryNames() []string {
	var names []string
	for _, c := range Chemistries() {
		names = append(names, c.Name)
	}
	return names
}

// Series returns the voltages of n such cells in series.
func (c Chemistry) Series(n float64) Chemistry {
	return Chemistry{c.Name, n * c.NomV, n * c.MaxV, n * c.MinV, n * c.FloorV}
}

// Answers to whether a pack stays within 60 V DC, the upper end of voltage
// class A in ISO 6469-3 (from memory; only the scope was read).
const (
	NeverAbove60   = "never above 60 V DC"
	ChargedAbove60 = "above 60 V DC when charged"
	Above60        = "above 60 V DC"
)

// VoltageClass compares a pack with 60 V DC by the highest voltage it can
// reach, maxV; nomV only tells whether it is above without being full.
func VoltageClass(nomV, maxV float64) string {
	const limit = 60 * (1 + 1e-12) // 16 x 3.75 V is 60 V, whatever its last digit
	switch {
	case nomV > limit:
		return Above60
	case maxV > limit:
		return ChargedAbove60
	}
	return NeverAbove60
}

func voltageCalc() *desk.Calc {
	return &desk.Calc{
		Name:  "pack-voltage",
		Title: "Cell limits and pack voltage window",
		Group: groupPack,
		Inputs: []desk.Input{
			desk.Choice("chemistry", "Cell chemistry", "nmc", chemistryNames()...),
			cellsSeries(),
			desk.Num("cell_V_nom", "Nominal cell voltage, if the maker gives another", "V", "-", 0.5, 5),
			desk.Num("cell_V_max", "Highest cell voltage allowed, if the maker gives another", "V", "-", 0.5, 5),
			desk.Num("cell_V_min", "Discharge stop per cell, if another is chosen", "V", "-", 0.5, 5),
			desk.Num("cell_V_charge", "Charge stop per cell, if one is chosen", "V", "-", 0.5, 5),
		},
		Outputs: []desk.Output{
			desk.Out("pack_nom_V", "Nominal pack voltage", "V"),
			desk.Out("pack_max_V", "Highest pack voltage", "V"),
			desk.Out("pack_min_V", "Discharge stop of the pack", "V"),
			desk.Out("pack_charge_V", "Charge stop of the pack", "V"),
			desk.Out("pack_floor_V", "Absolute minimum of the pack", "V"),
			desk.Out("voltage_class", "Against 60 V DC", ""),
		},
		Formula: []string{
			"pack_nom_V = cells_series * cell_V_nom",
			"pack_max_V = cells_series * cell_V_max",
			"pack_min_V = cells_series * cell_V_min",
		},
		Source: "cell voltages by chemistry: published chemistry table (read in a reproduction); lead-acid per cell: common practice, no published source; " +
			"60 V DC: voltage class A of ISO 6469-3 (from memory)",
		Cautions: []string{
			datasheetFirst,
			"above 60 V DC, judged on the highest voltage the pack can reach, treat it as deadly; below 60 V a short circuit still burns and blinds",
		},
		Do: doVoltage,
	}
}

func doVoltage(s *desk.Sheet) {
	c := chemistry(s.Text("chemistry"))
	n := s.Whole("cells_series")
	own := false
	for _, v := range []struct {
		name string
		to   *float64
	}{{"cell_V_nom", &c.NomV}, {"cell_V_max", &c.MaxV}, {"cell_V_min", &c.MinV}} {
		if s.Has(v.name) {
			*v.to, own = s.Num(v.name), true
			continue
		}
		s.Step(v.name, *v.to, "V", "per cell, "+c.Name)
	}
	switch {
	case c.MinV >= c.MaxV && s.Has("cell_V_max"):
		s.Fail("cell_V_max", "want more than the discharge stop of the cell")
	case c.MinV >= c.MaxV:
		s.Fail("cell_V_min", "want less than the highest voltage of the cell")
	case (c.NomV <= c.MinV || c.NomV >= c.MaxV) && s.Has("cell_V_nom"):
		s.Fail("cell_V_nom", "want a voltage between the lowest and the highest of the cell")
	case s.Has("cell_V_charge") && (s.Num("cell_V_charge") > c.MaxV || s.Num("cell_V_charge") <= c.MinV):
		s.Fail("cell_V_charge", "want more than the discharge stop and at most the highest voltage of the cell")
	}
	p := c.Series(n)
	s.Out("pack_nom_V", p.NomV, "cells_series * cell_V_nom")
	s.Out("pack_max_V", p.MaxV, "cells_series * cell_V_max")
	s.Out("pack_min_V", p.MinV, "cells_series * cell_V_min")
	if s.Has("cell_V_charge") {
		s.Out("pack_charge_V", n*s.Num("cell_V_charge"), "cells_series * cell_V_charge")
	}
	switch {
	case c.FloorV == 0:
		s.Note("no absolute minimum is published for %s", c.Name)
	case c.MinV < c.FloorV:
		s.Fail("cell_V_min", "want at least the absolute minimum of the cell in the chemistry table")
	default:
		s.Step("cell_V_floor", c.FloorV, "V", "per cell, "+c.Name)
		s.Out("pack_floor_V", p.FloorV, "cells_series * cell_V_floor")
	}
	if c.Name == "lto" {
		s.Note("the absolute minimum of lto is an estimate in the table")
	}
	if t := chemistry(c.Name); own && (c.MaxV > t.MaxV || c.NomV > t.NomV) {
		s.Note("above the table's figures for %s: only if the cell maker's data sheet says so", strings.ToUpper(c.Name))
	}
	s.Say("voltage_class", VoltageClass(p.NomV, p.MaxV))
}
