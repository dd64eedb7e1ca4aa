package web_test

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"image/png"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"ampwright/client/phone/bundle"
	"ampwright/client/static"
	"ampwright/server/web"

	"github.com/stretchr/testify/require"
)

// program is a phone's program for tests: each file holds its own name.
func program(t *testing.T) fstest.MapFS {
	dir := fstest.MapFS{}
	for _, name := range bundle.Names {
		var gz bytes.Buffer
		w := gzip.NewWriter(&gz)
		_, err := io.WriteString(w, "the file "+name)
		require.NoError(t, err)
		require.NoError(t, w.Close())
		dir[name+".gz"], dir[name+".br"] = &fstest.MapFile{Data: gz.Bytes()}, &fstest.MapFile{Data: []byte("brotli " + name)}
	}
	return dir
}

func phoneServer(t *testing.T, dir fstest.MapFS) http.Handler {
	s := newServer(t, nil)
	return web.New(web.Config{Book: s.book, Hosts: []string{host}, Phone: dir})
}

func ask(h http.Handler, path, accept string) *http.Response {
	r := httptest.NewRequest("GET", path, nil)
	r.Host = host
	if accept != "" {
		r.Header.Set("Accept-Encoding", accept)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

// Every address below /phone/ gets the same empty page, which is never kept and
// names files that are kept for ever.
func TestPhoneShell(t *testing.T) {
	h := phoneServer(t, program(t))
	shell := body(t, ask(h, "/phone/", ""))
	for _, path := range []string{"/phone/b/4845524f-4e00-4000-8000-000000000001/tasks", "/phone/this?x=1"} {
		r := ask(h, path, "")
		require.Equal(t, 200, r.StatusCode)
		require.Equal(t, "no-store", r.Header.Get("Cache-Control"))
		require.Equal(t, shell, body(t, r), path)
	}
	require.NotRegexp(t, `<script>|<style| style=| on[a-z]+=`, shell, "the policy forbids it")
	named := regexp.MustCompile(`/(?:static|phone/files)/[a-zA-Z0-9.-]+`).FindAllString(shell, -1)
	require.Len(t, named, 9) // two of them twice
	for _, path := range named {
		r := ask(h, path, "")
		require.Equal(t, 200, r.StatusCode, path)
		require.Contains(t, r.Header.Get("Cache-Control"), "immutable", path)
	}
	require.Equal(t, 404, ask(h, "/phone/files/boot.js", "").StatusCode)
	require.Equal(t, "no-store", ask(h, "/phone/files/boot.js", "").Header.Get("Cache-Control"))
}

func TestPhoneEncodings(t *testing.T) {
	h := phoneServer(t, program(t))
	b, err := bundle.Load(program(t))
	require.NoError(t, err)
	path := "/phone/files/" + b.Address("phone.packed")
	for _, tt := range []struct{ accept, coding, body string }{
		{"gzip, deflate, br, zstd", "br", "brotli phone.packed"},
		{"br;q=0.5, gzip", "br", "brotli phone.packed"},
		{"gzip", "gzip", ""},
		{"gzip;q=1.0, br;q=0", "gzip", ""},
		{"br; q=0.0, gzip; q=0", "", "the file phone.packed"},
		{"", "", "the file phone.packed"},
		{"brother", "", "the file phone.packed"},
	} {
		r := ask(h, path, tt.accept)
		require.Equal(t, tt.coding, r.Header.Get("Content-Encoding"), tt.accept)
		require.Equal(t, "application/octet-stream", r.Header.Get("Content-Type"))
		require.Equal(t, "Accept-Encoding", r.Header.Get("Vary"))
		if tt.body != "" {
			require.Equal(t, tt.body, body(t, r), tt.accept)
		}
	}
}

// The service worker lists every file by an address that is there, and changes
// when one of them does.
func TestPhoneServiceWorker(t *testing.T) {
	h := phoneServer(t, program(t))
	sw := body(t, ask(h, "/phone/sw.js", ""))
	require.Contains(t, sw, "the file sw.js")
	var files []string
	list := regexp.MustCompile(`files = (\[.*\]);`).FindStringSubmatch(sw)
	require.NotNil(t, list)
	require.NoError(t, json.Unmarshal([]byte(list[1]), &files))
	require.Contains(t, files, "/static/"+static.Name("look.css"))
	for _, f := range files {
		require.Regexp(t, `\.[0-9a-f]{12}\.`, f)
		require.Equal(t, 200, ask(h, f, "").StatusCode, f)
	}
	require.Equal(t, sw, body(t, ask(phoneServer(t, program(t)), "/phone/sw.js", "")))
	changed := program(t)
	changed["boot.js.br"] = &fstest.MapFile{Data: []byte("other")}
	require.NotEqual(t, sw, body(t, ask(phoneServer(t, changed), "/phone/sw.js", "")))
}

// The members that a browser wants of a program for the home screen (W3C, "Web
// Application Manifest"; web.dev, "What does it take to be installable?").
func TestPhoneManifest(t *testing.T) {
	h := phoneServer(t, program(t))
	r := ask(h, "/phone/app.webmanifest", "")
	require.Equal(t, "application/manifest+json", r.Header.Get("Content-Type"))
	var m struct {
		Name, ID, Display, Scope string
		Start                    string `json:"start_url"`
		Icons                    []struct{ Src, Sizes, Type, Purpose string }
	}
	require.NoError(t, json.Unmarshal([]byte(body(t, r)), &m))
	require.Equal(t, []string{"Ampwright", "/phone/", "standalone", "/phone/", "/phone/"}, []string{m.Name, m.ID, m.Display, m.Scope, m.Start})
	purposes := map[string]bool{}
	for _, i := range m.Icons {
		icon := ask(h, i.Src, "")
		require.Equal(t, i.Type, icon.Header.Get("Content-Type"))
		img, err := png.Decode(icon.Body)
		require.NoError(t, err)
		width, _, _ := strings.Cut(i.Sizes, "x")
		require.Equal(t, width+"x"+width, i.Sizes)
		require.Equal(t, map[string]int{"192": 192, "512": 512}[width], img.Bounds().Dx())
		purposes[i.Sizes+i.Purpose] = true
	}
	require.Equal(t, map[string]bool{"192x192any": true, "512x512any": true, "512x512maskable": true}, purposes)
}

// Without the phone's program the server works, and its page says how to make it.
func TestPhoneNotBuilt(t *testing.T) {
	h := phoneServer(t, fstest.MapFS{"README.md": {}})
	r := ask(h, "/phone/", "")
	require.Equal(t, 404, r.StatusCode)
	require.Contains(t, body(t, r), "go run ./cmd/dev build")
	require.Equal(t, 200, ask(h, "/static/"+static.Name("look.css"), "").StatusCode)

	half := program(t)
	delete(half, "boot.js.gz")
	require.Panics(t, func() { phoneServer(t, half) })
}

// The style sheet is sent in gzip to who takes it; a typeface is as it is.
func TestStaticGzip(t *testing.T) {
	h := phoneServer(t, program(t))
	for _, tt := range []struct{ name, accept, coding string }{
		{"look.css", "gzip, deflate, br", "gzip"}, {"look.css", "gzip;q=0", ""}, {"look.css", "", ""}, {"b612-latin-400-normal.woff2", "gzip", ""},
	} {
		r := ask(h, "/static/"+static.Name(tt.name), tt.accept)
		require.Equal(t, 200, r.StatusCode)
		require.Equal(t, tt.coding, r.Header.Get("Content-Encoding"), "%v", tt)
		require.Equal(t, "Accept-Encoding", r.Header.Get("Vary"))
		body := []byte(body(t, r))
		if tt.coding != "" {
			z, err := gzip.NewReader(bytes.NewReader(body))
			require.NoError(t, err)
			body, err = io.ReadAll(z)
			require.NoError(t, err)
		}
		f, _ := static.Get(static.Name(tt.name))
		require.Equal(t, f.Body, body)
	}
}
