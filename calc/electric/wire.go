package electric

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ampwright/calc/desk"
	"ampwright/calc/unit"
)

// Annealed copper at 20 °C: IEC 60028 (1925).
const (
	CopperRho   = 1.0 / 58 // ohm·mm²/m
	CopperAlpha = 0.00393  // per kelvin
)

const thousandFeet = 304.8 // m, exact

// The sizes that ASTM B258 and the trade count as AWG here: 4/0 is -3, 1/0 is 0.
const (
	thickestAWG = -3
	thinnestAWG = 40
)

// AWGDiameter returns the diameter, in inches, of solid wire of gauge n: 1/0 is
// 0, 2/0 is -1, 4/0 is -3. ASTM B258: 0.005 in at 36, 0.46 in at 4/0, 39 equal
// ratios between.
func AWGDiameter(n int) float64 {
	return 0.005 * math.Pow(92, float64(36-n)/39)
}

// AWGArea returns the area, in mm², of solid wire of gauge n.
func AWGArea(n int) float64 {
	d := AWGDiameter(n) * 25.4
	return math.Pi / 4 * d * d
}

// CopperFactor returns by what the resistance of copper at 20 °C is multiplied
// at a temperature in °C: IEC 60028, straight line, meant for -50 to 250 °C.
func CopperFactor(tempC float64) float64 { return 1 + CopperAlpha*(tempC-20) }

// Resistance returns the resistance, in milliohms per metre, of a conductor
// with a resistivity in ohm·mm²/m and an area in mm².
func Resistance(rho, areaMM2 float64) float64 { return 1000 * rho / areaMM2 }

// class5 is the maximum resistance at 20 °C of flexible plain copper
// conductors: IEC 60228, class 5.
var class5 = [...]struct{ mm2, mohmPerM float64 }{
	{0.5, 39.0}, {0.75, 26.0}, {1, 19.5}, {1.5, 13.3}, {2.5, 7.98}, {4, 4.95}, {6, 3.30}, {10, 1.91},
	{16, 1.21}, {25, 0.780}, {35, 0.554}, {50, 0.386}, {70, 0.272}, {95, 0.206}, {120, 0.161},
	{150, 0.129}, {185, 0.106}, {240, 0.0801}, {300, 0.0641}, {400, 0.0486}, {500, 0.0384}, {630, 0.0287},
}

// Class5 returns the most that a metre of flexible plain copper conductor may
// have at 20 °C, in milliohms, and whether the area in mm² is a size of IEC
// 60228, class 5.
func Class5(areaMM2 float64) (mohmPerM float64, ok bool) {
	for _, c := range class5 {
		if math.Abs(c.mm2-areaMM2) < 1e-9 {
			return c.mohmPerM, true
		}
	}
	return 0, false
}

// A Wire is a size of conductor: a gauge, or an area in mm².
type Wire struct {
	Gauge bool
	AWG   int     // with Gauge: 1/0 is 0, 4/0 is -3
	MM2   float64 // area: of the gauge, or as typed
}

const wantAWG = `want a gauge from 4/0 to 40, as "2/0 AWG" or "10 AWG"`
const anyWire = `a gauge from 4/0 AWG to 40 AWG or an area from 0.05 mm² to 1000 mm², as "2/0 AWG" or "25 mm²"`
const wantWire = "want " + anyWire

// ParseWire reads a size as it is typed: "10 AWG", "AWG 10", "#10", "2/0",
// "00 AWG", "25 mm²", "2.5 mm2". A number alone is an error: it can be either.
func ParseWire(text string) (Wire, error) {
	if n, ok := gauge(text, false); ok {
		return Wire{Gauge: true, AWG: n, MM2: AWGArea(n)}, nil
	}
	if strings.ContainsAny(text, "mi") { // a unit of area, not a number alone
		d, err := unit.Parse(text, "mm2", unit.Point)
		if a := d.Float(); err == nil && a >= 0.05 && a <= 1000 {
			return Wire{MM2: a}, nil
		}
	}
	return Wire{}, fmt.Errorf("wire size %q: %s", text, wantWire)
}

