//go:build browser

package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"ampwright/cmd/dev/chromium"

	"github.com/stretchr/testify/require"
)

// A thumb is a tab on a small phone's screen, worked by touch alone.
type thumb struct {
	t      *testing.T
	ctx    context.Context
	page   *chromium.Page
	photos int
	axe    bool // axe-core is in its pages
	keys   bool // no thumb: the keyboard alone
}

// The screen, in CSS px, and the smallest on which the stop drill must be in reach
// on every item (requirement K12).
const (
	wide, high           = 360, 640
	leastWide, leastHigh = 320, 568
)

// helpers are put into the page before each script. shown: what can be seen of a
// kind. said: an element of a kind by its words. wake counts what the page asks of
// the screen's wake lock.
const helpers = `
var shown = (kind) => [...document.querySelectorAll(kind)].filter(e => e.checkVisibility({ visibilityProperty: true }) && e.getClientRects().length);
var said = (kind, words) => shown(kind).find(e => e.innerText.trim() === words);
var main = () => document.querySelector("main")?.innerText ?? "";
`

// stub stands for the screen's wake lock, which a browser without a window may
// refuse.
const stub = `
if (globalThis.document) {
	globalThis.wake = { held: 0, refuse: false, hidden: false };
	Object.defineProperty(document, "visibilityState", { get: () => wake.hidden ? "hidden" : "visible" });
	Object.defineProperty(navigator, "wakeLock", { value: { request: async () => {
		if (wake.refuse) throw new DOMException("no", "NotAllowedError");
		wake.held++;
		const lock = { released: false, release: async () => { if (!lock.released) { lock.released = true; wake.held--; } } };
		return wake.lock = lock;
	} } });
}`

// newThumb opens a tab at an address.
func newThumb(t *testing.T, w *window, address string) *thumb {
	t.Helper()
	page, err := w.browser.Open(w.ctx, "about:blank", nil)
	require.NoError(t, err)
	f := &thumb{t: t, ctx: w.ctx, page: page}
	f.call("Page.addScriptToEvaluateOnNewDocument", map[string]any{"source": stub})
	f.call("Emulation.setTouchEmulationEnabled", map[string]any{"enabled": true})
	f.screen(wide, high)
	require.NoError(t, page.Go(w.ctx, address))
	return f
}

func (f *thumb) call(method string, params any) {
	f.t.Helper()
	require.NoError(f.t, f.page.Call(f.ctx, method, params, nil))
}

func (f *thumb) screen(width, height int) {
	f.t.Helper()
	f.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": true})
}

func (f *thumb) eval(script string, result any) {
	f.t.Helper()
	require.NoError(f.t, f.page.Eval(f.ctx, "(async () => {"+helpers+"return "+script+"})()", result))
}

func (f *thumb) text(script string) (s string) {
	f.t.Helper()
	f.eval(script, &s)
	return s
}

func (f *thumb) main() string {
	f.t.Helper()
	return f.text("main()")
}

func (f *thumb) wait(script string) {
	f.t.Helper()
	ctx, cancel := context.WithTimeout(f.ctx, 20*time.Second)
	defer cancel()
	require.NoError(f.t, f.page.Wait(ctx, "(() => {"+helpers+"return "+script+"})()"))
}

// A touch is where a thumb comes down, and how large what it means is.
type touch struct {
	X, Y, Width, Height float64
	Least               float64 // what its sides may measure
	In, Free            bool    // all of it is on the screen; nothing lies over its middle
	What                string
}

// touch brings the thumb down on what a script finds, and up again. What is not on
// the screen is scrolled to, as a thumb would. Then it must be there whole, bare,
// and large enough: 64 px for what is done on a checklist, else 48 (requirement
// U1), of a link in a line of text its height alone (WCAG 2.2, 2.5.8, "Inline").
func (f *thumb) touch(find string) {
	f.t.Helper()
	if f.keys {
		f.reach(find)
		return
	}
	var at touch
	f.eval(fmt.Sprintf(`(() => {
		const found = %s;
		if (!found) throw new Error("there is nothing to tap at " + location.pathname + ": " + document.body.innerText.slice(0, 1500));
		const e = found.closest("label") ?? (found.matches("input, select, textarea") && found.closest(".field, .box")) ?? found;
		const target = e || found;
		const box = () => target.matches("a:not(.btn)") ? target.getClientRects()[0] : target.getBoundingClientRect();
		const at = () => {
			const r = box();
			const over = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2);
			return {
				x: r.left + r.width / 2, y: r.top + r.height / 2, width: r.width, height: r.height, in: r.left >= 0 && r.top >= 0 && r.right <= innerWidth && r.bottom <= innerHeight,
				free: !!over && target.contains(over), what: target.outerHTML.slice(0, 200), least: target.closest(".walk") && target.matches(".btn, .makesafe, .field, .box, summary, label") ? 64 : 48,
			};
		};
		let a = at();
		if (!a.in || !a.free) {
			target.scrollIntoView({ block: "center", behavior: "instant" });
			a = at();
		}
		return a;
	})()`, find), &at)
	require.True(f.t, at.In, "not whole on the screen: %+v", at)
	require.True(f.t, at.Free, "something lies over it: %+v", at)
	require.GreaterOrEqual(f.t, at.Height, at.Least, "too low for a thumb: %+v", at)
	require.GreaterOrEqual(f.t, at.Width, min(at.Least, 48), "too narrow for a thumb: %+v", at)
	f.call("Input.dispatchTouchEvent", map[string]any{"type": "touchStart", "touchPoints": []map[string]float64{{"x": at.X, "y": at.Y}}})
	f.call("Input.dispatchTouchEvent", map[string]any{"type": "touchEnd", "touchPoints": []any{}})
}

