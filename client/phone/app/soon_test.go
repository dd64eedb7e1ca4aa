package app_test

import (
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/client/phone/app"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// The first page after the start does not wait for the forecast. No later one is
// without, and what stands there is what the pages say elsewhere.
func TestForecastAfterTheFirstPage(t *testing.T) {
	log := keep.NewMemory()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	require.NoError(t, log.Append(raws))
	laptop, err := book.Open(log, book.Config{
		Replica: uuid.UUID{1}, Device: "laptop", Person: "builder", Plans: plan.Builtin, NewID: uuid.New, Now: func() time.Time { return demo.End },
	})
	require.NoError(t, err)
	site, err := pages.New(pages.Config{Book: laptop, Base: app.Base, Once: func() string { return "x" }})
	require.NoError(t, err)
	sections := regexp.MustCompile(`(?s)<section id="(hours-left|money-left|day|net|figures|marks|holding|order-by|rests)">.*?</section>`)
	said := func(body string) []string { return sections.FindAllString(body, -1) }
	const words = "being worked out"

	for path, least := range map[string]int{"": 4, "forecast": 8} {
		plain := said(string(site.Serve(pages.Request{Method: "GET", Path: bench + path}).Body))
		require.GreaterOrEqual(t, len(plain), least)
		require.NotContains(t, plain, words)
		start := func() *app.App { return open(t, &tab{Log: log, turn: new(sync.Mutex)}) }

		a := start()
		require.False(t, get(a, bench+"tasks").Lacks)
		first := get(a, bench+path)
		require.True(t, first.Lacks)
		require.Contains(t, first.Body, words)
		require.NotContains(t, strings.Join(said(first.Body), ""), "in 10", "no figure of a forecast")
		_, news := a.News()
		require.False(t, news)
		get(a, bench+"tasks")
		a.Finish()
		_, news = a.News()
		require.False(t, news, "a page that needs no forecast stays as it is")
		a = start()
		get(a, bench+path)
		a.Finish()
		entries, news := a.News()
		require.Equal(t, []bool{false, true}, []bool{entries, news}, "the page takes the new one quietly")
		full := get(a, bench+path)
		require.False(t, full.Lacks)
		require.Equal(t, plain, said(full.Body))
		_, news = a.News()
		require.False(t, news)
		a.Finish()
		_, news = a.News()
		require.False(t, news)
		post(a, bench+"write/note", "text", "left lug tacked")
		require.NotContains(t, get(a, bench+path).Body, words)

		hurried := start() // the next tap comes before Finish
		require.True(t, get(hurried, bench+path).Lacks)
		require.True(t, get(hurried, bench+"tasks").Lacks)
		full = get(hurried, bench+path)
		require.False(t, full.Lacks)
		require.Equal(t, plain, said(full.Body))
		hurried.Finish()
		_, news = hurried.News()
		require.False(t, news)
	}
}

// BenchmarkStart is from the entries in the store to the first page, the plans read
// before.
func BenchmarkStart(b *testing.B) {
	log := keep.NewMemory()
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(b, err)
	require.NoError(b, log.Append(raws))
	for b.Loop() {
		a := open(b, &tab{Log: log, turn: new(sync.Mutex)})
		require.Equal(b, 200, get(a, bench).Status)
	}
}
