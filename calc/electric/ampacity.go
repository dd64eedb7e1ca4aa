package electric

import (
	"fmt"
	"math"
	"strconv"

	"ampwright/calc/desk"
)

// AmbientFactor returns by what an ampacity at base °C is multiplied at
// ambient °C, for insulation of conductor °C: NFPA 70, 310.15(B),
// sqrt((Tc - Ta) / (Tc - base)). It is 0 from conductor °C up.
func AmbientFactor(conductorC, ambientC, baseC float64) float64 {
	return math.Sqrt(max(0, (conductorC-ambientC)/(conductorC-baseC)))
}

// TableFactor returns the factor as the code's tables print it: that of the
// upper end of the 5 K band (41 to 45 °C is 45), 10 °C and less being one band,
// with two decimals. Above 80 °C the tables have wider bands.
func TableFactor(conductorC, ambientC, baseC float64) float64 {
	upper := max(10, 5*math.Ceil(ambientC/5-1e-9))
	return math.Round(100*AmbientFactor(conductorC, upper, baseC)) / 100
}

// A count of conductors, from which on a factor holds.
type bundleStep struct {
	from   int
	factor float64
}

// 33 CFR 183.425, notes of table 5, and ABYC E-11.
var boatBundle = [...]bundleStep{{25, 0.40}, {7, 0.50}, {4, 0.60}, {3, 0.70}, {1, 1}}

// NFPA 70, table 310.15(C)(1).
var codeBundle = [...]bundleStep{{41, 0.35}, {31, 0.40}, {21, 0.45}, {10, 0.50}, {7, 0.70}, {4, 0.80}, {1, 1}}

// BoatBundle returns the factor for a number of current-carrying conductors in
// a bundle, boats under 50 V: 33 CFR 183.425, ABYC E-11.
func BoatBundle(conductors int) float64 { return bundle(boatBundle[:], conductors) }

// CodeBundle returns the factor for a number of current-carrying conductors in
// one raceway, cable or bundle: NFPA 70, table 310.15(C)(1).
func CodeBundle(conductors int) float64 { return bundle(codeBundle[:], conductors) }

func bundle(steps []bundleStep, conductors int) float64 {
	for _, b := range steps {
		if conductors >= b.from {
			return b.factor
		}
	}
	return 1
}

// Insulation temperatures, °C, of the columns.
var (
	codeColumns = [...]int{60, 75, 90}
	boatColumns = [...]int{60, 75, 80, 90, 105, 125, 200}
)

// codeRow is a row of the building code, copper: amperes by insulation; 0 where
// the table has none.
type codeRow struct {
	awg             int
	raceway, inFree [len(codeColumns)]float64
	older           [len(codeColumns)]float64 // raceway, edition of 2008 and before
}

// NFPA 70, table 310.16 of 2023 and of 2008 (both read in reproduction), and
// table 310.17 (read in reproduction; row 3 from memory).
var codeTable = [...]codeRow{
	{18, [3]float64{0, 0, 14}, [3]float64{0, 0, 18}, [3]float64{0, 0, 14}},
	{16, [3]float64{0, 0, 18}, [3]float64{0, 0, 24}, [3]float64{0, 0, 18}},
	{14, [3]float64{15, 20, 25}, [3]float64{25, 30, 35}, [3]float64{20, 20, 25}},
	{12, [3]float64{20, 25, 30}, [3]float64{30, 35, 40}, [3]float64{25, 25, 30}},
	{10, [3]float64{30, 35, 40}, [3]float64{40, 50, 55}, [3]float64{30, 35, 40}},
	{8, [3]float64{40, 50, 55}, [3]float64{60, 70, 80}, [3]float64{40, 50, 55}},
	{6, [3]float64{55, 65, 75}, [3]float64{80, 95, 105}, [3]float64{55, 65, 75}},
	{4, [3]float64{70, 85, 95}, [3]float64{105, 125, 140}, [3]float64{70, 85, 95}},
	{3, [3]float64{85, 100, 115}, [3]float64{120, 145, 165}, [3]float64{85, 100, 110}},
	{2, [3]float64{95, 115, 130}, [3]float64{140, 170, 190}, [3]float64{95, 115, 130}},
	{1, [3]float64{110, 130, 145}, [3]float64{165, 195, 220}, [3]float64{110, 130, 150}},
	{0, [3]float64{125, 150, 170}, [3]float64{195, 230, 260}, [3]float64{125, 150, 170}},
	{-1, [3]float64{145, 175, 195}, [3]float64{225, 265, 300}, [3]float64{145, 175, 195}},
	{-2, [3]float64{165, 200, 225}, [3]float64{260, 310, 350}, [3]float64{165, 200, 225}},
	{-3, [3]float64{195, 230, 260}, [3]float64{300, 360, 405}, [3]float64{195, 230, 260}},
}

