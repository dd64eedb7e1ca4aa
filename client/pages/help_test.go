package pages_test

import (
	"bytes"
	"fmt"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// A garage is a site over a logbook in memory, whose clock stands still.
type garage struct {
	t    testing.TB
	book *book.Book
	site *pages.Site
	at   string // path of the build in hand, without the slash at its end
}

// laptop is the replica the tests write on.
var laptop = uuid.MustParse("4845524f-4e00-4000-8000-0000000000fe")

func newGarage(t testing.TB, raws [][]byte) *garage {
	t.Helper()
	log := keep.NewMemory()
	require.NoError(t, log.Append(raws))
	ids := 0
	b, err := book.Open(log, book.Config{
		Replica: laptop, Device: "bench laptop", Person: "builder", Plans: plan.Builtin, ReadPlan: plan.Load,
		Now:   func() time.Time { return demo.End },
		NewID: func() uuid.UUID { ids++; return uuid.UUID{0: 0xb0, 15: byte(ids)} },
	})
	require.NoError(t, err)
	tokens := 0
	site, err := pages.New(pages.Config{
		Book: b, Plans: plan.Editions(), Version: "test",
		Once: func() string { tokens++; return fmt.Sprint("once-", tokens) },
	})
	require.NoError(t, err)
	return &garage{t: t, book: b, site: site, at: "/b/" + demo.Build.String()}
}

// played is the demo's script, played once.
var played = sync.OnceValues(func() ([][]byte, error) { return demo.Heron(plan.Builtin) })

// heron is the demo build as it stands at its end.
func heron(t testing.TB) *garage {
	t.Helper()
	raws, err := played()
	require.NoError(t, err)
	return newGarage(t, raws)
}

// fresh is a garage with one build that was started a moment ago.
func fresh(t testing.TB, plan string) *garage {
	t.Helper()
	g := newGarage(t, nil)
	resp := g.post("/write/start", url.Values{"plan": {plan}, "title": {"Wren"}, "currency": {"EUR"}})
	require.Equal(t, 303, resp.Status, "%s", resp.Body)
	at, _, _ := strings.Cut(resp.Location, "?")
	g.at = strings.TrimSuffix(at, "/")
	return g
}

func (g *garage) serve(method, path string, form url.Values) pages.Response {
	u, err := url.Parse(path)
	require.NoError(g.t, err)
	return g.site.Serve(pages.Request{Method: method, Path: u.Path, Query: u.Query(), Form: form})
}

func (g *garage) get(path string) pages.Response { return g.serve("GET", path, nil) }

func (g *garage) post(path string, form url.Values) pages.Response {
	return g.serve("POST", path, form)
}

// page gets a page that must be there.
func (g *garage) page(path string) *html.Node {
	g.t.Helper()
	resp := g.get(path)
	require.Equal(g.t, 200, resp.Status, "%s: %s", path, resp.Body)
	return parse(g.t, resp.Body)
}

// entries counts what is in the logbook.
func (g *garage) entries() (n int) {
	g.book.Read(func(l *model.Logbook) { n = l.Len() })
	return n
}

func (g *garage) build() *model.Build {
	g.t.Helper()
	id, err := uuid.Parse(strings.TrimPrefix(g.at, "/b/"))
	require.NoError(g.t, err)
	b, err := g.book.Build(id)
	require.NoError(g.t, err)
	return b
}

func parse(t testing.TB, body []byte) *html.Node {
	t.Helper()
	doc, err := html.Parse(bytes.NewReader(body))
	require.NoError(t, err)
	return doc
}

// find returns the nodes a selector names: tags, #id, .class and [attr=value],
// with spaces between ancestors and descendants.
func find(doc *html.Node, selector string) []*html.Node {
	nodes := []*html.Node{doc}
	for _, step := range strings.Fields(selector) {
		var next []*html.Node
		seen := map[*html.Node]bool{}
		for _, n := range nodes {
			for d := range n.Descendants() {
				if d.Type == html.ElementNode && !seen[d] && matches(d, step) {
					seen[d] = true
					next = append(next, d)
				}
			}
		}
		nodes = next
	}
	return nodes
}

// matches compares an element with one step such as "li.stale#x" or "input[name=task]".
func matches(n *html.Node, step string) bool {
	step, wanted, has := strings.Cut(step, "[")
	if has {
		name, value, exact := strings.Cut(strings.TrimSuffix(wanted, "]"), "=")
		got, ok := attr(n, name)
		if !ok || exact && got != value {
			return false
		}
	}
	tag := step
	if i := strings.IndexAny(step, ".#"); i >= 0 {
		tag = step[:i]
	}
	if tag != "" && n.Data != tag {
		return false
	}
	for rest := step[len(tag):]; rest != ""; {
		end := strings.IndexAny(rest[1:], ".#") + 1
		if end == 0 {
			end = len(rest)
		}
		class, _ := attr(n, "class")
		id, _ := attr(n, "id")
		if rest[0] == '#' && id != rest[1:end] || rest[0] == '.' && !contains(strings.Fields(class), rest[1:end]) {
			return false
		}
		rest = rest[end:]
	}
	return true
}

func contains(list []string, s string) bool {
	for _, one := range list {
		if one == s {
			return true
		}
	}
	return false
}

func attr(n *html.Node, name string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}

// text is what a person reads in a node, white space made single.
func text(n *html.Node) string {
	var out strings.Builder
	var walk func(*html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.TextNode {
			out.WriteString(n.Data + " ")
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(n)
	return strings.NewReplacer(" ,", ",", " ;", ";", " .", ".").Replace(strings.Join(strings.Fields(out.String()), " "))
}

// texts is what a selector holds, joined.
func texts(t testing.TB, doc *html.Node, selector string) string {
	t.Helper()
	nodes := find(doc, selector)
	require.NotEmpty(t, nodes, "nothing on the page is %s", selector)
	var all []string
	for _, n := range nodes {
		all = append(all, text(n))
	}
	return strings.Join(all, " | ")
}

// filled reads a form as a browser would send it.
func filled(form *html.Node) url.Values {
	values := url.Values{}
	for _, in := range find(form, "input") {
		name, _ := attr(in, "name")
		value, _ := attr(in, "value")
		kind, _ := attr(in, "type")
		_, on := attr(in, "checked")
		if (kind == "checkbox" || kind == "radio") && !on {
			continue
		}
		values.Add(name, value)
	}
	for _, area := range find(form, "textarea") {
		name, _ := attr(area, "name")
		values.Add(name, text(area))
	}
	return values
}
