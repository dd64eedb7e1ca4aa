package main

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// end is the moment the demo's answers are for.
const end = "2026-11-20T19:30:00+01:00"

// The answers below were worked out from the demo scenario with a separate
// program, task by task, before this code was written.
func TestDemoAnswers(t *testing.T) {
	dir := heron(t)
	at := func(args ...string) []string { return append(args, "--garage", dir, "--as-of", end) }

	t.Run("hours", func(t *testing.T) {
		s := answer[showJSON](t, exitDone, at("show")...)
		require.Equal(t, "ampwright/show/1", s.Schema)
		require.EqualValues(t, 113*60, s.Hours.LoggedMinutes)
		require.EqualValues(t, 30, s.Hours.NoTaskMinutes)
		require.EqualValues(t, 150, s.Hours.ReworkMinutes)
		require.Equal(t, 47, s.Hours.Finished)
		require.Equal(t, 2, s.Hours.NotNeeded)
		require.Equal(t, 2, s.Hours.InHand)
		logged, pace := map[string]float64{}, map[string]float64{}
		for _, st := range s.Stages {
			pace[st.Key] = st.Pace
			if st.LoggedHours > 0 {
				logged[st.Key] = st.LoggedHours
			}
		}
		require.Equal(t, map[string]float64{
			"asm": 8.5, "str": 8.5, "chs": 7, "mot": 14.5, "pkd": 8.5, "cel": 20, "pkb": 33.5, "enc": 10.5, "har": 1.5,
		}, logged)
		// Given to two decimals, the ratio to three: half a unit of the last place.
		require.InDelta(t, 109.5, s.Hours.FinishedActual, 0.005)
		require.InDelta(t, 118.13, s.Hours.FinishedPlanned, 0.00501)
		require.InDelta(t, 0.927, s.Hours.Pace, 0.0005)
		require.InDelta(t, 1.10, pace["pkb"], 0.005)
		require.InDelta(t, 0.73, pace["asm"], 0.005)
		require.InDelta(t, 108.92, s.Hours.LeftUnscaled, 0.005)
		require.InDelta(t, 100.74, s.Hours.Left, 0.005)
		for key, minutes := range map[string]int64{"mot-05": 90, "pkb-05": 60} {
			require.Equal(t, minutes, answer[taskAnswer](t, exitDone, at("task", key)...).Task.ReworkMinutes)
		}
	})

	t.Run("money", func(t *testing.T) {
		m := answer[moneyJSON](t, exitDone, at("money")...)
		require.Equal(t, "EUR", m.Build.Currency)
		got := m.Totals
		require.InDelta(t, 52075.0/430945, got.Recovery, 1e-9)
		got.Recovery = 0
		require.Equal(t, moneyTotals{
			Ceiling: 520000, Purchases: 251495, Orders: 182950, Refunds: 3500, Gross: 430945, Sales: 61900, Fees: 61900 - 52075, SalesNet: 52075,
			Net: 378870, Committed: 0, Left: 141130, ToBuy: 27, ToBuyLow: 77500, ToBuyHigh: 283000,
		}, got)
		require.Empty(t, m.Doubles)
		require.Len(t, answer[partsJSON](t, exitDone, at("parts", "--wanted")...).Parts, 27)
	})

	t.Run("next", func(t *testing.T) {
		n := answer[nextJSON](t, exitDone, at("next")...)
		ready := map[string]string{}
		for _, x := range n.Ready {
			ready[x.Key] = x.State
		}
		require.Equal(t, map[string]string{
			"str-05": "in hand", "chs-03": "ready", "brk-01": "ready", "brk-02": "ready", "enc-04": "ready", "enc-05": "ready", "elm-01": "ready",
		}, ready)
		var inHand []string
		for _, x := range n.InHand {
			inHand = append(inHand, x.Key)
		}
		require.ElementsMatch(t, []string{"str-05", "har-01"}, inHand)
		require.Len(t, n.Late, 1)
		require.Equal(t, "O7", n.Late[0].Label)
		require.Equal(t, 14, n.Late[0].DaysLate)
		require.Equal(t, 6, n.Findings)
		require.Equal(t, 1, n.PunchA)
	})

	t.Run("stale", func(t *testing.T) {
		want := []string{"frame-offset", "dye-clean", "halls-toggle", "cells-square", "temp-sensors", "tap-step", "bms-vs-meter", "iso-pack"}
		for _, args := range [][]string{{"stale"}, {"checks", "--stale"}} {
			var got []string
			for _, c := range answer[checksJSON](t, exitDone, at(args...)...).Checks {
				require.Equal(t, "stale", c.Verdict)
				require.NotNil(t, c.Cause)
				got = append(got, c.Key)
			}
			require.Equal(t, want, got, args)
		}
	})

	t.Run("orders", func(t *testing.T) {
		late := map[string]int{}
		for _, o := range answer[ordersJSON](t, exitDone, at("orders")...).Orders {
			if o.DaysLate > 0 {
				late[o.Label] = o.DaysLate
			}
			require.Equal(t, o.Label == "O7", o.ArrivedAt == nil, o.Label)
		}
		require.Equal(t, map[string]int{"O1": 12, "O4": 20, "O6": 7, "O7": 14}, late)
	})

	t.Run("findings", func(t *testing.T) {
		type row struct {
			kind, task, check, order string
			open                     bool
		}
		got := map[row]string{}
		for _, f := range answer[findingsJSON](t, exitDone, at("findings")...).Findings {
			if f.Kind != "out of limits" {
				got[row{f.Kind, f.Task, f.Check, f.Order, f.Open}] = f.Text + "; " + f.Ended
			}
		}
		for _, want := range []struct {
			row
			says string
		}{
			{row{"finished unchecked", "pkb-04", "terminal-torque", "", true}, "pkb-04 was finished without"},
			{row{"begun out of order", "har-01", "", "", true}, "har-01 was begun before elm-01 was finished"},
			{row{"ordered past a hold", "asm-02", "legal-route-written", "O1", true}, "ordered 3 days before"},
			{row{"clocks overlap", "pkb-04", "", "", true}, "overlap by 60 minutes on 2026-10-31"},
			{row{"written apart", "pkb-04", "", "", false}, "task pkb-04 estimate was written apart on two devices; settled as 3/8/14"},
			{row{"no spare left", "cel-07", "self-discharge", "", true}, "40 good of 41 and 40 needed"},
		} {
			require.Contains(t, got[want.row], want.says, "%+v of %v", want.row, got)
		}
		require.Len(t, got, 7)
	})

	t.Run("may", func(t *testing.T) {
		m := answer[mayJSON](t, exitNotMet, at("may", "har-01")...)
		require.True(t, m.Held)
		require.Equal(t, []string{"elm-01"}, m.Task.WaitsFor)
		m = answer[mayJSON](t, exitNotMet, at("may", "enc-04")...)
		require.Len(t, m.Task.Held, 1)
		require.Equal(t, "dye-clean", m.Task.Held[0].Check)
		require.False(t, answer[mayJSON](t, exitDone, at("may", "brk-01")...).Held)
		code, _, _ := amp(t, at("next", "--strict")...)
		require.Equal(t, exitNotMet, code)
	})
}