// 33 CFR 183.425, table 5: outside engine spaces, 30 °C (read).
var boatTable = [...]struct {
	awg     int
	amperes [len(boatColumns)]float64
}{
	{18, [7]float64{10, 10, 15, 20, 20, 25, 25}},
	{16, [7]float64{15, 15, 20, 25, 25, 30, 35}},
	{14, [7]float64{20, 20, 25, 30, 35, 40, 45}},
	{12, [7]float64{25, 25, 35, 40, 45, 50, 55}},
	{10, [7]float64{40, 40, 50, 55, 60, 70, 70}},
	{8, [7]float64{55, 65, 70, 70, 80, 90, 100}},
	{6, [7]float64{80, 95, 100, 100, 120, 125, 135}},
	{4, [7]float64{105, 125, 130, 135, 160, 170, 180}},
	{3, [7]float64{120, 145, 150, 155, 180, 195, 210}},
	{2, [7]float64{140, 170, 175, 180, 210, 225, 240}},
	{1, [7]float64{165, 195, 210, 210, 245, 265, 280}},
	{0, [7]float64{195, 230, 245, 245, 285, 305, 325}},
	{-1, [7]float64{225, 265, 285, 285, 330, 355, 370}},
	{-2, [7]float64{260, 310, 330, 330, 385, 410, 430}},
	{-3, [7]float64{300, 360, 385, 385, 445, 475, 510}},
}

// Note 1 of that table, engine spaces at 50 °C: 0.85 at 105 °C read, the others
// from memory.
var engineSpace = [len(boatColumns)]float64{0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1}

// smallConductor is the largest fuse of NFPA 70, 240.4(D), in amperes.
var smallConductor = map[int]float64{14: 15, 12: 20, 10: 30}

// CodeAmpacity returns the amperes of NFPA 70 for copper of gauge n with
// insulation of 60, 75 or 90 °C, at 30 °C: at most three conductors in a
// raceway or cable (table 310.16), or single in free air (310.17). older takes
// table 310.16 of 2008. It is 0 where the table has no value.
func CodeAmpacity(n, insulationC int, freeAir, older bool) float64 {
	for i, col := range codeColumns {
		for _, row := range codeTable {
			switch {
			case row.awg != n || col != insulationC:
			case freeAir:
				return row.inFree[i]
			case older:
				return row.older[i]
			default:
				return row.raceway[i]
			}
		}
	}
	return 0
}

// BoatAmpacity returns the amperes of 33 CFR 183.425 for copper of gauge n with
// insulation of 60, 75, 80, 90, 105, 125 or 200 °C, outside engine spaces at
// 30 °C or inside them at 50 °C; 0 where the table has no value.
func BoatAmpacity(n, insulationC int, inside bool) float64 {
	for i, col := range boatColumns {
		for _, row := range boatTable {
			if row.awg != n || col != insulationC {
				continue
			}
			if inside {
				return row.amperes[i] * engineSpace[i]
			}
			return row.amperes[i]
		}
	}
	return 0
}

// tableGauge returns the gauge under which a wire is looked up in a table that
// ends at 4/0; an area is taken as the next gauge with no more copper.
func tableGauge(s *desk.Sheet, has func(n int) bool) (int, bool) {
	want := `want a gauge of the table, from 18 AWG to 4/0 AWG, or an area, as "25 mm²"`
	w, err := ParseWire(s.Text("wire"))
	if err != nil {
		s.Fail("wire", want)
		return 0, false
	}
	n := w.AWG
	if !w.Gauge {
		var ok bool
		if n, ok = thinnerAWG(w.MM2); !ok {
			s.Fail("wire", want)
			return 0, false
		}
		for ; n <= thinnestAWG && !has(n); n++ { // to a gauge the table has
		}
		if has(n) {
			s.Note("%v has no row of its own: taken as %s, the next gauge with no more copper", w, AWGName(n))
		}
	}
	if !has(n) {
		s.Fail("wire", want+"; this insulation has no value for "+w.String())
		return 0, false
	}
	return n, true
}

