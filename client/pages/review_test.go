package pages_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model"

	"github.com/stretchr/testify/require"
)

// principles are the interaction principles of ISO 9241-110:2020, in its order.
var principles = []string{
	"suitability for the user's tasks", "self-descriptiveness", "conformity with user expectations", "learnability", "controllability",
	"use error robustness", "user engagement",
}

// noScreen are addresses that show no page of their own, each with one that is asked
// for and the status of the answer.
var noScreen = map[string]struct {
	path   string
	status int
}{
	"/photo/*":         {"/photo/" + strings.Repeat("0", 64), 404}, // the bytes of one, from the host
	"/b/*/walk/*/next": {"/walk/commissioning/next", 303},
	"/b/*/export/*":    {"/export/hours.csv", 200}, // a file
	"/write/*":         {},                         // by kind of form
	"/b/*/write/*":     {},
	"write.html":       {},
}

// screens are the names that the rows of REVIEW.md must have: addresses with a page,
// templates, kinds of form, and other files with a whole page in them.
func screens(t *testing.T) (names []string) {
	t.Helper()
	names = pages.Routes()
	for _, k := range model.WishKinds() {
		if k.Name != model.AddPlanWish && k.Name != model.MovePlanWish { // on pages of their own
			names = append(names, "write/"+k.Name)
		}
	}
	templates, err := filepath.Glob("templates/[^_]*.html")
	require.NoError(t, err)
	for _, file := range templates {
		names = append(names, filepath.Base(file))
	}
	root := filepath.Join("..", "..")
	for _, top := range []string{"client", "server", "cmd/ampwright"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !slices.Contains([]string{".html", ".go", ".js"}, filepath.Ext(path)) ||
				strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, "_gen.go") || strings.HasPrefix(d.Name(), "_") {
				return err
			}
			text, err := os.ReadFile(path)
			if err == nil && strings.Contains(strings.ToLower(string(text)), "<!doctype html") {
				path, err = filepath.Rel(root, path)
				names = append(names, filepath.ToSlash(path))
			}
			return err
		})
		require.NoError(t, err)
	}
	return slices.DeleteFunc(names, func(name string) bool { _, none := noScreen[name]; return none })
}

// rows are those of the tables in a text, without their heads.
func rows(text string) (list [][]string) {
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if !strings.HasPrefix(line, "|") || strings.HasPrefix(line, "|---") {
			continue
		}
		var cells []string
		for _, c := range strings.Split(strings.Trim(line, "|"), "|") {
			cells = append(cells, strings.TrimSpace(c))
		}
		list = append(list, cells)
	}
	return list
}

var quoted = regexp.MustCompile("`([^`]+)`")

// Every screen of the program has a row in REVIEW.md, and no other has. A cell says
// something of its own screen: at least three of seven do not rest on what many share,
// and no words stand in more than two cells.
func TestReview(t *testing.T) {
	data, err := os.ReadFile("REVIEW.md")
	require.NoError(t, err)
	shared := map[string]bool{}
	var named []string
	uses := map[string]int{}
	for _, row := range rows(string(data)) {
		require.Len(t, row, 1+len(principles), "%q", row[0])
		for i, cell := range row {
			require.NotEmpty(t, cell, "%s: %s", row[0], append([]string{"screen"}, principles...)[i])
		}
		screen := quoted.FindAllStringSubmatch(row[0], -1)
		switch {
		case row[0] == "name" || row[0] == "screen":
			require.Equal(t, principles, row[1:])
			continue
		case screen == nil:
			shared[row[0]] = true
			continue
		}
		for _, s := range screen {
			named = append(named, s[1])
		}
		own := 0
		for i, cell := range row[1:] {
			first, rest, more := strings.Cut(cell, "; ")
			if !shared[first] {
				rest, more = cell, true
			}
			if more {
				require.GreaterOrEqual(t, len(strings.Fields(rest)), 2, "%s, %s: %q", row[0], principles[i], cell)
				own++
				uses[rest]++
				require.LessOrEqual(t, uses[rest], 2, "%q stands in too many cells", rest)
			}
		}
		require.GreaterOrEqual(t, own, 3, "%s: what is its own?", row[0])
	}
	require.NotEmpty(t, shared)
	slices.Sort(named)
	require.Equal(t, slices.Compact(slices.Clone(named)), named, "a screen has two rows")
	want := screens(t)
	for _, s := range want {
		require.Contains(t, named, s, "no row in REVIEW.md for a screen")
	}
	for _, s := range named {
		require.Contains(t, want, s, "a row in REVIEW.md for a screen that is not there")
	}
}

// What has no row shows no page.
func TestNoScreen(t *testing.T) {
	g := heron(t)
	templates, err := filepath.Glob("templates/*.html")
	require.NoError(t, err)
	for name, one := range noScreen {
		if strings.HasSuffix(name, ".html") {
			require.Contains(t, templates, filepath.Join("templates", name))
			continue
		}
		require.Contains(t, pages.Routes(), name)
		if one.path == "" {
			continue
		}
		at := one.path
		if strings.HasPrefix(name, "/b/") {
			at = g.at + at
		}
		resp := g.get(at)
		require.Equal(t, one.status, resp.Status, at)
		require.False(t, resp.Status == 200 && strings.HasPrefix(resp.Type, "text/html"), at)
	}
}
