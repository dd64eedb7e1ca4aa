package plan

import (
	"crypto/sha256"
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"

	"ampwright/model"
)

func mustBuiltin(t *testing.T, id string) *model.Plan {
	t.Helper()
	p, ok := Builtin(id, 0)
	if !ok {
		t.Fatalf("no built-in plan %q", id)
	}
	return p
}

func TestBuiltin(t *testing.T) {
	var names []string
	for _, p := range List() {
		name := fmt.Sprintf("%s.%d.json", p.ID, p.Version)
		names = append(names, name)
		data, err := files.ReadFile(name)
		if err != nil {
			t.Errorf("plan %s version %d is not in a file of that name: %v", p.ID, p.Version, err)
		}
		if want := fmt.Sprintf("%x", sha256.Sum256(data)); p.Hash != want {
			t.Errorf("%s: hash %s, want %s", name, p.Hash, want)
		}
		if got, ok := Builtin(p.ID, p.Version); !ok || got != p {
			t.Errorf("Builtin(%q, %d) = %v, %v", p.ID, p.Version, got, ok)
		}
	}
	if want := []string{"kart-chain.1.json", "kart-chain.2.json", "small-motorcycle-hub.1.json", "small-motorcycle-hub.2.json"}; !slices.Equal(names, want) {
		t.Errorf("List() has %q, want %q", names, want)
	}
	for i, e := range Editions() {
		if p := List()[i]; e.ID != p.ID || e.Version != p.Version || e.Title != p.Title || e.Plan() != p {
			t.Errorf("edition %d is %s.%d %q, want %s.%d %q", i, e.ID, e.Version, e.Title, p.ID, p.Version, p.Title)
		}
	}
	if p, ok := Builtin("kart-chain", 3); ok {
		t.Errorf("version 3 of the kart is %s.%d, want none", p.ID, p.Version)
	}
	if p := mustBuiltin(t, "kart-chain"); p.Version != 2 {
		t.Errorf("the newest kart is version %d, want 2", p.Version)
	}
	if p, ok := Builtin("sidecar", 0); ok {
		t.Errorf("the plan of an unknown name is %v, want none", p)
	}
}

// A published version is never changed: builds stand on it.
func TestPinned(t *testing.T) {
	for name, want := range map[string]string{
		"kart-chain.1":           "7841ee72c490f0bb6da885fa8888620221d3b2b69b26636a929b3b2e4492ef37",
		"kart-chain.2":           "8c4d38ae8eee6f54dc91671b45e87e8a9ffc6489938ae84e688e28e7629702af",
		"small-motorcycle-hub.1": "605c7db2916f3091361637bbeb207cc97699751c52b63eda497d581e7865cbb5",
		"small-motorcycle-hub.2": "0ced2cf327df13523d4837ec9a29f0abd1d577af05eb94ba8a87cf55bce377b1",
	} {
		data, err := files.ReadFile(name + ".json")
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprintf("%x", sha256.Sum256(data)); got != want {
			t.Errorf("%s.json has hash %s, want %s: put a new version beside it instead", name, got, want)
		}
	}
}

// counts is what the tables below compare.
type counts struct {
	tasks, checks, holds, parts int
	hours                       model.Hours3
}

func count(tasks []model.PlanTask) (c counts) {
	for _, t := range tasks {
		c.tasks++
		c.parts += len(t.Parts)
		c.hours.Low += t.Estimate.Low
		c.hours.Likely += t.Estimate.Likely
		c.hours.High += t.Estimate.High
		for _, k := range t.Checks {
			c.checks++
			if k.Point != "" {
				c.holds++
			}
		}
	}
	return c
}

// The figures are the plans' own, counted by another program before the files
// were written. Hours are multiples of a quarter, so their
// sums are exact.
func TestTotals(t *testing.T) {
	for id, want := range map[string]counts{
		"small-motorcycle-hub": {109, 193, 108, 62, model.Hours3{Low: 86.75, Likely: 213.75, High: 474}},
		"kart-chain":           {32, 51, 34, 19, model.Hours3{Low: 30, Likely: 69, High: 132}},
	} {
		if got := count(mustBuiltin(t, id).Tasks); got != want {
			t.Errorf("%s: %+v, want %+v", id, got, want)
		}
	}
}

