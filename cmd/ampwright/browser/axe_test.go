//go:build browser

package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"ampwright/cmd/dev/axe"
	"ampwright/cmd/dev/chromium"

	"github.com/stretchr/testify/require"
)

// axeRules turns on all rules of axe-core, those too that it leaves off by itself:
// target-size (WCAG 2.2, 2.5.8) and color-contrast-enhanced (1.4.6) above all.
// Deprecated ones stay off.
const axeRules = `Object.fromEntries(axe.getRules().filter(r => !r.tags.includes("deprecated")).map(r => [r.ruleId, { enabled: true }]))`

// axed puts axe-core into every page that the tab opens from now on, and says
// whether there is one. It is evaluated by the debugger, which no policy of the
// page's binds.
func axed(t *testing.T, ctx context.Context, page *chromium.Page) bool {
	t.Helper()
	script, err := axe.Script(ctx)
	if err != nil {
		fmt.Println("not run: what axe-core finds on the pages:", err)
		return false
	}
	require.NoError(t, page.Call(ctx, "Page.addScriptToEvaluateOnNewDocument", map[string]any{"source": script, "runImmediately": true}, nil))
	return true
}

// thin leaves four of each kind of row on the page, where hundreds are alike, and
// returns how high it is then: axe-core takes its time over each.
const thin = `(() => {
	const like = (e) => e.tagName + "." + e.className + "(" + [...e.children].map(like).join() + ")";
	const seen = new Map();
	for (const row of document.querySelectorAll("li, tr, datalist option, .told > div, svg g")) {
		const n = seen.get(like(row)) ?? 0;
		seen.set(like(row), n + 1);
		if (n >= 4) row.remove();
	}
	return document.documentElement.scrollHeight;
})()`

// look looks at the page for what axe-core finds wrong: all that it knows, or only
// the rules named.
func look(t *testing.T, ctx context.Context, page *chromium.Page, where string, only ...string) {
	t.Helper()
	options := `{ resultTypes: ["violations", "incomplete"], rules: ` + axeRules + ` }`
	if len(only) > 0 {
		names, err := json.Marshal(only)
		require.NoError(t, err)
		options = fmt.Sprintf(`{ resultTypes: ["violations", "incomplete"], runOnly: { type: "rule", values: %s } }`, names)
	}
	type found struct{ Rule, Help, At, Why string }
	var r struct{ Wrong, Unsure []found }
	require.NoError(t, page.Eval(ctx, `(async () => {
		const r = await axe.run(document, `+options+`);
		const told = (list) => list.flatMap(v => v.nodes.map(n => ({ rule: v.id, help: v.help, at: n.html.slice(0, 200), why: n.failureSummary ?? n.any[0]?.message ?? "" })));
		return { wrong: told(r.violations), unsure: told(r.incomplete) };
	})()`, &r), where)
	for _, f := range r.Wrong {
		t.Errorf("%s: %s: %s: %s: %s", where, f.Rule, f.Help, f.At, strings.Join(strings.Fields(f.Why), " "))
	}
	if testing.Verbose() {
		slices.SortFunc(r.Unsure, func(a, b found) int { return strings.Compare(a.Rule, b.Rule) })
		for _, f := range r.Unsure {
			t.Logf("%s: not sure of %s: %s: %s", where, f.Rule, f.At, strings.Join(strings.Fields(f.Why), " "))
		}
	}
}
