package model_test

import (
	"testing"
	"time"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// finding returns the finding with this key, or nil.
func finding(b *model.Build, kind model.FindingKind) *model.Finding {
	for _, f := range b.Findings {
		if f.Kind == kind {
			return f
		}
	}
	return nil
}

// A limit is a factor of a spec value plus an offset, and says so. 500 ohm for
// each volt of working voltage where DC and AC circuits are joined: UN R100,
// 5.1.3 (as cited in the plan's source list).
func TestLimitExplained(t *testing.T) {
	b := start(t, hub)
	build := b.build()
	c := build.Check("motor-iso")
	require.Equal(t, 42000.0, c.Min.Value)
	require.Equal(t, "500 ohm/V × 84.0 V = 42.0 kohm ("+build.Spec.Get("pack_max_V").Title+")", build.Explain(c, c.Min, build.Settings.Style()))
	b.do("spec", "name", "cells_series", "value", "24")
	require.Equal(t, 50400.0, b.build().Check("motor-iso").Min.Value)
	b.do("limit", "check", "motor-iso", "min", "100 * pack_max_V", "note", "DC alone")
	require.Equal(t, 10080.0, b.build().Check("motor-iso").Min.Value)
}

// Another value of an input makes stale exactly the readings whose limits or
// meaning rest on it; writing the same value again changes nothing; and it can
// be said beforehand.
func TestSpecMakesStale(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "motor-iso", "value", "55M")        // 500 ohm/V of pack_max_V
	b.do("read", "check", "fuse-rating", "value", "125")      // 1.25 * batt_cont_A to cable_ampacity_A
	b.do("read", "check", "phase-balance", "value", "1.3")    // a figure of its own
	b.do("read", "check", "controller-window", "value", "90") // 1.05 * pack_max_V
	b.later(time.Minute)
	names := func(list []*model.Check) (ids []string) {
		for _, c := range list {
			ids = append(ids, c.ID)
		}
		return ids
	}
	require.Equal(t, []string{"motor-iso", "controller-window"}, names(b.build().WouldStale("cell_V_max")))
	b.do("spec", "name", "cell_V_max", "value", "4.2")
	require.Empty(t, b.build().Stale(), "it was 4.2 before")
	b.do("spec", "name", "cell_V_max", "value", "4.15")
	require.Equal(t, []string{"motor-iso", "controller-window"}, names(b.build().Stale()))
	cause := b.build().Check("motor-iso").Cause
	require.True(t, cause.Spec)
	require.Equal(t, "spec sheet: Highest cell voltage allowed changed", cause.Title)
	b.later(time.Minute)
	b.do("read", "check", "motor-iso", "value", "55M")
	require.Equal(t, []string{"controller-window"}, names(b.build().Stale()))
	b.do("spec", "name", "cable_ampacity_A", "value", "120")
	require.Equal(t, model.Out, b.build().Check("fuse-rating").Verdict, "out by today's limit is out, not stale")
}

// What if: another spec sheet is worked out beside the build, which stays as it
// is. By hand: 24 x 4.2 V = 100.8 V; 500 ohm/V x 100.8 V = 50.4 kohm.
func TestWhatIf(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "motor-iso", "value", "45k", "sure", "yes")
	build := b.build()
	s, err := build.WhatIf(map[string]string{"cells_series": "24"})
	require.NoError(t, err)
	require.InDelta(t, 100.8, s.Get("pack_max_V").Value, 1e-9)
	require.InDelta(t, 84, build.Spec.Get("pack_max_V").Value, 1e-9)
	require.Equal(t, model.Out, build.VerdictUnder(build.Check("motor-iso"), s))
	require.Equal(t, model.Within, build.VerdictUnder(build.Check("motor-iso"), build.Spec))
	require.Equal(t, model.Within, build.Check("motor-iso").Verdict)
	require.Len(t, b.raws, 3, "nothing was written")
	_, err = build.WhatIf(map[string]string{"pack_max_V": "84", "cell_V_max": "4.2 Nm"})
	var bad *model.WishError
	require.ErrorAs(t, err, &bad)
	require.Len(t, bad.Fields, 2)
}

