package model_test

import (
	"strconv"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

func (b *bench) walk(person string) *model.Walk {
	b.t.Helper()
	w, ok := b.build().Walk("commissioning", b.now, person)
	require.True(b.t, ok)
	return w
}

// answer takes an item of the kart's list as it should be.
func (b *bench) answer(check string) {
	b.t.Helper()
	c := b.build().Check(check)
	pairs := []string{"check", check, "sure", "yes"}
	if c.Witness() {
		pairs = append(pairs, "witness", "Ina")
	}
	if c.Kind != model.Measurement {
		b.do("read", append(pairs, "value", "yes", "seen", "as drawn")...)
		return
	}
	n := max(c.Want, 1)
	pass := "0.2"
	if c.ExamplePass != nil {
		pass = strconv.FormatFloat(*c.ExamplePass, 'f', -1, 64)
	}
	b.do("read", append(pairs, "value", strings.Repeat(pass+" ", n))...)
}

// The place follows from the logbook; a chunk closes with a named release, in
// turn, and never with an item open.
func TestWalk(t *testing.T) {
	b := start(t, kart)
	w := b.walk("builder")
	require.Equal(t, "dead-pass-kart", w.Step.ID)
	require.False(t, w.Chunk.Released != nil || w.Break != "")
	require.NotEmpty(t, w.Step.Needs(), "what it stands on is not taken")
	_, err := b.try("release", "point", "stand")
	require.ErrorContains(t, err, `stays shut: A. Dead tests and first live is not released`)
	for _, id := range []string{"dead-pass-kart", "precharge-kart"} {
		b.answer(id)
	}
	require.Equal(t, "limit-kart", b.walk("builder").Step.ID)
	_, err = b.try("release", "point", "dead-and-live")
	require.ErrorContains(t, err, "stays shut: limit-kart is not taken")
	b.answer("limit-kart")
	w = b.walk("builder")
	require.Nil(t, w.Step, "the chunk wants its release")
	require.Equal(t, "dead-and-live", w.Chunk.ID)
	_, err = b.try("release", "point", "dead-and-live", "witness", "Buil der")
	require.ErrorContains(t, err, "a witness is another person")
	b.do("release", "point", "dead-and-live", "witness", "Ina", "note", "builder, 8:00, kart seen")
	w = b.walk("builder")
	require.Equal(t, "direction-kart", w.Step.ID)
	require.Equal(t, []string{"builder"}, w.Chunks[0].Performed)
	require.Equal(t, "Ina", w.Chunks[0].Released.Release.Witness)

	// A change makes an item of a released chunk stale: the list goes back to it,
	// and wants the release again once it was taken.
	b.later(time.Minute)
	b.do("change", "changes", "controller-limits")
	w = b.walk("builder")
	require.Equal(t, "limit-kart", w.Step.ID)
	require.Nil(t, w.Chunks[0].Released)
	b.later(time.Minute)
	b.answer("limit-kart")
	require.Nil(t, b.walk("builder").Step)
	b.do("release", "point", "dead-and-live")
	require.Equal(t, "direction-kart", b.walk("builder").Step.ID)
}

// After 5 minutes, or another person's entry, the last item is looked at again;
// where the machine is live the list goes back to the last hold point, and all
// from there on is taken again.
func TestWalkIsLeft(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "dead-at-controller", "value", "0.4", "before", "12.6", "after", "12.6")
	b.do("read", "check", "visual-pass", "value", "yes", "seen", "nothing loose")
	b.later(5 * time.Minute)
	require.Empty(t, b.walk("builder").Break)
	_, err := b.try("resume", "list", "commissioning")
	require.ErrorContains(t, err, "was not left")
	b.later(time.Second)
	w := b.walk("builder")
	require.Equal(t, "nothing was written on this list for 5 minutes", w.Break)
	require.Equal(t, "visual-pass", w.From.ID)
	require.False(t, w.Again)
	b.do("resume", "list", "commissioning")
	require.Empty(t, b.walk("builder").Break)
	require.Equal(t, "marks-unbroken", b.walk("builder").Step.ID)
	require.Equal(t, "the last item is by builder", b.walk("Kim").Break)
	b.do("note", "text", "who moved the lamp?", "by", "Kim")
	require.Equal(t, "Kim has written in this logbook since", b.walk("builder").Break)

	k := start(t, kart)
	k.answer("dead-pass-kart")
	k.answer("precharge-kart")
	k.later(6 * time.Minute)
	w = k.walk("builder")
	require.True(t, w.Again && w.Chunk.Live)
	require.Equal(t, "precharge-kart", w.From.ID)
	k.answer("limit-kart")
	require.Nil(t, k.walk("builder").Step)
	k.later(6 * time.Minute)
	_, err = k.try("release", "point", "dead-and-live")
	require.ErrorContains(t, err, "look at limit-kart again first")
	k.do("resume", "list", "commissioning")
	require.Equal(t, "limit-kart", k.walk("builder").Step.ID, "it is taken again")
	_, err = k.try("release", "point", "dead-and-live")
	require.ErrorContains(t, err, "limit-kart is to be taken again")
	k.later(time.Second)
	k.answer("limit-kart")
	k.do("release", "point", "dead-and-live")
	require.NotNil(t, k.walk("builder").Chunks[0].Released)
}