// The same answers as a person reads them.
func TestDemoWords(t *testing.T) {
	dir := heron(t)
	for _, tt := range []struct {
		args []string
		want []string
	}{
		{[]string{"show"}, []string{
			"logged  113.0 h, 2.5 h of it rework", "47 finished, 2 in hand, 60 open in all, 2 not needed",
			"0.927: 109.5 h on finished tasks that were estimated at 118.13 h", "100.74 h at that pace, 108.92 h as estimated",
			"EUR 4,309.45", "EUR 2,514.95", "EUR 1,829.50", "EUR 35.00", "EUR 619.00", "EUR 520.75", "EUR 3,788.70", "EUR 1,411.30",
			"EUR 775.00 to 2,830.00", "27 parts; the ceiling is at risk", "8 to measure again, 6 open findings",
		}},
		{[]string{"next"}, []string{"O7  14 days late", "waits for elm-01", "iso-pack", "held by dye-clean (stale: "}},
		{[]string{"findings"}, []string{"ordered 3 days before", "by 60 minutes on 2026-10-31", "settled as 3/8/14 by builder", "no spare left"}},
		{[]string{"check", "motor-iso"}, []string{"500 ohm/V × 84.0 V = 42.0 kohm", "21 kohm", "8.2 Mohm"}},
		{[]string{"log", "O7"}, []string{"ordered: O7: display with wheel sensor, throttle with key for EUR 96.00; for elm-01; promised for 2026-11-06"}},
		{[]string{"log", "-n", "0"}, []string{"devices met: pocket phone, its clock 4 min 05 s behind", "[struck out]", "task not needed: mot-06; motor came laced"}},
	} {
		code, out, talk := amp(t, append(tt.args, "--garage", dir, "--as-of", end)...)
		require.Equal(t, exitDone, code, talk)
		for _, want := range tt.want {
			require.Contains(t, out, want, tt.args)
		}
	}
}

// An answer is as the logbook was at the moment asked for: what was written
// later is not in it.
func TestAsOf(t *testing.T) {
	dir := heron(t)
	early := answer[showJSON](t, exitDone, "show", "--garage", dir, "--as-of", "2026-08-30T00:00:00+02:00")
	require.EqualValues(t, 120, early.Hours.LoggedMinutes) // by hand: asm-01 60 min, asm-03 60 min, the lines of 29 August
	require.EqualValues(t, 78000, early.Money.Gross)       // by hand: the donor, 780.00
	code, _, talk := amp(t, "show", "--garage", dir, "--as-of", "2026-08-01")
	require.Equal(t, exitFailed, code)
	require.Contains(t, talk, "no build in this logbook at 2026-08-01")
}

// A forecast, and why it moved, begin with the build and end now.
func TestForecastMoments(t *testing.T) {
	dir := heron(t)
	for _, tt := range []struct {
		flag, at string
		exit     int
		want     string
	}{
		{"--as-of", "2026-08-01", exitFailed, "no build in this logbook at 2026-08-01"},
		{"--since", "2026-08-01", exitUsage, `--since "2026-08-01": the build was not begun then`},
		{"--since", "2036-08-01", exitUsage, `--since "2036-08-01": is still to come`},
	} {
		code, _, talk := amp(t, "forecast", "--garage", dir, tt.flag, tt.at)
		require.Equal(t, tt.exit, code)
		require.Contains(t, talk, tt.want)
	}
}
