//go:build browser

package browser

import (
	"fmt"
	"net/url"
	"path"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/demo"

	"github.com/stretchr/testify/require"
)

// moreStates are screens that are looked at once more, since what can be done there
// depends on what it is done to: a task that is begun, a check that is not cleared,
// one that was read several times.
var moreStates = []string{"/b/*/task/har-01", "/b/*/check/pressures", "/b/*/check/motor-iso"}

// everything brings about what must have happened before each of the screens is
// offered: a clock runs, an order is not paid, a check is due again, a checklist was
// left, two devices wrote one field apart, one that was struck off wrote on.
func (tab *tab) everything() {
	t := tab.p.t
	t.Helper()
	write := func(query, wish string, pairs ...string) {
		tab.tap(bench + "write/" + wish + query)
		tab.send(wish, pairs...)
		require.True(t, strings.HasPrefix(tab.text(`document.querySelector("main .done")?.innerText ?? main()`), "written down"), wish)
	}
	write("?task=brk-02", "on", "at", "")
	write("", "order", "what", "paint", "amount", "40", "unpaid", "yes")
	write("?check=front-load-found", "due", "days", "30", "note", "common practice")
	write("?check=dead-at-controller", "read", "value", "0.4", "before", "12.6", "after", "12.6", "instrument", "multimeter")
	now := time.Now()
	var raws [][]byte
	for n, body := range []model.Body{
		&model.Set{At: model.WhenOf(now), What: "task", Key: "brk-01", Field: "estimate", Value: "1/2/3"},
		&model.Set{At: model.WhenOf(now), What: "task", Key: "brk-01", Field: "estimate", Value: "2/3/5"},
		&model.Note{At: model.WhenOf(now), Text: "written on a device that is lost"},
	} {
		pen := model.Pen{Replica: [16]byte{0: byte(0xaa + n)}}
		written, err := pen.Write([]model.Draft{
			{Body: &model.Replica{Device: fmt.Sprint("tablet ", n), Person: "Kim"}}, {Build: demo.Build, Body: body},
		}, model.StampAt(now))
		require.NoError(t, err)
		raws = append(raws, written...)
	}
	tab.bring(raws)
	write("", "strike-off", "device", "tablet 2", "reason", "lost", "upto", "none")
}

// Every screen of the phone is reached from the first one without the laptop: by taps
// alone, and by the keyboard alone, and opens by its address as well. A screen is a
// page of the program, or the form of one thing to write; the same with other data
// counts once. On each of them a finger meets what it aims at, the tabulator comes to
// all of it in the order of the page, and the focus is seen. The way back is the
// browser's own.
func TestEveryPage(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	tab.everything()
	l.stop()
	require.NoError(t, tab.Call(p.ctx, "Emulation.setDeviceMetricsOverride", map[string]any{"width": 360, "height": 640, "deviceScaleFactor": 1, "mobile": true}, nil))
	first := func() *walk {
		tab.tap("/phone/")
		tab.eval(eyes, nil)
		tab.worked()
		return &walk{tab: tab, screens: map[string]bool{}, forms: map[string]bool{}}
	}

	taps := first()
	taps.follow = taps.tapTo
	taps.look = func(at string) {
		if len(taps.screens)%19 == 0 {
			title := tab.text("document.title")
			tab.reload()
			require.Equal(t, title, tab.text("document.title"), at)
			tab.eval(eyes, nil)
			tab.worked()
		}
		taps.sweep(at)
	}
	taps.from(taps.screenOf(bench))

	keys := first()
	keys.follow = keys.keyTo
	keys.look = func(at string) {
		var strokes int
		var next bool
		tab.eval(`eyes.begin()`, &strokes)
		keys.tabs(strokes)
		tab.eval(`eyes.went()`, &next)
		require.True(t, next, "%s: the tabulator does not go on from where the page put the focus", at)
	}
	keys.from(keys.screenOf(bench))
	require.Equal(t, taps.screens, keys.screens)

	want := []string{"/this", "/this/lines"}
	for _, r := range pages.Routes() {
		if !strings.HasSuffix(r, "/write/*") {
			want = append(want, r)
		}
	}
	for _, k := range model.WishKinds() {
		want = append(want, "write/"+k.Name)
	}
	for _, screen := range append(want, moreStates...) {
		if !taps.screens[screen] && !taps.forms[screen] {
			t.Errorf("%s is not linked, nor can it be written from another screen", screen)
		}
	}
	t.Logf("%d screens and files, %d pages shown", len(taps.screens), taps.shown+keys.shown)
}

