package main

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Who may import whom. Each line says what a package, with all it needs, must
// not reach, and why.
func TestImports(t *testing.T) {
	for _, rule := range []struct {
		pkgs   string
		never  []string // import paths, or prefixes that end in /
		reason string
	}{
		{"./calc/...", []string{"ampwright/model/", "ampwright/sync/", "ampwright/server/", "ampwright/client/"}, "calculations know no logbook"},
		{"./model ./model/plan ./model/lines ./model/demo ./model/bring ./model/tables ./model/calendar ./model/workbook", []string{"ampwright/sync/", "ampwright/server/", "ampwright/client/"}, "the domain stands on calc alone"},
		{"./calc/... ./model ./model/plan ./sync/keep ./sync/book ./sync/wire ./sync/session ./sync/link ./sync/peers", []string{"net", "net/http", "os/exec", "go.etcd.io/bbolt", "github.com/gorilla/websocket"}, "they run on the phone as well: no socket, no file store"},
		{"./client/...", []string{"net", "net/http", "os/exec", "go.etcd.io/bbolt", "ampwright/server/"}, "net/http alone adds megabytes to the phone's program"},
		{"./client/phone", []string{"time/tzdata", "crypto/tls", "testing", "ampwright/client/static", "ampwright/client/phone/bundle", "ampwright/model/demo", "gonum.org/", "github.com/andybalholm/"},
			"each would make the phone wait longer for its first page: zones come from the browser, files from the server"},
		{"./client/phone", []string{"archive/zip", "encoding/xml"}, "workbooks are read by model/workbook, which is smaller"},
		{"./client/phone", []string{"html/template", "text/template", "regexp", "regexp/syntax"}, "a program that looks methods up by name keeps all of them; pages are made into Go, forms are written out"},
		{"./client/phone/app ./client/phone/zone ./client/phone/device", []string{"ampwright/client/phone/idb"}, "what needs no browser is tested without one"},
		{"./client/...", []string{"github.com/go-pdf/fpdf", "ampwright/server/paper"}, "the phone prints pages: a PDF library and its typefaces stay on the laptop"},
		{"./client/words", []string{"html", "html/template", "ampwright/model/plan", "ampwright/sync/"}, "the command line says the same words as the pages: plain text, from the domain alone"},
		{"./calc/... ./model/... ./sync/... ./client/...", []string{"github.com/xuri/"}, "only tests hold our workbooks against it: megabytes the phone does not need"},
		{"./sync/...", []string{"ampwright/server/", "ampwright/client/"}, "replication knows stores and links only by their interfaces"},
	} {
		pkgs := slices.DeleteFunc(goList(t, strings.Fields(rule.pkgs)...), func(p string) bool {
			return strings.HasSuffix(p, "test") // suites that only tests call
		})
		deps := goList(t, append([]string{"-deps"}, pkgs...)...)
		require.Contains(t, deps, "ampwright/calc/unit", "%s: the list is empty", rule.pkgs)
		for _, d := range deps {
			for _, n := range rule.never {
				if d == n || strings.HasSuffix(n, "/") && strings.HasPrefix(d+"/", n) {
					t.Errorf("%s reach %s: %s", rule.pkgs, d, rule.reason)
				}
			}
		}
	}
}

// What the phone carries reads and writes JSON with model/jsontext alone. The
// package that names entries (google/uuid) imports encoding/json, and the linker
// leaves it out again where nobody else does.
func TestNoJSON(t *testing.T) {
	all := goList(t, "-deps", "-f", `{{$p := .ImportPath}}{{range .Imports}}{{if eq . "encoding/json"}}{{$p}} {{end}}{{end}}`, "./client/phone")
	require.Equal(t, []string{"github.com/google/uuid"}, all)
}

// goList lists packages as the phone sees them: natively google/uuid looks at
// network cards.
func goList(t *testing.T, args ...string) []string {
	cmd := exec.Command("go", append([]string{"list"}, args...)...)
	cmd.Dir = "../.."
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.Output()
	require.NoError(t, err, args)
	return strings.Fields(string(out))
}

// Packages that must not read a clock, a file or chance do not import what does,
// save the listed uses.
func TestPure(t *testing.T) {
	cmd := exec.Command("go", "list", "-f", "{{.ImportPath}}: {{join .Imports \" \"}}", "./calc/...", "./model", "./model/plan", "./model/bring", "./model/tables", "./model/calendar", "./sync/...")
	cmd.Dir = "../.."
	out, err := cmd.Output()
	require.NoError(t, err)
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		pkg, imports, _ := strings.Cut(line, ": ")
		if strings.HasSuffix(pkg, "test") {
			continue // suites that stores call from their tests
		}
		for _, i := range strings.Fields(imports) {
			switch i {
			case "os", "net", "math/rand", "math/rand/v2", "crypto/rand", "syscall", "io/ioutil":
				t.Errorf("%s imports %s: it takes clock, files and chance as arguments", pkg, i)
			}
		}
	}
	grep := exec.Command("grep", "-rnE", `time\.(Now|Since|Sleep|After|Tick)\(`, "--include=*.go", "--exclude=*_test.go", "--exclude-dir=phone", "calc", "model", "sync", "client")
	grep.Dir = "../.."
	found, _ := grep.Output()
	phone := exec.Command("grep", "-rnE", `time\.(Now|Since|Sleep|After|Tick)\(`, "--include=*.go", "--exclude=*_test.go", "--exclude=browser_js.go", "client/phone")
	phone.Dir = "../.."
	more, _ := phone.Output() // but for the program's own clock
	found = append(found, more...)
	require.Empty(t, string(found), "a clock is read below server and cmd")
}
