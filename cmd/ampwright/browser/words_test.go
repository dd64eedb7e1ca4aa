//go:build browser

package browser

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"ampwright/model"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// dead are the fixed terms of the trade in which the word may stand: none says that
// something is (common practice, no published source).
var dead = regexp.MustCompile(`prove dead|dead[ -](tests?|battery|band|weight)|both sides dead|while dead`)

// signals are the signal words, each for a severity and no other: ANSI Z535.4 and
// ISO 3864-2, from memory.
var signals = []string{"DANGER", "WARNING", "CAUTION", "NOTICE"}

// said is all that a page says to eyes and ears.
func said(doc *html.Node) string {
	all := []string{text(doc)}
	for e := range doc.Descendants() {
		for _, name := range []string{"aria-label", "title", "placeholder", "alt"} {
			if s := attr(e, name); s != "" {
				all = append(all, s)
			}
		}
	}
	return strings.ToLower(strings.Join(all, "; "))
}

// never is what no page may say, with what stands around it.
var never = regexp.MustCompile(`.{0,40}(safe|\bdead\b).{0,40}`)

// lint holds the words of a page against what no page may say. nameless takes the
// names of checks and tasks out, which say nothing.
func lint(t *testing.T, s sheet, nameless *strings.Replacer) {
	t.Helper()
	words := nameless.Replace(said(s.doc))
	if strings.Contains(words, "safe") || strings.Contains(words, "dead") { // on few pages; never takes its time
		for _, at := range never.FindAllString(dead.ReplaceAllString(words, ""), -1) {
			t.Errorf("%s: %q", s.path, at)
		}
	}
	for e := range s.doc.Descendants() {
		if e.Type != html.ElementNode {
			continue
		}
		kind, panel := strings.CutPrefix(attr(e, "class"), "word ")
		if word := text(e); e.Data == "b" && slices.Contains(signals, word) {
			around := attr(e.Parent, "class")
			require.True(t, around == "word "+strings.ToLower(word) || word == "NOTICE" && around == "warn", "%s: %s stands in a panel of the kind %q", s.path, word, around)
		}
		if !panel {
			continue
		}
		require.Contains(t, signals, strings.ToUpper(kind), s.path)
		require.Equal(t, strings.ToUpper(kind), text(e.FirstChild), s.path)
		for _, hazard := range strings.Split(text(e.LastChild), ", ") {
			at, known := model.SeverityOf(hazard, false)
			live, _ := model.SeverityOf(hazard, true)
			if known {
				require.Contains(t, []string{at.Word(), live.Word()}, strings.ToUpper(kind), "%s: %s", s.path, hazard)
			}
		}
	}
}

// nameless takes the names of the build's checks and chunks out of a text, the longest
// first.
func nameless(b *model.Build) *strings.Replacer {
	var list []string
	for _, c := range b.Checks {
		list = append(list, c.ID)
	}
	for _, l := range b.Lists {
		for _, ch := range l.Chunks {
			list = append(list, ch.ID)
		}
	}
	slices.SortFunc(list, func(a, b string) int { return len(b) - len(a) })
	var pairs []string
	for _, name := range list {
		pairs = append(pairs, name, "")
	}
	return strings.NewReplacer(pairs...)
}
