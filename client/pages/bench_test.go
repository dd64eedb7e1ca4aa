package pages_test

import (
	"os/exec"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/sync/book"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// The phone carries all that the pages import: none of it may be heavy or need
// an operating system.
func TestImports(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	require.NoError(t, err)
	deps := strings.Fields(string(out))
	require.Contains(t, deps, "ampwright/client/markup")
	for _, d := range deps {
		require.NotContains(t, []string{"html/template", "text/template", "net/http", "os/exec", "go.etcd.io/bbolt", "github.com/gorilla/websocket"}, d)
	}
	direct, err := exec.Command("go", "list", "-f", `{{join .Imports "\n"}}`, ".").Output()
	require.NoError(t, err)
	for _, d := range strings.Fields(string(direct)) {
		require.NotContains(t, []string{"os", "net", "syscall", "time/tzdata"}, d)
	}
}

// unfolded is a book that makes its build anew for every page.
type unfolded struct {
	*book.Book
	log *model.Logbook
}

func (u unfolded) Build(id uuid.UUID) (*model.Build, error) {
	return u.log.Build(id, demo.End, plan.Builtin)
}

func benchmarkBench(b *testing.B, scratch bool) {
	g := heron(b)
	site := g.site
	if scratch {
		raws, err := played()
		require.NoError(b, err)
		l := model.NewLogbook()
		for _, raw := range raws {
			_, err := l.Add(raw)
			require.NoError(b, err)
		}
		site, err = pages.New(pages.Config{Book: unfolded{g.book, l}, Once: func() string { return "x" }})
		require.NoError(b, err)
	}
	req := pagesRequest("GET", g.at+"/")
	b.ReportAllocs()
	for b.Loop() {
		if resp := site.Serve(req); resp.Status != 200 {
			b.Fatal(resp.Status)
		}
	}
}

// What a person waits for when the bench page is opened: with the build as it
// was a moment ago, and with all that is shown made anew.
func BenchmarkBench(b *testing.B) {
	b.Run("cached", func(b *testing.B) { benchmarkBench(b, false) })
	b.Run("fold", func(b *testing.B) { benchmarkBench(b, true) })
}

// What a person waits for between two items of a checklist, with the build as it
// was a moment ago.
func BenchmarkWalk(b *testing.B) {
	for name, path := range map[string]string{"step": "/dead-at-controller", "list": ""} {
		b.Run(name, func(b *testing.B) {
			g := heron(b)
			req := pagesRequest("GET", g.at+walked+path)
			b.ReportAllocs()
			for b.Loop() {
				if resp := g.site.Serve(req); resp.Status != 200 {
					b.Fatal(resp.Status)
				}
			}
		})
	}
}
