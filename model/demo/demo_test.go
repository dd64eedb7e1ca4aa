package demo

import (
	"testing"

	"ampwright/model"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// heronAt folds the demo as it stands at its end.
func heronAt(t testing.TB) *model.Build {
	t.Helper()
	raws, err := Heron(plan.Builtin)
	require.NoError(t, err)
	l := model.NewLogbook()
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	b, err := l.Build(Build, End, plan.Builtin)
	require.NoError(t, err)
	return b
}

// The answers of the demo scenario were worked out from the scenario itself
// with a separate program, task by task, before this code was written.
func TestHours(t *testing.T) {
	b := heronAt(t)
	got := map[string]float64{}
	for _, s := range b.Hours.Stages {
		if s.Logged > 0 {
			got[s.Stage.ID] = s.Logged
		}
	}
	require.Equal(t, map[string]float64{
		"asm": 8.5, "str": 8.5, "chs": 7, "mot": 14.5, "pkd": 8.5, "cel": 20, "pkb": 33.5, "enc": 10.5, "har": 1.5,
	}, got)
	require.EqualValues(t, 113*60, b.Hours.Logged)
	require.EqualValues(t, 30, b.Hours.NoTask)
	require.EqualValues(t, 150, b.Hours.Rework)
	require.EqualValues(t, 90, b.Task("mot-05").Rework)
	require.EqualValues(t, 60, b.Task("pkb-05").Rework)
	require.Equal(t, 47, b.Hours.Finished)
	require.Equal(t, 2, b.Hours.NotNeeded)
	require.Equal(t, 2, b.Hours.InHand)

	f := b.Hours.Forecast
	require.InDelta(t, 109.5, f.Actual, 1e-9)
	require.InDelta(t, 118.125, f.Estimate, 1e-9)
	require.InDelta(t, 0.927, f.Pace, 0.0005)
	require.InDelta(t, 108.92, f.Unscaled, 0.005)
	require.InDelta(t, 100.74, f.Left, 0.005)
	ratio := map[string]float64{}
	for _, s := range b.Hours.Stages {
		ratio[s.Stage.ID] = s.Ratio()
	}
	require.InDelta(t, 1.10, ratio["pkb"], 0.005)
	require.InDelta(t, 0.73, ratio["asm"], 0.005)
	require.Equal(t, model.Hours3{Low: 3, Likely: 8, High: 14}, b.Task("pkb-04").Estimate)
}

func TestMoney(t *testing.T) {
	m := heronAt(t).Money
	require.EqualValues(t, 251495, m.Purchases)
	require.EqualValues(t, 182950, m.Orders)
	require.EqualValues(t, 3500, m.Refunds)
	require.EqualValues(t, 430945, m.Gross)
	require.EqualValues(t, 61900, m.Sales)
	require.EqualValues(t, 52075, m.SalesNet)
	require.EqualValues(t, 378870, m.Net)
	require.EqualValues(t, 0, m.Committed)
	require.EqualValues(t, 141130, m.Left)
	require.Len(t, m.ToBuy, 27)
	require.EqualValues(t, 77500, m.ToBuyLow)
	require.EqualValues(t, 283000, m.ToBuyHigh)
	require.Empty(t, m.Doubles, "the double was struck out")
}

func TestStanding(t *testing.T) {
	b := heronAt(t)
	var ready, inHand, stale, late []string
	for _, x := range b.Tasks {
		if x.Ready {
			ready = append(ready, x.ID)
		}
		if x.State == model.InHand {
			inHand = append(inHand, x.ID)
		}
	}
	for _, c := range b.Stale() {
		stale = append(stale, c.ID)
	}
	for _, o := range b.LateOrders() {
		late = append(late, o.Label)
		require.Equal(t, 14, o.DaysLate)
	}
	require.ElementsMatch(t, []string{"str-05", "chs-03", "brk-01", "brk-02", "enc-04", "enc-05", "elm-01"}, ready)
	require.ElementsMatch(t, []string{"str-05", "har-01"}, inHand)
	require.ElementsMatch(t, []string{"frame-offset", "dye-clean", "halls-toggle", "cells-square", "temp-sensors", "tap-step", "bms-vs-meter", "iso-pack"}, stale)
	require.Equal(t, []string{"O7"}, late)
	for label, days := range map[string]int{"O1": 12, "O4": 20, "O6": 7} {
		o, err := b.OrderBy(label)
		require.NoError(t, err)
		require.NotNil(t, o.Arrived, label)
		require.Equal(t, days, o.DaysLate, label)
	}
}

func TestFindings(t *testing.T) {
	b := heronAt(t)
	type row struct {
		kind model.FindingKind
		on   string
		open bool
	}
	var got []row
	for _, f := range b.Findings {
		on := ""
		switch {
		case f.Kind == model.FindingOrdered:
			on = f.Order.Label
		case f.Check != nil:
			on = f.Check.ID
		case f.Task != nil:
			on = f.Task.ID
		}
		got = append(got, row{f.Kind, on, f.Open})
	}
	require.ElementsMatch(t, []row{
		{model.FindingUnchecked, "terminal-torque", true},
		{model.FindingEarly, "har-01", true},
		{model.FindingPastHold, "dye-clean", true},
		{model.FindingOrdered, "O1", true},
		{model.FindingOverlap, "pkb-04", true},
		{model.FindingNoSpare, "self-discharge", true},
		{model.FindingClash, "pkb-04", false},
		{model.FindingOut, "rim-runout-found", false},
		{model.FindingOut, "parallel-delta", false},
		{model.FindingOut, "tap-step", false},
		{model.FindingOut, "motor-iso", false},
	}, got)
	for _, f := range b.Findings {
		switch f.Kind {
		case model.FindingOrdered:
			require.Contains(t, f.Text, "3 days before")
		case model.FindingOverlap:
			require.Contains(t, f.Text, "60 minutes")
		case model.FindingNoSpare:
			require.Equal(t, 40, f.Check.Need)
			require.Equal(t, 40, f.Check.Current.Good)
		}
	}
}

// Each reading of the script was written with the verdict it should get.
func TestVerdicts(t *testing.T) {
	b := heronAt(t)
	rejected := func(id string) int {
		r := b.Check(id).Readings[0]
		return len(r.Points) - r.Good
	}
	require.Equal(t, 1, rejected("cell-open-volts"))
	require.Equal(t, 2, rejected("cell-ir"))
	require.Equal(t, 2, rejected("cell-capacity"))
	require.Equal(t, 1, rejected("self-discharge"))
	iso := b.Check("motor-iso").Readings
	require.Len(t, iso, 3)
	require.Equal(t, model.Out, iso[1].Measured)
	require.Equal(t, "21k", iso[1].Typed)
	require.Equal(t, []float64{8.2e6}, iso[2].Points)
	require.Equal(t, model.Within, iso[2].Verdict)
	require.Equal(t, model.Superseded, iso[0].Verdict)
}
