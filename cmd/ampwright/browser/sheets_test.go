//go:build browser

package browser

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"testing"

	"ampwright/cmd/dev/axe"
	"ampwright/model/demo"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

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
		names := nameless(b)
		for _, s := range sheets {
			lint(t, s, names)
		}
	})
	list := screens(t, sheets)
	t.Run("browsers", func(t *testing.T) { // at once: each waits for much
		t.Run("narrow", func(t *testing.T) {
			t.Parallel()
			narrow(t, p, sheets)
		})
		const share = 2
		for i := range share {
			t.Run(fmt.Sprint("looks", i), func(t *testing.T) {
				t.Parallel()
				var mine []screen
				for j := i; j < len(list); j += share {
					mine = append(mine, list[j])
				}
				looks(t, p, mine)
			})
		}
	})
}

// narrow: no page at all is wider than the smallest screen (WCAG 2.2, 1.4.10). One tab
// swaps the pages in, as the phone's program does: that is faster than to open each.
func narrow(t *testing.T, p *program, sheets []sheet) {
	w := newWindow(t)
	page, err := w.browser.Open(w.ctx, p.home, nil)
	require.NoError(t, err)
	require.NoError(t, page.Call(w.ctx, "Emulation.setDeviceMetricsOverride", map[string]any{"width": 320, "height": 800, "deviceScaleFactor": 1, "mobile": false}, nil))
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

// looks: on all screens, by all rules, axe-core finds nothing wrong, nothing is wider
// than the screen, the console is silent.
func looks(t *testing.T, p *program, list []screen) {
	w := newWindow(t)
	page, err := w.browser.Open(w.ctx, "about:blank", nil)
	require.NoError(t, err)
	withAxe, looked := axed(t, w.ctx, page), 0
	require.NoError(t, page.Go(w.ctx, p.home))
	require.NoError(t, page.Wait(w.ctx, `document.readyState === "complete"`))
	for _, s := range list {
		w.show(t, p, page, s)
		for _, width := range []int{1280, 412} { // narrow does the smallest
			require.NoError(t, page.Call(w.ctx, "Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": false}, nil))
			var over int
			require.NoError(t, page.Eval(w.ctx, `document.documentElement.scrollWidth - innerWidth`, &over))
			if over > 0 {
				t.Errorf("%s, %d px: %d px too wide", s, width, over)
			}
		}
		if withAxe {
			require.NoError(t, axe.Thin(w.ctx, page))
			look(t, w.ctx, page, s.String())
			looked++
		}
	}
	if withAxe {
		require.Equal(t, len(list), looked)
		t.Logf("%d pages on %d screens by %d rules", looked, len(axe.Screens), axe.Rules)
	}
	for _, f := range page.Faults() {
		if !refused.MatchString(f) {
			t.Errorf("in the console: %s", f)
		}
	}
}

// refused is what the browser says of a page that was asked for and is not there,
// and of a form that was refused, both on purpose.
var refused = regexp.MustCompile(`status of (404|422)`)