// What was typed is kept beside the value. 1 lb = 0.453 592 37 kg: NIST SP 811
// (2008), appendix B.8.
func TestSpecAsTyped(t *testing.T) {
	b := start(t, hub)
	b.do("spec", "name", "mass_rider_kg", "value", "185 lb", "note", "bathroom scales")
	v := b.build().Spec.Get("mass_rider_kg")
	require.InDelta(t, 185*0.45359237, v.Value, 1e-6)
	require.Equal(t, "185 lb", v.Field.Value().Typed)
	require.Equal(t, "bathroom scales", v.Field.Value().Note)
	require.False(t, v.Default)
}

// The verdict follows today's limit; the reading keeps the limit it was taken
// under.
func TestVerdictFollowsLimit(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "motor-iso", "value", "45k", "sure", "yes")
	r := b.build().Check("motor-iso").Current
	require.Equal(t, model.Within, r.Verdict)
	require.Equal(t, "≥ 42.0 kohm", r.Limit)
	require.Equal(t, "45k", r.Typed)
	b.do("spec", "name", "cells_series", "value", "24")
	r = b.build().Check("motor-iso").Current
	require.Equal(t, model.Out, r.Verdict)
	require.Equal(t, "≥ 42.0 kohm", r.Limit)
}

// A reading inside the limit by less than the instrument's uncertainty has not
// been shown to conform: the guard band of ISO 14253-1 (decision rule for
// verifying conformity, from memory). One that is outside stays outside.
func TestUncertainty(t *testing.T) {
	b := start(t, hub)
	b.do("instrument", "name", "tester", "accuracy", "5 % + 1 kohm", "checked", "2026-08-01")
	for _, tt := range []struct {
		value string
		want  model.Verdict
	}{
		{"41.9k", model.Out},
		{"42.0k", model.NotShown}, // 3.1 kohm of uncertainty
		{"45.2k", model.NotShown},
		{"45.3k", model.Within}, // 45.3 - 0.05*45.3 - 1 = 42.035
	} {
		b.later(time.Minute)
		b.do("read", "check", "motor-iso", "value", tt.value, "instrument", "tester", "sure", "yes")
		require.Equal(t, tt.want, b.build().Check("motor-iso").Verdict, tt.value)
	}
	b.later(time.Minute)
	b.do("read", "check", "motor-iso", "value", "42.0k", "instrument", "another", "sure", "yes")
	require.Equal(t, model.Within, b.build().Check("motor-iso").Verdict, "its uncertainty is not known")
}

func TestStrictLimit(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "earth-bond", "value", "0.1")
	require.Equal(t, model.Out, b.build().Check("earth-bond").Verdict, "the limit is below 0.1 ohm, not at it")
	b.later(time.Minute)
	b.do("read", "check", "earth-bond", "value", "99 mohm")
	require.Equal(t, model.Within, b.build().Check("earth-bond").Verdict)
}

// Sorting checks reject points and pass while enough good ones are left; other
// checks with many points need all of them within limits.
func TestPoints(t *testing.T) {
	b := start(t, hub)
	b.do("spec", "name", "cells_series", "value", "4")
	b.do("spec", "name", "cells_parallel", "value", "1")
	b.do("read", "check", "cell-capacity", "value", "22 22,5 19 22 23")
	c := b.build().Check("cell-capacity")
	require.Equal(t, model.Within, c.Verdict)
	require.Equal(t, []int{2}, c.Current.Bad)
	require.NotNil(t, finding(b.build(), model.FindingNoSpare), "four good, four needed")
	b.later(time.Minute)
	b.do("read", "check", "cell-capacity", "value", "22 19 19 22 23")
	require.Equal(t, model.Out, b.build().Check("cell-capacity").Verdict)

	b.do("read", "check", "axle-nut-torque", "value", "105 Nm, 80 lbf·ft")
	c = b.build().Check("axle-nut-torque")
	require.Equal(t, model.Within, c.Verdict)
	// 1 lbf·ft = 1.355 818 N·m: NIST SP 811 (2008), appendix B.8.
	require.InDelta(t, 80*1.355818, c.Current.Points[1], 1e-4)
	b.later(time.Minute)
	b.do("read", "check", "axle-nut-torque", "value", "105 120")
	require.Equal(t, []int{1}, b.build().Check("axle-nut-torque").Current.Bad)
}

