package mechanics

import "ampwright/calc/desk"

const (
	bolts = "bolts and torque"

	areaSource  = "tensile stress area: ISO 898-1 (metric) and ASME B1.1 (Unified), values of both read in reproductions"
	proofSource = "ISO 898-1:2013 table 3 (reproduction read); SAE J429 (proof stress read in a reproduction, tensile strengths from memory)"
	kSource     = "T = K d F; K 0.20 plain dry, 0.17 zinc dry, 0.15 lubricated: torque table after SAE J429 (read); scatter of 25 to 30 %: common practice, no published source"

	makerWins = "the maker's torque for this very joint always wins over T = K d F"
	witness   = "witness-mark every critical fastener, re-torque after the first ride, never reuse a lock nut that turns freely: a lost axle, torque arm, brake or motor mount throws the rider"
	alu       = "a thread in aluminium strips before a steel bolt yields"
)

var (
	threadInput  = desk.Input{Name: "thread", Title: "Thread, such as M10x1.25, M8, 1/4-20 or 3/8-24 UNF", Text: true}
	classInput   = desk.Choice("class", "Property class or grade on the bolt head", "", classes()...)
	proofInput   = desk.Num("proof_N", "Proof load, where the standard's table is at hand", "N", "-", 1, 999000)
	kInput       = desk.Num("k", "Nut factor K: 0.20 dry, 0.17 zinc, 0.15 lubricated", "ratio", "0.20", 0.05, 0.6)
	scatterInput = desk.Num("scatter", "Scatter of the preload with a torque wrench", "ratio", "0.30", 0, 0.6)

	scattered = []desk.Output{
		desk.Out("preload_low_N", "Preload at the low end of the scatter", "N"),
		desk.Out("preload_high_N", "Preload at the high end of the scatter", "N"),
		desk.Out("proof_share", "Aimed preload over proof load", "ratio"),
	}
)

func optional(in desk.Input) desk.Input {
	in.Default = "-"
	return in
}

