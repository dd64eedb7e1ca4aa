package model_test

import (
	"testing"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// Two things shut a hold, and each of two devices strikes out one of them: both
// still see it shut, and so it stays when they meet, until somebody measures again.
func TestStruckOutApart(t *testing.T) {
	limit := func(b *bench) *model.Check { return b.build().Check("limit-kart") }
	for name, shut := range map[string]func(*bench) (one, other model.ID){
		"two changes": func(b *bench) (model.ID, model.ID) {
			one := b.do("change", "changes", "controller-limits")
			return one, b.do("change", "changes", "controller-limits")
		},
		"a change and a reading": func(b *bench) (model.ID, model.ID) {
			one := b.do("change", "changes", "controller-limits")
			b.later(time.Minute)
			return one, b.do("read", "check", "limit-kart", "value", "900", "sure", "yes")
		},
		"a change and an input": func(b *bench) (model.ID, model.ID) {
			one := b.do("change", "changes", "controller-limits")
			return one, b.do("spec", "name", "batt_peak_A", "value", "170")
		},
		"a change and a limit": func(b *bench) (model.ID, model.ID) {
			one := b.do("change", "changes", "controller-limits")
			return one, b.do("limit", "check", "limit-kart", "max", "50", "note", "manual")
		},
	} {
		t.Run(name, func(t *testing.T) {
			b := start(t, kart)
			b.do("read", "check", "limit-kart", "value", "90")
			require.True(t, limit(b).Cleared())
			b.later(time.Minute)
			one, other := shut(b)
			b.later(time.Minute)
			phone := b.join(2)
			b.do("strike", "entry", one.String(), "reason", "not so")
			phone.do("strike", "entry", other.String(), "reason", "not so")
			require.False(t, limit(b).Cleared() || limit(phone).Cleared())
			meet(b, phone)
			require.Equal(t, "stale: struck out on two devices, each without the other, was what had shut it", limit(b).Why())
			require.Equal(t, limit(b).Why(), limit(phone).Why())

			b.later(time.Minute)
			b.do("read", "check", "limit-kart", "value", "40")
			require.True(t, limit(b).Cleared())
		})
	}
}

// A reading that is typed later than the change it was taken before was shut on its
// device: striking out the change on another opens nothing either.
func TestTypedLaterApart(t *testing.T) {
	b := start(t, kart)
	before := b.now.Format(time.RFC3339)
	b.later(time.Hour)
	change := b.do("change", "changes", "controller-limits")
	phone := b.join(2)
	phone.do("read", "check", "limit-kart", "value", "90", "at", before)
	require.False(t, phone.build().Check("limit-kart").Cleared())
	b.do("strike", "entry", change.String(), "reason", "not so")
	meet(b, phone)
	require.False(t, b.build().Check("limit-kart").Cleared())
	b.later(time.Minute)
	b.do("read", "check", "limit-kart", "value", "90")
	require.True(t, b.build().Check("limit-kart").Cleared())
}

// An input that was changed stays changed when another device strikes out the value
// it had before.
func TestStruckOutBefore(t *testing.T) {
	b := start(t, kart)
	was := b.do("spec", "name", "batt_peak_A", "value", "170")
	b.later(time.Minute)
	b.do("read", "check", "limit-kart", "value", "90")
	phone := b.join(2)
	b.later(time.Minute)
	b.do("spec", "name", "batt_peak_A", "value", "180") // the plan's own
	phone.do("strike", "entry", was.String(), "reason", "not so")
	require.False(t, b.build().Check("limit-kart").Cleared())
	meet(b, phone)
	require.Equal(t, model.Stale, b.build().Check("limit-kart").Verdict)
}

// One device strikes out a limit, the other writes over it: the reading that is out
// by what was before stays shut.
func TestStruckOutBelow(t *testing.T) {
	b := start(t, kart)
	was := b.do("limit", "check", "limit-kart", "max", "200", "note", "manual")
	b.later(time.Minute)
	phone := b.join(2)
	b.do("limit", "check", "limit-kart", "max", "210", "note", "manual, page 2")
	phone.later(time.Minute)
	phone.do("read", "check", "limit-kart", "value", "190")
	phone.later(time.Minute)
	phone.do("strike", "entry", was.String(), "reason", "not so")
	require.Equal(t, model.Out, phone.build().Check("limit-kart").Verdict, "by the plan's 180 A")
	meet(b, phone)
	require.Equal(t, model.Stale, b.build().Check("limit-kart").Verdict)
}

// A criterion is signed exactly and read rounded.
func TestCriterionText(t *testing.T) {
	for in, want := range map[string]string{
		"energy-per-km max 38.7946666667 Wh/km": "energy-per-km max 38.8 Wh/km",
		"motor-iso min 42000 ohm":               "motor-iso min 42.0 kohm",
		"level min 0.95 max 1.05 ratio":         "level min 0.950 max 1.05",
		"as drawn":                              "as drawn",
		"what max this V":                       "what max this V",
		"visual-pass  V":                        "visual-pass  V",
		"":                                      "",
	} {
		require.Equal(t, want, model.CriterionText(in, unit.Style{}), in)
	}
	require.Equal(t, "motor-iso min 42,0 kohm", model.CriterionText("motor-iso min 42000 ohm", unit.Style{Mark: unit.Comma}))
}

// What was let in again on one device stands against what was taken away on another.
func TestLetInApart(t *testing.T) {
	// lost returns a bench and what it holds of a phone that was struck off.
	const phone = "00000000-0000-0000-0000-000000000002"
	lost := func(t *testing.T, write func(phone *bench)) (b, third *bench) {
		b = start(t, kart)
		off := b.join(2)
		b.hear(off)
		b.do("strike-off", "device", phone, "reason", "lost", "upto", "none")
		write(off)
		b.hear(off)
		b.later(time.Minute)
		third = b.join(3)
		third.hear(off)
		return b, third
	}
	limit := func(b *bench) *model.Check { return b.build().Check("limit-kart") }

	t.Run("a reading, and the change that had shut it", func(t *testing.T) {
		b, third := lost(t, func(phone *bench) { phone.do("read", "check", "limit-kart", "value", "90") })
		change := b.do("change", "changes", "controller-limits")
		third.hear(b)
		third.do("let-in", "device", phone, "reason", "it was us")
		b.do("strike", "entry", change.String(), "reason", "not so")
		require.False(t, limit(b).Cleared())
		require.False(t, limit(third).Cleared(), limit(third).Why())
		meet(b, third)
		require.False(t, limit(b).Cleared(), limit(b).Why())
	})
	t.Run("a reading, and one that stood in its place", func(t *testing.T) {
		b, third := lost(t, func(phone *bench) { phone.do("read", "check", "limit-kart", "value", "90") })
		out := b.do("read", "check", "limit-kart", "value", "900", "sure", "yes")
		third.hear(b)
		third.do("let-in", "device", phone, "reason", "it was us")
		b.do("strike", "entry", out.String(), "reason", "misread")
		require.False(t, limit(b).Cleared())
		require.False(t, limit(third).Cleared(), limit(third).Why())
		meet(b, third)
		require.False(t, limit(b).Cleared(), limit(b).Why())
	})
	t.Run("a change, out again, and a reading that is typed later", func(t *testing.T) {
		b, third := lost(t, func(phone *bench) { phone.later(time.Hour); phone.do("change", "changes", "controller-limits") })
		in := b.do("let-in", "device", phone, "reason", "it was us")
		third.hear(b)
		before := b.now.Format(time.RFC3339)
		b.later(2 * time.Hour)
		third.later(2 * time.Hour)
		third.do("read", "check", "limit-kart", "value", "90", "at", before)
		b.do("strike", "entry", in.String(), "reason", "it was not")
		require.False(t, limit(b).Cleared())
		require.False(t, limit(third).Cleared(), limit(third).Why())
		meet(b, third)
		require.False(t, limit(b).Cleared(), limit(b).Why())
		b.later(time.Minute)
		b.do("read", "check", "limit-kart", "value", "90")
		require.True(t, limit(b).Cleared())
	})
	for what, pairs := range map[string][]string{
		"limit": {"limit", "check", "limit-kart", "max", "80", "note", "manual"}, "input": {"spec", "name", "batt_peak_A", "value", "80"},
	} {
		t.Run(what+" that was struck out while it was held", func(t *testing.T) {
			var id model.ID
			b, third := lost(t, func(phone *bench) { id = phone.do(pairs[0], pairs[1:]...) })
			third.do("read", "check", "limit-kart", "value", "90")
			require.True(t, limit(third).Cleared())
			b.do("strike", "entry", id.String(), "reason", "not so")
			third.later(5 * time.Minute)
			third.do("let-in", "device", phone, "reason", "it was us")
			b.later(5 * time.Minute)
			require.False(t, limit(b).Cleared())
			require.False(t, limit(third).Cleared(), limit(third).Why())
			meet(b, third)
			require.False(t, limit(b).Cleared(), limit(b).Why())
		})
	}
	t.Run("a limit, let in on both and out again on one", func(t *testing.T) {
		b, third := lost(t, func(phone *bench) { phone.do("limit", "check", "limit-kart", "max", "200", "note", "manual") })
		in := b.do("let-in", "device", phone, "reason", "it was us")
		third.do("let-in", "device", phone, "reason", "it was us")
		b.later(time.Minute)
		b.do("read", "check", "limit-kart", "value", "190")
		b.later(time.Minute)
		b.do("strike", "entry", in.String(), "reason", "it was not")
		require.False(t, limit(third).Cleared())
		require.False(t, limit(b).Cleared(), limit(b).Why())
		meet(b, third)
		require.False(t, limit(b).Cleared(), limit(b).Why())
	})
	t.Run("an input, and another", func(t *testing.T) {
		b, third := lost(t, func(phone *bench) { phone.do("spec", "name", "batt_peak_A", "value", "80") })
		third.do("read", "check", "limit-kart", "value", "90")
		require.True(t, limit(third).Cleared())
		third.later(time.Minute)
		third.do("let-in", "device", phone, "reason", "it was us")
		b.later(time.Hour)
		b.do("spec", "name", "batt_peak_A", "value", "180") // the plan's own
		require.False(t, limit(b).Cleared())
		require.False(t, limit(third).Cleared(), limit(third).Why())
		meet(b, third)
		require.False(t, limit(b).Cleared(), limit(b).Why())
	})
	t.Run("an input that was struck out, and another", func(t *testing.T) {
		b := start(t, kart)
		was := b.do("spec", "name", "batt_peak_A", "value", "80")
		strike := b.do("strike", "entry", was.String(), "reason", "not so")
		b.later(time.Minute)
		third := b.join(3)
		third.do("read", "check", "limit-kart", "value", "90")
		require.True(t, limit(third).Cleared())
		third.later(time.Minute)
		third.do("strike", "entry", strike.String(), "reason", "it was so")
		b.later(time.Hour)
		b.do("spec", "name", "batt_peak_A", "value", "180")
		require.False(t, limit(b).Cleared())
		require.False(t, limit(third).Cleared(), limit(third).Why())
		meet(b, third)
		require.False(t, limit(b).Cleared(), limit(b).Why())
	})
}