// A release cites the limits in force: another limit, another value behind it,
// another reading, and it no longer stands and says why.
func TestReleaseCites(t *testing.T) {
	b := start(t, kart)
	b.answer("limit-kart")
	b.do("release", "point", "limit-kart", "witness", "Ina")
	r := b.build().Releases[0]
	require.Equal(t, []string{"limit-kart max 180 A"}, r.Limits)
	require.Len(t, r.On, 1)
	require.NotNil(t, b.build().Check("limit-kart").Released)
	b.do("limit", "check", "limit-kart", "max", "170", "note", "cable")
	require.Nil(t, b.build().Check("limit-kart").Released)
	require.Equal(t, []string{"limit-kart: limit then max 180 A, now max 170 A"}, b.build().Releases[0].Changed)
	b.do("limit", "check", "limit-kart", "max", "180", "note", "cable looked up again")
	require.NotNil(t, b.build().Check("limit-kart").Released)
	b.later(time.Minute)
	b.answer("limit-kart")
	require.Equal(t, []string{"limit-kart: taken again since"}, b.build().Releases[0].Changed)
}

// What was out of limits is measured again, whoever eases the limit afterwards.
func TestEasedLimitIsNoPass(t *testing.T) {
	b := start(t, kart)
	b.do("read", "check", "limit-kart", "value", "260")
	b.do("limit", "check", "limit-kart", "max", "300", "note", "another controller")
	c := b.build().Check("limit-kart")
	require.Equal(t, model.Out, c.Verdict)
	require.True(t, c.Current.Kept)
	require.Contains(t, c.Why(), "not measured again since the limit changed")
	require.True(t, finding(b.build(), model.FindingOut).Open)
	b.later(time.Minute)
	b.do("read", "check", "limit-kart", "value", "260")
	require.True(t, b.build().Check("limit-kart").Cleared())
}

// Prove, test, prove: all three are there, and the tester showed the known
// source both times, or the reading does not open the hold.
func TestProof(t *testing.T) {
	b := start(t, hub)
	_, err := b.try("read", "check", "dead-at-controller", "value", "0.4", "before", "12.6")
	require.ErrorContains(t, err, "after is missing: want what the tester shows on a known source after the test, in V")
	_, err = b.try("read", "check", "iso-harness", "value", "6M", "before", "1")
	require.ErrorContains(t, err, `before "1": is only asked for where a tester is proved`)
	b.do("read", "check", "dead-at-controller", "value", "0.4", "before", "12.6", "after", "0.1")
	c := b.build().Check("dead-at-controller")
	require.Equal(t, model.NotShown, c.Verdict)
	require.Equal(t, "not shown: the tester did not show the known source", c.Why())
	b.later(time.Minute)
	b.do("read", "check", "dead-at-controller", "value", "0.4", "before", "12.6", "after", "12.55 V")
	require.True(t, b.build().Check("dead-at-controller").Cleared())
	require.Equal(t, []float64{12.6, 12.55}, b.build().Check("dead-at-controller").Current.ProofValues())
	// Written by a version that did not ask.
	b.later(time.Minute)
	b.writeOn(&model.Reading{At: model.WhenOf(b.now), Check: "dead-at-controller", Values: []int64{4}, Exp: -1, Unit: "V"})
	require.Equal(t, model.Incomplete, b.build().Check("dead-at-controller").Verdict)
}

func (b *bench) writeOn(body model.Body) { b.store([]model.Draft{{Build: b.id, Body: body}}) }

// A value 8 times what is expected, or an eighth, is read back before it is
// written: N3 of the requirements. What is expected, in order: middle of a
// two-sided limit, the machine's own last reading, the plan's example.
func TestReadBack(t *testing.T) {
	for _, tt := range []struct{ check, value, want string }{
		{"pressures", "200 25.1", ""}, // middle of 150 to 250 kPa
		{"pressures", "200 25", "expected about 200 kPa (the middle of the limit); point rear, 25 kPa, is 1/8 of that"},
		{"pressures", "1600 200", "point front, 1600 kPa, is 8 times that"},
		{"pressures", "1599 200", ""},
		{"iso-harness", "54M", ""}, // the plan's example is 6.8 Mohm
		{"iso-harness", "55M", "expected about 6.80 Mohm (the plan's example); 55 Mohm is 8.1 times that"},
		{"iso-harness", "680k", "680 kohm is 1/10 of that"},
		{"frame-offset", "0", ""}, // no slip makes a zero
	} {
		b := start(t, hub)
		_, err := b.try("read", "check", tt.check, "value", tt.value)
		if tt.want == "" {
			require.NoError(t, err, "%s %s", tt.check, tt.value)
			continue
		}
		require.ErrorContains(t, err, tt.want)
		b.do("read", "check", tt.check, "value", tt.value, "sure", "yes")
	}
	b := start(t, hub)
	b.do("read", "check", "iso-harness", "value", "50M")
	b.later(time.Minute)
	b.do("read", "check", "iso-harness", "value", "390M")
	b.later(time.Minute)
	_, err := b.try("read", "check", "iso-harness", "value", "39M")
	require.ErrorContains(t, err, "the reading of 1 Sep 2026")
}

