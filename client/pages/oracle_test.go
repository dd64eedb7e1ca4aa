package pages_test

import (
	"math/rand/v2"
	"net/url"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/client/record"
	"ampwright/model"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// watched lets html/template of the standard library make every page that is
// asked for as well. It returns one page of each template.
func watched(t *testing.T, ask func(g *garage)) map[string]any {
	oracle, err := pages.NewOracle()
	require.NoError(t, err)
	seen := map[string]any{}
	for _, g := range []*garage{heron(t), fresh(t, "small-motorcycle-hub"), fresh(t, "kart-chain")} {
		g.site.Watch(func(file string, page any, made []byte) {
			seen[file] = page
			want, err := oracle.Make(file, page)
			require.NoError(t, err, file)
			if string(want) != string(made) { // a diff of whole pages takes minutes
				i := 0
				for i < min(len(want), len(made)) && want[i] == made[i] {
					i++
				}
				t.Fatalf("%s differs at byte %d: %q, want %q", file, i, made[i:min(i+200, len(made))], want[i:min(i+200, len(want))])
			}
		})
		ask(g)
	}
	return seen
}

// Every page has the bytes that html/template makes of its template.
func TestPagesAsTemplates(t *testing.T) {
	seen := watched(t, func(g *garage) {
		for _, path := range append(g.paths(), g.apart()...) {
			g.get(path)
		}
		for _, form := range []url.Values{{}, {"value": {"<b>", "2"}, "hours": {`"x'`}, "check": {"tap-step"}, "task": {"pkb-04"}, "name": {"cells_series"}}} {
			for _, path := range g.paths() {
				g.post(path, form)
			}
		}
		g.hand()
	})
	covered(t, seen)
}

// apart are the addresses of pages that paths leaves out.
func (g *garage) apart() (list []string) {
	for _, path := range []string{"/nowhere", "/forecast", "/moved", "/moved?since=all", "/lessons", "/lessons?rate=0.85", "/bring", "/log", "/export"} {
		list = append(list, g.at+path)
	}
	return list
}

// hand hands files and texts to the pages that take them.
func (g *garage) hand() {
	send := func(path, name, data string) {
		g.site.Serve(pages.Request{Method: "POST", Path: g.at + path, Form: url.Values{"km": {"0.5"}}, Files: []pages.File{{Field: "file", Name: name, Data: []byte(data)}}})
	}
	send("/bring", "hours.csv", "date,hours,what,area\n2026-09-01,2,<b>welded</b>,metalwork\n2026-09-02,a while,filed,brk-02\n")
	send("/bring", "", "")
	send("/log", "<ride>.csv", "time,pack v,current,t1\n0,80,0,20\n1,78,20,21\n2,78,20,22\n3,81,-5,22\n4,80,0,22\n")
	send("/log", "bad.csv", "a,b\n1,2\n")
	b := g.build()
	var r *record.Record
	g.book.Read(func(l *model.Logbook) {
		var err error
		r, err = record.Make(b, l, record.Config{})
		require.NoError(g.t, err)
	})
	var data strings.Builder
	require.NoError(g.t, r.Write(&data))
	for _, text := range []string{data.String(), strings.Join(r.Codes(), "\n"), strings.Replace(data.String(), `"entry": "`, `"entry": "0`, 1), "", "<b>"} {
		g.post(g.at+"/record/verify", url.Values{"record": {text}})
	}
}

// covered asks that a page of each template was made, and that each file has a
// template that is known.
func covered(t *testing.T, seen map[string]any) {
	files, err := filepath.Glob("templates/[^_]*.html")
	require.NoError(t, err)
	require.Len(t, files, len(pages.Pages()))
	for _, path := range files {
		require.NotNil(t, seen[filepath.Base(path)], "no page of %s was asked for: add an address or a form", path)
	}
}

// hostile are texts that mean something to HTML, to an address, or to nobody.
var hostile = []string{
	"", "", "one", "text", "radios", "area", "changes", "many", "proof", "seen", "0.0 h", `<script>alert("1")</script>`, `" onclick='x'`, "a&b&amp;c", "1+1", "\x00", "\xff",
	"javascript:alert(1)", "JavaScript&colon;x", "http://x/?a=b&c=d", "/b/1?x=%41%zz#f", "//x", "'", "</title>", "</textarea><b>", "-->", "{{.}}", "\u2028", "ﷰ", "á ñ",
}

// scramble puts chance into all of a page that a template can see.
func scramble(v reflect.Value, chance *rand.Rand, depth int) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(hostile[chance.IntN(len(hostile))])
	case reflect.Bool:
		v.SetBool(chance.IntN(2) == 0)
	case reflect.Int, reflect.Int64:
		v.SetInt([]int64{0, 1, 2, -3, 1 << 40}[chance.IntN(5)])
	case reflect.Uint64:
		v.SetUint(chance.Uint64() >> chance.IntN(64))
	case reflect.Array:
		for i := range v.Len() {
			scramble(v.Index(i), chance, depth+1)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), chance.IntN(4), 4))
		for i := range v.Len() {
			scramble(v.Index(i), chance, depth+1)
		}
	case reflect.Pointer:
		v.SetZero()
		if depth < 8 && chance.IntN(6) > 0 {
			v.Set(reflect.New(v.Type().Elem()))
			scramble(v.Elem(), chance, depth+1)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Field(i); f.CanSet() || v.Type().Field(i).Anonymous && f.Kind() == reflect.Struct {
				scramble(f, chance, depth+1)
			}
		}
	}
}

// So it is whatever stands in the page.
func TestHostilePages(t *testing.T) {
	seen := watched(t, func(g *garage) {
		for _, path := range append(g.paths(), g.apart()...) {
			g.get(path)
		}
		g.hand()
	})
	oracle, err := pages.NewOracle()
	require.NoError(t, err)
	covered(t, seen)
	files := pages.Pages()
	slices.Sort(files)
	equal := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		chance := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "chance"), 0))
		for _, file := range files {
			v := reflect.New(reflect.TypeOf(seen[file])).Elem()
			v.Set(reflect.ValueOf(seen[file]))
			scramble(v, chance, 0)
			page := v.Interface()
			scramble(reflect.ValueOf(pages.FrameOf(page)).Elem(), chance, 0)
			want, wantErr := oracle.Make(file, page)
			got, err := pages.Make(file, page)
			require.Equal(t, wantErr != nil, err != nil, "%s: %v, want %v", file, err, wantErr)
			if err == nil {
				require.True(t, string(want) == string(got), "%s:\n%s\n\nwant\n\n%s", file, got, want)
				equal[file]++
			}
		}
	})
	for _, file := range files {
		require.Positive(t, equal[file], "%s was made of nothing but faults", file)
	}
}
