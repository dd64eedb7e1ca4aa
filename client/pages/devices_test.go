package pages_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// A device is struck off from the settings; what it wrote is then shown as held
// back, with who, when and what, and let in from there.
func TestStruckOffDevice(t *testing.T) {
	g := heron(t)
	phone := "pocket phone"
	var ask string
	for _, d := range find(g.page(g.at+"/settings"), "#devices li") {
		links := slices.DeleteFunc(find(d, "a"), func(a *html.Node) bool { to, _ := attr(a, "href"); return !strings.Contains(to, "/strike-off?") })
		require.Equal(t, strings.Contains(texts(t, d, ".stamp"), "HERE"), len(links) == 0, "this device is not struck off from itself")
		if strings.Contains(texts(t, d, "span"), phone) {
			ask, _ = attr(links[0], "href")
		}
	}
	require.NotEmpty(t, ask)
	require.Empty(t, find(g.page(g.at+"/findings"), "#held"))

	form := find(g.page(ask), "form.ask")[0]
	action, _ := attr(form, "action")
	send := filled(form)
	send.Set("reason", "lost on the <train>")
	send.Set("upto", "none")
	require.Equal(t, 303, g.post(action, send).Status)

	doc := g.page(g.at + "/settings")
	require.Contains(t, texts(t, doc, "#devices .stamp"), "STRUCK OFF")
	require.Contains(t, texts(t, doc, "#devices small"), "reason: lost on the <train>; none of its entries counts")
	require.Contains(t, texts(t, doc, "#devices small"), "held back and count for nothing")
	held := heldBack(t, g)
	doc = g.page(g.at + "/findings")
	require.Len(t, find(doc, "#held li"), len(held))
	require.Contains(t, texts(t, doc, "#held"), "HELD BACK")
	require.Contains(t, texts(t, doc, "#held small"), phone)
	require.Contains(t, texts(t, doc, "#ask"), "held back")
	require.Contains(t, texts(t, g.page(g.at+"/entry/"+held[0].String()), ".said"), "HELD BACK")

	link := ""
	for _, a := range find(doc, "#held li a") {
		if href, _ := attr(a, "href"); strings.Contains(href, "/write/let-in") && link == "" {
			link = href
		}
	}
	form = find(g.page(link), "form.ask")[0]
	action, _ = attr(form, "action")
	send = filled(form)
	send.Set("reason", "it was ours")
	require.Equal(t, 303, g.post(action, send).Status)
	require.Len(t, heldBack(t, g), len(held)-1)
}
