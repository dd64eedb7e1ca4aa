package record

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/model"
)

// Log is the sentence that says what the record is and what it is not.
const Log = "This is a log: what was measured, with what, by whom, when and against which limit. It is no approval, no test report of a laboratory " +
	"and no promise. Local law and competent or licensed people decide."

// state opens the record: what it is, and how far the build has come.
func (m *maker) state() Section {
	s := Section{Key: "state", Title: "what this is, and where the build stands", Text: []string{Log}}
	n := map[model.Verdict]int{}
	checks, holds, shut := 0, 0, 0
	for _, c := range m.b.Checks {
		if !c.Applies || c.Task.State == model.NotNeeded {
			continue
		}
		checks++
		n[c.Verdict]++
		if c.Hold() {
			holds++
			if !c.Cleared() {
				shut++
			}
		}
	}
	var parts []string
	for _, v := range []model.Verdict{model.Within, model.Stale, model.Out, model.NotShown, model.Incomplete, model.Conceded, model.NotTaken} {
		if n[v] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n[v], v))
		}
	}
	s.Facts = append(s.Facts,
		Fact{Name: "checks", Value: count(checks, "check", "checks"), Note: strings.Join(parts, ", ") + "; a yes that was seen counts as within limits"},
		Fact{Name: "hold points", Value: fmt.Sprintf("%d of %d not cleared", shut, holds), Note: "cleared: read, within limits, not stale, with a witness where one is asked for, or under a signed concession"},
		Fact{Name: "tasks", Value: fmt.Sprintf("%d of %d finished", m.b.Hours.Finished, len(m.b.Tasks)-m.b.Hours.NotNeeded)},
	)
	typed := 0
	for _, v := range m.b.Spec.Inputs {
		if !v.Default {
			typed++
		}
	}
	s.Facts = append(s.Facts, Fact{
		Name: "spec sheet", Value: fmt.Sprintf("%d of %d figures are this machine's own", typed, len(m.b.Spec.Inputs)),
		Note: "the others are placeholders of the plan and marked so where they are shown",
	})
	open, ncrs := 0, 0
	for _, f := range m.b.Findings {
		if f.Open && f.Nonconformance() {
			open++
		}
	}
	for _, x := range m.b.NCRs {
		if x.Closed == nil {
			ncrs++
		}
	}
	s.Facts = append(s.Facts, Fact{Name: "open", Value: count(open, "finding", "findings") + ", " + count(ncrs, "nonconformance", "nonconformances")})
	if m.b.Newer > 0 {
		s.Facts = append(s.Facts, Fact{Name: "left out", Value: count(m.b.Newer, "entry", "entries") + " from a newer version of the program", Mark: "NOTICE", Shape: "out"})
	}
	return s
}

// identity is which machine it is.
func (m *maker) identity() Section {
	b := m.b
	s := Section{Key: "identity", Title: "identity"}
	s.Facts = []Fact{
		{Name: "machine", Value: b.Title, On: m.fieldOn("title")},
		{Name: "donor", Value: b.Donor, Blank: b.Donor == "", On: m.fieldOn("donor")},
		{Name: "frame or chassis number", Blank: true},
	}
	for _, key := range []string{"frame-number-photo", "title-clear", "legal-route-written", "chassis-photo", "track-rules"} {
		s.Facts = m.reading(s.Facts, key, "")
	}
	s.Facts = append(s.Facts,
		Fact{Name: "build", Value: b.ID.String(), Note: "started " + stated(b.Started.Person, b.StartAt), On: m.on(b.Started.ID)},
		Fact{Name: "plan", Value: fmt.Sprintf("%s, version %d", b.Plan.ID, b.Plan.Version), Note: "SHA-256 " + b.Plan.Hash},
	)
	s.Facts = append(s.Facts, m.moves()...)
	return s
}

func (m *maker) fieldOn(field string) []string {
	if w := m.b.Field("build", "", field).Value(); w != nil {
		return m.on(w.ID)
	}
	return m.on(m.b.Started.ID)
}

// mass is what the machine weighed, and weighs.
func (m *maker) mass() Section {
	s := Section{Key: "mass", Title: "mass and axle loads"}
	var front, rear = m.b.Check("front-load-found"), m.b.Check("rear-load-found")
	s.Facts = m.reading(s.Facts, "front-load-found", "front, before")
	s.Facts = m.reading(s.Facts, "rear-load-found", "rear, before")
	if front != nil && rear != nil && front.Current != nil && rear.Current != nil && len(front.Current.Points) == 1 && len(rear.Current.Points) == 1 {
		s.Facts = append(s.Facts, Fact{
			Name: "together, before", Value: m.format(front.Current.Points[0]+rear.Current.Points[0], "kg"), Note: "sum of the two",
			On: m.on(front.Current.ID, rear.Current.ID),
		})
	}
	s.Facts = m.specs(s.Facts, "mass_bike_kg", "mass_kart_kg", "pack_mass_kg")
	s.Facts = m.reading(s.Facts, "gross-forecast", "")
	s.Facts = m.reading(s.Facts, "rear-share-calc", "")
	for _, name := range []string{"front, finished, weighed", "rear, finished, weighed", "together, finished, weighed"} {
		s.Facts = append(s.Facts, Fact{Name: name, Note: "kg; no check of the plan asks for it", Blank: true})
	}
	s.Facts = m.specs(s.Facts, "gross_max_kg", "axle_front_max_kg", "axle_rear_max_kg")
	return s
}