func insulation(s *desk.Sheet) int {
	c, err := strconv.Atoi(s.Text("insulation_C"))
	if err != nil {
		panic(fmt.Sprintf("electric: insulation %q is a choice", s.Text("insulation_C")))
	}
	return c
}

func conductorsInput() desk.Input {
	return desk.Num("conductors", "Current-carrying conductors bundled together", "count", "1", 1, 1000)
}

func ambientCorrection() *desk.Calc {
	return &desk.Calc{
		Name: "ambient-correction", Title: "Correction of an ampacity for the temperature around it", Group: groupWire,
		Inputs: []desk.Input{
			desk.Num("insulation_C", "Temperature of the insulation", "degC", "75", 50, 250),
			desk.Num("ambient_C", "Temperature around the wire", "degC", "", -40, 250),
			desk.Choice("base_C", "Temperature the table is made for, °C", "40", "30", "40"),
		},
		Outputs: []desk.Output{
			desk.Out("factor", "Factor at this temperature", "ratio"),
			desk.Out("factor_table", "Factor as tables print it, at the upper end of the 5 K band", "ratio"),
		},
		Formula:  []string{"factor = sqrt((insulation_C - ambient_C) / (insulation_C - base_C))"},
		Source:   "NFPA 70, 310.15(B) and table 310.15(B)(2)(b) (40 °C base, read in reproduction); table 310.15(B)(1) for a 30 °C base",
		Valid:    "tables print the factor of the upper end of each band; above 80 °C their bands are wider than 5 K",
		Cautions: []string{cautionArith},
		Do: func(s *desk.Sheet) {
			tc, ta := s.Num("insulation_C"), s.Num("ambient_C")
			base, _ := strconv.ParseFloat(s.Text("base_C"), 64)
			if ta >= tc {
				s.Fail("ambient_C", "want less than insulation_C: hotter, the wire may carry nothing")
				return
			}
			s.Out("factor", AmbientFactor(tc, ta, base), "sqrt((insulation_C - ambient_C) / (insulation_C - base_C))")
			s.Step("band_C", max(10, 5*math.Ceil(ta/5-1e-9)), "degC", "upper end of the band of ambient_C")
			f := s.Out("factor_table", TableFactor(tc, ta, base), "sqrt((insulation_C - band_C) / (insulation_C - base_C)), two decimals")
			if f == 0 {
				s.Note("the tables end below this temperature: they give the wire nothing to carry")
			}
			if ta > 80 {
				s.Note("above 80 °C the printed tables have wider bands and smaller factors")
			}
		},
	}
}

func ampacityBuilding() *desk.Calc {
	return &desk.Calc{
		Name: "ampacity-building", Title: "Ampacity of copper wire by the building code", Group: groupWire,
		Inputs: []desk.Input{
			wireInput(`Wire, 18 AWG to 4/0 AWG, as "2/0 AWG" or "25 mm²"`, ""),
			desk.Choice("insulation_C", "Temperature of the insulation, °C", "75", "60", "75", "90"),
			desk.Choice("laid", "How it is laid", "raceway", "raceway", "free-air"),
			desk.Num("ambient_C", "Temperature around the wire", "degC", "30", -40, 90),
			conductorsInput(),
			desk.Choice("edition", "Edition of table 310.16", "2023", "2023", "2008"),
		},
		Outputs: []desk.Output{
			desk.Out("table_A", "Table value at 30 °C", "A"), desk.Out("ambient_factor", "For the temperature around it", "ratio"),
			desk.Out("bundle_factor", "For the bundle", "ratio"), desk.Out("cable_ampacity_A", "Continuous rating", "A"),
			desk.Out("small_fuse_A", "Largest fuse for a small conductor", "A"),
		},
		Formula: []string{
			"ambient_factor = sqrt((insulation_C - band_C) / (insulation_C - 30)), band_C the upper end of the 5 K band",
			"cable_ampacity_A = table_A * ambient_factor * bundle_factor",
		},
		Source: "NFPA 70 table 310.16 of 2023 and 2008, 240.4(D), table 310.15(C)(1) (read in reproduction); table 310.17 (read in reproduction, 3 AWG from memory)",
		Valid:  "copper, at most three conductors in a raceway or cable before the bundle factor; editions differ: 14 AWG and 12 AWG at 60 °C, 3 AWG and 1 AWG at 90 °C",
		Cautions: []string{
			"building wire without heat around it: a cautious reference, not a vehicle standard",
			"lugs, fuse and contactor have their own temperature limit, often that of the 60 °C or 75 °C column",
		},
		Do: func(s *desk.Sheet) {
			ins, free, older := insulation(s), s.Text("laid") == "free-air", s.Text("edition") == "2008"
			n, ok := tableGauge(s, func(n int) bool { return CodeAmpacity(n, ins, free, older) > 0 })
			count := int(s.Whole("conductors"))
			if !ok {
				return
			}
			table := "table 310.16, wire, insulation_C"
			if free {
				table = "table 310.17, wire, insulation_C"
			}
			a := s.Out("table_A", CodeAmpacity(n, ins, free, older), table)
			ambient := s.Num("ambient_C")
			f := TableFactor(float64(ins), ambient, 30)
			if f == 0 {
				s.Fail("ambient_C", fmt.Sprintf("want at most %d °C with this insulation: hotter, the table gives it nothing to carry", ins-5))
				return
			}
			s.Step("band_C", max(10, 5*math.Ceil(ambient/5-1e-9)), "degC", "upper end of the band of ambient_C")
			s.Out("ambient_factor", f, "sqrt((insulation_C - band_C) / (insulation_C - 30)), two decimals")
			b := s.Out("bundle_factor", CodeBundle(count), "table 310.15(C)(1), conductors")
			s.Out("cable_ampacity_A", a*f*b, "table_A * ambient_factor * bundle_factor")
			if limit, small := smallConductor[n]; small {
				s.Out("small_fuse_A", limit, "240.4(D), wire")
				s.Note("the fuse of %s stays at %g A or less, whatever the table carries", AWGName(n), limit)
			}
		},
	}
}