func boltCalcs() []*desk.Calc {
	return []*desk.Calc{{
		Name: "thread-area", Title: "Tensile stress area of a thread", Group: bolts,
		Inputs:  []desk.Input{threadInput},
		Outputs: []desk.Output{desk.Out("area_mm2", "Tensile stress area", "mm2"), desk.Out("area_in2", "Tensile stress area", "in2")},
		Formula: []string{"area_mm2 = pi / 4 * (d_mm - 0.9382 * pitch_mm)^2, Unified threads with 0.9743"},
		Source:  areaSource,
		Valid:   "60° threads of standard form, metric or Unified",
		Do: func(s *desk.Sheet) {
			if t, ok := thread(s); ok {
				a := s.Out("area_mm2", t.StressArea(), areaFormula(s, t))
				s.Out("area_in2", a/(25.4*25.4), "area_mm2 / (25.4)^2")
			}
		},
	}, {
		Name: "bolt-proof", Title: "Proof and ultimate load of a bolt", Group: bolts,
		Inputs: []desk.Input{threadInput, classInput},
		Outputs: []desk.Output{
			desk.Out("proof_N", "Proof load", "N"),
			desk.Out("ultimate_N", "Least ultimate load in tension", "N")},
		Formula:  []string{"proof_N = area_mm2 * proof_MPa", "ultimate_N = area_mm2 * tensile_MPa"},
		Source:   proofSource + "; " + areaSource,
		Valid:    "static tension, room temperature; ISO classes to M39, SAE grades 1/4 to 1 1/2 in; printed tables round to three figures (0.6 %)",
		Cautions: []string{"proof stress is not yield: yield in its place reads 8 to 13 % high", "an unmarked bolt has no class", alu},
		Do: func(s *desk.Sheet) {
			t, ok := thread(s)
			if !ok {
				return
			}
			a := area(s, t)
			proof, tensile, ok := stresses(s, t)
			if !ok {
				return
			}
			s.Step("proof_MPa", proof, "MPa", "of class")
			s.Step("tensile_MPa", tensile, "MPa", "of class")
			s.Out("proof_N", a*proof, "area_mm2 * proof_MPa")
			s.Out("ultimate_N", a*tensile, "area_mm2 * tensile_MPa")
		},
	}, {
		Name: "bolt-torque", Title: "Torque for a preload", Group: bolts,
		Inputs: []desk.Input{threadInput, optional(classInput), proofInput,
			desk.Num("share", "Share of the proof load", "ratio", "0.75", 0.05, 1),
			desk.Num("preload_N", "Preload, where it is chosen itself", "N", "-", 1, 999000),
			kInput, scatterInput},
		Outputs: append([]desk.Output{
			desk.Out("preload_N", "Preload aimed at", "N"),
			desk.Out("torque_Nm", "Torque", "Nm")}, scattered...),
		Formula:  []string{"preload_N = share * proof_N", "torque_Nm = k * d_mm / 1000 * preload_N"},
		Source:   kSource + "; 0.75 of proof for a joint that will be undone: a tutorial after a textbook (read); " + proofSource,
		Valid:    "a clean joint of steel on steel, tightened by torque, temperature of the room",
		Cautions: []string{makerWins, "the preload that a torque gives scatters by a quarter or more; one figure is not the clamp force", "oil on a thread (K 0.15 for 0.20) gives a third more preload at the same torque", alu, witness},
		Do:       doTorque,
	}, {
		Name: "bolt-preload", Title: "Preload that a torque gives", Group: bolts,
		Inputs: []desk.Input{threadInput,
			desk.Num("torque_Nm", "Torque", "Nm", "", 0.01, 10000),
			kInput, scatterInput, optional(classInput), proofInput},
		Outputs:  append([]desk.Output{desk.Out("preload_N", "Preload", "N")}, scattered...),
		Formula:  []string{"preload_N = torque_Nm / (k * d_mm / 1000)"},
		Source:   kSource + "; " + proofSource,
		Valid:    "a clean joint of steel on steel, tightened by torque, temperature of the room",
		Cautions: []string{makerWins, "the preload that a torque gives scatters by a quarter or more; one figure is not the clamp force", alu, witness},
		Do: func(s *desk.Sheet) {
			t, ok := thread(s)
			if !ok {
				return
			}
			if proof, ok := proofLoad(s, t); ok {
				preload := s.Out("preload_N", Preload(s.Num("k"), t.D, s.Num("torque_Nm")), "torque_Nm / (k * d_mm / 1000)")
				spread(s, preload, proof)
			}
		},
	}, {
		Name: "bolt-shear", Title: "Shear of a bolt through its thread", Group: bolts,
		Inputs: []desk.Input{threadInput,
			desk.Choice("class", "Property class on the bolt head", "", shearClasses()...),
			desk.Num("planes", "Shear planes: 1 for a lap, 2 for a clevis", "count", "1", 1, 2),
			desk.Num("gamma_M2", "Partial factor", "ratio", "1.25", 1, 3)},
		Outputs: []desk.Output{desk.Out("shear_N", "Design shear resistance", "N")},
		Formula: []string{"shear_N = planes * alpha_v * fub_MPa * area_mm2 / gamma_M2"},
		Source:  "EN 1993-1-8 table 3.4 (bolt table read for 8.8 and 10.9, other classes from memory); " + areaSource,
		Valid:   "structural steelwork, static load, metric bolts of class 4.6 to 10.9; no fatigue",
		Cautions: []string{"a rule for structural steel under static load: for axle and motor mounts it is a lower bar to be cleared with room, not an approval",
			"put no thread in a shear plane that can be kept clear of it", witness},
		Do: func(s *desk.Sheet) {
			t, ok := thread(s)
			if !ok {
				return
			}
			if !t.Metric() {
				s.Fail("thread", "want a metric thread: EN 1993-1-8 has no Unified bolts")
				return
			}
			n := s.Whole("planes")
			a := area(s, t)
			f := shearFactor[s.Text("class")]
			s.Step("alpha_v", f.alpha, "ratio", "of class")
			s.Step("fub_MPa", f.fub, "MPa", "of class")
			s.Out("shear_N", n*BoltShear(f.alpha, f.fub, a, s.Num("gamma_M2")), "planes * alpha_v * fub_MPa * area_mm2 / gamma_M2")
		},
	}}
}

func shearClasses() (list []string) {
	for _, c := range classes() {
		if _, ok := shearFactor[c]; ok {
			list = append(list, c)
		}
	}
	return list
}

