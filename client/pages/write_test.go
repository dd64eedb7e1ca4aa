package pages_test

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// wishes are values that can be written down on the demo as it stands, one set
// for each wish.
var wishes = map[string]url.Values{
	"start":       {"plan": {"kart-chain"}, "title": {"Wren"}, "currency": {"EUR"}, "ceiling": {"900"}},
	"hours":       {"task": {"brk-02"}, "hours": {"2h30"}, "note": {"linings at 2.1 mm"}, "changes": {"none"}},
	"on":          {"task": {"brk-02"}},
	"off":         {"task": {"brk-02"}, "changes": {"none"}},
	"finish":      {"task": {"brk-02"}},
	"reopen":      {"task": {"asm-01"}},
	"drop":        {"task": {"brk-03"}, "note": {"disc wheel"}},
	"read":        {"check": {"iso-pack"}, "value": {"2,9M"}, "instrument": {"insulation tester 250 V"}},
	"change":      {"changes": {"pack-opened"}, "note": {"sensor"}},
	"buy":         {"what": {"grease"}, "amount": {"9.50"}},
	"order":       {"what": {"paint"}, "amount": {"40"}, "promised": {"2026-12-01"}},
	"arrive":      {"order": {"O7"}},
	"promise":     {"order": {"O7"}, "promised": {"2026-12-04"}},
	"pay":         {"order": {"O8"}},
	"sell":        {"what": {"carburettor"}, "amount": {"45"}, "fee": {"3.20"}},
	"refund":      {"of": {"O7"}, "amount": {"10"}},
	"estimate":    {"task": {"brk-02"}, "estimate": {"1/2/4"}},
	"spec":        {"name": {"cells_series"}, "value": {"20"}},
	"limit":       {"check": {"axle-nut-torque"}, "min": {"80"}, "note": {"manual of the axle"}},
	"due":         {"check": {"retorque-moved"}, "km": {"500"}, "note": {"own choice"}},
	"ride":        {"km": {"312.5"}},
	"photo":       {"photo": {strings.Repeat("ab", 32)}, "task": {"brk-02"}, "note": {"left lug"}},
	"note":        {"text": {"left <lug> tacked"}, "task": {"brk-02"}},
	"raise":       {"text": {"scored drum"}, "task": {"brk-02"}},
	"close":       {"item": {"early:elm-01>har-01"}, "evidence": {"drawn again"}, "disposition": {"rework: redrawn"}},
	"punch":       {"class": {"B"}, "text": {"lamp rim rusty"}},
	"concede":     {"check": {"terminal-torque"}, "reason": {"welded, not bolted"}, "second": {"Kim"}},
	"release":     {"point": {"coupon-passed"}, "witness": {"Kim"}},
	"strike":      {"entry": {"baf054a2"}, "reason": {"entered twice"}},
	"sequence":    {"before": {"brk-01"}, "after": {"enc-05"}},
	"add-stage":   {"key": {"seat"}, "title": {"Seat"}},
	"add-task":    {"stage": {"brk"}, "title": {"Turn the drum"}, "estimate": {"1/2/4"}},
	"add-part":    {"task": {"brk-02"}, "title": {"Linings"}, "low": {"20"}, "high": {"35"}},
	"add-check":   {"task": {"brk-02"}, "title": {"Drum roundness"}, "kind": {"measurement"}, "unit": {"mm"}, "max": {"0.1"}},
	"part":        {"part": {"boxes"}, "state": {"here"}},
	"build":       {"ceiling": {"5400"}},
	"settings":    {"mark": {"comma"}},
	"away":        {"from": {"2026-12-24"}, "until": {"2027-01-03"}},
	"shared":      {"what": {"second person"}, "days": {"sat sun"}},
	"for-sale":    {"what": {"engine, complete"}, "low": {"150"}, "high": {"220"}},
	"instrument":  {"name": {"meter 2"}, "accuracy": {"0.5 % + 0.02 V"}},
	"resume":      {"list": {"commissioning"}},
	"name-device": {"device": {"pocket phone"}, "name": {"shed <phone>"}},
	"strike-off":  {"device": {"pocket phone"}, "reason": {"lost on the <train>"}},
	"let-in":      {"entries": {"held"}, "reason": {"it was ours"}},
	"settle":      {"field": {"task/brk-01/estimate"}, "value": {"1/2/3"}},
}

