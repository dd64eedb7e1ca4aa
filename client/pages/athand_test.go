package pages_test

import (
	"net/url"
	"testing"

	"ampwright/client/pages"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// The top of a phone's bench has the task that was worked on last and the place of a
// checklist; the laptop's has neither.
func TestAtHand(t *testing.T) {
	g := heron(t)
	require.Empty(t, find(g.page(g.at+"/"), ".at-hand"))
	var err error
	g.site, err = pages.New(pages.Config{Book: g.book, Once: uuid.NewString, Device: "/this"})
	require.NoError(t, err)
	doc := g.page(g.at + "/")
	require.Contains(t, texts(t, doc, ".at-hand b"), "Draw the wiring diagram and pin list")
	require.Contains(t, texts(t, doc, ".at-hand .btn"), "clock on")
	require.Contains(t, texts(t, doc, ".at-hand .row-link"), "not begun; step 1 of ")

	require.Equal(t, 303, g.post(g.at+"/write/hours", url.Values{"task": {"brk-02"}, "hours": {"0.5"}, "changes": {"none"}}).Status)
	require.Contains(t, texts(t, g.page(g.at+"/"), ".at-hand b"), "Strip and measure shoes, drums or discs")

	// With a clock running only the checklist is left: the clock stands above.
	require.Equal(t, 303, g.post(g.at+"/write/on", url.Values{"task": {"brk-02"}}).Status)
	doc = g.page(g.at + "/")
	require.NotEmpty(t, find(doc, ".clock"))
	require.Empty(t, find(doc, ".at-hand b"))

	// Hours and the clock have a button for work that changed nothing; a change has not.
	for path, want := range map[string]int{"/write/hours?task=brk-02": 1, "/write/off?task=brk-02": 1, "/write/change?task=brk-02": 0} {
		require.Len(t, find(g.page(g.at+path), "button.plainly"), want, path)
	}
}
