package web_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/client/static"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/lines"
	"ampwright/model/plan"
	"ampwright/server/web"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

const (
	host  = "localhost:8470"
	token = "a-token-of-the-test"
	bench = "/b/4845524f-4e00-4000-8000-000000000001/"
)

type server struct {
	t    *testing.T
	book *book.Book
	http.Handler
}

func newServer(t *testing.T, raws [][]byte) *server {
	t.Helper()
	log := keep.NewMemory()
	require.NoError(t, log.Append(raws))
	b, err := book.Open(log, book.Config{
		Replica: uuid.Max, Device: "bench laptop", Person: "builder", Plans: plan.Builtin, NewID: uuid.New,
		Now: func() time.Time { return demo.End },
	})
	require.NoError(t, err)
	var mu sync.Mutex
	n := 0
	site, err := pages.New(pages.Config{
		Book: b, Plans: plan.Editions(), Asset: func(name string) string { return "/static/" + static.Name(name) },
		Once: func() string { mu.Lock(); defer mu.Unlock(); n++; return fmt.Sprint(n) },
	})
	require.NoError(t, err)
	return &server{t, b, web.New(web.Config{Site: site, Book: b, Hosts: []string{host, "127.0.0.1:8470"}, Token: token})}
}

func heron(t *testing.T) *server {
	t.Helper()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	return newServer(t, raws)
}

// A call is one request and what it carries.
type call struct {
	method, path, host, body string
	header                   map[string]string
}

func (s *server) do(c call) *http.Response {
	s.t.Helper()
	r := httptest.NewRequest(c.method, c.path, strings.NewReader(c.body))
	r.Host = host
	if c.host != "" {
		r.Host = c.host
	}
	for k, v := range c.header {
		r.Header.Set(k, v)
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

func body(t *testing.T, r *http.Response) string {
	t.Helper()
	b, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return string(b)
}

func (s *server) entries() (n int) {
	s.book.Read(func(l *model.Logbook) { n = l.Len() })
	return n
}

const formType = "application/x-www-form-urlencoded"

func form(pairs ...string) string {
	v := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		v.Set(pairs[i], pairs[i+1])
	}
	return v.Encode()
}

// The names are matched before anything else: a foreign name that resolves to
// this machine gets nothing, with or without an Origin of its own.
func TestHosts(t *testing.T) {
	s := heron(t)
	note := form("text", "x")
	for _, tt := range []struct {
		host   string
		status int
	}{
		{"localhost:8470", 200}, {"127.0.0.1:8470", 200}, {"localhost", 421}, {"localhost:8471", 421}, {"evil.example:8470", 421},
		{"LOCALHOST:8470", 421}, {"localhost:8470.", 421}, {"[::1]:8470", 421},
	} {
		require.Equal(t, tt.status, s.do(call{"GET", bench, tt.host, "", nil}).StatusCode, tt.host)
	}
	before := s.entries()
	r := s.do(call{"POST", bench + "write/note", "evil.example:8470", note, map[string]string{"Content-Type": formType, "Origin": "http://evil.example:8470", "Sec-Fetch-Site": "same-origin"}})
	require.Equal(t, 421, r.StatusCode)
	require.Equal(t, before, s.entries())
}

// Another site's page cannot write here, whichever way it tries.
func TestCrossOrigin(t *testing.T) {
	s := heron(t)
	note := form("text", "x")
	before := s.entries()
	for name, header := range map[string]map[string]string{
		"cross-site": {"Sec-Fetch-Site": "cross-site"},
		"other port": {"Sec-Fetch-Site": "same-site", "Origin": "http://localhost:9999"},
		"old":        {"Origin": "http://evil.example"},
		"opaque":     {"Origin": "null"},
	} {
		header["Content-Type"] = formType
		require.Equal(t, 403, s.do(call{"POST", bench + "write/note", "", note, header}).StatusCode, name)
	}
	require.Equal(t, before, s.entries())
	// What a browser sends for a form of this site under the policy "no-referrer".
	r := s.do(call{"POST", bench + "write/note", "", note, map[string]string{"Content-Type": formType, "Sec-Fetch-Site": "same-origin", "Origin": "null"}})
	require.Equal(t, 303, r.StatusCode)
	require.Equal(t, before+1, s.entries())
}

func TestHeaders(t *testing.T) {
	s := heron(t)
	for _, c := range []call{
		{"GET", bench, "", "", nil}, {"GET", "/nope", "", "", nil}, {"GET", "/static/" + static.Name("look.css"), "", "", nil},
		{"GET", "/static/nope.css", "", "", nil}, {"GET", "/api/lines", "", "", nil}, {"GET", bench, "evil.example", "", nil},
		{"POST", bench + "write/note", "", "", map[string]string{"Sec-Fetch-Site": "cross-site"}},
		{"POST", bench + "write/hours", "", "hours=x", map[string]string{"Content-Type": formType}},
	} {
		h := s.do(c).Header
		require.Equal(t, "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob:; font-src 'self'; "+
			"connect-src 'self'; manifest-src 'self'; worker-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; "+
			"frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types ampwright", h.Get("Content-Security-Policy"), c.path)
		require.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), c.path)
		require.Equal(t, "no-referrer", h.Get("Referrer-Policy"), c.path)
		require.Equal(t, "same-origin", h.Get("Cross-Origin-Opener-Policy"), c.path)
		require.Equal(t, "same-origin", h.Get("Cross-Origin-Resource-Policy"), c.path)
		require.Empty(t, h.Get("Strict-Transport-Security"), c.path)
		require.Empty(t, h.Get("Set-Cookie"), c.path)
	}
}