// Two names that differ in case and spaces alone are one person.
func TestConcessionTwoPeople(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "arm-margin", "value", "2.8")
	for _, name := range []string{"builder", " BUILDER ", "Buil der"} {
		_, err := b.try("concede", "check", "arm-margin", "reason", "held", "second", name)
		require.ErrorContains(t, err, "is the first name too")
	}
	b.do("concede", "check", "arm-margin", "reason", "held", "second", "Ina")
}

// By hand: the slopes between the six pairs of 1, 2, 3, 10 at months 0 to 3 are
// 1, 1, 7, 1, 4, 3; their median is 2. The rests 1, 0, -1, 4 have the median 0.5.
// The line meets 20 after (20 - 0.5) / 2 = 9.75 months.
func TestTrend(t *testing.T) {
	c := &model.Check{PlanCheck: model.PlanCheck{Kind: model.Measurement}, Max: &model.Side{Value: 20}}
	const month = 365.25 / 12 * 86400
	var s []model.TrendPoint
	for i, v := range []float64{1, 2, 3, 10} {
		s = append(s, model.TrendPoint{At: model.When{Unix: 1_800_000_000 + int64(float64(i)*month)}, Value: v})
		if i == 1 {
			_, ok := c.TrendOf(s)
			require.False(t, ok, "two readings make no trend")
		}
	}
	tr, ok := c.TrendOf(s)
	require.True(t, ok)
	require.InDelta(t, 2, tr.Slope, 1e-6)
	require.InDelta(t, 9.75, float64(tr.Reaches.Unix-1_800_000_000)/month, 1e-4)
	require.True(t, tr.Near)
	c.Max.Value = 200
	tr, _ = c.TrendOf(s)
	require.False(t, tr.Near, "far beyond what the readings span")
	c.Max, c.Min = nil, &model.Side{Value: 0}
	tr, _ = c.TrendOf(s)
	require.Nil(t, tr.Side, "it runs away from the limit")
}

// The spread of the groups over time is that of every reading of the groups.
func TestSeriesOfSpread(t *testing.T) {
	b := start(t, hub)
	b.do("spec", "name", "cells_series", "value", "3")
	for _, v := range []string{"3.700 3.705 3.70", "3.700 3.710 3.70", "3.700 3.715 3.70"} {
		b.later(30 * 24 * time.Hour)
		b.do("read", "check", "group-volts", "value", v)
	}
	c := b.build().Check("group-spread")
	s := b.build().Series(c)
	require.Len(t, s, 3)
	require.InDelta(t, 15, s[2].Value, 1e-9)
	tr, ok := c.TrendOf(s)
	require.True(t, ok)
	require.InDelta(t, 5*365.25/12/30, tr.Slope, 1e-6)
	require.True(t, tr.Near)
	require.False(t, s[2].Reading.TypedLater())
	b.do("read", "check", "group-volts", "value", "3.7 3.7 3.7", "at", b.now.Add(-61*time.Minute).Format(time.RFC3339))
	require.True(t, b.build().Series(c)[2].Reading.TypedLater())
}

func TestWouldStaleBy(t *testing.T) {
	b := start(t, hub)
	b.do("read", "check", "motor-iso", "value", "55M")
	b.do("read", "check", "halls-toggle", "value", "yes")
	var ids []string
	for _, c := range b.build().WouldStaleBy("motor-leads") {
		ids = append(ids, c.ID)
	}
	b.later(time.Minute)
	b.do("change", "changes", "motor-leads")
	var stale []string
	for _, c := range b.build().Stale() {
		stale = append(stale, c.ID)
	}
	require.Equal(t, ids, stale)
	require.Equal(t, []string{"halls-toggle", "motor-iso"}, ids)
	require.Empty(t, b.build().WouldStaleBy("motor-leads"))
}

// Every hazard of the plans has a severity, and its word is that of ANSI Z535.4
// (from memory): will, could, minor or moderate, property.
func TestSeverities(t *testing.T) {
	for _, p := range plan.List() {
		for _, task := range p.Tasks {
			for _, h := range task.Hazards {
				_, known := model.SeverityOf(h, task.Strict)
				require.True(t, known, "%s: %q", task.ID, h)
			}
		}
	}
	for hazard, want := range map[string][2]string{
		"shock >60 V DC": {"WARNING", "DANGER"}, "mains": {"WARNING", "DANGER"}, "arc": {"WARNING", "WARNING"},
		"pinch": {"CAUTION", "CAUTION"}, "damage to parts": {"NOTICE", "NOTICE"}, "unheard of": {"WARNING", "WARNING"},
	} {
		for i, live := range []bool{false, true} {
			s, _ := model.SeverityOf(hazard, live)
			require.Equal(t, want[i], s.Word(), hazard)
		}
	}
}
