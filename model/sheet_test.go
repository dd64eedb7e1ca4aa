package model_test

import (
	"fmt"
	"slices"
	"strconv"
	"testing"

	"ampwright/calc/desk"
	"ampwright/calc/unit"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// counted is a plan whose values come from calculations that count how often
// they are worked out: chain_1 = in_1 + in_2, chain_2 = chain_1 + in_3, ...
// and as many that stand alone.
func counted(worked map[string]int) *model.Plan {
	p := &model.Plan{}
	input := func(i int) string { return fmt.Sprintf("in_%d", i) }
	for i := range 12 {
		p.Inputs = append(p.Inputs, model.PlanInput{ID: input(i), Unit: "V", Default: float64(i)})
	}
	add := func(id, a, b string) {
		c := &desk.Calc{
			Name:    "sum",
			Inputs:  []desk.Input{desk.Num("a", "A", "V", "", -1e6, 1e6), desk.Num("b", "B", "V", "", -1e6, 1e6)},
			Outputs: []desk.Output{desk.Out("sum", "Sum", "V").On("a", "b")},
			Do: func(s *desk.Sheet) {
				worked[id]++
				s.Out("sum", s.Num("a")+s.Num("b"), "a + b")
			},
		}
		f, err := c.Figure("sum")
		if err != nil {
			panic(err)
		}
		p.Derived = append(p.Derived, model.PlanDerived{ID: id, Unit: "V", Figure: f, Names: []string{a, b}})
	}
	add("chain_1", input(1), input(2))
	for i := 2; i < 6; i++ {
		add(fmt.Sprintf("chain_%d", i), fmt.Sprintf("chain_%d", i-1), input(i+1))
	}
	for i := 1; i < 6; i++ {
		add(fmt.Sprintf("alone_%d", i), input(i+5), input(i+6))
	}
	return p
}

// What depends on an input that differs is worked out again, once, and nothing
// else: a plan's own sheet once for all builds, a build's for what it typed, and
// a what-if for what it asks.
func TestWorksOutOnlyWhatDepends(t *testing.T) {
	worked := map[string]int{}
	p := counted(worked)
	p.ID, p.Version = "counted", 1
	p.Stages, p.Tasks = []model.PlanStage{{ID: "a", Title: "A"}}, []model.PlanTask{{ID: "a-01", Stage: "a", Title: "A"}}
	b := startFrom(t, func(string, int) (*model.Plan, bool) { return p, true }, "counted")
	all := map[string]int{}
	for _, d := range p.Derived {
		all[d.ID] = 1
	}

	b.build()
	b.build()
	require.Equal(t, all, worked, "the plan's sheet is worked out once")

	clear(worked)
	b.do("spec", "name", "in_4", "value", "40")
	clear(worked)
	build := b.build()
	require.Equal(t, map[string]int{"chain_3": 1, "chain_4": 1, "chain_5": 1}, worked)
	require.Equal(t, 1+2+3+40+5+6.0, build.Spec.Get("chain_5").Value)

	clear(worked)
	s, err := build.WhatIf(map[string]string{"in_5": "50", "in_11": "0"})
	require.NoError(t, err)
	require.Equal(t, map[string]int{"chain_4": 1, "chain_5": 1, "alone_5": 1}, worked)
	require.Equal(t, 1+2+3+40+50+6.0, s.Get("chain_5").Value)
	require.Same(t, build.Spec.Get("chain_3"), s.Get("chain_3"), "the rest is shared")
	require.Equal(t, 1+2+3+40+5+6.0, build.Spec.Get("chain_5").Value, "the build stays as it is")

	// Two inputs that change and leave a sum as it was stop there.
	clear(worked)
	s, err = build.WhatIf(map[string]string{"in_1": "2", "in_2": "1"})
	require.NoError(t, err)
	require.Equal(t, map[string]int{"chain_1": 1}, worked)
	require.Same(t, build.Spec.Get("chain_2"), s.Get("chain_2"))

	clear(worked)
	_, err = build.WhatIf(map[string]string{"in_4": "40", "in_0": "7"})
	require.NoError(t, err)
	require.Empty(t, worked, "the value it has, and an input that nothing follows from")
}

// In the built-in plans too, a what-if touches what rests on its input and
// nothing else.
func TestWhatIfShares(t *testing.T) {
	for _, id := range []string{hub, kart} {
		build := start(t, id).build()
		for _, in := range build.Spec.Inputs {
			s, err := build.WhatIf(map[string]string{in.ID: strconv.FormatFloat(in.Value+1, 'f', -1, 64)})
			require.NoError(t, err)
			for i, d := range s.Derived {
				if d != build.Spec.Derived[i] {
					require.Contains(t, restsOn(build.Spec, d.ID), in.ID, "%s was worked out for %s", d.ID, in.ID)
				} else if build.Spec.Derived[i].Err == "" && slices.Contains(build.Spec.Derived[i].Uses, in.ID) {
					t.Errorf("%s was not worked out for %s", d.ID, in.ID)
				}
			}
		}
	}
}

// restsOn returns the inputs a value follows from, in the order of the sheet.
func restsOn(s *model.Spec, name string) (inputs []string) {
	seen := map[string]bool{}
	var walk func(name string)
	walk = func(name string) {
		if !seen[name] {
			seen[name] = true
			for _, u := range s.Get(name).Uses {
				walk(u)
			}
		}
	}
	walk(name)
	for _, in := range s.Inputs {
		if seen[in.ID] {
			inputs = append(inputs, in.ID)
		}
	}
	return inputs
}

// only is the plans of one version.
func only(version int) model.PlanSource {
	return func(id string, v int) (*model.Plan, bool) {
		if v == 0 {
			v = version
		}
		return plan.Builtin(id, v)
	}
}

// since2 says what stands for an input of version 1 in version 2.
var since2 = map[string]map[string][]string{
	hub: {
		"cells_bought":   {"cells_series", "cells_parallel", "cells_spare"},
		"pack_Ah_design": {"cells_parallel", "cell_Ah_design"},
	},
}

// more are the inputs that were numbers inside a formula in version 1.
var more = map[string][]string{"rise_allow_mohm": {"cell_ir_factor"}, "cell_Ah_keep": {"cell_keep_fraction"}}

// In version 2 the values come from the calculations; each is what the formula
// of version 1 gives, to twelve figures, and rests on the same inputs.
func TestVersion2Agrees(t *testing.T) {
	for _, id := range []string{hub, kart} {
		one, _ := plan.Builtin(id, 1)
		two, _ := plan.Builtin(id, 2)
		old, now := one.Sheet(), two.Sheet()
		for _, d := range old.Derived {
			got := now.Get(d.ID)
			require.NotNil(t, got, d.ID)
			requireSame(t, d, got)
			want := map[string]bool{}
			for _, in := range restsOn(old, d.ID) {
				if then, ok := since2[id][in]; ok {
					for _, name := range then {
						want[name] = true
					}
				} else {
					want[in] = true
				}
			}
			if id == kart {
				for _, name := range more[d.ID] {
					want[name] = true
				}
			}
			have := map[string]bool{}
			for _, name := range restsOn(now, d.ID) {
				have[name] = true
			}
			require.Equal(t, want, have, d.ID)
		}
		for _, in := range old.Inputs {
			requireSame(t, in, now.Get(in.ID))
		}
	}
}

func requireSame(t *testing.T, want, got *model.SpecValue) {
	t.Helper()
	require.Empty(t, got.Err, got.ID)
	require.Equal(t, figures(want.Value), figures(got.Value), got.ID)
	require.Equal(t, unit.Format(want.Value, want.Unit, unit.Style{}), unit.Format(got.Value, got.Unit, unit.Style{}))
}

func figures(v float64) string { return strconv.FormatFloat(v, 'g', 12, 64) }

// The demo stands on version 2 and answers as it did on version 1: values,
// limits, verdicts and money.
func TestDemoOnBothVersions(t *testing.T) {
	builds := map[int]*model.Build{}
	for _, version := range []int{1, 2} {
		raws, err := demo.Heron(only(version))
		require.NoError(t, err)
		l := model.NewLogbook()
		for _, raw := range raws {
			_, err := l.Add(raw)
			require.NoError(t, err)
		}
		builds[version], err = l.Build(demo.Build, demo.End, plan.Builtin)
		require.NoError(t, err)
		require.Equal(t, version, builds[version].Plan.Version)
	}
	old, now := builds[1], builds[2]
	newest, _ := plan.Builtin(hub, 0)
	require.Equal(t, 2, newest.Version, "the demo starts from the newest")
	for _, d := range old.Spec.Derived {
		requireSame(t, d, now.Spec.Get(d.ID))
	}
	require.Len(t, now.Checks, len(old.Checks))
	for i, c := range old.Checks {
		n := now.Checks[i]
		require.Equal(t, c.ID, n.ID)
		require.Equal(t, []any{c.Min, c.Max, c.Target, c.Want, c.Need, c.Applies, c.Verdict}, []any{n.Min, n.Max, n.Target, n.Want, n.Need, n.Applies, n.Verdict}, c.ID)
	}
	require.Equal(t, []any{old.Money.Net, old.Money.Left, len(old.Money.ToBuy), old.Money.ToBuyLow, old.Money.ToBuyHigh},
		[]any{now.Money.Net, now.Money.Left, len(now.Money.ToBuy), now.Money.ToBuyLow, now.Money.ToBuyHigh})
}

// The working of a value is a line of its calculation in the names of the sheet.
// By hand: 0.1 x 40 + 40² / (25.92 x 4) = 19.4321 m.
func TestWorkingOfCalculation(t *testing.T) {
	s := start(t, kart).build().Spec
	l := s.Working(s.Get("stop_max_m"), unit.Style{})
	require.Equal(t, "0.1 * test_speed_kmh + test_speed_kmh^2 / (25.92 * brake_min_ms2)", l.Formula)
	require.Equal(t, "0.1 * 40 km/h + (40 km/h)^2 / (25.92 * 4 m/s²)", l.Numbers)
	require.InDelta(t, 19.4321, l.Value, 1e-4)
	require.Equal(t, "stop-distance", s.Get("stop_max_m").Calc.Name)
	require.Equal(t, s.Get("brake_min_ms2"), s.Given(s.Get("stop_max_m"))["brake_front_min_ms2"])
	require.Empty(t, s.Given(s.Get("pack_max_V")))
	l = s.Working(s.Get("stint_laps"), unit.Style{}) // a formula of the plan
	require.Equal(t, "60 × 15.0 min / 58.0 s", l.Numbers)
	require.Nil(t, s.Get("stint_laps").Calc)
	require.Empty(t, s.Working(s.Get("lap_m"), unit.Style{}).Numbers, "an input")

	// A figure outside what the calculation accepts leaves no value, and says why.
	b := start(t, hub)
	b.do("spec", "name", "cells_parallel", "value", "0.5")
	s = b.build().Spec
	require.Equal(t, `pack-resistance: cells_parallel "0.5": want 1 to 500`, s.Get("pack_mohm").Err)
	require.Equal(t, `no value for "pack_Ah_design"`, s.Get("pack_kWh").Err)
	require.Empty(t, s.Working(s.Get("pack_mohm"), unit.Style{}).Numbers)
	require.Empty(t, s.Get("pack_max_V").Err)
}

// Cells are bought by what the sheet says. By hand: 24 x 2 + 6 = 54, 8 more than
// 46 at 11.30 to 27.20.
func TestPartsFollowTheSheet(t *testing.T) {
	b := start(t, hub)
	build := b.build()
	cells := build.Part("salvaged-cells")
	require.Equal(t, 46, cells.Qty)
	require.EqualValues(t, 46*1130, cells.Low())
	s, err := build.WhatIf(map[string]string{"cells_series": "24"})
	require.NoError(t, err)
	require.Equal(t, 54, s.Quantity(&cells.PlanPart))
	low, high := build.PartsCost(build.Spec)
	low2, high2 := build.PartsCost(s)
	require.EqualValues(t, 353480, low)
	require.EqualValues(t, 1065120, high)
	require.EqualValues(t, 8*1130, low2-low)
	require.EqualValues(t, 8*2720, high2-high)

	b.do("spec", "name", "cells_series", "value", "24")
	require.Equal(t, 54, b.build().Part("salvaged-cells").Qty)
	b.do("spec", "name", "cells_series", "value", "24.5")
	require.Equal(t, 46, b.build().Part("salvaged-cells").Qty, "no number of cells: the plan's own")
}