// tap touches what leads to another page, and waits for it.
func (f *thumb) tap(find string) {
	f.t.Helper()
	f.eval(`(() => { document.querySelector("main").dataset.old = "yes"; })()`, nil)
	f.touch(find)
	f.wait(`document.readyState === "complete" && document.querySelector("main") && !document.querySelector("main").dataset.old`)
	f.fits()
}

// press taps the button of these words, follow the link.
func (f *thumb) press(words string) { f.t.Helper(); f.tap(js(`said("button, a.btn", %s)`, words)) }
func (f *thumb) follow(words string) {
	f.t.Helper()
	f.tap(js(`said("a", %s)`, words))
}

// unfold touches the fold of these words.
func (f *thumb) unfold(words string) { f.t.Helper(); f.touch(js(`said("summary", %s)`, words)) }

// write touches the nth box of a name and types.
func (f *thumb) write(name string, nth int, value string) {
	f.t.Helper()
	find := js(`shown('[name="'+%s+'"]')[%d]`, name, nth)
	f.touch(find)
	f.wait(`document.activeElement === ` + find)
	f.eval(`document.activeElement.select?.()`, nil)
	f.call("Input.insertText", map[string]string{"text": value})
}

// choose touches the box for a file and chooses one. Where the phone's program makes
// it small, it is waited for.
func (f *thumb) choose(name, file string) {
	f.t.Helper()
	ctx, cancel := context.WithTimeout(f.ctx, 20*time.Second)
	defer cancel()
	find := js(`shown('[type="file"][name="'+%s+'"]')[0]`, name)
	require.NoError(f.t, f.page.Choose(ctx, file, func() { f.touch(find) }))
	f.wait(find + `.files.length === 1 && (!location.pathname.startsWith("/phone/") || shown(".chosen img").length === 1)`)
	f.fits()
}

// fits holds a screen against what all must keep to, here and on the smallest one.
func (f *thumb) fits() {
	f.t.Helper()
	if f.keys {
		return
	}
	for _, size := range [][2]int{{leastWide, leastHigh}, {wide, high}} {
		f.screen(size[0], size[1])
		var wrong []string
		f.eval(fmt.Sprintf(`(async () => {
			const wrong = [], walking = document.body.classList.contains("walking");
			for (let i = 0; i < 200 && wake.held !== +walking; i++) await new Promise(ok => setTimeout(ok, 5));
			if (wake.held !== +walking) wrong.push("the screen is kept on " + wake.held + " times");
			const width = document.documentElement.scrollWidth;
			if (width > %d) wrong.push("it is " + width + " px wide: " + [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > %d).map(e => e.outerHTML.slice(0, 120)));
			if (!walking) return wrong;
			const bare = (e, r = e.getBoundingClientRect()) => r.top >= 0 && r.bottom <= innerHeight && e.contains(document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2));
			const drill = document.querySelector(".walk > header .makesafe");
			if (!drill || !bare(drill) || drill.getBoundingClientRect().height < 64) wrong.push("the stop drill is not in reach");
			const act = shown(".walk footer .btn").at(-1);
			if (!act || !bare(act) || act.getBoundingClientRect().top < innerHeight / 2) wrong.push("the button is not in the lower half");
			const boxes = shown(".walk .btn, .walk .field, .walk .box, .walk summary, .walk .ticks label, .walk ol.plain a, .walk ul.plain a").map(e => [e, e.getBoundingClientRect()]);
			for (const [e, r] of boxes) {
				const least = e.matches("a:not(.btn)") ? 48 : 64;
				if (r.height < least || r.width < 48) wrong.push("too small, " + r.width + " x " + r.height + ": " + e.outerHTML.slice(0, 120));
			}
			const acts = boxes.filter(([e]) => e.matches(".btn, .field, .box"));
			for (const [a, r] of acts) for (const [b, s] of acts) {
				if (a === b || !!a.closest("footer") !== !!b.closest("footer")) continue;
				const gap = Math.max(s.top - r.bottom, r.top - s.bottom, s.left - r.right, r.left - s.right);
				if (gap < 12) wrong.push(gap + " px between " + a.outerHTML.slice(0, 80) + " and " + b.outerHTML.slice(0, 80));
			}
			return wrong;
		})()`, size[0], size[0]), &wrong)
		require.Empty(f.t, wrong, "%dx%d: %s", size[0], size[1], f.text("location.pathname"))
	}
}

// look has axe-core look at the page on all its screens, and photographs what is on
// this one.
func (f *thumb) look(name string) {
	f.t.Helper()
	f.photo(name)
	if !f.axe {
		return
	}
	look(f.t, f.ctx, f.page, name)
	f.call("Emulation.setEmulatedMedia", map[string]any{"features": []any{}})
	f.screen(wide, high)
}

// photo puts a picture of the screen into the folder $AMPWRIGHT_PICTURES, if there is one.
func (f *thumb) photo(name string) {
	f.t.Helper()
	dir := os.Getenv("AMPWRIGHT_PICTURES")
	if dir == "" {
		return
	}
	f.photos++
	var shot struct{ Data []byte }
	require.NoError(f.t, f.page.Call(f.ctx, "Page.captureScreenshot", nil, &shot))
	require.NoError(f.t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%02d-%s.png", f.photos, name)), shot.Data, 0o644))
}

// js is a script with texts in it.
func js(format string, args ...any) string {
	for i, a := range args {
		if s, ok := a.(string); ok {
			quoted, err := json.Marshal(s)
			if err != nil {
				panic(err)
			}
			args[i] = json.RawMessage(quoted)
		}
	}
	return fmt.Sprintf(format, args...)
}
