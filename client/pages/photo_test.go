package pages_test

import (
	"net/url"
	"strings"
	"testing"

	"ampwright/client/pages"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// attrOf is an attribute, or nothing.
func attrOf(n *html.Node, name string) string {
	v, _ := attr(n, name)
	return v
}

// A photo is chosen with the browser's own means, from the camera or from what was
// taken before, and its form is sent in parts.
func TestPhotoIsAskedFor(t *testing.T) {
	g := heron(t)
	for _, path := range []string{
		"/write/photo?task=brk-02", "/write/buy", "/write/read?check=motor-iso", "/write/read?check=frame-number-photo", "/check/motor-iso",
		"/task/brk-02", walked + "/dead-at-controller",
	} {
		doc := g.page(g.at + path)
		inputs := find(doc, "form[enctype=multipart/form-data] input[type=file]")
		require.NotEmpty(t, inputs, path)
		for _, in := range inputs {
			require.Equal(t, "image/jpeg,image/png,image/webp", attrOf(in, "accept"), path)
			for _, a := range in.Attr {
				require.NotEqual(t, "capture", a.Key, "the gallery is offered as well")
			}
			require.Len(t, find(doc, "label[for="+attrOf(in, "id")+"]"), 1, path)
		}
	}
	require.Empty(t, find(g.page(g.at+"/write/note"), "[enctype]"))
	for _, name := range []string{"check", "part"} {
		require.Empty(t, find(g.page(g.at+"/write/photo?task=brk-02"), "input[name="+name+"]"), "it is known what it is of")
	}
	fields := find(g.page(g.at+"/write/read?check=frame-number-photo"), "form.ask input")
	require.Equal(t, "check", attrOf(fields[0], "name"))
	require.Equal(t, "photo", attrOf(fields[1], "name"), "a photo check asks for its photo first")
}

// Pages show a photo small, as a way to it in full; where its bytes are not here
// they say so. The phone looks for itself.
func TestPhotoIsShown(t *testing.T) {
	g := heron(t)
	hash := strings.Repeat("1f", 32)
	require.Equal(t, 303, g.post(g.at+"/write/photo", url.Values{"photo": {hash}, "task": {"brk-02"}, "note": {"left <lug>"}}).Status)
	require.Equal(t, 303, g.post(g.at+"/write/photo", url.Values{"photo": {hash}, "check": {"motor-iso"}}).Status)
	require.Equal(t, 303, g.post(g.at+"/write/read", url.Values{"photo": {hash}, "check": {"frame-number-photo"}}).Status)
	require.Equal(t, 303, g.post(g.at+"/write/buy", url.Values{"photo": {hash}, "what": {"fuse"}, "amount": {"12"}}).Status)
	entry := g.page(g.at + "/logbook")
	newest := attrOf(find(entry, ".log a.name")[0], "href")
	shown := []string{g.at + "/task/brk-02", g.at + "/check/motor-iso", g.at + "/check/frame-number-photo", g.at + "/money", g.at + "/record", newest}
	for _, path := range shown {
		pics := find(g.page(path), "a.photo[href=/photo/"+hash+"] img[src=/photo/"+hash+"]")
		require.NotEmpty(t, pics, path)
		require.NotEmpty(t, attrOf(pics[0], "alt"))
		require.Equal(t, "lazy", attrOf(pics[0], "loading"))
	}
	require.Contains(t, texts(t, g.page(g.at+"/task/brk-02"), "#photos"), "left <lug>")
	readings := texts(t, g.page(g.at+"/check/frame-number-photo"), "#readings")
	require.Contains(t, readings, "photo in the logbook")
	require.Equal(t, 1, strings.Count(readings, "photo taken, kept elsewhere"), "the demo's own, from before")

	n := 0
	var err error
	g.site, err = pages.New(pages.Config{Book: g.book, Once: func() string { n++; return "x" }, HasPhoto: func([32]byte) bool { return false }})
	require.NoError(t, err)
	for _, path := range shown {
		doc := g.page(path)
		require.Empty(t, find(doc, "img"), path)
		require.Contains(t, texts(t, doc, ".absent"), "photo 1f1f1f1f: not on this device yet", path)
	}
}

// A file that is no photo is said to be none where a photo is asked for; nothing
// is written down, and what was typed stays.
func TestNoPhoto(t *testing.T) {
	g := heron(t)
	before := g.entries()
	for _, path := range []string{"/write/read", walked + "/dead-at-controller"} {
		resp := g.site.Serve(pages.Request{
			Method: "POST", Path: g.at + path, NoPhoto: "this is no picture",
			Form: url.Values{"check": {"motor-iso"}, "value": {"55M"}, "before": {"12.6"}, "after": {"12.6"}},
		})
		require.Equal(t, 422, resp.Status)
		require.Contains(t, string(resp.Body), "this is no picture")
		require.Contains(t, string(resp.Body), `value="55M"`)
	}
	require.Equal(t, before, g.entries())
}