// The spread of the groups follows from their voltages.
func TestDerivedCheck(t *testing.T) {
	b := start(t, hub)
	b.do("spec", "name", "cells_series", "value", "3")
	b.do("read", "check", "tap-step", "value", "3.70 3.71 3.70")
	b.do("read", "check", "group-volts", "value", "3.700 3.735 3.710")
	c := b.build().Check("group-spread")
	require.Equal(t, []float64{35}, c.Current.Points)
	require.Equal(t, model.Out, c.Verdict)
}

// A change makes stale what it can have changed, when it is over, and nothing
// else.
func TestStale(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "motor-iso", "value", "55M")
	b.do("read", "check", "halls-toggle", "value", "yes")
	b.do("read", "check", "phase-balance", "value", "1.3")
	b.later(time.Hour)
	b.do("change", "changes", "motor-leads", "task", "mot-05", "note", "leads through the axle")
	stale := func() (ids []string) {
		for _, c := range b.build().Stale() {
			ids = append(ids, c.ID)
		}
		return ids
	}
	require.Equal(t, []string{"halls-toggle", "motor-iso"}, stale())
	cause := b.build().Check("motor-iso").Cause
	require.Equal(t, "motor-leads", cause.Change)
	b.later(time.Minute)
	b.do("read", "check", "motor-iso", "value", "8,2M")
	require.Equal(t, []string{"halls-toggle"}, stale())
}

// At clock-off it is asked what changed. Unanswered, all that the task may
// cause counts; "none" counts for nothing; the change counts from the end of
// the work on.
func TestChangesAtClockOff(t *testing.T) {
	for _, tt := range []struct {
		changes string
		stale   bool
	}{{"", true}, {"none", false}, {"axle-disturbed", true}, {"wheel-removed", false}} {
		b := start(t, hub)
		b.do("on", "task", "mot-08") // may cause: axle-disturbed
		b.later(30 * time.Minute)
		b.do("read", "check", "flat-clearance", "value", "0.05")
		b.later(30 * time.Minute)
		b.do("off", "changes", tt.changes)
		require.Equal(t, tt.stale, b.build().Check("flat-clearance").Verdict == model.Stale, "changes %q", tt.changes)
		require.EqualValues(t, 60, b.build().Task("mot-08").Logged)
		b.later(time.Minute)
		b.do("read", "check", "flat-clearance", "value", "0.06")
		require.Equal(t, model.Within, b.build().Check("flat-clearance").Verdict)
	}
}

// A reading at the very moment a change was over holds if it was written after
// it on the same device; from another device nobody can tell, and it is stale.
func TestStaleAtTheSameMoment(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	at := b.now.Format(time.RFC3339)
	b.do("change", "changes", "motor-leads", "at", at)
	b.do("read", "check", "motor-iso", "value", "55M", "at", at)
	require.Equal(t, model.Within, b.build().Check("motor-iso").Verdict)
	phone.do("read", "check", "halls-toggle", "value", "yes", "at", at)
	b.hear(phone)
	require.Equal(t, model.Stale, b.build().Check("halls-toggle").Verdict)
}

func TestTooOld(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "pressures", "value", "180 200")
	b.later(30 * 24 * time.Hour)
	require.Equal(t, model.Within, b.build().Check("pressures").Verdict)
	b.later(time.Second)
	require.Equal(t, model.Stale, b.build().Check("pressures").Verdict)
	require.Equal(t, "older than 30 days", b.build().Check("pressures").Cause.Title)
}

// Staleness does not run along gates: a gate is asked for when a reading is
// taken, and a reading taken past it raises a nonconformance.
func TestGate(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "dead-at-controller", "value", "0.4", "before", "12.6", "after", "12.6")
	b.later(time.Minute)
	b.do("read", "check", "visual-pass", "value", "yes", "seen", "nothing loose, one clip missing at the head")
	require.Nil(t, finding(b.build(), model.FindingGate))
	b.later(time.Minute)
	b.do("change", "changes", "pack-opened")
	build := b.build()
	require.Equal(t, model.Stale, build.Check("dead-at-controller").Verdict)
	require.Equal(t, model.Within, build.Check("visual-pass").Verdict)
	require.Len(t, build.Check("visual-pass").Gates, 1)
	require.Nil(t, finding(build, model.FindingGate), "the gate was open when the reading was taken")
	b.later(time.Minute)
	b.do("read", "check", "visual-pass", "value", "yes")
	f := finding(b.build(), model.FindingGate)
	require.NotNil(t, f)
	require.True(t, f.Open && f.Nonconformance())
	b.do("close", "item", f.Key, "evidence", "looked over again", "disposition", "rework: repeated in order")
	require.False(t, finding(b.build(), model.FindingGate).Open)
}