// eyes are put into a page: what a finger or the tabulator can be on, as it stands
// there one after the other; where a finger goes for one of them, and what it meets;
// what was seen of the focus at each stroke of a key.
const eyes = `(() => {
	const name = (e) => e ? e.outerHTML.slice(0, 160) : "nothing";
	const all = () => [...document.querySelectorAll("a[href], button, summary, input:not([type=hidden]), select, textarea, [tabindex='0']")].filter((e) => !e.disabled && e.checkVisibility({ visibilityProperty: true }));
	const follows = (e) => document.activeElement.compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING;
	const largest = (e) => [...e.getClientRects()].reduce((a, b) => b.width * b.height > a.width * a.height ? b : a); // of a link over several lines
	const group = (list, e) => e.type === "radio" ? list.filter((o) => o.type === "radio" && o.name === e.name && o.form === e.form) : [e];
	const stops = (list) => list.filter((e) => e === (group(list, e).find((o) => o.checked) ?? group(list, e)[0])); // one stop for all radios of a name

	function spot(e) {
		const target = e.labels?.[0]?.contains(e) ? e.labels[0] : e;
		target.scrollIntoView({ block: "center", behavior: "instant" });
		const r = largest(target), [x, y] = [r.x + r.width / 2, r.y + r.height / 2], over = document.elementFromPoint(x, y);
		return { x, y, wide: r.width, high: r.height, over, hit: !!over && target.contains(over) };
	}

	// seen: an outline is drawn, and some of what has it is bare.
	function seen(e) {
		const box = e.closest(".box, .field, label") ?? e, r = largest(e);
		const [left, top, right, bottom] = [Math.max(0, r.left), Math.max(0, r.top), Math.min(innerWidth, r.right), Math.min(innerHeight, r.bottom)];
		return {
			shows: [e, box].some((b) => getComputedStyle(b).outlineStyle !== "none" && parseFloat(getComputedStyle(b).outlineWidth) > 0),
			bare: [[.5, .5], [.1, .5], [.9, .5], [.5, .1], [.5, .9]].some(([x, y]) => box.contains(document.elementFromPoint(left + (right - left) * x, top + (bottom - top) * y))),
		};
	}

	let list, met, next, opened;
	const note = () => {
		const e = document.activeElement, i = list.indexOf(e);
		if (i >= 0 && met.at(-1)?.i !== i) met.push({ i, ...seen(e) });
	};

	window.eyes = {
		spot,
		ways: () => ({ // the links as the tabulator comes to them
			links: [...document.body.querySelectorAll("a[href]")].map((a) => ({ to: a.getAttribute("href"), file: a.hasAttribute("download"), after: follows(a) })).sort((a, b) => b.after - a.after),
			forms: [...document.body.querySelectorAll("form[action]")].map((f) => f.getAttribute("action")),
		}),

		// to is what is touched next on the way to a link: it, or the fold it is in.
		to(href) {
			const links = [...document.querySelectorAll("a[href]")].filter((a) => a.getAttribute("href") === href);
			let e = links.find((a) => a.checkVisibility()) ?? links[0];
			if (!e) throw new Error("the link to " + href + " is gone from " + location.pathname);
			for (let d = e.closest("details"); d; d = d.parentElement.closest("details")) if (!d.open) e = d.querySelector("summary");
			return e;
		},

		// strokes is how often the tabulator is struck at the least to come to an element.
		strokes(e) {
			const list = stops(all()), after = list.filter(follows), i = after.indexOf(e);
			return i >= 0 ? i + 1 : after.length + list.indexOf(e) + 1;
		},

		begin() { // and how many strokes it takes: one more where the page ends, for the browser's own
			next = stops(all()).find(follows);
			const strokes = next ? 1 : 2;
			next ??= all()[0];
			return strokes;
		},
		went: () => document.activeElement === next && seen(next).shows,

		// fingers unfolds all, tries everything with a finger, and gets ready for the keys:
		// of folds with the same form in them one stays open.
		fingers() {
			const faults = [];
			opened = [];
			for (let more; (more = [...document.querySelectorAll("details:not([open])")]).length > 0; ) for (const d of more) { d.open = true; opened.push(d); }
			list = all();
			for (const e of list) {
				if (e.matches(".skip, .scroll")) continue; // for the keyboard alone
				const s = spot(e);
				if (!s.hit) faults.push(name(e) + " is under " + name(s.over));
				if (s.wide < 24 || s.high < 24) faults.push(name(e) + " measures " + s.wide + " by " + s.high + " px");
			}
			const forms = new Set();
			for (const d of opened) {
				const form = d.querySelector("form")?.getAttribute("action");
				if (forms.has(form)) d.open = false;
				else if (form) forms.add(form);
			}
			list = all();
			met = [];
			this.begin();
			addEventListener("keydown", note, true);
			const several = list.filter((e) => /date|time/.test(e.type)).length; // boxes of more than one stop
			return { faults, most: list.length + 8 * several + 3 };
		},

		// keys says what the tabulator did not do.
		keys() {
			removeEventListener("keydown", note, true);
			const faults = [], there = new Set(met.map((m) => list[m.i]));
			if (met[0] && list[met[0].i] !== next) faults.push("the tabulator begins at " + name(list[met[0].i]));
			for (const e of stops(list)) if (!there.has(e)) faults.push("the tabulator does not come to " + name(e));
			met.forEach((m, k) => {
				if (!m.shows) faults.push("the focus does not show on " + name(list[m.i]));
				if (!m.bare) faults.push("the focus is covered on " + name(list[m.i]));
				if (k > 0 && m.i < met[k - 1].i && m.i > 0) faults.push("the tabulator goes back to " + name(list[m.i]));
			});
			for (const d of opened) d.open = false;
			return faults;
		},
	};
})()`

