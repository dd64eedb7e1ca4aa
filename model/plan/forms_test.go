package plan

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The forms agree with package regexp, on texts put together of what they look
// for and of what may stand around it.
func TestForms(t *testing.T) {
	pieces := rapid.SliceOf(rapid.SampledFrom([]string{
		"safe", "SAFELY", "ok", "Okay", "checked", "Set", "done", "ready", "fine", "good", "DANGER", "Warning", "CAUTION", "NOTICE", "is", "now", "bus", "dead", " ", " ", "_", "-", ".",
		"?", "\n", "\t", "a", "Z", "0", "9", "é", "\x80", "read:S", "recall", "own", "manual", ":", "+",
	}))
	matches := func(pattern string) func(string) string {
		r := regexp.MustCompile(pattern)
		return func(s string) string { return r.FindString(s) }
	}
	is := func(form func(string) bool) func(string) string {
		return func(s string) string {
			if form(s) {
				return s
			}
			return ""
		}
	}
	words := func(words ...string) func(string) string {
		return func(s string) string { return findWord(s, words...) }
	}
	for name, tt := range map[string]struct{ got, want func(string) string }{
		"id":       {is(isID), matches(`^[a-z0-9-]+$`)},
		"check":    {is(isCheckID), matches(`^[A-Za-z0-9-]+$`)},
		"name":     {is(isName), matches(`^[A-Za-z_][A-Za-z0-9_]*$`)},
		"basis":    {is(isBasis), matches(`^(read:S[0-9]+|recall|own|manual)$`)},
		"promise":  {words("safe", "safely", "ok", "okay"), matches(`(?i)\b(safe|safely|ok|okay)\b`)},
		"verdict":  {words("checked"), matches(`(?i)\bchecked\b`)},
		"promises": {words(promises...), matches(`(?i)\b(is|are|now|circuit|bus|pack) dead\b|\bsafe(ly)?\b`)},
		"empty":    {emptyEnd, matches(`(?i)\b(checked|set|done|ready|fine|good)\s*[.?]?$`)},
		"signal": {func(s string) string { return find(s, func(s, word string) bool { return s == word }, signalWords) },
			matches(`\b(DANGER|WARNING|CAUTION|NOTICE)\b`)},
	} {
		t.Run(name, func(t *testing.T) {
			found := 0
			rapid.Check(t, func(t *rapid.T) {
				s := strings.Join(pieces.Draw(t, "pieces"), "")
				require.Equal(t, tt.want(s), tt.got(s), "%q", s)
				for _, piece := range []string{s, "is dead", "CAUTION", "is it set ?", "safe", "read:S12", "own", "Ah-2", "ah-2", "a_1", "checked", "Fine.", "good?.", "9a"} {
					require.Equal(t, tt.want(piece), tt.got(piece), "%q", piece)
					if tt.got(piece) != "" {
						found++
					}
				}
			})
			require.Positive(t, found)
		})
	}
}