func TestStatic(t *testing.T) {
	s := heron(t)
	page := body(t, s.do(call{"GET", bench, "", "", nil}))
	for _, name := range []string{"look.css", "icon.svg"} {
		require.Contains(t, page, `href="/static/`+static.Name(name)+`"`)
		r := s.do(call{"GET", "/static/" + static.Name(name), "", "", nil})
		require.Equal(t, 200, r.StatusCode)
		require.Equal(t, "public, max-age=31536000, immutable", r.Header.Get("Cache-Control"))
	}
	require.Equal(t, "no-store", s.do(call{"GET", bench, "", "", nil}).Header.Get("Cache-Control"))
	r := s.do(call{"GET", "/static/look.css", "", "", nil})
	require.Equal(t, 404, r.StatusCode)
	require.Equal(t, "no-store", r.Header.Get("Cache-Control"))
}

func TestForms(t *testing.T) {
	s := heron(t)
	typed := map[string]string{"Content-Type": formType}
	r := s.do(call{"POST", bench + "write/note", "", form("text", "left lug tacked", "back", bench), typed})
	require.Equal(t, 303, r.StatusCode)
	require.Contains(t, body(t, s.do(call{"GET", r.Header.Get("Location"), "", "", nil})), "left lug tacked")
	require.Equal(t, 422, s.do(call{"POST", bench + "write/hours", "", "hours=x", typed}).StatusCode)
	r = s.do(call{"POST", bench, "", "a=b", typed})
	require.Equal(t, 405, r.StatusCode)
	require.Equal(t, "GET, HEAD", r.Header.Get("Allow"))
	require.Equal(t, 404, s.do(call{"GET", "/api/nope", "", "", nil}).StatusCode)

	before := s.entries()
	require.Equal(t, 415, s.do(call{"POST", bench + "write/note", "", `{"text":"x"}`, map[string]string{"Content-Type": "application/json"}}).StatusCode)
	require.Equal(t, 415, s.do(call{"POST", bench + "write/note", "", "text=x", nil}).StatusCode)
	require.Equal(t, 400, s.do(call{"POST", bench + "write/note", "", "text=%zz", typed}).StatusCode)
	large := form("text", strings.Repeat("x", 1<<20))
	require.Equal(t, 413, s.do(call{"POST", bench + "write/note", "", large, typed}).StatusCode)
	require.Equal(t, before, s.entries())
}

func TestServer(t *testing.T) {
	srv := web.Server(http.NotFoundHandler())
	require.Positive(t, srv.ReadHeaderTimeout)
	require.Positive(t, srv.ReadTimeout)
	require.Positive(t, srv.WriteTimeout)
	require.Positive(t, srv.IdleTimeout)
	require.Less(t, srv.ReadHeaderTimeout, srv.ReadTimeout)
}

func bearer(t string) map[string]string { return map[string]string{"Authorization": "Bearer " + t} }