func TestStages(t *testing.T) {
	type row struct {
		id, title string
		counts    // without parts
	}
	for id, want := range map[string][]row{
		"small-motorcycle-hub": {
			{"asm", "Intake and assessment", counts{7, 12, 5, 0, model.Hours3{Low: 4.5, Likely: 10.5, High: 23.5}}},
			{"str", "Strip and sell", counts{6, 5, 1, 0, model.Hours3{Low: 4.75, Likely: 11, High: 26}}},
			{"chs", "Frame, fork and shock rebuild", counts{8, 17, 4, 0, model.Hours3{Low: 9.5, Likely: 22.5, High: 49}}},
			{"mot", "Hub motor mount", counts{8, 16, 6, 0, model.Hours3{Low: 8.25, Likely: 19.5, High: 42}}},
			{"brk", "Brakes", counts{5, 8, 4, 0, model.Hours3{Low: 3.75, Likely: 9.25, High: 21.5}}},
			{"pkd", "Pack design", counts{6, 11, 8, 0, model.Hours3{Low: 4.25, Likely: 10.5, High: 25.5}}},
			{"cel", "Cell intake, test and matching", counts{8, 15, 5, 0, model.Hours3{Low: 7.75, Likely: 19.5, High: 40}}},
			{"pkb", "Pack build", counts{10, 17, 10, 0, model.Hours3{Low: 10.5, Likely: 26, High: 54.5}}},
			{"enc", "Enclosure and mounts", counts{6, 8, 5, 0, model.Hours3{Low: 7, Likely: 18, High: 40}}},
			{"elm", "Controller, DC-DC and charger mount", counts{4, 5, 3, 0, model.Hours3{Low: 2.5, Likely: 7, High: 14}}},
			{"har", "Traction and signal harness", counts{6, 7, 2, 0, model.Hours3{Low: 5.75, Likely: 14, High: 31}}},
			{"lvs", "Low-voltage system", counts{4, 4, 2, 0, model.Hours3{Low: 3, Likely: 8.5, High: 17}}},
			{"cmb", "Commissioning: bench", counts{8, 30, 26, 0, model.Hours3{Low: 4.25, Likely: 9.25, High: 21.5}}},
			{"cms", "Commissioning: on the stand", counts{8, 15, 13, 0, model.Hours3{Low: 2.75, Likely: 6.5, High: 15}}},
			{"rdt", "Road test", counts{6, 14, 9, 0, model.Hours3{Low: 3.75, Likely: 9.5, High: 21.5}}},
			{"pap", "Papers and handover", counts{5, 5, 4, 0, model.Hours3{Low: 2.75, Likely: 8.5, High: 24}}},
			{"aft", "After-care", counts{4, 4, 1, 0, model.Hours3{Low: 1.75, Likely: 3.75, High: 8}}},
		},
		"kart-chain": {
			{"in", "Intake and sizing", counts{3, 5, 3, 0, model.Hours3{Low: 2, Likely: 5, High: 10}}},
			{"st", "Strip and sell", counts{2, 2, 1, 0, model.Hours3{Low: 2.5, Likely: 5.5, High: 11}}},
			{"ch", "Chassis and brakes", counts{3, 6, 4, 0, model.Hours3{Low: 3.5, Likely: 6.5, High: 12}}},
			{"dr", "Motor, chain and pedals", counts{4, 7, 3, 0, model.Hours3{Low: 4.25, Likely: 9.75, High: 18.5}}},
			{"pk", "Pack", counts{6, 9, 7, 0, model.Hours3{Low: 8.5, Likely: 20, High: 38}}},
			{"el", "Electrics", counts{4, 8, 5, 0, model.Hours3{Low: 4.5, Likely: 11, High: 20}}},
			{"cm", "Commissioning", counts{5, 8, 8, 0, model.Hours3{Low: 2.5, Likely: 6, High: 12}}},
			{"tr", "Track", counts{5, 6, 3, 0, model.Hours3{Low: 2.25, Likely: 5.25, High: 10.5}}},
		},
	} {
		p := mustBuiltin(t, id)
		var got []row
		for _, s := range p.Stages {
			c := count(slices.DeleteFunc(slices.Clone(p.Tasks), func(t model.PlanTask) bool { return t.Stage != s.ID }))
			c.parts = 0
			got = append(got, row{s.ID, s.Title, c})
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s:\ngot  %v\nwant %v", id, got, want)
		}
	}
}