// ParseAWG reads a gauge, with or without the letters: "2/0", "00", "10",
// "AWG 10", "#10". 1/0 is 0, 4/0 is -3.
func ParseAWG(text string) (int, error) {
	if n, ok := gauge(text, true); ok {
		return n, nil
	}
	return 0, fmt.Errorf("wire size %q: %s", text, wantAWG)
}

// gauge reads a gauge; a number from 1 needs its letters unless bare.
func gauge(text string, bare bool) (int, bool) {
	t := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(text), " ", ""))
	core := strings.NewReplacer("awg", "", "#", "").Replace(t)
	marked := core != t
	if zeros, ok := strings.CutSuffix(core, "/0"); ok {
		if len(zeros) == 1 && zeros >= "1" && zeros <= "4" {
			return 1 - int(zeros[0]-'0'), true
		}
		return 0, false
	}
	if core != "" && strings.Trim(core, "0") == "" {
		return 1 - len(core), len(core) <= 1-thickestAWG && (marked || bare || len(core) > 1)
	}
	n, err := strconv.Atoi(core)
	return n, err == nil && n >= 1 && n <= thinnestAWG && core[0] != '+' && (marked || bare)
}

// AWGName writes a gauge: "2/0 AWG", "10 AWG".
func AWGName(n int) string {
	if n <= 0 {
		return fmt.Sprintf("%d/0 AWG", 1-n)
	}
	return fmt.Sprintf("%d AWG", n)
}

func (w Wire) String() string {
	if w.Gauge {
		return AWGName(w.AWG)
	}
	return strconv.FormatFloat(w.MM2, 'g', -1, 64) + " mm²"
}

// thinnerAWG returns the thickest gauge that has no more copper than an area
// in mm², and false if even the thinnest has more.
func thinnerAWG(areaMM2 float64) (int, bool) {
	for n := thickestAWG; n <= thinnestAWG; n++ {
		if !above(AWGArea(n), areaMM2) {
			return n, true
		}
	}
	return 0, false
}

func wireInput(title, def string) desk.Input {
	return desk.Input{Name: "wire", Title: title, Text: true, Default: def}
}

func awgSize() *desk.Calc {
	return &desk.Calc{
		Name: "awg-size", Title: "Size of a wire gauge (AWG)", Group: groupWire,
		Inputs: []desk.Input{wireInput(`Gauge from 4/0 to 40, as "2/0 AWG" or "10"`, "")},
		Outputs: []desk.Output{
			desk.Out("diameter_in", "Diameter of solid wire", "in"), desk.Out("diameter_mm", "Diameter of solid wire", "mm"),
			desk.Out("area_mm2", "Area", "mm2"), desk.Out("circular_mils", "Area in circular mils", "count"),
			desk.Out("ohm_per_1000ft", "Resistance at 20 °C", "ohm/kft"), desk.Out("cable_mohm_per_m", "Cable resistance at 20 °C", "mohm/m"),
		},
		Formula: []string{
			"diameter_in = 0.005 * 92^((36 - n) / 39), n = 0 for 1/0, -1 for 2/0, -3 for 4/0",
			"area_mm2 = pi / 4 * diameter_mm^2", "cable_mohm_per_m = 1000 / 58 / area_mm2",
		},
		Source:   "ASTM B258 (rule read in reproduction); copper 58 m/(ohm·mm²) at 20 °C: IEC 60028 (read)",
		Valid:    "solid annealed copper; stranded wire has a little less copper and more resistance",
		Cautions: []string{"a fine-stranded cable may have less copper than its gauge: for drop and heat use the maker's sheet"},
		Do: func(s *desk.Sheet) {
			gauge, err := ParseAWG(s.Text("wire"))
			if err != nil {
				s.Fail("wire", wantAWG)
				return
			}
			s.Step("n", float64(gauge), "count", "gauge number of wire")
			in := s.Out("diameter_in", AWGDiameter(gauge), "0.005 * 92^((36 - n) / 39)")
			s.Out("diameter_mm", 25.4*in, "25.4 * diameter_in")
			a := s.Out("area_mm2", AWGArea(gauge), "pi / 4 * diameter_mm^2")
			s.Out("circular_mils", 1e6*in*in, "(1000 * diameter_in)^2")
			r := s.Out("cable_mohm_per_m", Resistance(CopperRho, a), "1000 / 58 / area_mm2")
			s.Out("ohm_per_1000ft", r*thousandFeet/1000, "cable_mohm_per_m * 304.8 / 1000")
		},
	}
}

