//go:build browser

package browser

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"ampwright/cmd/dev/axe"
	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// screens are two on which the phone's pages are looked at. As pages of the laptop they
// are on all, see cmd/ampwright/browser.
var screens = []axe.Screen{{Width: 320, Theme: "light"}, {Width: 412, Theme: "dark"}}

// By all rules axe-core finds nothing wrong with any kind of page and form of the
// phone, without the laptop, nor with what the phone alone says: nothing stored,
// something new, storage emptied.
func TestAxe(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	p.cancel()
	p.ctx, p.cancel = context.WithTimeout(context.Background(), 9*time.Minute)
	tab := p.open("http://" + l.addr + "/phone/")
	_, missing := axe.Script(p.ctx)
	if missing != nil {
		fmt.Println("not run: what axe-core finds on the pages:", missing)
	} else {
		require.NoError(t, axe.Put(p.ctx, tab.Page))
	}
	looked := 0
	look := func(where string) {
		t.Helper()
		looked++
		if missing != nil {
			return
		}
		require.NoError(t, axe.Thin(p.ctx, tab.Page))
		wrong, unsure, err := axe.Look(p.ctx, tab.Page, "the phone's "+where, screens...)
		require.NoError(t, err)
		for _, w := range wrong {
			t.Error(w)
		}
		if testing.Verbose() {
			for _, u := range unsure {
				t.Log(u)
			}
		}
	}
	require.Contains(t, tab.text("main()"), "Nothing is stored on this device yet")
	look("first page")
	tab.bring(heron(t))
	look("device, a file read")
	tab.wait(`navigator.serviceWorker.controller?.state === "activated"`)
	l.stop()

	paths, kinds := []string{"/phone/?all=1", "/phone/this"}, map[string]bool{"this": true}
	add := func(to string) {
		to, _, _ = strings.Cut(to, "#")
		rest, in := strings.CutPrefix(to, bench)
		if !in {
			rest, in = strings.CutPrefix(to, "/phone/")
		}
		kind := strings.Split(rest, "?")[0]
		if head, tail, more := strings.Cut(kind, "/"); more && head != "write" && head != "record" && !strings.HasPrefix(kind, "export/") {
			place, last, _ := strings.Cut(tail, "/")
			kind = head + "/*"
			if last, _, _ = strings.Cut(last, "/"); head == "walk" && last != "" {
				kind += "/*"
				if last == "next" || last == "paper" || last == "release" {
					kind = head + "/*/" + last
				}
			}
			require.NotEmpty(t, place, to)
		}
		if in && !kinds[kind] && kind != "photo/*" {
			kinds[kind] = true
			paths = append(paths, to)
		}
	}
	for _, path := range []string{"", "whatif", "calc", "calc/bolt-torque"} {
		add(bench + path)
	}
	for _, k := range model.WishKinds() {
		if !k.Garage && k.Name != "read" { // which asks for a check
			add(bench + "write/" + k.Name)
		}
	}
	for i := 0; i < len(paths); i++ {
		tab.tap(paths[i])
		require.NotContains(t, tab.text("main()"), "there is no page", paths[i])
		require.NotContains(t, tab.text("main()"), "it went wrong", paths[i])
		var links []string
		tab.eval(`[...document.querySelectorAll("a[href]:not([download])")].map(a => a.getAttribute("href"))`, &links)
		for _, to := range links {
			add(to)
		}
		look(paths[i])
	}
	require.Greater(t, len(paths), 60)

	tab.tap("/phone/none")
	look("page that is not there")
	tab.tap(bench + "write/hours?task=mot-05")
	tab.send("hours", "hours", "many")
	look("refused form")
	tab.tap(bench + "write/note")
	tab.send("note", "text", "left lug tacked")
	look("note written down")
	tab.eval(`document.getElementById("fresh").hidden = false`, nil)
	look("line of something new")
	tab.eval(wipe, nil)
	tab.tap(bench + "write/note")
	require.Contains(t, tab.text("main()"), "emptied this page's storage while")
	look("storage emptied")
	tab.send("note", "text", "typed in vain")
	tab.wait(`!document.getElementById("notice").hidden`)
	look("notice of what went wrong")
	t.Logf("%d pages on %d screens by %d rules", looked, len(screens), axe.Rules)
}