// A concession needs a reason and two names, opens the hold, and falls with the
// next change that touches the check.
func TestConcession(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "arm-margin", "value", "2.8")
	require.False(t, b.build().Check("arm-margin").Cleared())
	b.later(time.Minute)
	b.do("concede", "check", "arm-margin", "reason", "test load held 10 min", "second", "reviewer")
	c := b.build().Check("arm-margin")
	require.Equal(t, model.Conceded, c.Verdict)
	require.True(t, c.Cleared())
	require.Equal(t, model.Out, c.Current.Measured, "the reading stays what it is")
	b.later(time.Minute)
	b.do("change", "changes", "frame-weld")
	require.False(t, b.build().Check("arm-margin").Cleared())
}

// A witness point wants a named second person.
func TestWitness(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "pack-review-done", "value", "yes")
	c := b.build().Check("pack-review-done")
	require.Equal(t, model.Within, c.Verdict)
	require.False(t, c.Cleared())
	require.Equal(t, "no witness named", c.Why())
	b.later(time.Minute)
	b.do("read", "check", "pack-review-done", "value", "yes", "witness", "reviewer")
	require.True(t, b.build().Check("pack-review-done").Cleared())
}

// A release that names a witness opens a witness point too, until the check is
// taken again.
func TestReleaseNamesWitness(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "pack-review-done", "value", "yes")
	_, err := b.try("release", "point", "pack-review-done")
	require.ErrorContains(t, err, "stays shut: pack-review-done is no witness named")
	b.do("release", "point", "pack-review-done", "witness", "reviewer")
	require.True(t, b.build().Check("pack-review-done").Cleared())
	require.Equal(t, "reviewer", b.build().Check("pack-review-done").Witnessed())
	b.later(time.Minute)
	b.do("read", "check", "pack-review-done", "value", "yes")
	require.False(t, b.build().Check("pack-review-done").Cleared())
}

// Entries that must be understood, from a newer version, bar signatures and
// nothing else.
func TestNewerBarsSignatures(t *testing.T) {
	b := start(t, hub)
	raw, err := (&model.Entry{
		Replica: [16]byte{7}, Seq: 1, Build: b.id, Stamp: model.StampAt(b.now), Must: true, Body: &model.Unknown{Name: "recall", CBOR: "\xa0"},
	}).Encode()
	require.NoError(t, err)
	_, err = b.log.Add(raw)
	require.NoError(t, err)
	require.Equal(t, 1, b.build().Newer)
	_, err = b.try("concede", "check", "arm-margin", "reason", "x", "second", "reviewer")
	require.ErrorContains(t, err, "need a newer version of the program")
	_, err = b.try("release", "point", "arm-margin")
	require.ErrorContains(t, err, "1 entries of this build need a newer version of the program: update it before signing")
	require.Equal(t, 1, b.build().NewerMust)
	b.do("hours", "task", "asm-01", "hours", "1")
}

// A moment that had not come by the writer's own clock is flagged, not refused.
func TestClockAhead(t *testing.T) {
	b := start(t, hub)
	soon := b.do("note", "text", "x", "at", b.now.Add(4*time.Minute).Format(time.RFC3339))
	late := b.do("note", "text", "x", "at", b.now.Add(6*time.Minute).Format(time.RFC3339))
	line, _ := b.log.Line(soon)
	require.False(t, line.Ahead)
	line, _ = b.log.Line(late)
	require.True(t, line.Ahead)
}