// prepare makes true what a wish of the table needs.
func prepare(t *testing.T, g *garage, wish string, values url.Values) {
	t.Helper()
	do := func(name string, v url.Values) {
		resp := g.post(g.at+"/write/"+name, v)
		require.Equal(t, 303, resp.Status, "%s", resp.Body)
	}
	switch wish {
	case "off":
		do("on", url.Values{"task": {"brk-02"}})
	case "pay":
		do("order", url.Values{"what": {"paint"}, "amount": {"40"}, "unpaid": {"yes"}})
	case "part":
		values.Set("part", g.build().Money.ToBuy[0].ID)
	case "resume":
		do("read", url.Values{"check": {"dead-at-controller"}, "value": {"0.4"}, "before": {"12.6"}, "after": {"12.6"}, "by": {"Kim"}})
	case "settle":
		writtenApart(t, g)
	case "let-in":
		do("strike-off", url.Values{"device": {"pocket phone"}, "reason": {"lost"}, "upto": {"none"}})
		values.Set("entries", heldBack(t, g)[0].Short())
	}
}

// heldBack returns the entries that are held back.
func heldBack(t *testing.T, g *garage) []model.ID {
	t.Helper()
	for _, f := range g.build().Findings {
		if len(f.Held) > 0 {
			return f.Held
		}
	}
	t.Fatal("nothing is held back")
	return nil
}

func TestEveryWishIsWritten(t *testing.T) {
	for _, k := range model.WishKinds() {
		t.Run(k.Name, func(t *testing.T) {
			values := url.Values{}
			for name, v := range wishes[k.Name] {
				values[name] = slices.Clone(v)
			}
			require.NotEmpty(t, values, "the table has no %s", k.Name)
			g := heron(t)
			prepare(t, g, k.Name, values)
			path := g.at + "/write/" + k.Name
			if k.Name == "start" {
				path = "/write/start"
			}
			// The form as it is shown, with the values typed in.
			form := find(g.page(path), "form.ask")[0]
			action, _ := attr(form, "action")
			send := filled(form)
			for name, v := range values {
				require.NotEmpty(t, find(form, "[name="+name+"]"), "the form does not ask for %s", name)
				send[name] = v
			}
			back := g.at + "/findings?x=1#end"
			send.Set("back", back)
			before := g.entries()
			resp := g.post(action, send)
			require.Equal(t, 303, resp.Status, "%s", resp.Body)
			require.Greater(t, g.entries(), before)
			doc := g.page(resp.Location)
			if k.Name == "start" {
				require.NotContains(t, resp.Location, g.at)
				require.Contains(t, texts(t, doc, ".name"), "Wren")
				return
			}
			require.True(t, strings.HasPrefix(resp.Location, g.at+"/findings?done="), resp.Location)
			require.True(t, strings.HasSuffix(resp.Location, "#end"), resp.Location)
			require.Contains(t, texts(t, doc, "[role=status]"), "written down")

			// The same form once more, as a second tap sends it, writes nothing.
			after := g.entries()
			again := g.post(action, send)
			require.Equal(t, resp, again)
			require.Equal(t, after, g.entries())
		})
	}
	require.Len(t, wishes, len(model.WishKinds()))
}