// power is what drives it now.
func (m *maker) power() Section {
	s := Section{Key: "power", Title: "propulsion"}
	s.Facts = []Fact{{Name: "motor, make and number", Blank: true}, {Name: "rated power, from its papers", Note: "kW", Blank: true}}
	s.Facts = m.specs(s.Facts, "motor_peak_Nm", "motor_kv", "motor_rpm_V", "batt_cont_A", "batt_peak_A", "regen_max_A", "top_noload_kmh")
	s.Facts = m.reading(s.Facts, "top-speed-calc", "")
	s.Facts = m.reading(s.Facts, "energy-per-km", "")
	s.Facts = m.reading(s.Facts, "range-usable", "")
	return s
}

// pack is the pack by the spec sheet.
func (m *maker) pack() Section {
	s := Section{Key: "pack", Title: "pack", Facts: []Fact{
		{Name: "cell chemistry, make and type", Blank: true},
	}}
	s.Facts = m.specs(s.Facts, "cells_series", "cells_parallel", "cell_count", "cell_Ah_rated", "cell_V_max", "cell_V_min", "cell_max_A",
		"pack_max_V", "pack_charge_V", "pack_nom_V", "pack_min_V", "pack_Ah_design", "pack_kWh", "pack_mass_kg", "pack_mohm", "short_A")
	s.Facts = m.reading(s.Facts, "pack-capacity", "")
	s.Facts = m.reading(s.Facts, "pack-label-photo", "")
	s.Facts = m.reading(s.Facts, "pack-review-done", "")
	if who, ids := m.builders(); len(who) > 0 {
		s.Facts = append(s.Facts, Fact{Name: "built by", Value: strings.Join(who, ", "), Note: "who logged hours in the stages that check cells and groups", On: m.on(ids...)})
	}
	return s
}

// builders are the persons with hours in stages that sort cells or count groups,
// each with the first entry that says so.
func (m *maker) builders() (who []string, ids []model.ID) {
	pack := map[*model.Stage]bool{}
	for _, c := range m.b.Checks {
		if c.ScreenNeed != "" || strings.Contains(c.PointCount, "cells_series") {
			pack[c.Task.Stage] = true
		}
	}
	for _, w := range m.b.Hours.Work {
		if t := m.b.Task(w.Task); t != nil && pack[t.Stage] && !slices.Contains(who, w.Who) {
			who, ids = append(who, w.Who), append(ids, w.ID)
		}
	}
	return who, ids
}

// wiring is the traction circuit and the twelve volts by the spec sheet.
func (m *maker) wiring() Section {
	s := Section{Key: "wiring", Title: "wiring"}
	s.Facts = m.reading(s.Facts, "diagram-issued", "")
	s.Facts = m.reading(s.Facts, "diagram-kart", "")
	s.Facts = append(s.Facts, Fact{Name: "wiring diagram, number and revision", Blank: true})
	s.Facts = m.specs(s.Facts, "fuse_min_A", "cable_ampacity_A", "cable_mohm_per_m", "cable_loop_m", "controller_V_rating", "controller_cap_uF",
		"precharge_ohm", "precharge_pulse_W", "tau_s", "bms_charge_max_A", "regen_max_A", "charger_A", "dcdc_A", "iso_min_ohm")
	for _, key := range []string{"fuse-rating", "fuse-volts", "fuse-breaking", "fuse-kart", "fuse-break-kart", "fuse-photo", "disconnect-reach", "cable-clear"} {
		s.Facts = m.reading(s.Facts, key, "")
	}
	return s
}

// charging is what an insurer asks of it.
func (m *maker) charging() Section {
	s := Section{Key: "charging", Title: "charging and keeping", Facts: []Fact{
		{Name: "where it is charged", Blank: true}, {Name: "where it is kept", Blank: true}, {Name: "agreed value", Blank: true},
	}}
	s.Facts = m.specs(s.Facts, "charger_A", "pack_charge_V", "charge_h")
	for _, key := range []string{"alarm-tested", "charge-stop", "charge-cutoff-proved", "drive-inhibit-on-charge", "inspection-passed", "insured-as-converted", "cutoff-charge-kart"} {
		s.Facts = m.reading(s.Facts, key, "")
	}
	return s
}