// From first live on, a task stays held while any hold upstream is not cleared,
// and work logged all the same raises a nonconformance.
func TestStrictHold(t *testing.T) {
	b := start(t, kart)
	build := b.build()
	live := build.Task("cm-02")
	require.True(t, live.Strict)
	require.NotEmpty(t, live.Held)
	b.do("hours", "task", "cm-02", "hours", "0.5")
	f := finding(b.build(), model.FindingPastHold)
	require.NotNil(t, f)
	require.True(t, f.Open && f.Nonconformance())
}

// The kart stays in voltage class A: its insulation check does not bind, and
// binds when the pack goes above 60 V DC (voltage classes: ISO 6469-3, scope).
func TestAppliesIf(t *testing.T) {
	b := start(t, kart)
	require.False(t, b.build().Check("iso-kart").Applies)
	b.do("spec", "name", "cells_series", "value", "17")
	require.True(t, b.build().Check("iso-kart").Applies)
}

// A strike can be struck out; a correction of a correction leaves only the last.
func TestStrikeAndCorrect(t *testing.T) {
	b := start(t, hub)
	spent := func() int64 { return int64(b.build().Money.Purchases) }
	first := b.do("buy", "what", "bolts", "amount", "12.50")
	require.EqualValues(t, 1250, spent())
	strike := b.do("strike", "entry", first.String(), "reason", "not ours")
	require.EqualValues(t, 0, spent())
	b.do("strike", "entry", strike.String(), "reason", "it was ours")
	require.EqualValues(t, 1250, spent())
	second := b.do("buy", "what", "bolts", "amount", "13.50", "instead", first.String())
	require.EqualValues(t, 1350, spent())
	third := b.do("buy", "what", "bolts", "amount", "14.50", "instead", second.String())
	require.EqualValues(t, 1450, spent())
	b.do("strike", "entry", third.String(), "reason", "misread")
	require.EqualValues(t, 1350, spent())
	_, err := b.try("note", "text", "x", "instead", second.String())
	require.ErrorContains(t, err, "is not of the kind that is written here")
	line, ok := b.log.Line(first)
	require.True(t, ok)
	require.True(t, line.Replaced && !line.Struck)
}

// Writings that saw each other replace each other whatever the clocks say; those
// that did not are a clash until one is written over both.
func TestClash(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	phone.now = b.now.Add(-48 * time.Hour) // a clock two days slow
	b.do("estimate", "task", "mot-05", "estimate", "1/2/3")
	phone.hear(b)
	phone.do("estimate", "task", "mot-05", "estimate", "2/3/4")
	b.hear(phone)
	require.Equal(t, model.Hours3{Low: 2, Likely: 3, High: 4}, b.build().Task("mot-05").Estimate)
	require.Empty(t, b.build().Clashes)

	b.do("estimate", "task", "mot-05", "estimate", "5/6/7")
	phone.do("estimate", "task", "mot-05", "estimate", "8/9/10")
	b.hear(phone)
	phone.hear(b)
	require.Len(t, b.build().Clashes, 1)
	require.Equal(t, b.build().Task("mot-05").Estimate, phone.build().Task("mot-05").Estimate)
	f := finding(b.build(), model.FindingClash)
	require.True(t, f.Open)
	require.Regexp(t, `^task mot-05 estimate was written apart: \S+ \(.+, .+\) and \S+ \(.+, .+\)$`, f.Text)
	b.do("settle", "field", "task/mot-05/estimate", "value", "8/9/10")
	require.Empty(t, b.build().Clashes)
	require.Equal(t, model.Hours3{Low: 8, Likely: 9, High: 10}, b.build().Task("mot-05").Estimate)
	require.False(t, finding(b.build(), model.FindingClash).Open)
}

// Finished here and taken up again there: open shows.
func TestStateClash(t *testing.T) {
	b := start(t, hub)
	b.do("finish", "task", "asm-01")
	phone := b.join(2)
	b.do("reopen", "task", "asm-01")
	b.do("finish", "task", "asm-01")
	phone.do("reopen", "task", "asm-01")
	b.hear(phone)
	require.True(t, b.build().Task("asm-01").Open())
	require.Len(t, b.build().Clashes, 1)
}

