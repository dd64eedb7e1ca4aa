//go:build browser

package browser

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"ampwright/cmd/dev/chromium"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// as makes the tab a screen of a size, light or dark, without loading anew.
func as(t *testing.T, w *window, page *chromium.Page, width, height int, theme string) {
	t.Helper()
	require.NoError(t, page.Call(w.ctx, "Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false}, nil))
	require.NoError(t, page.Call(w.ctx, "Emulation.setEmulatedMedia", map[string]any{"features": []map[string]string{{"name": "prefers-color-scheme", "value": theme}}}, nil))
}

// What the demo's pages say and how they look, for every address that a link leads
// to.
func TestSheets(t *testing.T) {
	p := newProgram(t)
	p.start()
	sheets := p.crawl()
	require.Greater(t, len(sheets), 700)
	t.Run("words", func(t *testing.T) {
		b, err := demo.AtEnd(plan.Builtin)
		require.NoError(t, err)
		names := keys(b)
		for _, s := range sheets {
			lint(t, s, names)
		}
	})
	t.Run("narrow", func(t *testing.T) { narrow(t, p, sheets) })
	t.Run("looks", func(t *testing.T) { looks(t, p, unlike(sheets)) })
}

// narrow: no page at all is wider than the smallest screen (WCAG 2.2, 1.4.10). One tab
// swaps the pages in, as the phone's program does: that is faster than to open each.
func narrow(t *testing.T, p *program, sheets []sheet) {
	w := newWindow(t)
	page, err := w.browser.Open(w.ctx, p.home, nil)
	require.NoError(t, err)
	as(t, w, page, 320, 800, "light")
	require.NoError(t, page.Wait(w.ctx, `document.readyState === "complete"`))
	for some := range slices.Chunk(sheets, 50) {
		var addresses []string
		for _, s := range some {
			addresses = append(addresses, p.home+s.path)
		}
		list, err := json.Marshal(addresses)
		require.NoError(t, err)
		var wide []string
		require.NoError(t, page.Eval(w.ctx, fmt.Sprintf(`(async () => {
			globalThis.policy ??= trustedTypes.createPolicy("ampwright", { createHTML: (html) => html });
			const wide = [];
			for (const address of %s) {
				const html = await (await fetch(address)).text();
				const page = new DOMParser().parseFromString(policy.createHTML(html), "text/html");
				document.body.className = page.body.className;
				document.body.replaceChildren(...page.body.childNodes);
				const width = document.documentElement.scrollWidth;
				if (width > 320) wide.push(address + ": " + width + " px wide: " + [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > 320.5 && !e.closest(".scroll")).map(e => e.outerHTML.slice(0, 120)).slice(0, 2));
			}
			return wide;
		})()`, list), &wide))
		for _, one := range wide {
			t.Error(one)
		}
	}
}

// byWidth are the rules whose answer can be another on a narrow screen, where other
// parts of a page are shown.
var byWidth = []string{"target-size", "region", "landmark-unique", "landmark-no-duplicate-banner", "scrollable-region-focusable", "focus-order-semantics", "link-in-text-block", "heading-order", "p-as-heading", "skip-link"}

// looks: at three widths, by light and in the dark, axe-core finds nothing wrong,
// nothing is wider than the screen, the console is silent. axe-core sees the whole
// page at once, so that nothing counts as covered by what stands fixed at its foot.
func looks(t *testing.T, p *program, sheets []sheet) {
	w := newWindow(t)
	page, err := w.browser.Open(w.ctx, "about:blank", nil)
	require.NoError(t, err)
	withAxe := axed(t, w.ctx, page)
	for _, s := range sheets {
		as(t, w, page, 1280, 800, "light")
		require.NoError(t, page.Go(w.ctx, p.home+s.path))
		require.NoError(t, page.Wait(w.ctx, `document.readyState === "complete"`))
		for _, width := range []int{1280, 412, 320} {
			as(t, w, page, width, 800, "light")
			var over []int
			require.NoError(t, page.Eval(w.ctx, `[document.documentElement.scrollWidth, innerWidth]`, &over))
			if over[0] > over[1] {
				t.Errorf("%s, %d px: %d px wide", s.path, width, over[0])
			}
		}
		if !withAxe {
			continue
		}
		var high int
		require.NoError(t, page.Eval(w.ctx, thin, &high))
		for _, v := range []struct {
			width int
			theme string
			rules []string
		}{
			{1280, "light", nil}, {412, "light", []string{"target-size"}}, {320, "light", byWidth}, {320, "dark", []string{"color-contrast", "color-contrast-enhanced"}},
		} {
			as(t, w, page, v.width, high, v.theme)
			look(t, w.ctx, page, fmt.Sprintf("%s, %d px, %s", s.path, v.width, v.theme), v.rules...)
		}
	}
	for _, f := range page.Faults() {
		t.Errorf("in the console: %s", f)
	}
}