// A walk goes through all screens of the phone from the one that is shown.
type walk struct {
	*tab
	follow  func(to string)     // follows a link of the page
	look    func(screen string) // looks at a screen when it is reached first
	screens map[string]bool     // that were reached, and files that were come by
	forms   map[string]bool     // what can be written on a screen that was reached
	shown   int                 // pages
	depth   int                 // how many pages back the first one is
}

// screenOf returns which screen an address is of; "" for none of the program's.
func (w *walk) screenOf(address string) string {
	u, err := url.Parse(address)
	require.NoError(w.p.t, err)
	below, ours := strings.CutPrefix(u.Path, "/phone")
	if !ours || u.Host != "" {
		return ""
	}
	if _, wish, form := strings.Cut(below, "/write/"); form {
		return "write/" + wish
	}
	for _, r := range slices.Concat([]string{"/this", "/this/lines"}, moreStates, pages.Routes()) {
		if fits, _ := path.Match(r, below); fits {
			return r
		}
	}
	w.p.t.Errorf("a link to %s, and there is no such page", address)
	return ""
}

// from follows each link of the page to a screen that was not reached yet, and goes
// on from there. It comes back only for the next one.
func (w *walk) from(screen string) {
	t := w.p.t
	t.Helper()
	depth := w.depth
	w.screens[screen] = true
	w.look(screen)
	var page struct {
		Links []struct {
			To   string
			File bool
		}
		Forms []string
	}
	w.eval("eyes.ways()", &page)
	for _, action := range page.Forms {
		w.forms[w.screenOf(action)] = true
	}
	for _, link := range page.Links {
		if strings.HasPrefix(link.To, "#") {
			continue
		}
		to := w.screenOf(link.To)
		if to == "" || w.screens[to] {
			continue
		}
		w.screens[to] = link.File
		if link.File {
			continue
		}
		if w.depth > depth {
			require.Equal(t, screen, w.swap(func() { w.eval(fmt.Sprintf("history.go(%d)", depth-w.depth), nil) }))
			w.depth = depth
		}
		at := w.swap(func() { w.follow(link.To) })
		w.depth++
		if !w.screens[at] {
			w.from(at)
		}
		w.screens[to] = true // also where it only leads on
	}
}