// writtenApart brings in an estimate written on a device that had not heard of
// another.
func writtenApart(t *testing.T, g *garage) {
	t.Helper()
	b := g.build()
	var all [][]byte
	for n, value := range map[byte]string{1: "1/2/3", 2: "2/3/5"} {
		pen := model.Pen{Replica: [16]byte{0: 0xaa, 15: n}}
		raws, err := pen.Write([]model.Draft{
			{Body: &model.Replica{Device: "tablet", Person: "Kim"}},
			{Build: b.ID, Body: &model.Set{At: model.WhenOf(b.Now), What: "task", Key: "brk-01", Field: "estimate", Value: value}},
		}, model.StampAt(b.Now))
		require.NoError(t, err)
		all = append(all, raws...)
	}
	_, err := g.book.Add(all)
	require.NoError(t, err)
}

func TestWrittenApart(t *testing.T) {
	g := heron(t)
	writtenApart(t, g)
	for _, path := range []string{"/task/brk-01", "/findings"} {
		doc := g.page(g.at + path)
		require.Contains(t, texts(t, doc, ".clash"), "WRITTEN APART")
		require.Contains(t, texts(t, doc, ".clash"), "1 / 2 / 3 h")
		require.Contains(t, texts(t, doc, ".clash"), "2 / 3 / 5 h")
	}
	form := find(g.page(g.at+"/task/brk-01"), ".clash form")[0]
	action, _ := attr(form, "action")
	require.Equal(t, 303, g.post(action, filled(form)).Status)
	require.Empty(t, find(g.page(g.at+"/task/brk-01"), ".clash"))
}