func TestMeanHours(t *testing.T) {
	// (a + 4m + b)/6: "A simple and logical alternative for making PERT
	// time estimates", IIE Transactions, March 1996, eq. 1a. The mean of the
	// sum is the sum of the means: (86.75 + 4*213.75 + 474)/6 = 235.958333 by
	// hand; (30 + 4*69 + 132)/6 = 73 by hand. Tolerance: rounding of the sum.
	for id, want := range map[string]float64{"small-motorcycle-hub": 235.958333, "kart-chain": 73} {
		var mean float64
		for _, task := range mustBuiltin(t, id).Tasks {
			e := task.Estimate
			mean += (e.Low + 4*e.Likely + e.High) / 6
		}
		if math.Abs(mean-want) > 1e-6 {
			t.Errorf("%s: mean %g h, want %g h", id, mean, want)
		}
	}
}

func TestCriticalChain(t *testing.T) {
	// Likely labour along the longest chain. By hand for the motorcycle, task
	// by task in the order listed: asm-01 asm-04 asm-06 pkd-01 pkd-02 cel-02
	// cel-03 cel-04 cel-06 cel-07 cel-08 (23.5 h) pkb-01 pkb-04 pkb-05 pkb-06
	// pkb-08 pkb-09 pkb-10 (17 h) har-04 har-06 (2.75 h) cmb-01 to cmb-08
	// (9.25 h) cms-01 to cms-07 (5.5 h) rdt-01 to rdt-04 (5 h) pap-01 to
	// pap-03 (6 h) rdt-05 rdt-06 aft-01 (6 h). For the kart: in-01 in-02 st-01
	// ch-01 (6.5 h) pk-02 to pk-06 (18 h) el-02 el-04 (6.5 h) cm-01 to cm-04
	// (5 h) tr-01 to tr-05 (5.25 h).
	for id, want := range map[string]float64{"small-motorcycle-hub": 75, "kart-chain": 41.25} {
		tasks := byID(mustBuiltin(t, id))
		ends := map[string]float64{}
		var end func(id string) float64
		end = func(id string) float64 {
			if _, ok := ends[id]; !ok {
				var start float64
				for _, before := range tasks[id].After {
					start = max(start, end(before))
				}
				ends[id] = start + tasks[id].Estimate.Likely
			}
			return ends[id]
		}
		for id := range tasks {
			end(id)
		}
		if got := slices.Max(slices.Collect(maps.Values(ends))); got != want {
			t.Errorf("%s: %g h, want %g h", id, got, want)
		}
	}
}

func byID(p *model.Plan) map[string]model.PlanTask {
	tasks := map[string]model.PlanTask{}
	for _, t := range p.Tasks {
		tasks[t.ID] = t
	}
	return tasks
}

func TestStrictFromFirstLiveOn(t *testing.T) {
	for id, first := range map[string]string{"small-motorcycle-hub": "cmb-07", "kart-chain": "cm-02"} {
		tasks := byID(mustBuiltin(t, id))
		var downstream func(id string) bool
		downstream = func(id string) bool {
			return id == first || slices.ContainsFunc(tasks[id].After, downstream)
		}
		for _, task := range tasks {
			if want := downstream(task.ID); task.Strict != want {
				t.Errorf("%s: strict %v, want %v: from %s on", task.ID, task.Strict, want, first)
			}
		}
	}
}

