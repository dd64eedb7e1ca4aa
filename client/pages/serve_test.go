package pages_test

import (
	"net/url"
	"strings"
	"testing"

	"ampwright/client/pages"

	"github.com/stretchr/testify/require"
)

// Behind a proxy all pages stand below a path of their own.
func TestBase(t *testing.T) {
	g := heron(t)
	tokens := 0
	site, err := pages.New(pages.Config{Book: g.book, Base: "/garage", Once: func() string { tokens++; return "x" }})
	require.NoError(t, err)
	resp := site.Serve(pagesRequest("GET", "/garage/"))
	require.Equal(t, "/garage"+g.at+"/", resp.Location)
	require.Equal(t, 404, site.Serve(pagesRequest("GET", g.at+"/")).Status)
	for _, path := range []string{"/", "/tasks", "/task/pkb-04", "/check/tap-step", "/findings", "/logbook", "/settings"} {
		resp := site.Serve(pagesRequest("GET", "/garage"+g.at+path))
		require.Equal(t, 200, resp.Status, path)
		for d := range parse(t, resp.Body).Descendants() {
			for _, a := range d.Attr {
				if a.Key == "href" || a.Key == "action" {
					require.True(t, strings.HasPrefix(a.Val, "/garage/") || strings.HasPrefix(a.Val, "#"), "%s: %s", path, a.Val)
				}
			}
		}
	}
	require.Positive(t, tokens)
}

func TestConfig(t *testing.T) {
	g := heron(t)
	once := func() string { return "x" }
	for name, cfg := range map[string]pages.Config{
		"no book": {Once: once}, "no tokens": {Book: g.book}, "base without slash": {Book: g.book, Once: once, Base: "garage"},
		"base with two": {Book: g.book, Once: once, Base: "/garage/"},
	} {
		_, err := pages.New(cfg)
		require.Error(t, err, name)
	}
}

// Whatever is asked for or typed, a page comes back: none of ours fails.
func FuzzServe(f *testing.F) {
	g := heron(f)
	for _, path := range []string{"", "/", "/task/mot-05", "/check/tap-step", "/logbook", "/write/read", "/write/hours", "/entry/baf054a2", "/write/strike", "/walk/commissioning/dead-at-controller", "/walk/commissioning/release/dead-mechanical"} {
		f.Add("GET", path, "check=iso-pack&value=3&fit=1&page=2&done=baf054a2", "")
		f.Add("POST", path, "", "check=tap-step&value=3.7 3,7;x&hours=2h30&changes=none&entry=9104&reason=%00&back=//x")
	}
	f.Fuzz(func(t *testing.T, method, path, query, body string) {
		q, err := url.ParseQuery(query)
		if err != nil {
			return
		}
		form, err := url.ParseQuery(body)
		if err != nil {
			return
		}
		resp := g.site.Serve(pages.Request{Method: method, Path: g.at + path, Query: q, Form: form})
		switch resp.Status {
		case 200, 303, 308, 404, 405, 422:
		default:
			t.Fatalf("status %d: %s", resp.Status, resp.Body)
		}
		if resp.Status == 303 && !strings.HasPrefix(resp.Location, "/") {
			t.Fatalf("leads to %q", resp.Location)
		}
		if strings.Contains(strings.ReplaceAll(string(resp.Body), `<script src="/static/awake.js" defer></script>`, ""), "<script") {
			t.Fatal("a script on the page that is not ours")
		}
	})
}