// What is wrong is said beside the field, the typed value stays, nothing is
// written.
func TestWrongValues(t *testing.T) {
	g := heron(t)
	for _, tt := range []struct {
		wish   string
		values url.Values
		field  string // "" for the whole form
		want   string
	}{
		{"hours", url.Values{"hours": {"abc"}}, "hours", "“abc” is not a time worked, want one such as 2.5, 2h30, 150 min or 14:00-16:30"},
		{"hours", url.Values{"hours": {""}}, "hours", "want hours such as 0.5"},
		{"hours", url.Values{"hours": {"25"}}, "hours", "want 1 min to 24 h"},
		{"hours", url.Values{"hours": {"1"}, "task": {"brk-99"}}, "task", "“brk-99” is not a task of this build; there is brk-01"},
		{"hours", url.Values{"hours": {"1"}, "at": {"yesterday"}}, "at", "“yesterday”: want a moment such as 2026-11-20 19:30"},
		{"hours", url.Values{"hours": {"1"}, "at": {"2031-01-01 10:00"}}, "at", "is more than a day ahead"},
		{"hours", url.Values{"hours": {"1"}, "changes": {"none", "frame-weld"}, "task": {"enc-04"}}, "changes", "“none” was given beside frame-weld"},
		{"hours", url.Values{"hours": {"1"}, "changes": {"moon"}}, "changes", "“moon” is not a kind of change"},
		{"hours", url.Values{"hours": {"1"}, "finish": {"yes"}}, "finish", "needs a task"},
		{"hours", url.Values{"hours": {"1"}, "instead": {"zzzz"}}, "instead", "want the name of an entry"},
		{"hours", url.Values{"hours": {"1"}, "colour": {"red"}}, "", "colour \"red\": is not asked for by hours"},
		{"read", url.Values{"check": {"iso-pack"}, "value": {"1.2.3"}}, "value", "“1.2.3”"},
		{"read", url.Values{"check": {"iso-pack"}, "value": {"--5"}}, "value", "“--5”"},
		{"read", url.Values{"check": {"iso-pack"}, "value": {"45 V"}}, "value", "“45 V”: a resistance in ohm is wanted"},
		{"read", url.Values{"check": {"front-load-found"}, "value": {"3,412"}}, "value", "can mean"},
		{"read", url.Values{"check": {"iso-pack"}, "value": {""}}, "value", "want what the instrument says, in ohm"},
		{"read", url.Values{"check": {"tap-step"}, "value": {"3.7 3.7"}}, "value", "want 20 values, got 2"},
		{"read", url.Values{"check": {"dye-clean"}, "value": {"maybe"}}, "value", "“maybe”: want yes or no"},
		{"read", url.Values{"check": {"nope"}, "value": {"1"}}, "check", "“nope” is not a check of this build"},
		{"buy", url.Values{"what": {"grease"}, "amount": {"12.345"}}, "amount", "“12.345” has too many decimals, EUR has 2"},
		{"buy", url.Values{"what": {"grease"}, "amount": {"-5"}}, "amount", "money that comes back is a refund"},
		{"buy", url.Values{"what": {""}, "amount": {"5"}}, "what", "want what was bought"},
		{"buy", url.Values{"what": {"x"}, "amount": {"5"}, "part": {"moon"}}, "part", "“moon” is not a part of this build"},
		{"order", url.Values{"what": {"x"}, "amount": {"5"}, "promised": {"tomorrow"}}, "promised", "“tomorrow”: want a day written as 2026-11-20"},
		{"order", url.Values{"what": {"x"}, "amount": {"5"}, "label": {"O7"}}, "label", "“O7” is the number of another order"},
		{"arrive", url.Values{"order": {"O1"}}, "order", "“O1” came on 2026-10-21 already"},
		{"estimate", url.Values{"task": {"brk-02"}, "estimate": {"8/3/14"}}, "estimate", "in ascending order"},
		{"estimate", url.Values{"task": {"brk-02"}, "estimate": {"x"}}, "estimate", "“x”"},
		{"spec", url.Values{"name": {"cells_series"}, "value": {"x"}}, "value", "“x”"},
		{"spec", url.Values{"name": {"pack_max_V"}, "value": {"84"}}, "name", "is computed"},
		{"limit", url.Values{"check": {"iso-pack"}, "min": {"500 * moon"}, "note": {"x"}}, "min", "is not on the spec sheet"},
		{"limit", url.Values{"check": {"iso-pack"}, "min": {"5"}}, "note", "want the reason and the source"},
		{"concede", url.Values{"check": {"motor-iso"}, "reason": {"x"}, "second": {"Kim"}}, "", "is within limits"},
		{"concede", url.Values{"check": {"iso-pack"}, "reason": {"x"}, "second": {"builder"}}, "second", "a concession is signed by two people"},
		{"release", url.Values{"point": {"iso-pack"}}, "point", "stays shut: iso-pack is stale"},
		{"strike", url.Values{"entry": {"zz"}, "reason": {"x"}}, "entry", "want the name of an entry"},
		{"strike", url.Values{"entry": {"baf054a2"}}, "reason", "want the reason"},
		{"punch", url.Values{"class": {"C"}, "text": {"x"}}, "class", "“C”: want one of A, B"},
		{"drop", url.Values{"task": {"brk-03"}}, "note", "want the reason why the task is not needed"},
		{"sequence", url.Values{"before": {"brk-02"}, "after": {"brk-02"}}, "after", "would close a circle"},
		{"finish", url.Values{"task": {"asm-01"}}, "", "is finished already"},
		{"off", url.Values{}, "", "no clock is running here"},
		{"add-task", url.Values{"stage": {"moon"}, "title": {"x"}}, "stage", "“moon” is not a stage"},
		{"add-part", url.Values{"task": {"brk-02"}, "title": {"x"}, "low": {"9"}, "high": {"5"}}, "low", "is above the highest price"},
		{"add-check", url.Values{"task": {"brk-02"}, "title": {"x"}, "kind": {"measurement"}, "unit": {"furlong"}, "max": {"1"}}, "unit", "want a unit this program knows"},
		{"instrument", url.Values{"name": {"meter"}, "accuracy": {"good"}}, "accuracy", "want a share and a step"},
		{"build", url.Values{"week": {"200"}}, "week", "at most 168"},
		{"settings", url.Values{"mark": {"dot"}}, "mark", "want one of point, comma"},
		{"away", url.Values{"from": {"2026-12-24"}, "until": {"2026-12-20"}}, "until", "is before 2026-12-24"},
		{"shared", url.Values{"what": {"moon"}, "days": {"sat"}}, "what", "want second person, or a tool"},
		{"shared", url.Values{"what": {"second person"}, "days": {"when it rains"}}, "days", "want weekdays (sat sun)"},
		{"for-sale", url.Values{"what": {"engine"}, "low": {"9"}, "high": {"5"}}, "high", "is below the low price"},
		{"close", url.Values{"item": {"early:elm-01>har-01"}, "evidence": {"x"}}, "disposition", "want rework, repair, scrap or concession"},
	} {
		t.Run(tt.wish+" "+tt.field, func(t *testing.T) {
			before := g.entries()
			resp := g.post(g.at+"/write/"+tt.wish, tt.values)
			require.Equal(t, 422, resp.Status)
			require.Equal(t, before, g.entries())
			doc := parse(t, resp.Body)
			lint(t, tt.wish, doc, idsOf(g.build()))
			if tt.field == "" {
				require.Contains(t, texts(t, doc, ".faults"), tt.want)
				return
			}
			require.Contains(t, texts(t, doc, "#f1-"+tt.field+"-e"), tt.want)
			typed := tt.values.Get(tt.field)
			for _, n := range find(doc, "#f1-"+tt.field) { // boxes; ticks and radios keep what is one of theirs
				got, _ := attr(n, "value")
				if n.Data == "textarea" {
					got = text(n)
				}
				require.Equal(t, typed, got)
				described, _ := attr(n, "aria-describedby")
				require.Equal(t, "f1-"+tt.field+"-e", described)
			}
		})
	}
}