func TestPoints(t *testing.T) {
	for id, want := range map[string]map[string][]string{
		"small-motorcycle-hub": {
			"witness": {"pack-review-done", "first-live-ready", "low-speed-pass", "inspection-passed"},
			"review":  {"title-clear", "legal-route-written", "record-complete", "registered-electric", "insured-as-converted"},
		},
		"kart-chain": {"witness": {"slow-laps-pass"}, "review": {"track-rules"}},
	} {
		got := map[string][]string{}
		for _, task := range mustBuiltin(t, id).Tasks {
			for _, c := range task.Checks {
				if c.Point == "witness" || c.Point == "review" {
					got[c.Point] = append(got[c.Point], c.ID)
				}
			}
		}
		if !maps.EqualFunc(got, want, slices.Equal) {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
}

// What commits the build to its drive waits for the written answer.
func TestOrderAfter(t *testing.T) {
	for id, want := range map[string]map[string]string{
		"small-motorcycle-hub": {
			"hub-motor": "legal-route-written", "salvaged-cells": "legal-route-written",
			"bms": "legal-route-written", "charger": "legal-route-written",
			"controller": "legal-route-written", "dcdc": "legal-route-written",
		},
		"kart-chain": {"motor-kart": "track-rules", "controller-kart": "track-rules", "cells-kart": "track-rules"},
	} {
		got := map[string]string{}
		for _, task := range mustBuiltin(t, id).Tasks {
			for _, p := range task.Parts {
				for _, hold := range p.OrderAfter {
					got[p.ID] += hold
				}
			}
		}
		if !maps.Equal(got, want) {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
}

func TestPartPrices(t *testing.T) {
	// 3,535.00 to 10,650.00: the plan's own figures, added up by another
	// program before the file was written. Version 2 counts the cells, so that
	// by hand 46 x 11.30 and 46 x 27.20 take the place of 520.00 and 1,250.00.
	for version, want := range map[int][2]int64{1: {353500, 1065000}, 2: {353500 + 46*1130 - 52000, 1065000 + 46*2720 - 125000}} {
		p, ok := Builtin("small-motorcycle-hub", version)
		if !ok {
			t.Fatalf("no version %d", version)
		}
		var got [2]int64
		for _, task := range p.Tasks {
			for _, p := range task.Parts {
				got[0] += int64(p.Qty) * p.PriceLow
				got[1] += int64(p.Qty) * p.PriceHigh
			}
		}
		if got != want {
			t.Errorf("version %d: parts from %d to %d, want %d to %d", version, got[0], got[1], want[0], want[1])
		}
	}
}

func TestSteps(t *testing.T) {
	stages := map[string][]string{
		"small-motorcycle-hub": {"mot", "brk", "cel", "pkb", "har", "cmb", "cms"},
		"kart-chain":           {"in", "st", "ch", "dr", "pk", "el", "cm", "tr"},
	}
	for id, stages := range stages {
		for _, task := range mustBuiltin(t, id).Tasks {
			if n := len(task.Steps); slices.Contains(stages, task.Stage) && (n < 2 || n > 5) {
				t.Errorf("%s has %d steps, want 2 to 5", task.ID, n)
			}
		}
	}
}

func TestCommissioning(t *testing.T) {
	for id, want := range map[string][2]int{"small-motorcycle-hub": {11, 59}, "kart-chain": {4, 14}} {
		p := mustBuiltin(t, id)
		if len(p.Lists) != 1 || p.Lists[0].ID != "commissioning" || p.Lists[0].Mode != "read-do" {
			t.Fatalf("%s: lists %+v, want commissioning, read-do", id, p.Lists)
		}
		checks := map[string]model.PlanCheck{}
		for _, task := range p.Tasks {
			for _, c := range task.Checks {
				checks[c.ID] = c
			}
		}
		var steps []string
		for _, chunk := range p.Lists[0].Chunks {
			steps = append(steps, chunk.Steps...)
		}
		if got := [2]int{len(p.Lists[0].Chunks), len(steps)}; got != want {
			t.Errorf("%s: %d chunks of %d steps in all, want %d of %d", id, got[0], got[1], want[0], want[1])
		}
		for i, step := range steps {
			for _, gate := range checks[step].DependsOn {
				if slices.Contains(steps[i:], gate) {
					t.Errorf("%s: step %s stands before its gate %s", id, step, gate)
				}
			}
		}
	}
}

// The values of the sheet with nothing typed, in every version.
func TestDerived(t *testing.T) {
	type value struct {
		id   string
		want float64
		tol  float64
	}
	for id, want := range map[string][]value{
		"small-motorcycle-hub": {
			// 20 NMC cells in series, 4.20 V full and 3.00 V empty ("Summary
			// table of lithium-based batteries"): 84.0 V and 60.0 V.
			{"pack_max_V", 84, 0.01},
			{"pack_min_V", 60, 0.01},
			// By hand: 20 * 1.2 / 2 + 3 = 15 milliohm; 84 V / 15 milliohm = 5600 A.
			{"pack_mohm", 15, 1e-9},
			{"short_A", 5600, 1e-6},
			// UN R100: 500 ohm per volt; by hand 500 * 84.
			{"iso_min_ohm", 42000, 1e-6},
			// S = 0.1V + V^2/(25.92a), from memory; by hand 3 + 900/114.048.
			{"stop_front_max_m", 10.8914, 1e-4},
		},
		"kart-chain": {
			// 16 LFP cells in series at 3.65 V (the same table): 58.4 V.
			{"pack_max_V", 58.4, 0.01},
			// By hand: 15 * 60 / 58.
			{"stint_laps", 15.51724, 1e-5},
		},
	} {
		for _, p := range List() {
			if p.ID != id {
				continue
			}
			for _, w := range want {
				if got := p.Sheet().Get(w.id); got.Err != "" || math.Abs(got.Value-w.want) > w.tol {
					t.Errorf("%s.%d: %s = %g %s, want %g", id, p.Version, w.id, got.Value, got.Err, w.want)
				}
			}
		}
	}
}

// TestModel compares one task of the small plan with what the model makes of
// it, field by field.
func TestModel(t *testing.T) {
	p, err := Load("cart.json", []byte(small))
	if err != nil {
		t.Fatal(err)
	}
	if p.Derived[0].ID != "pack_V" || p.Derived[1].ID != "half_V" {
		t.Errorf("derived values in order %v, want pack_V before half_V, which needs it", p.Derived)
	}
	volts := p.Tasks[0].Checks[0]
	if got, want := *volts.Min, (model.Bound{Factor: 0.9, Of: "cell_V"}); got != want {
		t.Errorf("min %+v, want %+v", got, want)
	}
	if got, want := *volts.Max, (model.Bound{Factor: 1, Of: "cell_V", Offset: 0.7}); got != want {
		t.Errorf("max %+v, want %+v", got, want)
	}
	if *volts.ExamplePass != 3.5 || *volts.ExampleFail != 3 || volts.ScreenNeed != "cells - 1" ||
		volts.ValidDays != 90 || volts.ValidKm != 500 || len(volts.InvalidatedBy) != 2 {
		t.Errorf("check %+v", volts)
	}
	spread := p.Tasks[0].Checks[1]
	if got, want := *spread.Max, (model.Bound{Offset: 30, Strict: true}); got != want {
		t.Errorf("max %+v, want %+v", got, want)
	}
	if got, want := *spread.Target, (model.Bound{Offset: 10}); got != want || !spread.TargetIsMax {
		t.Errorf("target %+v, as max %v, want %+v, true", got, spread.TargetIsMax, want)
	}
	if got, want := *spread.Derive, (model.Derive{Check: "cell-volts", Op: "spread", Scale: 1000}); got != want {
		t.Errorf("derive %+v, want %+v", got, want)
	}
	roll := p.Tasks[1]
	part := model.PlanPart{ID: "motor", Title: "Hub motor", Unit: "pc", Qty: 1,
		PriceLow: 100, PriceHigh: 200, LeadLow: 3, LeadHigh: 9, UsedOK: true, OrderAfter: []string{"cell-volts"}}
	if fmt.Sprint(roll.Parts) != fmt.Sprint([]model.PlanPart{part}) {
		t.Errorf("parts %+v, want %+v", roll.Parts, part)
	}
	if !roll.Strict || roll.Competent != "second person" || roll.MinBlock != 30 || roll.Skill != "riding" ||
		len(roll.Steps) != 2 || len(roll.Tools) != 1 || len(roll.Hazards) != 1 || p.Tasks[0].Wait.High != 8 {
		t.Errorf("task %+v", roll)
	}
	if got := p.Lists[0].Chunks[0]; got.Release != "name, time" || len(got.Steps) != 3 {
		t.Errorf("chunk %+v", got)
	}
	if iso := p.Tasks[1].Checks[0]; iso.AppliesIf != "pack_V > 10" || len(iso.Points) != 2 || iso.StopIf != "it rolls on" {
		t.Errorf("check %+v", iso)
	}
}
