//go:build browser

package browser

import (
	"context"
	"fmt"
	"testing"

	"ampwright/cmd/dev/axe"
	"ampwright/cmd/dev/chromium"

	"github.com/stretchr/testify/require"
)

// axed puts axe-core into the tab, and says whether there is one.
func axed(t *testing.T, ctx context.Context, page *chromium.Page) bool {
	t.Helper()
	if _, err := axe.Script(ctx); err != nil {
		fmt.Println("not run: what axe-core finds on the pages:", err)
		return false
	}
	require.NoError(t, axe.Put(ctx, page))
	return true
}

// look has axe-core look at the page by all its rules, on all screens.
func look(t *testing.T, ctx context.Context, page *chromium.Page, where string) {
	t.Helper()
	wrong, unsure, err := axe.Look(ctx, page, where, axe.Screens...)
	require.NoError(t, err)
	for _, w := range wrong {
		t.Error(w)
	}
	if testing.Verbose() {
		for _, u := range unsure {
			t.Log(u)
		}
	}
}