// swap does what leads to another page, waits until that is shown, and returns which
// it is.
func (w *walk) swap(do func()) (screen string) {
	t := w.p.t
	t.Helper()
	w.eval(`void (document.querySelector("main").dataset.old = "yes")`, nil)
	do()
	var page struct{ At, Text, Focus string }
	w.eval(`new Promise((ok, no) => {
		const end = Date.now() + 30000;
		(function look() {
			if (!document.querySelector("main")?.dataset.old) ok({ at: at(), text: main().slice(0, 1000), focus: document.activeElement.tagName });
			else if (Date.now() > end) no(new Error("no other page came: " + main().slice(0, 1000)));
			else setTimeout(look, 3);
		})();
	})`, &page)
	require.NotContains(t, page.Text, "there is no page", page.At)
	require.NotContains(t, page.Text, "it went wrong", page.At)
	require.NotEqual(t, "BODY", page.Focus, "%s: the focus is nowhere", page.At)
	w.shown++
	w.worked()
	return w.screenOf(page.At)
}

// worked waits for the forecast, which comes by itself into the first page that shows it.
func (tab *tab) worked() {
	tab.p.t.Helper()
	tab.wait(`!main().includes("being worked out")`)
}

// tapTo taps a link, and before it the folds that it is in.
func (w *walk) tapTo(href string) {
	w.p.t.Helper()
	for fold := true; fold; {
		var at struct {
			X, Y      float64
			Hit, Fold bool
		}
		w.eval(fmt.Sprintf(`(e => ({ ...eyes.spot(e), over: "", fold: e.matches("summary") }))(eyes.to(%q))`, href), &at)
		require.True(w.p.t, at.Hit, href)
		fold = at.Fold
		for _, kind := range []string{"mousePressed", "mouseReleased"} {
			require.NoError(w.p.t, w.Call(w.p.ctx, "Input.dispatchMouseEvent", map[string]any{"type": kind, "x": at.X, "y": at.Y, "button": "left", "clickCount": 1}, nil))
		}
	}
}

// keyTo goes to a link with the tabulator and follows it with enter; before it it
// unfolds the folds that it is in.
func (w *walk) keyTo(href string) {
	w.p.t.Helper()
	for fold := true; fold; {
		find := fmt.Sprintf("eyes.to(%q)", href)
		var strokes int
		w.eval("eyes.strokes("+find+")", &strokes)
		var on struct{ There, Fold bool }
		for n := 0; !on.There; n++ {
			require.Less(w.p.t, n, 40, "the tabulator does not come to %s", href)
			w.tabs(strokes)
			strokes = 1
			w.eval("(e => ({ there: document.activeElement === e, fold: e.matches('summary') }))("+find+")", &on)
		}
		fold = on.Fold
		w.keyDown("Enter", "\r", 13)
		w.keyUp("Enter", 13)
	}
}

// tabs holds the tabulator down until it has struck n times.
func (w *walk) tabs(n int) {
	w.p.t.Helper()
	var all sync.WaitGroup
	for range n {
		all.Go(func() { w.keyDown("Tab", "", 9) }) // which of them is first is all one
	}
	all.Wait()
	w.keyUp("Tab", 9)
}

func (w *walk) keyDown(name, text string, number int) {
	err := w.Call(w.p.ctx, "Input.dispatchKeyEvent", map[string]any{"type": "keyDown", "key": name, "code": name, "text": text, "windowsVirtualKeyCode": number}, nil)
	if err != nil {
		w.p.t.Errorf("strike %s: %v", name, err)
	}
}

func (w *walk) keyUp(name string, number int) {
	w.p.t.Helper()
	require.NoError(w.p.t, w.Call(w.p.ctx, "Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": name, "code": name, "windowsVirtualKeyCode": number}, nil))
}

// sweep tries all that is on a page with a finger, and goes through it with the
// tabulator.
func (w *walk) sweep(screen string) {
	w.p.t.Helper()
	var fingers struct {
		Faults []string
		Most   int
	}
	w.eval("eyes.fingers()", &fingers)
	w.tabs(fingers.Most)
	var keys []string
	w.eval("eyes.keys()", &keys)
	for _, f := range slices.Concat(fingers.Faults, keys) {
		w.p.t.Errorf("%s: %s", screen, f)
	}
}
