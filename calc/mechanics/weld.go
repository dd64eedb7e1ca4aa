package mechanics

import "ampwright/calc/desk"

// throat is the throat of an equal-leg fillet over its leg, cos 45° as the
// welding rules print it.
const throat = 0.707

// WeldAllowable returns the allowable shear stress in MPa of weld metal with
// tensile strength fexxMPa: 0.30 FEXX, allowable stress design (AWS D1.1, AISC).
func WeldAllowable(fexxMPa float64) float64 { return 0.30 * fexxMPa }

// WeldDesign returns the factored shear strength in MPa of weld metal:
// 0.75 x 0.60 FEXX, load and resistance factor design (AISC).
func WeldDesign(fexxMPa float64) float64 { return 0.75 * 0.60 * fexxMPa }

// WeldPerLength returns the strength in N/mm of an equal-leg fillet at
// stressMPa on its throat: 0.707 leg x stress. Static load along the throat.
func WeldPerLength(legMM, stressMPa float64) float64 { return throat * legMM * stressMPa }

// WeldLeg returns the leg in mm that carries loadN over lengthMM at stressMPa
// on the throat: the inverse of [WeldPerLength].
func WeldLeg(loadN, lengthMM, stressMPa float64) float64 {
	return loadN / (throat * lengthMM * stressMPa)
}

var fexxInput = desk.Num("fexx_MPa", "Tensile strength of the weld metal: E70 is 70 ksi", "MPa", "", 200, 1000)

const weldSource = "throat 0.707 leg; 0.30 FEXX allowable (AWS D1.1, AISC; rule read at a calculator's page); 0.75 x 0.60 FEXX factored (AISC, from memory)"

var weldCautions = []string{"fatigue of frame welds is not covered: a frame or swing-arm weld wants a qualified welder and someone competent in fatigue",
	"the parent metal beside the weld, often the weaker, is not checked; heat-treated tube loses strength there",
	"print differs: 2.78 kip/in for a 1/4 in E70 fillet is that of 3/16 in"}

func weldCalcs() []*desk.Calc {
	return []*desk.Calc{{
		Name: "weld-strength", Title: "Static strength of a fillet weld", Group: axle,
		Inputs: []desk.Input{desk.Num("leg_mm", "Leg of the fillet", "mm", "", 0.5, 50), fexxInput},
		Outputs: []desk.Output{
			desk.Out("throat_mm", "Throat", "mm"),
			desk.Out("allow_MPa", "Allowable shear stress", "MPa"),
			desk.Out("allow_N_mm", "Allowable load per length", "N/mm"),
			desk.Out("design_N_mm", "Factored strength per length (loads factored too)", "N/mm")},
		Formula:  []string{"throat_mm = 0.707 * leg_mm", "allow_N_mm = throat_mm * 0.30 * fexx_MPa", "design_N_mm = throat_mm * 0.75 * 0.60 * fexx_MPa"},
		Source:   weldSource,
		Valid:    "equal-leg fillet of full throat in structural steel, static load, filler that matches the parent metal",
		Cautions: weldCautions,
		Do: func(s *desk.Sheet) {
			leg, fexx := s.Num("leg_mm"), s.Num("fexx_MPa")
			s.Out("throat_mm", throat*leg, "0.707 * leg_mm")
			allow := s.Out("allow_MPa", WeldAllowable(fexx), "0.30 * fexx_MPa")
			s.Out("allow_N_mm", WeldPerLength(leg, allow), "throat_mm * allow_MPa")
			design := s.Step("design_MPa", WeldDesign(fexx), "MPa", "0.75 * 0.60 * fexx_MPa")
			s.Out("design_N_mm", WeldPerLength(leg, design), "throat_mm * design_MPa")
		},
	}, {
		Name: "weld-leg", Title: "Leg of a fillet weld for a static load", Group: axle,
		Inputs: []desk.Input{
			desk.Num("weld_load_N", "Load along the weld", "N", "", 0, 999000),
			desk.Num("weld_length_mm", "Length of weld, all runs", "mm", "", 1, 10000), fexxInput},
		Outputs: []desk.Output{
			desk.Out("allow_MPa", "Allowable shear stress", "MPa"),
			desk.Out("leg_mm", "Least leg", "mm")},
		Formula:  []string{"allow_MPa = 0.30 * fexx_MPa", "leg_mm = weld_load_N / (0.707 * weld_length_mm * allow_MPa)"},
		Source:   weldSource,
		Valid:    "equal-leg fillet of full throat in structural steel, static load shared evenly over the length, no bending of the joint",
		Cautions: weldCautions,
		Do: func(s *desk.Sheet) {
			allow := s.Out("allow_MPa", WeldAllowable(s.Num("fexx_MPa")), "0.30 * fexx_MPa")
			s.Out("leg_mm", WeldLeg(s.Num("weld_load_N"), s.Num("weld_length_mm"), allow), "weld_load_N / (0.707 * weld_length_mm * allow_MPa)")
		},
	}}
}
