package app_test

import (
	"fmt"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"ampwright/client/phone/app"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/lines"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// A tab is one tab's view of a store in memory that several share.
type tab struct {
	keep.Log
	turn *sync.Mutex
	full bool // no room for more
}

func (s *tab) Hold(f func() error) error { s.turn.Lock(); defer s.turn.Unlock(); return f() }

func (s *tab) News() (runs [][]byte, seals []model.Seal, err error) {
	err = s.Runs(func(run []byte) error { runs = append(runs, run); return nil })
	if err == nil {
		err = s.Seals(func(seal model.Seal) error { seals = append(seals, seal); return nil })
	}
	return runs, seals, err
}

func (s *tab) Append(raws [][]byte, seals ...model.Seal) error {
	if s.full {
		return fmt.Errorf("the browser gives this page no more room")
	}
	return s.Log.Append(raws, seals...)
}

func open(t testing.TB, store app.Store) *app.App {
	t.Helper()
	return openWith(t, store, keep.NewMemoryBlobs())
}

func openWith(t testing.TB, store app.Store, blobs keep.Blobs) *app.App {
	t.Helper()
	n := 0
	a, err := app.Open(app.Config{
		Store: store, Blobs: blobs,
		Book: book.Config{
			Replica: uuid.Max, Device: "phone", Person: "builder", Plans: plan.Builtin, NewID: uuid.New,
			Now: func() time.Time { return demo.End },
		},
		Plans: plan.Editions(), Once: func() string { n++; return fmt.Sprint(n) }, Asset: func(name string) string { return "/static/" + name },
		Keep:    func(string) error { return nil },
		Storage: func() app.Storage { return app.Storage{Used: 1_234_567, Room: 5e9} }, Version: "test",
	})
	require.NoError(t, err)
	return a
}

func tabs(t *testing.T) (a, b *app.App, store *tab) {
	log, turn := keep.NewMemory(), new(sync.Mutex)
	store = &tab{Log: log, turn: turn}
	return open(t, store), open(t, &tab{Log: log, turn: turn}), store
}

func get(a *app.App, at string) app.Answer { return a.Serve(app.Ask{Method: "GET", At: at}) }

func post(a *app.App, at string, pairs ...string) app.Answer {
	v := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		v.Set(pairs[i], pairs[i+1])
	}
	return a.Serve(app.Ask{Method: "POST", At: at, Form: v.Encode()})
}

// heron brings the demo in by the page about this device.
func heron(t *testing.T, a *app.App) {
	t.Helper()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	var text strings.Builder
	require.NoError(t, lines.Write(&text, func(f func([]byte) error) error {
		for _, raw := range raws {
			if err := f(raw); err != nil {
				return err
			}
		}
		return nil
	}))
	r := post(a, "/phone/this", "lines", text.String())
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, fmt.Sprintf("%d new entries read", len(raws)))
}

var bench = "/phone/b/" + demo.Build.String() + "/"

func TestRedirects(t *testing.T) {
	a, _, _ := tabs(t)
	require.Equal(t, "/phone/", get(a, "/phone/").At)
	heron(t, a)
	r := get(a, "/phone/")
	require.Equal(t, 200, r.Status)
	require.Equal(t, bench, r.At)
	require.Equal(t, bench, get(a, strings.TrimSuffix(bench, "/")).At)
	r = post(a, bench+"write/note", "text", "left lug tacked", "back", bench+"logbook")
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.At, bench+"logbook?done=")
	require.Contains(t, r.Body, "left lug tacked")
	require.Empty(t, r.Fault)
	r = post(a, bench+"write/hours", "hours", "x", "task", "pkb-04")
	require.Equal(t, 422, r.Status)
	require.Equal(t, bench+"write/hours", r.At)
	require.Contains(t, r.Body, `value="x"`)
	require.True(t, r.Busy)
	require.Equal(t, 404, get(a, "/elsewhere").Status)
	require.Equal(t, 400, get(a, "/phone/%zz").Status)
	require.Equal(t, 400, a.Serve(app.Ask{Method: "POST", At: bench + "write/note", Form: "a=%zz"}).Status)
}

// Every page that a link leads to is there, and leads nowhere else.
func TestEveryPage(t *testing.T) {
	a, _, _ := tabs(t)
	heron(t, a)
	seen, left := map[string]bool{}, []string{"/phone/?all=1"}
	kinds := map[string]int{} // pages by their shape, of each of which some are asked for
	for len(left) > 0 {
		at := left[0]
		left = left[1:]
		r := get(a, at)
		require.Equal(t, 200, r.Status, at)
		if !strings.HasPrefix(r.Type, "text/html") {
			continue
		}
		doc, err := html.Parse(strings.NewReader(r.Body))
		require.NoError(t, err)
		for n := range doc.Descendants() {
			for _, attr := range n.Attr {
				switch attr.Key {
				case "href", "action", "src":
					to, _, _ := strings.Cut(attr.Val, "#")
					if to == "" || strings.HasPrefix(to, "/static/") {
						continue
					}
					require.True(t, strings.HasPrefix(to, "/phone/"), "%s leads to %s", at, to)
					path, _, _ := strings.Cut(to, "?")
					parts := strings.Split(strings.TrimPrefix(path, bench), "/")
					kind := parts[0]
					if kind == "write" && len(parts) > 1 {
						kind += parts[1]
					}
					if n.Data == "a" && !seen[to] && kinds[kind] < 40 {
						seen[to] = true
						kinds[kind]++
						left = append(left, to)
					}
				default:
					require.False(t, strings.HasPrefix(attr.Key, "on") || attr.Key == "style", "%s: %s would break the policy", at, attr.Key)
				}
			}
		}
	}
	for _, kind := range []string{"tasks", "task", "checks", "check", "spec", "whatif", "calc", "parts", "money", "findings", "logbook", "entry", "settings", "writeread", "writehours"} {
		require.Positive(t, kinds[kind], kind)
	}
}

