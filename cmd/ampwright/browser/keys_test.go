//go:build browser

package browser

import (
	"fmt"

	"github.com/stretchr/testify/require"
)

// A key as the browser is told of it: UI Events, KeyboardEvent key and code.
type key struct {
	name, code, text string
	number           int
}

var (
	tabKey   = key{"Tab", "Tab", "", 9}
	enterKey = key{"Enter", "Enter", "\r", 13}
	spaceKey = key{" ", "Space", " ", 32}
	downKey  = key{"ArrowDown", "ArrowDown", "", 40}
)

func (f *thumb) strike(k key) {
	f.t.Helper()
	down := map[string]any{"type": "keyDown", "key": k.name, "code": k.code, "windowsVirtualKeyCode": k.number}
	if k.text != "" {
		down["text"] = k.text
	}
	f.call("Input.dispatchKeyEvent", down)
	f.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": k.name, "code": k.code, "windowsVirtualKeyCode": k.number})
}

// mostTabs is how often the tabulator is struck before what is looked for counts as
// out of reach.
const mostTabs = 250

// reach goes to what a script finds with the tabulator, sees that the focus shows
// there, and does it: enter follows, presses and unfolds, the space bar ticks, the
// arrows pick one of several. A box to type in has the focus then, and a file chooser
// is open.
func (f *thumb) reach(find string) {
	f.t.Helper()
	at := func() (at struct{ There, Among, Shows bool }) {
		f.eval(fmt.Sprintf(`(() => {
			const found = %s;
			if (!found) throw new Error("there is nothing to do at " + location.pathname + ": " + document.body.innerText.slice(0, 1500));
			const target = found.control ?? found, on = document.activeElement, look = getComputedStyle(on);
			const box = on.closest(".box, .field") && getComputedStyle(on.closest(".box, .field"));
			return {
				there: on === target, among: on.type === "radio" && target.type === "radio" && on.name === target.name,
				shows: [look, box].some(l => l && l.outlineStyle !== "none" && parseFloat(l.outlineWidth) > 0),
			};
		})()`, find), &at)
		return at
	}
	now := at()
	for n := 0; !now.There && !now.Among; n++ {
		require.Less(f.t, n, mostTabs, "not within reach of the tabulator at %s: %s", f.text("location.pathname"), find)
		f.strike(tabKey)
		now = at()
	}
	require.True(f.t, now.Shows, "the focus does not show at %s: %s", f.text("location.pathname"), find)
	for n := 0; !now.There; n++ {
		require.Less(f.t, n, 20, "the arrows do not get to %s", find)
		f.strike(downKey)
		now = at()
	}
	switch f.text(`document.activeElement.type ?? document.activeElement.tagName`) {
	case "checkbox", "radio":
		f.strike(spaceKey)
	case "submit", "button", "file", "SUMMARY", "":
		f.strike(enterKey)
	}
}