// thread reads the input thread.
func thread(s *desk.Sheet) (Thread, bool) {
	t, want := parseThread(s.Text("thread"))
	if want != "" {
		s.Fail("thread", want)
		return t, false
	}
	if !t.Metric() && !t.Standard {
		s.Note("%s is neither UNC nor UNF: compare it with a thread gauge", t.Name)
	}
	return t, true
}

// areaFormula shows diameter and pitch and returns the formula of the stress
// area in them.
func areaFormula(s *desk.Sheet, t Thread) string {
	s.Step("d_mm", t.D, "mm", "of thread")
	s.Step("pitch_mm", t.P, "mm", "of thread")
	if t.Metric() {
		return "pi / 4 * (d_mm - 0.9382 * pitch_mm)^2"
	}
	return "pi / 4 * (d_mm - 0.9743 * pitch_mm)^2"
}

// area shows the working of the area that loads are calculated with, mm².
func area(s *desk.Sheet, t Thread) float64 {
	formula := areaFormula(s, t)
	if !t.Metric() {
		return s.Step("area_mm2", t.NominalArea(), "mm2", formula)
	}
	s.Step("formula_mm2", t.StressArea(), "mm2", formula)
	return s.Step("area_mm2", t.NominalArea(), "mm2", "formula_mm2, three figures as ISO 898-1 prints it")
}

func stresses(s *desk.Sheet, t Thread) (proof, tensile float64, ok bool) {
	proof, tensile, ok = Strength(s.Text("class"), t)
	switch {
	case ok && !t.Metric() && t.D < 0.25*25.4:
		s.Note("SAE J429 begins at 1/4 in; its stresses are used for %s", t.Name)
	case ok:
	case t.Metric():
		s.Fail("class", "want a property class of ISO 898-1 that has "+t.Name+": 4.6 to 12.9 to M39, 9.8 to M16; grades are for inch threads")
	default:
		s.Fail("class", "want grade 2, 5 or 8 of SAE J429, to 1 1/2 in, for "+t.Name+"; property classes are for metric threads")
	}
	return proof, tensile, ok
}

// proofLoad shows the diameter and returns the proof load typed, else that of
// the class, else 0; ok is false if the class does not fit.
func proofLoad(s *desk.Sheet, t Thread) (n float64, ok bool) {
	switch {
	case s.Has("proof_N"):
		s.Step("d_mm", t.D, "mm", "of thread")
		return s.Num("proof_N"), true
	case !s.Has("class"):
		s.Step("d_mm", t.D, "mm", "of thread")
		return 0, true
	}
	proof, _, ok := stresses(s, t)
	if !ok {
		return 0, false
	}
	a := area(s, t)
	s.Step("proof_MPa", proof, "MPa", "of class")
	return s.Step("proof_N", a*proof, "N", "area_mm2 * proof_MPa"), true
}

func doTorque(s *desk.Sheet) {
	t, ok := thread(s)
	if !ok {
		return
	}
	proof, ok := proofLoad(s, t)
	if !ok {
		return
	}
	preload := s.Num("preload_N")
	switch {
	case s.Has("preload_N"):
		s.Out("preload_N", preload, "as given")
	case proof == 0:
		s.Fail("class", "want class, proof_N or preload_N")
		return
	default:
		preload = s.Out("preload_N", s.Num("share")*proof, "share * proof_N")
	}
	s.Out("torque_Nm", Torque(s.Num("k"), t.D, preload), "k * d_mm / 1000 * preload_N")
	spread(s, preload, proof)
}

// spread shows what a torque wrench leaves open, and the notes on it.
func spread(s *desk.Sheet, preload, proof float64) {
	s.Out("preload_low_N", preload*(1-s.Num("scatter")), "preload_N * (1 - scatter)")
	high := s.Out("preload_high_N", preload*(1+s.Num("scatter")), "preload_N * (1 + scatter)")
	if k := s.Num("k"); k < 0.10 || k > 0.30 {
		s.Note("K %g is outside 0.10 to 0.30, where nearly all joints lie: measure it on this joint", k)
	}
	if proof == 0 {
		s.Note("no class and no proof load: whether the bolt bears this preload is not shown")
		return
	}
	s.Out("proof_share", preload/proof, "preload_N / proof_N")
	switch {
	case preload > proof:
		s.Note("the preload is above the proof load: the bolt stays longer than it was")
	case high > proof:
		s.Note("the high end of the scatter is above the proof load: some bolts will stay longer than they were")
	}
}
