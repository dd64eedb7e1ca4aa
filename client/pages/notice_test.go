package pages_test

import (
	"net/url"
	"testing"

	"ampwright/client/pages"

	"github.com/stretchr/testify/require"
)

// What the garage has to say stands on every page, of a build and of the garage,
// as text, as long as it has something to say.
func TestNotice(t *testing.T) {
	g := heron(t)
	notice := ""
	site, err := pages.New(pages.Config{
		Book: g.book, Once: func() string { return "once" }, Notes: func() []string {
			if notice == "" {
				return nil
			}
			return []string{notice}
		},
	})
	require.NoError(t, err)
	for _, path := range []string{g.at + "/", g.at + "/logbook", "/"} {
		notice = ""
		resp := site.Serve(pages.Request{Method: "GET", Path: path, Query: url.Values{"all": {"1"}}})
		require.Equal(t, 200, resp.Status, path)
		require.NotContains(t, string(resp.Body), "<b>NOTICE</b>")
		notice = "this copy is <new>"
		resp = site.Serve(pages.Request{Method: "GET", Path: path, Query: url.Values{"all": {"1"}}})
		require.Contains(t, string(resp.Body), "<b>NOTICE</b> this copy is &lt;new&gt;", path)
	}
}