// Two devices add orders of tasks that close a circle together: the younger one
// is left out, on both alike.
func TestCircle(t *testing.T) {
	b := start(t, hub)
	phone := b.join(2)
	b.do("sequence", "before", "brk-01", "after", "brk-02")
	phone.later(time.Minute)
	phone.do("sequence", "before", "brk-02", "after", "brk-01")
	b.hear(phone)
	phone.hear(b)
	for _, at := range []*bench{b, phone} {
		build := at.build()
		require.Contains(t, build.Upstream(build.Task("brk-02")), build.Task("brk-01"))
		require.NotContains(t, build.Upstream(build.Task("brk-01")), build.Task("brk-02"))
		f := finding(build, model.FindingParked)
		require.Equal(t, "parked:brk-02>brk-01", f.Key)
	}
	b.do("sequence", "before", "brk-01", "after", "brk-02", "off", "yes")
	build := b.build()
	require.Contains(t, build.Upstream(build.Task("brk-01")), build.Task("brk-02"), "it comes back when what barred it goes")
}

// Work after a task was first finished is rework, whatever happens to its state
// later.
func TestRework(t *testing.T) {
	b := start(t, hub)
	b.do("hours", "task", "asm-01", "hours", "1", "finish", "yes")
	b.later(time.Hour)
	b.do("hours", "task", "asm-01", "hours", "30 min")
	require.EqualValues(t, 30, b.build().Task("asm-01").Rework)
	b.do("reopen", "task", "asm-01")
	b.later(time.Hour)
	b.do("hours", "task", "asm-01", "hours", "15 min", "finish", "yes")
	task := b.build().Task("asm-01")
	require.EqualValues(t, 45, task.Rework)
	require.EqualValues(t, 105, task.Logged)
	require.Equal(t, model.Finished, task.State)
}

func TestClocks(t *testing.T) {
	b := start(t, hub)
	b.do("on", "task", "asm-01")
	_, err := b.try("on", "task", "asm-03")
	require.ErrorContains(t, err, "a clock of builder runs on asm-01")
	require.Equal(t, model.InHand, b.build().Task("asm-01").State)
	b.later(13 * time.Hour)
	require.NotNil(t, finding(b.build(), model.FindingForgotten))
	_, err = b.try("off")
	require.ErrorContains(t, err, "the clock ran longer than 12 h: say how many hours were worked")
	b.do("off", "hours", "2h30", "changes", "none", "finish", "yes")
	require.EqualValues(t, 150, b.build().Task("asm-01").Logged)
	require.Equal(t, model.Finished, b.build().Task("asm-01").State)
	require.Nil(t, finding(b.build(), model.FindingForgotten))
}

// Net = purchases + paid orders - refunds - (sales - fees - post); left = ceiling
// - net - committed.
func TestMoney(t *testing.T) {
	b := start(t, hub)
	b.do("buy", "what", "paint", "amount", "40.00", "part", "paint", "task", "chs-03")
	b.do("order", "what", "shocks", "amount", "120", "parts", "shocks", "unpaid", "yes", "promised", "2026-09-03")
	b.do("sell", "what", "exhaust", "amount", "52.00", "fee", "2,60", "post", "14.50")
	m := b.build().Money
	require.EqualValues(t, 12000, m.Committed)
	require.EqualValues(t, 4000-5200+260+1450, m.Net)
	require.EqualValues(t, 100000-m.Net-12000, m.Left)
	require.Equal(t, model.PartHere, b.build().Part("paint").State)
	require.Equal(t, model.PartOrdered, b.build().Part("shocks").State)
	b.do("pay", "order", "O1")
	b.do("refund", "of", "O1", "amount", "20", "what", "scratched")
	m = b.build().Money
	require.EqualValues(t, 0, m.Committed)
	require.EqualValues(t, 4000+12000-2000-5200+260+1450, m.Net)
	b.later(5 * 24 * time.Hour)
	o := b.build().Orders[0]
	require.True(t, o.Late())
	require.Equal(t, 3, o.DaysLate)
	b.do("promise", "order", "O1", "promised", "2026-09-10")
	require.False(t, b.build().Orders[0].Late())
	b.do("arrive", "order", "O1")
	require.Equal(t, model.PartHere, b.build().Part("shocks").State)

	b.do("buy", "what", "paint", "amount", "40.00", "part", "paint")
	require.Len(t, b.build().Money.Doubles, 1, "the same part for the same amount within a fortnight")
}

