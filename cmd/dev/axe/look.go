package axe

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"ampwright/cmd/dev/chromium"
)

// A Screen is what a page is shown on: its width in CSS px, and "light" or "dark".
type Screen struct {
	Width int
	Theme string
}

// Screens are all on which every page is looked at, those of a width together.
var Screens = []Screen{{1280, "light"}, {1280, "dark"}, {412, "dark"}, {412, "light"}, {320, "light"}, {320, "dark"}}

// Rules is how many rules axe-core has in this version, without the deprecated
// ones. All are on, those too that it leaves off by itself: target-size (WCAG 2.2,
// 2.5.8) and color-contrast-enhanced (1.4.6) above all.
const Rules = 100

// Put puts axe-core into the tab: into the page that is there and every later one. It
// is evaluated by the debugger, which no policy of the page's binds.
func Put(ctx context.Context, page *chromium.Page) error {
	script, err := Script(ctx)
	if err != nil {
		return err
	}
	return page.Call(ctx, "Page.addScriptToEvaluateOnNewDocument", map[string]any{"source": script, "runImmediately": true}, nil)
}

// Thin unfolds all that is folded, and leaves four of each kind of row on the page,
// where hundreds are alike: axe-core takes its time over each.
func Thin(ctx context.Context, page *chromium.Page) error {
	return page.Eval(ctx, `(() => {
		for (const fold of document.querySelectorAll("details")) fold.open = true;
		const like = (e) => e.tagName + "." + e.getAttribute("class") + "(" + [...new Set([...e.children].map(like))].join() + ")";
		const seen = new Map();
		for (const row of document.querySelectorAll("li, tbody tr, datalist option, .told > div, .ticks > label, svg g, svg circle")) {
			const n = seen.get(like(row)) ?? 0;
			seen.set(like(row), n + 1);
			if (n >= 4) row.remove();
		}
	})()`, nil)
}

// run is one run of axe-core with all rules; it tells on what screen it was, which
// rules were run and what they found. Positions and selectors of what is in order are
// not asked for, nor is there a page in a frame: all that finds anything is on.
const run = `(async () => {
	const rules = axe.getRules().filter(r => !r.tags.includes("deprecated")).map(r => r.ruleId);
	const r = await axe.run(document, { resultTypes: ["violations", "incomplete"], selectors: false, iframes: false, rules: Object.fromEntries(rules.map(id => [id, { enabled: true }])) });
	const told = (list) => list.flatMap(v => v.nodes.map(n => ({ rule: v.id, help: v.help, at: n.html.slice(0, 200), why: n.failureSummary ?? n.any[0]?.message ?? "" })));
	return {
		width: innerWidth, dark: matchMedia("(prefers-color-scheme: dark)").matches, ground: getComputedStyle(document.body).backgroundColor,
		wide: document.documentElement.scrollWidth, rules: [...new Set([r.violations, r.incomplete, r.passes, r.inapplicable].flat().map(v => v.id))], passes: r.passes.map(v => v.id),
		wrong: told(r.violations), unsure: told(r.incomplete),
	};
})()`

// A finding is something wrong with one element by one rule.
type finding struct{ Rule, Help, At, Why string }

func (f finding) String() string {
	return fmt.Sprintf("%s: %s: %s: %s", f.Rule, f.Help, f.At, strings.Join(strings.Fields(f.Why), " "))
}

// Look looks at the page that is in the tab on some screens, by all rules, and returns
// what is wrong and what axe-core is not sure of, each with where, the screen, the
// rule and the element. What is wider than its screen is wrong, too (WCAG 2.2,
// 1.4.10). axe-core sees the whole page at once, so that nothing counts as covered
// by what stands fixed at its foot. The tab has the last screen afterwards. It is an
// error if the page was not shown as it should be or a rule was not run.
func Look(ctx context.Context, page *chromium.Page, where string, screens ...Screen) (wrong, unsure []string, err error) {
	grounds := map[string]string{} // by theme
	width := 0
	for _, s := range screens {
		at := fmt.Sprintf("%s, %d px, %s", where, s.Width, s.Theme)
		err := page.Call(ctx, "Emulation.setEmulatedMedia", map[string]any{"features": []map[string]string{{"name": "prefers-color-scheme", "value": s.Theme}}}, nil)
		if err == nil && s.Width != width {
			err = whole(ctx, page, s.Width)
			width = s.Width
		}
		var r struct {
			Width, Wide   int
			Dark          bool
			Ground        string
			Rules, Passes []string
			Wrong, Unsure []finding
		}
		if err == nil {
			err = page.Eval(ctx, run, &r)
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", at, err)
		}
		if err := ran(r.Rules, r.Passes); err != nil {
			return nil, nil, fmt.Errorf("%s: %w", at, err)
		}
		if r.Width != s.Width || r.Dark != (s.Theme == "dark") {
			return nil, nil, fmt.Errorf("%s: shown %d px wide, dark: %t", at, r.Width, r.Dark)
		}
		grounds[s.Theme] = r.Ground
		if r.Wide > s.Width {
			wrong = append(wrong, fmt.Sprintf("%s: it is %d px wide", at, r.Wide))
		}
		for _, f := range r.Wrong {
			wrong = append(wrong, fmt.Sprintf("%s: %s", at, f))
		}
		for _, f := range r.Unsure {
			unsure = append(unsure, fmt.Sprintf("%s: not sure: %s", at, f))
		}
	}
	if grounds["light"] == grounds["dark"] {
		return nil, nil, fmt.Errorf("%s: by light and in the dark its ground is %s", where, grounds["dark"])
	}
	return wrong, unsure, nil
}

// whole makes the tab a screen of a width on which all of the page is at once.
func whole(ctx context.Context, page *chromium.Page, width int) error {
	high := 640
	for range 2 {
		err := page.Call(ctx, "Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": high, "deviceScaleFactor": 1, "mobile": false}, nil)
		if err == nil {
			err = page.Eval(ctx, "document.documentElement.scrollHeight", &high)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// ran says what is missing from a run of all rules: every page has a title and text
// that can be read.
func ran(rules, passes []string) error {
	missing := func(list []string, names ...string) (none []string) {
		for _, n := range names {
			if !slices.Contains(list, n) {
				none = append(none, n)
			}
		}
		return none
	}
	none := append(missing(rules, "target-size", "color-contrast", "color-contrast-enhanced"), missing(passes, "document-title", "html-has-lang")...)
	if len(rules) != Rules || len(none) > 0 {
		return fmt.Errorf("axe-core ran %d rules of %d; not run, or found nothing in order: %q", len(rules), Rules, none)
	}
	return nil
}