// conductor records the resistance of a metre at 20 °C of the wire typed, from
// the table, the resistivity typed, or copper.
func conductor(s *desk.Sheet) (mohmPerM float64, ok bool) {
	w, err := ParseWire(s.Text("wire"))
	if err != nil {
		s.Fail("wire", wantWire)
		return 0, false
	}
	if r, found := Class5(w.MM2); found && !w.Gauge && !s.Has("rho") {
		return s.Step("wire_mohm_per_m", r, "mohm/m", "IEC 60228 class 5, largest for wire"), true
	}
	a := s.Step("area_mm2", w.MM2, "mm2", "area of wire")
	if s.Has("rho") {
		return s.Step("wire_mohm_per_m", Resistance(s.Num("rho"), a), "mohm/m", "1000 * rho / area_mm2"), true
	}
	if !w.Gauge {
		s.Note("%v is no size of IEC 60228 class 5: taken as solid copper, a stranded cable has more resistance", w)
	}
	return s.Step("wire_mohm_per_m", Resistance(CopperRho, a), "mohm/m", "1000 / 58 / area_mm2"), true
}

func rhoInput() desk.Input {
	return desk.Num("rho", "Resistivity at 20 °C, instead of the table", "ohmmm2/m", "-", 0.01, 2)
}

func conductorTemp() desk.Input {
	return desk.Num("conductor_C", "Temperature of the conductor", "degC", "20", -50, 250)
}

func wireResistance() *desk.Calc {
	return &desk.Calc{
		Name: "wire-resistance", Title: "Resistance of a wire, cold and hot", Group: groupWire,
		Inputs: []desk.Input{wireInput("Wire: "+anyWire, ""), conductorTemp(), rhoInput()},
		Outputs: []desk.Output{
			desk.Out("cable_mohm_per_m", "Cable resistance at 20 °C", "mohm/m"), desk.Out("ohm_per_1000ft", "Resistance at 20 °C", "ohm/kft"),
			desk.Out("temp_factor", "Hot over cold", "ratio"), desk.Out("hot_mohm_per_m", "Cable resistance, hot", "mohm/m"),
			desk.Out("hot_ohm_per_1000ft", "Resistance, hot", "ohm/kft"),
			desk.Out("rho_hot", "Resistivity of copper, hot", "ohmmm2/m"),
		},
		Formula: []string{
			"cable_mohm_per_m: IEC 60228 class 5 for its metric sizes, else 1000 * rho / area_mm2 with rho = 1/58 for copper",
			"temp_factor = 1 + 0.00393 * (conductor_C - 20)", "hot_mohm_per_m = cable_mohm_per_m * temp_factor",
		},
		Source:   "IEC 60028 (read); IEC 60228 class 5, plain (read in reproduction); ASTM B258 (rule read in reproduction)",
		Valid:    "copper from -50 °C to 250 °C; road-vehicle cable (ISO 6722-1) has its own, close, table",
		Cautions: []string{"a class 5 cable may have less copper than its area says: the table is the largest resistance allowed"},
		Do: func(s *desk.Sheet) {
			r, ok := conductor(s)
			if !ok {
				return
			}
			s.Out("cable_mohm_per_m", r, "wire_mohm_per_m")
			s.Out("ohm_per_1000ft", r*thousandFeet/1000, "cable_mohm_per_m * 304.8 / 1000")
			k := s.Out("temp_factor", CopperFactor(s.Num("conductor_C")), "1 + 0.00393 * (conductor_C - 20)")
			hot := s.Out("hot_mohm_per_m", r*k, "cable_mohm_per_m * temp_factor")
			s.Out("hot_ohm_per_1000ft", hot*thousandFeet/1000, "hot_mohm_per_m * 304.8 / 1000")
			if s.Has("rho") {
				s.Out("rho_hot", s.Num("rho")*k, "rho * temp_factor")
				return
			}
			s.Out("rho_hot", CopperRho*k, "1 / 58 * temp_factor")
		},
	}
}