func ampacityBoat() *desk.Calc {
	return &desk.Calc{
		Name: "ampacity-boat", Title: "Ampacity of copper wire by the rules for boats under 50 V", Group: groupWire,
		Inputs: []desk.Input{
			wireInput(`Wire, 18 AWG to 4/0 AWG, as "2/0 AWG" or "25 mm²"`, ""),
			desk.Choice("insulation_C", "Temperature of the insulation, °C", "105", "60", "75", "80", "90", "105", "125", "200"),
			desk.Choice("place", "Engine space", "outside", "outside", "inside"),
			conductorsInput(),
		},
		Outputs: []desk.Output{
			desk.Out("table_A", "Table value outside engine spaces", "A"), desk.Out("place_factor", "For the engine space", "ratio"),
			desk.Out("bundle_factor", "For the bundle", "ratio"), desk.Out("cable_ampacity_A", "Continuous rating", "A"),
			desk.Out("fuse_max_A", "Largest fuse, 150 % of the rating", "A"),
		},
		Formula: []string{
			"cable_ampacity_A = table_A * place_factor * bundle_factor", "place_factor = 0.85 inside at 105 °C",
			"bundle_factor = 0.70 for 3, 0.60 for 4 to 6, 0.50 for 7 to 24, 0.40 from 25", "fuse_max_A = 1.5 * cable_ampacity_A",
		},
		Source:   "33 CFR 183.425 table 5 and ABYC E-11 (read in reproduction; factors of engine spaces other than 0.85 from memory); 150 % rule: ABYC E-11 (from memory)",
		Valid:    "stranded copper; 30 °C outside engine spaces, 50 °C inside; some prints round down to whole amperes",
		Cautions: []string{"the nearest public table to a small vehicle's loom, not a vehicle standard", "the 150 % rule lets the wire run over its rating for a time: prefer a fuse within the rating"},
		Do: func(s *desk.Sheet) {
			ins, inside := insulation(s), s.Text("place") == "inside"
			n, ok := tableGauge(s, func(n int) bool { return BoatAmpacity(n, ins, false) > 0 })
			count := int(s.Whole("conductors"))
			if !ok {
				return
			}
			a := s.Out("table_A", BoatAmpacity(n, ins, false), "33 CFR 183.425 table 5, wire, insulation_C")
			f := s.Out("place_factor", BoatAmpacity(n, ins, inside)/a, "note 1 of table 5, place")
			b := s.Out("bundle_factor", BoatBundle(count), "note 2 of table 5, conductors")
			rated := s.Out("cable_ampacity_A", a*f*b, "table_A * place_factor * bundle_factor")
			s.Out("fuse_max_A", 1.5*rated, "1.5 * cable_ampacity_A")
		},
	}
}