// A form that was gone back to and changed is another entry, whatever its token.
func TestGoneBackTo(t *testing.T) {
	g := heron(t)
	form := url.Values{"text": {"first"}, "once": {"tok"}}
	before := g.entries()
	require.Equal(t, 303, g.post(g.at+"/write/note", form).Status)
	require.Equal(t, 303, g.post(g.at+"/write/note", form).Status)
	require.Equal(t, before+1, g.entries())
	form.Set("text", "second")
	require.Equal(t, 303, g.post(g.at+"/write/note", form).Status)
	require.Equal(t, before+2, g.entries())
}

// A link can fill in a form, but never a reading.
func TestReadingIsNeverFilledIn(t *testing.T) {
	g := heron(t)
	doc := g.page(g.at + "/write/read?check=iso-pack&value=3.1M&instrument=meter&note=retest")
	value, _ := attr(find(doc, "input[name=value]")[0], "value")
	require.Empty(t, value)
	note, _ := attr(find(doc, "input[name=note]")[0], "value")
	require.Equal(t, "retest", note)
	require.Contains(t, texts(t, doc, ".about"), "500 ohm/V × 84.0 V = 42.0 kohm") // the limit stands by
	require.Equal(t, "ohm", texts(t, doc, ".unit"))
	for _, c := range g.build().Checks {
		for _, box := range find(g.page(g.at+"/check/"+c.ID), "[name=value]") {
			kind, _ := attr(box, "type")
			filled, _ := attr(box, "value")
			_, on := attr(box, "checked")
			require.True(t, !on && (kind == "radio" || filled == "" && text(box) == ""), c.ID)
		}
	}
}

// Forms lead back to this site only.
func TestBack(t *testing.T) {
	g := heron(t)
	for back, want := range map[string]string{
		"/b/x?y=1":               "/b/x?",
		"":                       g.at + "/?",
		"//evil.example/":        g.at + "/?",
		"https://evil.example/":  g.at + "/?",
		"/\\evil.example":        g.at + "/?",
		"javascript:alert(1)":    g.at + "/?",
		"evil":                   g.at + "/?",
		"/x\r\nSet-Cookie: a=b":  g.at + "/?",
		"/ok?done=forged&page=2": "/ok?",
	} {
		resp := g.post(g.at+"/write/note", url.Values{"text": {"x"}, "back": {back}})
		require.Equal(t, 303, resp.Status)
		require.True(t, strings.HasPrefix(resp.Location, want), "%q leads to %s", back, resp.Location)
		require.NotContains(t, resp.Location, "forged")
	}
	require.Empty(t, text(find(g.page(g.at+"/?done=all+is+well&raised=x"), "[role=status]")[0]))
}

