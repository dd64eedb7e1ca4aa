package figures

import (
	"fmt"
	"strconv"
	"strings"

	"ampwright/calc/desk"
	"ampwright/calc/unit"
)

// convert is unit.Convert as a calculation; there is no second table of factors.
func convert() *desk.Calc {
	return &desk.Calc{
		Name: "convert", Title: "A quantity in another unit", Group: units,
		Inputs: []desk.Input{
			desk.Num("value", "Value", "count", "1", -1e30, 1e30),
			{Name: "from", Title: "Unit it is in", Text: true},
			{Name: "to", Title: "Unit it is wanted in", Text: true},
		},
		Outputs: []desk.Output{desk.Out("result", "In the other unit", "count")},
		Formula: []string{"result = value * factor; temperatures in °F: °C = (°F - 32) * 5 / 9"},
		Source: "exact definitions: international yard and pound agreement of 1959, NIST SP 811 (2008) appendix B (from memory; " +
			"published tables that agree to six figures, read)",
		Do: doConvert,
	}
}

func doConvert(s *desk.Sheet) {
	value, from, to := s.Num("value"), s.Text("from"), s.Text("to")
	for _, name := range []string{"from", "to"} {
		if !unit.Known(s.Text(name)) {
			s.Fail(name, "is not a known unit, want one such as mm, in, Nm, lbf·ft, kPa, psi, degC")
			return
		}
	}
	got, err := unit.Convert(value, from, to)
	if err != nil {
		s.Fail("to", err.Error())
		return
	}
	zero, _ := unit.Convert(0, from, to)
	one, _ := unit.Convert(1, from, to)
	formula := "value * 9 / 5 + 32"
	switch {
	case zero == 0:
		formula = "value * " + digits(s, one)
	case zero < 0:
		formula = "(value - 32) * 5 / 9"
	}
	s.OutIn("result", got, to, formula)
	used := fmt.Sprint(unit.Symbol(from), " ", unit.Symbol(to))
	if strings.Contains(used, "US gal") {
		s.Note("gal is the US gallon of 231 in³; the imperial gallon, 4.54609 l, is typed impgal.")
	}
	if strings.Contains(used, "hp") {
		s.Note("hp is 550 ft·lbf/s; the metric horsepower of 75 kgf·m/s is typed PS.")
	}
}

// digits writes a number into a formula, with every digit that was typed.
func digits(s *desk.Sheet, v float64) string {
	text := strconv.FormatFloat(v, 'g', 14, 64)
	if s.Mark() == unit.Comma {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}