// What was added by hand stands beside the plan.
func TestAdded(t *testing.T) {
	b := start(t, kart)
	b.do("add-stage", "key", "seat", "title", "Seat and body")
	b.do("add-task", "stage", "seat", "title", "Make the seat bracket", "estimate", "1/2/4", "after", "in-01", "key", "seat-01")
	b.do("add-part", "task", "seat-01", "title", "Seat", "low", "50", "high", "90", "key", "seat")
	b.do("add-check", "task", "seat-01", "title", "Seat bolt torque", "kind", "measurement", "unit", "Nm", "min", "22", "max", "26", "hold", "yes", "key", "seat-torque")
	b.do("read", "check", "seat-torque", "value", "27")
	build := b.build()
	require.Equal(t, model.Out, build.Check("seat-torque").Verdict)
	require.Equal(t, model.Hours3{Low: 1, Likely: 2, High: 4}, build.Task("seat-01").Estimate)
	require.Equal(t, model.Waiting, build.Task("seat-01").State)
	require.Contains(t, build.Money.ToBuy, build.Part("seat"))
	b.do("hours", "task", "in-01", "hours", "1", "finish", "yes")
	require.Equal(t, model.Ready, b.build().Task("seat-01").State)
}

// What fits in the time one has: short enough, nothing before it, in hand first,
// held and short of parts last.
func TestFits(t *testing.T) {
	b := start(t, hub)
	ids := func(min int) (ids []string) {
		for _, task := range b.build().Fits(min) {
			ids = append(ids, task.ID)
		}
		return ids
	}
	require.Equal(t, []string{"asm-01"}, ids(30))
	require.Empty(t, ids(10))
	b.do("hours", "task", "asm-01", "hours", "1", "finish", "yes")
	b.do("hours", "task", "asm-04", "hours", "1")
	require.Equal(t, "asm-04", ids(30)[0], "what is in hand comes first")
	require.NotContains(t, ids(15), "asm-04", "its shortest useful stint is half an hour")
}

// A limit as people write it.
func TestParseBound(t *testing.T) {
	for text, want := range map[string]model.Bound{
		"4":                      {Offset: 4},
		"-0.5":                   {Offset: -0.5},
		"pack_max_V":             {Factor: 1, Of: "pack_max_V"},
		"500 * pack_max_V":       {Factor: 500, Of: "pack_max_V"},
		"500*pack_max_V":         {Factor: 500, Of: "pack_max_V"},
		"1 * tyre_circ_m - 0.03": {Factor: 1, Of: "tyre_circ_m", Offset: -0.03},
		"tyre_circ_m + 0.03":     {Factor: 1, Of: "tyre_circ_m", Offset: 0.03},
	} {
		b, err := model.ParseBound(text)
		require.NoError(t, err, text)
		require.Equal(t, want, *b, text)
	}
	for _, text := range []string{"", "a b", "500 *", "500 * 4", "2 * a * b", "1 +", "a + b"} {
		_, err := model.ParseBound(text)
		require.ErrorContains(t, err, "want a number, or factor * name + offset", text)
	}
}

// What somebody said was changed when they clocked off counts, though the stint was
// struck out, or ended before on another device.
func TestChangesOutliveTheStint(t *testing.T) {
	b := start(t, kart)
	b.do("read", "check", "chain-slack", "value", "9 mm")
	b.later(time.Hour)
	on := b.do("on", "task", "dr-03")
	phone := b.join(2)
	b.later(time.Hour)
	b.do("off", "task", "dr-03", "changes", "none")
	phone.later(2 * time.Hour)
	phone.do("off", "task", "dr-03", "changes", "chain-disturbed")
	require.Equal(t, model.Within, b.build().Check("chain-slack").Verdict)
	b.hear(phone)
	b.now = phone.now
	c := b.build().Check("chain-slack")
	require.Equal(t, model.Stale, c.Verdict)
	require.Equal(t, "dr-03", c.Cause.Task)
	require.EqualValues(t, 60, b.build().Hours.Logged, "the clock stopped once")

	b.later(time.Hour)
	b.do("strike", "entry", on.String(), "reason", "another day")
	require.Equal(t, model.Stale, b.build().Check("chain-slack").Verdict)
	require.Zero(t, b.build().Hours.Logged)
}