func TestToken(t *testing.T) {
	s := heron(t)
	for _, header := range []map[string]string{nil, bearer(""), bearer("wrong"), bearer(token + "x"), {"Authorization": "Basic " + token}} {
		for _, c := range []call{{"GET", "/api/lines", "", "", header}, {"POST", "/api/wish", "", "{}", header}, {"POST", "/api/lines", "", "", header}} {
			r := s.do(c)
			require.Equal(t, 401, r.StatusCode, "%v", c)
			require.Equal(t, "Bearer", r.Header.Get("WWW-Authenticate"))
		}
	}
	off := web.New(web.Config{Book: s.book, Hosts: []string{host}})
	w := httptest.NewRecorder()
	r := httptest.NewRequest("GET", "/api/lines", nil)
	r.Host = host
	r.Header.Set("Authorization", "Bearer ")
	off.ServeHTTP(w, r)
	require.Equal(t, 404, w.Code)
}

// The whole logbook leaves and comes back byte for byte; a damaged line brings
// in nothing.
func TestLines(t *testing.T) {
	s := heron(t)
	r := s.do(call{"GET", "/api/lines", "", "", bearer(token)})
	require.Equal(t, 200, r.StatusCode)
	require.Equal(t, "application/x-ndjson", r.Header.Get("Content-Type"))
	sent := body(t, r)
	require.Equal(t, s.entries(), strings.Count(sent, "\n"))

	other := newServer(t, nil)
	had := other.entries()
	cut := strings.Split(strings.TrimSpace(sent), "\n")
	cut[100] = `{"raw":"AAAA"}`
	r = other.do(call{"POST", "/api/lines", "", strings.Join(cut, "\n"), bearer(token)})
	require.Equal(t, 422, r.StatusCode)
	require.Contains(t, body(t, r), "line 101")
	require.Equal(t, had, other.entries())

	gap := strings.Split(strings.TrimSpace(sent), "\n")[5:]
	r = other.do(call{"POST", "/api/lines", "", strings.Join(gap, "\n"), bearer(token)})
	require.Equal(t, 422, r.StatusCode)
	require.Equal(t, had, other.entries())

	raws, _, err := lines.Read(strings.NewReader(sent))
	require.NoError(t, err)
	var theirs bytes.Buffer // but for the opening entry of the same replica, which the other has of its own
	n := 0
	require.NoError(t, lines.Write(&theirs, func(f func([]byte) error) error {
		for _, raw := range raws {
			if e, err := model.Decode(raw); err == nil && e.Replica != uuid.Max {
				n++
				if err := f(raw); err != nil {
					return err
				}
			}
		}
		return nil
	}))
	r = other.do(call{"POST", "/api/lines", "", theirs.String(), bearer(token)})
	require.Equal(t, 200, r.StatusCode)
	require.JSONEq(t, fmt.Sprintf(`{"added": %d}`, n), body(t, r))
	r = other.do(call{"POST", "/api/lines", "", theirs.String(), bearer(token)})
	require.JSONEq(t, `{"added": 0}`, body(t, r))
	require.Equal(t, 200, other.do(call{"GET", bench, "", "", nil}).StatusCode)
}

func TestWish(t *testing.T) {
	s := heron(t)
	send := func(v any) (int, map[string]any) {
		t.Helper()
		b, err := json.Marshal(v)
		require.NoError(t, err)
		r := s.do(call{"POST", "/api/wish", "", string(b), bearer(token)})
		var got map[string]any
		require.NoError(t, json.Unmarshal([]byte(body(t, r)), &got))
		return r.StatusCode, got
	}
	type values = map[string][]string
	wish := func(name string, v values) map[string]any {
		return map[string]any{"build": demo.Build.String(), "wish": name, "values": v, "person": "Kim"}
	}
	status, got := send(wish("change", values{"changes": {"motor-leads"}}))
	require.Equal(t, 200, status, "%v", got)
	require.Len(t, got["entries"], 1)
	require.Equal(t, demo.Build.String(), got["build"])
	require.Equal(t, "motor-iso", got["stale"].([]any)[0].(map[string]any)["check"])
	require.Empty(t, got["raised"])
	id, err := model.ParseID(got["entries"].([]any)[0].(string))
	require.NoError(t, err)
	s.book.Read(func(l *model.Logbook) {
		line, ok := l.Line(id)
		require.True(t, ok)
		require.Equal(t, "Kim", line.Author)
	})

	status, got = send(wish("read", values{"check": {"motor-iso"}, "value": {"20k"}, "sure": {"yes"}}))
	require.Equal(t, 200, status)
	require.Equal(t, "out of limits", got["raised"].([]any)[0].(map[string]any)["kind"])

	before := s.entries()
	status, got = send(wish("hours", values{"hours": {"abc"}, "task": {"brk-99"}}))
	require.Equal(t, 422, status)
	require.Len(t, got["errors"], 2)
	first := got["errors"].([]any)[0].(map[string]any)
	require.Equal(t, "hours", first["field"])
	require.Equal(t, "abc", first["value"])
	require.Contains(t, first["want"], "2h30")
	status, _ = send(map[string]any{"build": "moon", "wish": "note"})
	require.Equal(t, 422, status)
	status, got = send(map[string]any{"build": uuid.New().String(), "wish": "note"})
	require.Equal(t, 422, status)
	require.Equal(t, "build", got["errors"].([]any)[0].(map[string]any)["field"])
	status, got = send(map[string]any{"wish": "moon"})
	require.Equal(t, 422, status)
	require.Contains(t, got["errors"].([]any)[0].(map[string]any)["want"], "moon")
	status, _ = send(map[string]any{"wich": "note"})
	require.Equal(t, 400, status)
	status, _ = send([]int{1})
	require.Equal(t, 400, status)
	r := s.do(call{"POST", "/api/wish", "", `{"wish":"` + strings.Repeat("x", 16<<20) + `"}`, bearer(token)})
	require.Equal(t, 413, r.StatusCode)
	require.Equal(t, before, s.entries())

	status, got = send(map[string]any{"wish": "start", "values": values{"plan": {"kart-chain"}, "title": {"Wren"}, "currency": {"EUR"}}})
	require.Equal(t, 200, status)
	require.NotEmpty(t, got["build"])
}