// What a wish raised and made stale is said at once.
func TestWhatCameOfIt(t *testing.T) {
	g := heron(t)
	resp := g.post(g.at+"/write/change", url.Values{"changes": {"motor-leads"}, "back": {g.at + "/"}})
	require.Contains(t, texts(t, g.page(resp.Location), "[role=status]"), "stale now Motor winding to shell at 250 V DC")
	resp = g.post(g.at+"/write/read", url.Values{"check": {"motor-iso"}, "value": {"20k"}, "sure": {"yes"}, "back": {g.at + "/"}})
	require.Contains(t, texts(t, g.page(resp.Location), "[role=status]"), "raised Motor winding to shell at 250 V DC: 20 kohm, limit ≥ 42.0 kohm")

	// It stands at the top, and so the page does not go to the input further down.
	back := g.at + "/spec#cells_series"
	resp = g.post(g.at+"/write/spec", url.Values{"name": {"cells_series"}, "value": {"20"}, "back": {back}})
	require.NotContains(t, resp.Location, "stale=")
	require.Contains(t, resp.Location, "#cells_series")
	resp = g.post(g.at+"/write/spec", url.Values{"name": {"cells_series"}, "value": {"22"}, "back": {back}})
	require.Contains(t, resp.Location, "stale=")
	require.NotContains(t, resp.Location, "#")
}

// A title that looks like markup stays a title, wherever it is shown.
func TestEscaping(t *testing.T) {
	g := heron(t)
	resp := g.post(g.at+"/write/add-task", url.Values{"stage": {"brk"}, "title": {"<b>x</b>"}, "key": {"bad-title"}, "after": {"asm-01"}})
	require.Equal(t, 303, resp.Status)
	for _, path := range []string{resp.Location, g.at + "/?fit=480", g.at + "/tasks", g.at + "/task/bad-title", g.at + "/task/asm-01", g.at + "/logbook", g.at + "/write/hours?task=bad-title"} {
		doc := g.page(path)
		require.Contains(t, text(doc), "<b>x</b>", path)
		for _, b := range find(doc, "b") {
			require.NotEqual(t, "x", text(b), path)
		}
	}
	resp = g.post(g.at+"/write/hours", url.Values{"hours": {`"><script>alert(1)</script>`}})
	require.Empty(t, find(parse(t, resp.Body), "script"))
	require.Contains(t, string(resp.Body), "&lt;script&gt;")
}

