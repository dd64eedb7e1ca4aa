//go:build browser

package browser

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// press touches the middle of what a script finds, as a finger does: whatever lies on
// top there gets it. It scrolls there first where it must, and counts one tap.
func (tab *tab) press(find string) {
	tab.p.t.Helper()
	var at struct{ X, Y float64 }
	tab.eval(fmt.Sprintf(`(() => {
		document.querySelector("main").dataset.old = "yes";
		const e = %s;
		if (e.getBoundingClientRect().bottom > innerHeight - 70) e.scrollIntoView({ block: "center" });
		const r = e.getBoundingClientRect();
		return { X: r.x + r.width / 2, Y: r.y + r.height / 2 };
	})()`, find), &at)
	for _, kind := range []string{"mousePressed", "mouseReleased"} {
		require.NoError(tab.p.t, tab.Call(tab.p.ctx, "Input.dispatchMouseEvent", map[string]any{"type": kind, "x": at.X, "y": at.Y, "button": "left", "clickCount": 1}, nil))
	}
	tab.wait(`!document.querySelector("main").dataset.old`)
	tab.taps++
}

// button finds what can be pressed by the words on it.
func button(words string) string {
	return fmt.Sprintf(`[...document.querySelectorAll("a, button")].find(e => e.innerText.trim().startsWith(%q) && e.checkVisibility())`, words)
}

// What a phone is taken out for, from its first screen at 360 by 640: the clock on
// and off in two taps each, half an hour in three, the next step of a checklist
// answered in two. Everything on the first screen without scrolling.
func TestTaps(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	require.NoError(t, tab.Call(p.ctx, "Emulation.setDeviceMetricsOverride", map[string]any{"width": 360, "height": 640, "deviceScaleFactor": 1, "mobile": true}, nil))
	first := func() {
		tab.tap(bench)
		tab.eval("scrollTo(0, 0)", nil)
		tab.taps = 0
	}
	inSight := func(words string) {
		t.Helper()
		var bottom, free float64
		tab.eval(button(words)+`.getBoundingClientRect().bottom`, &bottom)
		tab.eval(`document.querySelector("nav.bar").getBoundingClientRect().top`, &free)
		require.LessOrEqual(t, bottom, free, "%q is under the fold", words)
	}
	wrote := func(most int, words string) {
		t.Helper()
		tab.wait(fmt.Sprintf(`document.querySelector(".done")?.innerText.includes(%q)`, words))
		require.LessOrEqual(t, tab.taps, most)
		t.Logf("%s: %d taps", words, tab.taps)
	}
	plainly := func(words string) { // where a form asks first
		if strings.Contains(tab.text("location.pathname"), "/write/") {
			tab.press(button(words))
		}
	}

	titles := map[string]bool{}
	for range 2 { // on two tasks
		first()
		titles[tab.text(`document.querySelector(".at-hand b").innerText`)] = true
		inSight("+ half an hour")
		tab.press(button("+ half an hour"))
		plainly("changed nothing")
		wrote(3, "0.5 h")

		first()
		inSight("clock on")
		tab.press(button("clock on"))
		plainly("clock on")
		wrote(2, "clock")
		first()
		inSight("clock off")
		tab.press(button("clock off"))
		plainly("changed nothing")
		wrote(2, "clock")
		tab.tap(bench)
		other := tab.text(`[...document.querySelectorAll("#hand li > a")].map(a => a.getAttribute("href").split("/").at(-1)).find(k => !document.querySelector(".at-hand b a").href.endsWith(k))`)
		tab.tap(bench + "write/hours?task=" + other)
		tab.send("hours", "hours", "1", "changes", "none")
	}
	require.Len(t, titles, 2)

	first()
	list := `document.querySelector(".at-hand .row-link")`
	place := tab.text(list + ".querySelector('small').innerText")
	require.Contains(t, place, "step ")
	tab.press(list)
	require.Contains(t, place, strings.TrimSpace(tab.text(`document.querySelector("h1.do, h1").innerText`)))
	require.LessOrEqual(t, tab.taps, 2, "the second answers it")
}
