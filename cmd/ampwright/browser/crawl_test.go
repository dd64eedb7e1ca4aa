//go:build browser

package browser

import (
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// A sheet is one page as the server sent it.
type sheet struct {
	path string // below the garage's address, with its query
	doc  *html.Node
}

// crawl follows every link from the garage's first page and returns all pages. What
// is no page is left, and of forms and calculations that differ only in what stands
// in their boxes all but one.
func (p *program) crawl() (sheets []sheet) {
	p.t.Helper()
	home, err := url.Parse(p.home)
	require.NoError(p.t, err)
	known := map[string]bool{"": true}
	for next := []string{""}; len(next) > 0; next = next[1:] {
		resp, err := http.Get(p.home + next[0])
		require.NoError(p.t, err)
		require.Equal(p.t, 200, resp.StatusCode, next[0])
		if !strings.HasPrefix(resp.Header.Get("Content-Type"), "text/html") {
			resp.Body.Close()
			continue
		}
		doc, err := html.Parse(resp.Body)
		resp.Body.Close()
		require.NoError(p.t, err)
		sheets = append(sheets, sheet{next[0], doc})
		at := resp.Request.URL // after redirects
		for e := range doc.Descendants() {
			if e.Data != "a" {
				continue
			}
			u, err := at.Parse(attr(e, "href"))
			require.NoError(p.t, err, "%s: %s", next[0], attr(e, "href"))
			u.Fragment = ""
			path, ours := strings.CutPrefix(u.RequestURI(), home.Path)
			like := path
			if strings.Contains(path, "/write/") || strings.Contains(path, "/calc/") {
				like = u.Path + "?" + strings.Join(slices.Sorted(maps.Keys(u.Query())), "&")
			}
			if u.Host != home.Host || !ours || known[like] || has(e, "download") {
				continue
			}
			known[like] = true
			next = append(next, path)
		}
	}
	return sheets
}

func attr(e *html.Node, name string) string {
	for _, a := range e.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func has(e *html.Node, name string) bool {
	return slices.ContainsFunc(e.Attr, func(a html.Attribute) bool { return a.Key == name })
}

func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data + " ")
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}