// The buttons of the bench and of a card do what they say with one press.
func TestQuickButtons(t *testing.T) {
	g := heron(t)
	press := func(path, button string) string {
		t.Helper()
		for _, f := range find(g.page(path), "form") {
			if texts(t, f, "button") == button {
				action, _ := attr(f, "action")
				resp := g.post(action, filled(f))
				require.Equal(t, 303, resp.Status, "%s", resp.Body)
				return resp.Location
			}
		}
		require.Fail(t, "no button", button)
		return ""
	}
	logged := g.build().Hours.Logged
	require.Contains(t, texts(t, g.page(press(g.at+"/", "+ half an hour")), "[role=status]"), "written down hours: 0.5 h on str-05")
	require.Equal(t, logged+30, g.build().Hours.Logged)

	press(g.at+"/task/brk-02", "clock on")
	require.Contains(t, texts(t, g.page(g.at+"/"), ".clock"), "clock of builder runs since 20 Nov 19:30")
	press(g.at+"/", "clock off")
	require.Empty(t, find(g.page(g.at+"/"), ".clock"))

	// Work past a hold or out of order is written down, but only after its form
	// has said what stands in the way.
	for task, why := range map[string]string{"cmb-07": "held by dye-clean stale", "har-01": "out of order: it comes after elm-01"} {
		card := g.page(g.at + "/task/" + task)
		require.Empty(t, find(card, ".acts form"), task)
		for _, a := range find(card, ".acts a") {
			if text(a) == "clock on" {
				href, _ := attr(a, "href")
				require.Contains(t, texts(t, g.page(href), ".about"), why)
			}
		}
	}

	// Work that may change something is asked about, not assumed.
	doc := g.page(g.at + "/task/enc-04")
	require.Equal(t, "log hours | clock on", texts(t, doc, ".acts a"))
	boxes := find(doc, "#hours input[name=changes]")
	first, _ := attr(boxes[0], "value")
	require.Equal(t, "frame-weld", first)
	second, _ := attr(boxes[1], "value")
	require.Equal(t, "none", second)
	require.Len(t, boxes, len(g.build().Plan.Changes)+1)
	require.Len(t, find(doc, "#hours details input[name=changes]"), len(g.build().Plan.Changes)-1)
	for _, b := range boxes {
		_, on := attr(b, "checked")
		require.False(t, on, "an answer is never given beforehand")
	}
}

// The garage's marks and units reach every figure.
func TestStyle(t *testing.T) {
	g := heron(t)
	require.Equal(t, 303, g.post(g.at+"/write/settings", url.Values{"mark": {"comma"}, "units": {"us"}, "theme": {"dark"}, "paper": {"Letter"}}).Status)
	doc := g.page(g.at + "/")
	require.Contains(t, texts(t, doc, "#money-left"), "left 1.411,30")
	require.Contains(t, texts(t, g.page(g.at+"/forecast"), "#rests"), "100,74 h")
	require.Contains(t, texts(t, doc, ".title-block"), "113,0 h")
	root := find(doc, "html")[0]
	theme, _ := attr(root, "data-theme")
	paper, _ := attr(root, "data-paper")
	require.Equal(t, "dark letter", theme+" "+paper)
	require.Contains(t, texts(t, g.page(g.at+"/check/axle-nut-torque"), ".facts"), "lbf·ft")
	// What a button carries is typed with the same mark.
	require.Contains(t, texts(t, g.page(g.at+"/"), "#hand"), "1,5 of 3,5 h")
	for _, in := range find(doc, "#hand input[name=hours]") {
		value, _ := attr(in, "value")
		require.Equal(t, "0,5", value)
	}
}

// A form that is opened with a name says what bears it: nobody knows a key, a replica
// or an entry by heart.
func TestFormNames(t *testing.T) {
	g := heron(t)
	b := g.build()
	for path, want := range map[string]string{
		"close?item=" + url.QueryEscape(b.Findings[0].Key):    b.Findings[0].Text,
		"close?item=" + b.Punches[0].ID.String():              b.Punches[0].Text,
		"part?part=" + b.Parts[0].ID:                          b.Parts[0].Title,
		"name-device?device=" + b.Devices[0].Replica.String(): b.Devices[0].Name,
		"sequence?after=pkb-04":                               b.Task("pkb-04").Title,
	} {
		require.Contains(t, strings.Split(texts(t, g.page(g.at+"/write/"+path), ".hint"), " | "), strings.Join(strings.Fields(want), " "), path)
	}
	strike := g.page(g.at + "/write/strike?entry=" + b.Punches[0].ID.String())
	require.Contains(t, texts(t, strike, ".about"), b.Punches[0].Text)
	kind, _ := attr(find(strike, "input[name=entry]")[0], "type")
	require.Equal(t, "hidden", kind)
	require.NotContains(t, texts(t, parse(t, g.post(g.at+"/write/shared", url.Values{"days": {"sat"}}).Body), ".fault"), ";")
}
