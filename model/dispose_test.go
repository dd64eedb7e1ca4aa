package model_test

import (
	"strings"
	"testing"
	"time"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// Entries hold a disposition as words; what earlier versions wrote reads the same.
func TestDispositionOf(t *testing.T) {
	for text, want := range map[string][2]string{
		"":                                 {"", ""},
		"rework":                           {"rework", ""},
		"rework: true the wheel in chs-07": {"rework", "true the wheel in chs-07"},
		"Repair - sleeve, radius the slot": {"repair", "- sleeve, radius the slot"},
		"concession, see the drawing":      {"concession", "see the drawing"},
		"scrap":                            {"scrap", ""},
		"wait for the motor's maker":       {"", "wait for the motor's maker"},
		"rework: rework the plug, and look again": {"rework", "rework the plug, and look again"},
	} {
		word, how := model.DispositionOf(text)
		require.Equal(t, want, [2]string{word, how}, text)
	}
}

// Each disposition asks for what its word means, where one is opened.
func TestRaiseAsks(t *testing.T) {
	b := start(t, kart)
	b.do("read", "check", "chain-offset", "value", "1.4 mm")
	for _, tt := range []struct{ values, want string }{
		{"disposition=rework", "changes is missing: rework asks first what it will change, and so make stale: want kinds of change, or none"},
		{"disposition=repair: shim", "changes is missing: repair asks first what it will change, and so make stale: want kinds of change, or none"},
		{"disposition=rework|changes=chain-off", `changes "chain-off": is not a kind of change; there is chain-disturbed; or none`},
		{"disposition=scrap", "replacement is missing: scrap asks what takes its place; none, if nothing does"},
		{"disposition=concession", "how is missing: a concession asks for its reason; second is missing: a concession is signed by two people: want the name of the second"},
		{"disposition=concession|how=runs true|second= Builder", `second "Builder": is the first name too: a concession is signed by two people`},
		{"disposition=rework|changes=none|replacement=x", `replacement "x": is asked for where something is scrapped`},
		{"disposition=scrap|replacement=x|second=Ina", `second "Ina": is asked for where a concession is signed`},
		{"how=turned over", "disposition is missing: want one of rework, repair, scrap, concession with what is done"},
		{"disposition=regrade", `disposition "regrade": want one of rework, repair, scrap, concession`},
	} {
		pairs := []string{"text", "out of line", "check", "chain-offset"}
		for _, p := range strings.Split(tt.values, "|") {
			k, v, _ := strings.Cut(p, "=")
			pairs = append(pairs, k, v)
		}
		_, err := b.try("raise", pairs...)
		require.EqualError(t, err, tt.want, tt.values)
	}
	b.do("raise", "text", "not decided yet")
	b.do("raise", "text", "sprocket bent", "disposition", "scrap", "how", "cut through", "replacement", "one with 14 teeth")
	n := b.build().NCRs[1]
	require.Equal(t, "scrap: cut through", n.Disposition)
	require.Equal(t, "one with 14 teeth", n.Replacement)
}

// Rework is closed with a retest, and not before what it was to change is logged:
// that is what makes readings stale.
func TestCloseRework(t *testing.T) {
	b := start(t, kart)
	b.do("read", "check", "chain-slack", "value", "9 mm")
	b.do("read", "check", "chain-offset", "value", "1.4 mm")
	b.later(time.Minute)
	b.do("raise", "text", "out of line", "check", "chain-offset", "disposition", "rework", "how", "plate shimmed", "changes", "chain-disturbed")
	n := b.build().NCRs[0]
	require.Equal(t, []string{"chain-disturbed"}, n.Changes)
	require.Equal(t, "rework: plate shimmed", n.Disposition)
	b.later(time.Hour)
	refuses(t, b, "retest is missing: rework asks for a retest: read chain-offset again first", "close", "item", "NC-1", "evidence", "shimmed")
	b.do("read", "check", "chain-offset", "value", "1.2 mm")
	refuses(t, b, "rework asks for a retest: chain-offset is out of limits", "close", "item", "NC-1", "evidence", "shimmed")
	b.later(time.Hour)
	b.do("read", "check", "chain-offset", "value", "0.3 mm")
	refuses(t, b, "unchanged is missing: chain-disturbed was to be changed by it, and nobody has logged that since", "close", "item", "NC-1", "evidence", "shimmed")
	b.later(time.Hour)
	b.do("change", "changes", "chain-disturbed")
	require.Equal(t, model.Stale, b.build().Check("chain-slack").Verdict)
	refuses(t, b, "rework asks for a retest: chain-offset is stale", "close", "item", "NC-1", "evidence", "shimmed")
	b.later(time.Hour)
	b.do("read", "check", "chain-offset", "value", "0.4 mm")
	b.do("close", "item", "NC-1", "evidence", "shimmed")
	require.Equal(t, "shimmed; retest chain-offset 0.4 mm", b.build().NCRs[0].Closed.Evidence)

	// Without a change, and with a retest that another device holds.
	b.later(time.Hour)
	b.do("read", "check", "pad-thickness", "value", "2 mm")
	b.do("raise", "text", "pads thin", "check", "pad-thickness", "disposition", "rework", "changes", "brake-opened")
	b.later(time.Hour)
	b.do("close", "item", "NC-2", "evidence", "new pads", "unchanged", "yes", "elsewhere", "yes")
	require.Equal(t, "new pads; retest of pad-thickness on another device", b.build().NCRs[1].Closed.Evidence)
}

// A concession is signed by two people, whether it is decided when the
// nonconformance is raised or when it is closed; it signs the check's too.
func TestCloseConcession(t *testing.T) {
	b := start(t, kart)
	b.do("read", "check", "chain-offset", "value", "1.4 mm")
	b.later(time.Minute)
	b.do("raise", "text", "out of line", "check", "chain-offset", "disposition", "concession", "how", "runs quiet", "second", "Ina")
	c := b.build().Check("chain-offset")
	require.Equal(t, model.Conceded, c.Verdict)
	require.Equal(t, "runs quiet", c.Conceded.Reason)
	require.Equal(t, "Ina", c.Conceded.Second)
	b.do("close", "item", "NC-1", "evidence", "signed")

	b.do("raise", "text", "paint scratched")
	refuses(t, b, "a concession is signed by two people", "close", "item", "NC-2", "evidence", "seen", "disposition", "concession", "how", "paint only")
	b.do("close", "item", "NC-2", "evidence", "seen", "disposition", "concession", "how", "paint only", "second", "Ina")
	require.Equal(t, "Ina", b.build().NCRs[1].Closed.Second)

	b.do("raise", "text", "bolt stretched")
	refuses(t, b, "scrap asks what takes its place", "close", "item", "NC-3", "evidence", "in the bin", "disposition", "scrap")
	b.do("close", "item", "NC-3", "evidence", "in the bin", "disposition", "scrap", "replacement", "new bolt 10.9")
	require.Equal(t, "new bolt 10.9", b.build().NCRs[2].Closed.Replacement)
}