// Two tabs write one chain without a fork, and read what the other wrote.
func TestTwoTabs(t *testing.T) {
	a, b, store := tabs(t)
	heron(t, a)
	for i := range 6 {
		r := post([]*app.App{a, b}[i%2], bench+"write/note", "text", fmt.Sprint("note ", i))
		require.Equal(t, 200, r.Status)
	}
	heads, err := store.Heads()
	require.NoError(t, err)
	require.Len(t, heads[uuid.Max], 1, "no number is given twice")
	fresh, err := a.CatchUp()
	require.NoError(t, err)
	require.Positive(t, fresh)
	fresh, err = a.CatchUp()
	require.NoError(t, err)
	require.Zero(t, fresh)
	for i := range 6 {
		require.Contains(t, get(a, bench+"logbook").Body, fmt.Sprint("note ", i))
	}
}

// What could not be stored is said, and the page stays.
func TestNoRoom(t *testing.T) {
	a, _, store := tabs(t)
	heron(t, a)
	store.full = true
	r := post(a, bench+"write/note", "text", "x")
	require.Contains(t, r.Fault, "Nothing was written down")
	require.Contains(t, r.Fault, "no more room")
	require.False(t, r.Broken)
	store.full = false
	require.Empty(t, post(a, bench+"write/note", "text", "x").Fault)
}

// A panic is said, and that the program must be started again.
func TestPanic(t *testing.T) {
	a := open(t, &tab{Log: keep.NewMemory(), turn: new(sync.Mutex)})
	broken, err := app.Open(app.Config{
		Store: &tab{Log: keep.NewMemory(), turn: new(sync.Mutex)}, Blobs: keep.NewMemoryBlobs(),
		Book: book.Config{Replica: uuid.Max, Device: "phone", Person: "builder", Plans: plan.Builtin, NewID: uuid.New, Now: func() time.Time { return demo.End }},
		Once: func() string { panic("no chance") }, Asset: func(string) string { return "" },
	})
	require.NoError(t, err)
	r := get(broken, "/phone/")
	require.True(t, r.Broken)
	require.Contains(t, r.Fault, "no chance")
	require.Equal(t, 200, get(a, "/phone/").Status)
}

func TestThisDevice(t *testing.T) {
	a, b, _ := tabs(t)
	empty := get(a, "/phone/this").Body
	require.Contains(t, empty, "Nothing is stored on this device yet")
	require.Contains(t, get(a, "/phone/").Body, "Nothing is stored on this device yet")
	require.Contains(t, empty, "1.2 MB used of 5000.0 MB")
	require.Contains(t, empty, "the browser may clear it by itself")
	heron(t, a)
	require.NotContains(t, get(a, "/phone/this").Body, "Nothing is stored")
	require.NotContains(t, get(a, bench).Body, "Nothing is stored")

	saved := get(a, "/phone/this/lines")
	require.Equal(t, "application/x-ndjson", saved.Type)
	raws, _, err := lines.Read(strings.NewReader(saved.Body))
	require.NoError(t, err)
	require.Contains(t, post(b, "/phone/this", "lines", saved.Body).Body, "0 new entries read", "twice without doubles")
	require.Greater(t, len(raws), 100)

	for _, bad := range []string{"", "x", `{"raw":"AAAA"}`} {
		r := post(a, "/phone/this", "lines", bad)
		require.Equal(t, 422, r.Status, bad)
		require.Contains(t, r.Body, "nothing was read")
	}
	require.Contains(t, post(a, "/phone/this", "persist", "yes").Body, "promises to keep")
	require.Contains(t, post(a, "/phone/this", "persist", "no").Body, "makes no promise")
}

// A note with markup in it stays text.
func TestMarkup(t *testing.T) {
	a, _, _ := tabs(t)
	heron(t, a)
	r := post(a, bench+"write/note", "text", `<img src=x onerror=alert(1)>`, "back", bench+"logbook")
	require.Contains(t, r.Body, "&lt;img src=x onerror=alert(1)&gt;")
	require.NotContains(t, r.Body, "<img")
}

func linesOf(t *testing.T, l *model.Logbook) string {
	var text strings.Builder
	require.NoError(t, lines.WriteLogbook(&text, l))
	return text.String()
}