// Pages are read while others write. Run it with -race.
func TestAtOnce(t *testing.T) {
	s := heron(t)
	before := s.entries()
	var all sync.WaitGroup
	for i := range 4 {
		all.Go(func() {
			for j := range 5 {
				for _, path := range []string{"", "logbook", "task/pkb-04", "settings", "write/strike?entry=baf054a2"} {
					if r := s.do(call{"GET", bench + path, "", "", nil}); r.StatusCode != 200 {
						t.Errorf("%s: %d", path, r.StatusCode)
					}
				}
				r := s.do(call{"POST", bench + "write/note", "", form("text", fmt.Sprint(i, " ", j)), map[string]string{"Content-Type": formType}})
				if r.StatusCode != 303 {
					t.Errorf("note: %d", r.StatusCode)
				}
			}
		})
	}
	all.Wait()
	require.Equal(t, before+20, s.entries())
}

// A form with a file comes in as multipart, on the pages that take one and up to
// their limit; a file goes out as an attachment under its name.
func TestFiles(t *testing.T) {
	s := heron(t)
	upload := func(path, data string) *http.Response {
		var out bytes.Buffer
		m := multipart.NewWriter(&out)
		part, err := m.CreateFormFile("file", `C:\sheets\hours.csv`)
		require.NoError(t, err)
		_, err = part.Write([]byte(data))
		require.NoError(t, err)
		require.NoError(t, m.Close())
		return s.do(call{"POST", path, "", out.String(), map[string]string{"Content-Type": m.FormDataContentType()}})
	}
	at := "/b/" + demo.Build.String()
	before := s.entries()
	r := upload(at+"/bring", "date,hours,what\n2026-09-01,2,bench\n")
	require.Equal(t, 200, r.StatusCode)
	text := body(t, r)
	require.Contains(t, text, "2.00 h on no task")
	require.Contains(t, text, "<h2>hours.csv</h2>", "without its folder")
	require.Equal(t, before, s.entries())
	require.Equal(t, 200, upload(at+"/log", "time,pack v,current\n0,80,0\n1,79,5\n").StatusCode)
	r = upload("/plans", "hours: 3")
	require.Equal(t, 422, r.StatusCode)
	require.Contains(t, body(t, r), "plan: line 1")
	require.Equal(t, 415, upload(at+"/write/note", "x").StatusCode)
	r = upload(at+"/bring", strings.Repeat("x", 5<<20))
	require.Equal(t, 422, r.StatusCode)
	require.Contains(t, body(t, r), "a page takes at most 1024 kB", "told on the page")
	require.Equal(t, 413, upload(at+"/bring", strings.Repeat("x", 9<<20)).StatusCode)
	require.Equal(t, 422, upload(at+"/log", strings.Repeat("x", 9<<20)).StatusCode, "of a log more is taken")
	r = s.do(call{"GET", at + "/export/hours.csv", "", "", nil})
	require.Equal(t, 200, r.StatusCode)
	require.Equal(t, `attachment; filename=heron-hours.csv`, r.Header.Get("Content-Disposition"))
	require.Equal(t, "nosniff", r.Header.Get("X-Content-Type-Options"))
}
