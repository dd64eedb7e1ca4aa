package pages_test

import (
	"net/url"
	"strings"
	"testing"

	"ampwright/model"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

const walked = "/walk/commissioning"

// send fills in the form of an item as it is shown, and sends it.
func (g *garage) send(item string, values url.Values) (status int, doc *html.Node, to string) {
	g.t.Helper()
	forms := find(g.page(g.at+walked+"/"+item), "form.stepform")
	require.Len(g.t, forms, 1, item)
	once, _ := attr(find(forms[0], "input[name=once]")[0], "value")
	values.Set("once", once)
	action, _ := attr(forms[0], "action")
	resp := g.post(action, values)
	if resp.Status == 303 {
		to = resp.Location
	} else {
		doc = parse(g.t, resp.Body)
	}
	return resp.Status, doc, to
}

var proved = url.Values{"before": {"12.6"}, "value": {"0.4"}, "after": {"12.5"}}

// An item asks for what was measured with three boxes where the tester is proved,
// none filled in beforehand; a double tap records once; the list goes on.
func TestWalkStep(t *testing.T) {
	g := heron(t)
	require.Equal(t, g.at+walked+"/dead-at-controller", g.get(g.at+walked+"/next").Location)
	doc := g.page(g.at + walked + "/dead-at-controller")
	require.Len(t, find(doc, "a.makesafe"), 1)
	require.Contains(t, texts(t, doc, "#stop"), "Pull the disconnect")
	boxes := find(doc, ".field input")
	require.Len(t, boxes, 3)
	for _, b := range boxes {
		value, _ := attr(b, "value")
		require.Empty(t, value, "a measured field is never filled in")
		mode, _ := attr(b, "inputmode")
		require.Equal(t, "decimal", mode)
	}
	require.Contains(t, texts(t, doc, ".word"), "WARNING shock >60 V DC")
	status, doc, _ := g.send("dead-at-controller", url.Values{"before": {"12.6"}, "value": {"0.4"}, "after": {""}})
	require.Equal(t, 422, status)
	require.Contains(t, texts(t, doc, "[role=alert]"), "known source after the test")
	require.Contains(t, string(g.post(g.at+walked+"/dead-at-controller", url.Values{"value": {"0.4 A"}, "once": {"q"}}).Body), "0.4 A", "what was typed stays")

	before := g.entries()
	form := url.Values{"once": {"tap"}}
	for k, v := range proved {
		form[k] = v
	}
	first := g.post(g.at+walked+"/dead-at-controller", form)
	require.Equal(t, 303, first.Status)
	require.Equal(t, first, g.post(g.at+walked+"/dead-at-controller", form))
	require.Equal(t, before+1, g.entries())
	require.True(t, strings.HasPrefix(g.get(first.Location).Location, g.at+walked+"/visual-pass?done="))

	// A state that was seen is typed, not nodded at.
	status, doc, _ = g.send("visual-pass", url.Values{"value": {"yes"}})
	require.Equal(t, 422, status)
	require.Contains(t, texts(t, doc, "[role=alert]"), "type what was seen")
	status, _, _ = g.send("visual-pass", url.Values{"value": {"yes"}, "seen": {"nothing loose"}})
	require.Equal(t, 303, status)

	// What it stands on is missing: it says which, leads there, and has no box.
	doc = g.page(g.at + walked + "/marks-unbroken")
	require.Contains(t, texts(t, doc, "main"), "stud-torque: not taken")
	require.Empty(t, find(doc, "form.stepform"))
	to := ""
	for _, a := range find(doc, "main li a") {
		if href, _ := attr(a, "href"); href == g.at+"/check/stud-torque" {
			to = href
		}
	}
	require.NotEmpty(t, to)
	// Out of turn, or in a chunk that is shut: the same.
	require.Contains(t, texts(t, g.page(g.at+walked+"/pressures"), "main"), "not yet: step 3 comes first")
	require.Contains(t, texts(t, g.page(g.at+walked+"/iso-harness"), "main"), "A. Dead tests: mechanical and wiring comes first")
}

// A value far from what is expected is read back and asked again; another value
// typed instead is not taken on that yes.
func TestWalkReadsBack(t *testing.T) {
	g := heron(t)
	far := url.Values{"before": {"12.6"}, "value": {"61"}, "after": {"12.5"}}
	status, doc, _ := g.send("dead-at-controller", far)
	require.Equal(t, 422, status)
	require.Contains(t, texts(t, doc, ".word.caution"), "61 V is 150 times that: read the instrument again")
	require.Contains(t, texts(t, doc, "footer"), "it does say so")
	far.Set("sure", "yes")
	far.Set("was", "6.1")
	status, _, _ = g.send("dead-at-controller", far)
	require.Equal(t, 422, status, "the yes was for another value")
	far.Set("was", "61")
	status, _, to := g.send("dead-at-controller", far)
	require.Equal(t, 303, status)

	// It is out of limits: the list stays, says what to do, and asks again.
	to = g.get(to).Location
	require.True(t, strings.HasPrefix(to, g.at+walked+"/dead-at-controller?"), to)
	doc = g.page(to)
	require.Contains(t, texts(t, doc, ".broken"), "What to do: find the second source before anything else")
	require.Contains(t, texts(t, doc, ".fail-acts"), "raise a nonconformance")
	require.NotEmpty(t, find(doc, "form.stepform"))
	g.send("dead-at-controller", url.Values{"before": {"12.6"}, "value": {"48"}, "after": {"12.5"}, "sure": {"yes"}, "was": {"48"}})
	doc = g.page(g.at + walked + "/dead-at-controller")
	require.Contains(t, texts(t, doc, "main table"), "reading before now value 61 V 48 V", "side by side")
}

// Points are typed in a column; enter in a column that is not full comes back to
// the next empty box; pasted into one box they are taken as well.
func TestWalkColumn(t *testing.T) {
	g := heron(t)
	for item, v := range map[string]string{"stud-torque": strings.Repeat("9 ", 10), "mount-torque": strings.Repeat("24 ", 4)} {
		require.Equal(t, 303, g.post(g.at+"/write/read", url.Values{"check": {item}, "value": {v}}).Status)
	}
	for _, item := range []string{"chassis-marks-photo", "axle-marks-photo"} {
		require.Equal(t, 303, g.post(g.at+"/write/read", url.Values{"check": {item}, "value": {"photo"}}).Status)
	}
	g.send("dead-at-controller", url.Values{"before": {"12.6"}, "value": {"0.4"}, "after": {"12.5"}})
	g.send("visual-pass", url.Values{"value": {"yes"}, "seen": {"nothing loose"}})
	g.send("marks-unbroken", url.Values{"value": {"yes"}, "seen": {"all lines whole"}})
	before := g.entries()
	status, doc, _ := g.send("pressures", url.Values{"go": {"on"}, "value": {"190", "", ""}})
	require.Equal(t, 422, status)
	require.Contains(t, texts(t, doc, "main"), "1 of 2 typed; nothing is written down before all are")
	require.Empty(t, find(doc, "[role=alert]"))
	require.Len(t, find(doc, ".column input[autofocus]"), 1)
	require.Equal(t, before, g.entries())
	status, _, _ = g.send("pressures", url.Values{"value": {"", "", "190 200"}})
	require.Equal(t, 303, status)
	require.Equal(t, model.Within, g.build().Check("pressures").Verdict)
}

// A release takes a tick and a button; its page shows what is signed.
func TestWalkRelease(t *testing.T) {
	g := fresh(t, "kart-chain")
	at := g.at + walked + "/release/dead-and-live"
	require.Contains(t, texts(t, g.page(at), "main"), "stays shut: dead-pass-kart is not taken")
	read := func(check, value string) {
		require.Equal(t, 303, g.post(g.at+"/write/read", url.Values{"check": {check}, "value": {value}, "sure": {"yes"}}).Status)
	}
	read("dead-pass-kart", "yes")
	read("precharge-kart", "0.97")
	read("limit-kart", "90")
	require.Equal(t, at, g.get(g.at+walked+"/next").Location)
	resp := g.post(at, url.Values{"witness": {"Ina"}, "once": {"a"}})
	require.Equal(t, 422, resp.Status)
	require.Contains(t, texts(t, parse(t, resp.Body), "[role=alert]"), "two taps")
	resp = g.post(at, url.Values{"witness": {"Builder"}, "seen": {"yes"}, "once": {"b"}})
	require.Equal(t, 422, resp.Status)
	require.Contains(t, texts(t, parse(t, resp.Body), "[role=alert]"), "a witness is another person")
	resp = g.post(at, url.Values{"witness": {"Ina"}, "note": {"builder, 19:30, kart"}, "seen": {"yes"}, "once": {"c"}})
	require.Equal(t, 303, resp.Status)
	require.Contains(t, texts(t, g.page(g.at+walked), "main"), "by builder, witnessed by Ina; readings by builder")
	g.post(g.at+"/write/limit", url.Values{"check": {"limit-kart"}, "max": {"170"}, "note": {"cable"}})
	doc := g.page(g.at + walked)
	require.Contains(t, texts(t, doc, "main"), "the release no longer stands: limit-kart: limit then max 180 A, now max 170 A")
}

// The picture of a pack has a sentence, a list with the same, and a word for
// what is out; drifting readings are pointed out with figures and method.
func TestPictures(t *testing.T) {
	g := heron(t)
	doc := g.page(g.at + "/check/tap-step")
	require.Contains(t, texts(t, doc, ".points-picture figcaption"), "20 points, lowest no. 7 3.701 V, highest no. 10 3.714 V, spread 13.0 mV")
	require.Len(t, find(doc, ".points-picture .pt"), 20)
	require.Len(t, find(doc, ".points-picture ol li"), 20)
	require.Contains(t, texts(t, doc, ".points-picture svg"), "lowest")

	for i, v := range []string{"8.0M", "5.0M", "2.0M"} {
		at := []string{"2026-09-01 10:00", "2026-10-01 10:00", "2026-11-01 10:00"}[i]
		require.Equal(t, 303, g.post(g.at+"/write/read", url.Values{"check": {"iso-harness"}, "value": {v}, "at": {at}, "sure": {"yes"}}).Status)
	}
	doc = g.page(g.at + "/check/iso-harness")
	trend := texts(t, doc, "section.trend")
	require.Contains(t, trend, "drifting: inside the limit, but on the way to it: down by 2.99 Mohm a month")
	require.Contains(t, trend, "P. K. Sen 1968")
	require.Contains(t, trend, "promises nothing")
	require.Len(t, find(doc, "section.trend table tr"), 4)
	require.Contains(t, texts(t, doc, "#readings"), "typed later")
}

// A list on paper has a blank for every point, its limit and the name of the
// record.
func TestPaper(t *testing.T) {
	g := heron(t)
	doc := g.page(g.at + walked + "/paper")
	rows := find(doc, ".paper-list li")
	require.Len(t, rows, 59)
	require.Contains(t, text(rows[0]), "commissioning/1/dead-at-controller")
	require.Contains(t, text(rows[0]), "less than 5.00 V")
	require.Len(t, find(rows[0], ".paper-blanks i"), 3)
	require.Len(t, find(rows[13], ".paper-blanks i"), 20)
}

// A change's form names the readings it would make stale.
func TestChangeNamesStale(t *testing.T) {
	g := heron(t)
	require.Contains(t, texts(t, g.page(g.at+"/write/change"), "main"), "makes stale: motor-iso")
}
