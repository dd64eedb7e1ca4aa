package pages_test

import (
	"net/url"
	"slices"
	"strings"
	"testing"

	"ampwright/calc/catalogue"
	"ampwright/client/record"
	"ampwright/model"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// paths are all pages of a build: each kind of page, each job card, each check,
// each form.
func (g *garage) paths() []string {
	b := g.build()
	list := []string{"/?all=1", g.at + "/?fit=480", "/plans", "/plans/kart-chain", g.at + "/plan"}
	for _, p := range []string{"/", "/tasks", "/checks", "/spec", "/parts", "/money", "/findings", "/logbook", "/settings"} {
		list = append(list, g.at+p)
	}
	list = append(list, g.at+"/calc", g.at+"/whatif", g.at+"/whatif?work=1&vary=cells_series&cells_series.1=24&cells_series.3=16")
	for _, c := range catalogue.All() {
		list = append(list, g.at+"/calc/"+c.Name, g.at+"/calc/"+c.Name+"?cols=3")
	}
	for _, a := range record.Audiences() {
		list = append(list, g.at+"/record?hours=1&money=1&for="+string(a))
	}
	list = append(list, g.at+"/record/verify")
	for _, show := range []string{"open", "ready", "held", "finished"} {
		list = append(list, g.at+"/tasks?show="+show)
	}
	for _, show := range []string{"stale", "held", "out", "all"} {
		list = append(list, g.at+"/checks?show="+show)
	}
	for _, show := range []string{"wanted", "ordered", "here"} {
		list = append(list, g.at+"/parts?show="+show)
	}
	for _, t := range b.Tasks {
		list = append(list, g.at+"/task/"+t.ID)
	}
	for _, c := range b.Checks {
		list = append(list, g.at+"/check/"+c.ID)
	}
	for _, l := range b.Lists {
		at := g.at + "/walk/" + l.ID
		list = append(list, at, at+"/paper")
		for _, ch := range l.Chunks {
			list = append(list, at+"/release/"+ch.ID)
			for _, s := range ch.Steps {
				list = append(list, at+"/"+s)
			}
		}
	}
	for _, k := range model.WishKinds() {
		if k.Name == "start" {
			list = append(list, "/write/start")
			continue
		}
		list = append(list, g.at+"/write/"+k.Name)
	}
	var ids []model.ID
	g.book.Read(func(*model.Logbook) {
		for _, l := range b.Lines(0, 0) {
			ids = append(ids, l.ID)
		}
	})
	for _, id := range ids {
		list = append(list, g.at+"/entry/"+id.String())
	}
	return append(list, g.at+"/logbook?page=2", g.at+"/logbook?page=99")
}

func TestEveryPage(t *testing.T) {
	for name, g := range map[string]*garage{"demo": heron(t), "empty": fresh(t, "small-motorcycle-hub"), "kart": fresh(t, "kart-chain")} {
		t.Run(name, func(t *testing.T) {
			keys := idsOf(g.build())
			for _, path := range g.paths() {
				g.t = t
				lint(t, path, g.page(path), keys)
			}
		})
	}
}

// idsOf are the names of things in the plan, longest first: they may hold words
// that prose must not.
func idsOf(b *model.Build) []string {
	var keys []string
	for _, c := range b.Checks {
		keys = append(keys, c.ID)
	}
	for _, c := range b.Plan.Changes {
		keys = append(keys, c.ID)
	}
	for _, p := range b.Parts {
		keys = append(keys, p.ID)
	}
	slices.SortFunc(keys, func(a, b string) int { return len(b) - len(a) })
	return keys
}

// lint holds a page against what every page must keep to.
func lint(t *testing.T, path string, doc *html.Node, keys []string) {
	t.Helper()
	words := strings.ToLower(text(doc))
	for _, k := range keys {
		if strings.Contains(k, "safe") {
			words = strings.ReplaceAll(words, k, "")
		}
	}
	require.NotContains(t, words, "safe", path)
	require.NotRegexp(t, `\b(is|are|was|now|proved) dead\b`, words, path)
	require.Contains(t, words, "licensed people decide", path)

	for _, s := range find(doc, "script") {
		src, _ := attr(s, "src")
		require.Equal(t, "/static/awake.js", src, path)
		require.Nil(t, s.FirstChild, path)
	}
	require.NotContains(t, words, "%!", "%s: a format without its value", path)
	require.NotContains(t, words, "<no value>", path)
	ids := map[string]bool{}
	for d := range doc.Descendants() {
		if d.Type != html.ElementNode {
			continue
		}
		if id, ok := attr(d, "id"); ok {
			require.False(t, ids[id], "%s: id %s is there twice", path, id)
			ids[id] = true
		}
		for _, a := range d.Attr {
			require.NotEqual(t, "style", a.Key, path) // the policy forbids it
			require.False(t, strings.HasPrefix(a.Key, "on"), "%s: %s", path, a.Key)
			if a.Key == "href" || a.Key == "action" || a.Key == "src" {
				require.True(t, strings.HasPrefix(a.Val, "/") || strings.HasPrefix(a.Val, "#"), "%s leads to %s", path, a.Val)
			}
		}
	}
	for _, d := range find(doc, "input") {
		kind, _ := attr(d, "type")
		require.NotEqual(t, "number", kind, path)
	}
	for _, d := range find(doc, "[aria-describedby]") {
		id, _ := attr(d, "aria-describedby")
		require.True(t, ids[id], "%s: nothing is %s", path, id)
	}
	for _, d := range find(doc, "label[for]") {
		id, _ := attr(d, "for")
		require.True(t, ids[id], "%s: nothing is %s", path, id)
	}
	for _, d := range find(doc, "form") {
		method, _ := attr(d, "method")
		if method == "get" { // it asks and writes nothing down
			require.Empty(t, find(d, "input[name=once]"), path)
			continue
		}
		require.Equal(t, "post", method, path)
		require.Len(t, find(d, "input[name=once]"), 1, path)
	}
	for _, d := range find(doc, ".stamp") {
		require.NotEmpty(t, text(d), "%s: a stamp without a word", path)
		class, _ := attr(d, "class")
		require.Len(t, strings.Fields(class), 2, "%s: stamp %q without a shape", path, text(d))
	}
	require.Len(t, find(doc, "h1"), 1, path)
	require.Len(t, find(doc, "[role=status]"), 1, path)
}

// Every way on from the main pages leads somewhere.
func TestLinks(t *testing.T) {
	g := heron(t)
	seen := map[string]bool{}
	for _, p := range []string{"/", "/tasks", "/checks?show=stale", "/spec", "/parts", "/money", "/findings", "/logbook", "/record", "/record/verify", "/settings", "/task/pkb-04", "/task/har-01", "/check/tap-step", "/check/iso-live"} {
		for _, a := range find(g.page(g.at+p), "a") {
			href, ok := attr(a, "href")
			require.True(t, ok, "%s: %s leads nowhere", p, text(a))
			seen[href] = true
		}
	}
	require.Greater(t, len(seen), 300)
	for href := range seen {
		if strings.HasPrefix(href, "#") {
			continue
		}
		if strings.HasPrefix(href, "/photo/") { // its bytes are the host's; the site knows the name
			require.Contains(t, string(g.get(href).Body), "is not on this device yet", href)
			continue
		}
		require.Equal(t, 200, g.get(href).Status, href)
	}
}

func TestNothingThere(t *testing.T) {
	g := heron(t)
	for _, path := range []string{
		"/x", "/b", "/b/x/", "/b/00000000-0000-4000-8000-000000000000/", g.at + "/x", g.at + "/task/nope-99", g.at + "/check/nope",
		g.at + "/entry/0123", g.at + "/entry/" + strings.Repeat("0", 32), g.at + "/write/nope", "/write/hours", g.at + "/write/start", g.at + "/task/", "relative",
	} {
		resp := g.site.Serve(pagesRequest("GET", path))
		require.Equal(t, 404, resp.Status, path)
		lint(t, path, parse(t, resp.Body), idsOf(g.build()))
	}
	for path, allow := range map[string]string{g.at + "/": "GET, HEAD", g.at + "/spec": "GET, HEAD", g.at + "/write/hours": "GET, HEAD, POST", "/": "GET, HEAD"} {
		resp := g.serve("DELETE", path, nil)
		require.Equal(t, 405, resp.Status, path)
		require.Equal(t, allow, resp.Allow, path)
	}
	require.Equal(t, 405, g.post(g.at+"/tasks", url.Values{}).Status)
	require.Equal(t, 200, g.serve("HEAD", g.at+"/", nil).Status)
}

// The only build of a garage is its home; with none, the form to start one is.
func TestHome(t *testing.T) {
	g := heron(t)
	resp := g.get("/")
	require.Equal(t, 303, resp.Status)
	require.Equal(t, g.at+"/", resp.Location)
	require.Equal(t, g.at+"/", g.get(g.at).Location)
	require.Contains(t, texts(t, g.page("/?all=1"), "main li"), "Heron")

	none := newGarage(t, nil)
	doc := none.page("/")
	require.Contains(t, texts(t, doc, "main"), "no build yet")
	plans := find(doc, "form input[name=plan]")
	require.Len(t, plans, 2)
}
