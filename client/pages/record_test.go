package pages_test

import (
	"bytes"
	"net/url"
	"strings"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/client/record"
	"ampwright/model"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// The page says what the demo's answers are, and leads to every entry.
func TestRecordPage(t *testing.T) {
	g := heron(t)
	doc := g.page(g.at + "/record")
	require.Contains(t, texts(t, doc, ".iso"), "legal owner builder")
	require.Contains(t, texts(t, doc, ".iso"), "approver (by hand) identification number AR-4845524f-")
	require.Contains(t, texts(t, doc, "#checks"), "motor-iso, mot-02 at least 500 ohm/V × 84.0 V = 42.0 kohm")
	require.Contains(t, texts(t, doc, "#checks"), "WITHIN 8.2 Mohm")
	require.Contains(t, texts(t, doc, "#nonconformances"), "NC-2")
	require.Contains(t, texts(t, doc, "#state"), "no approval")
	require.Len(t, find(doc, "#proof svg.qr"), 1)
	require.Empty(t, find(doc, "#money"))
	require.Empty(t, find(doc, "a[href$='record.pdf']"))
	for _, a := range find(doc, "#checks td.hash a") {
		href, _ := attr(a, "href")
		require.Equal(t, 200, g.get(href).Status, href)
	}

	doc = g.page(g.at + "/record?for=insurer&money=1")
	require.Contains(t, texts(t, doc, "#money"), "EUR 3,788.70")
	require.Equal(t, 404, g.get(g.at+"/record?for=police").Status)
}

// Where the server paints PDFs the page leads to this one's.
func TestRecordPDF(t *testing.T) {
	g := heron(t)
	site, err := pages.New(pages.Config{Book: g.book, Once: func() string { return "x" }, PDF: true})
	require.NoError(t, err)
	resp := site.Serve(pages.Request{Method: "GET", Path: g.at + "/record", Query: url.Values{"for": {"owner"}, "hours": {"1"}}})
	require.Contains(t, string(resp.Body), g.at+"/record.pdf?for=owner&amp;hours=1")
}

// A record that is pasted is held against the logbook, whole or by its codes.
func TestRecordVerify(t *testing.T) {
	g := heron(t)
	id := g.build().ID
	var r *record.Record
	g.book.Read(func(l *model.Logbook) {
		b, err := l.Build(id, g.book.Now().Truncate(time.Second), plan.Builtin)
		require.NoError(t, err)
		r, err = record.Make(b, l, record.Config{})
		require.NoError(t, err)
	})
	var data bytes.Buffer
	require.NoError(t, r.Write(&data))
	codes := strings.Join(r.Codes(), "\n")
	ask := func(status int, text string) string {
		resp := g.post(g.at+"/record/verify", url.Values{"record": {text}, "once": {"1"}})
		require.Equal(t, status, resp.Status)
		doc := parse(t, resp.Body)
		lint(t, "/record/verify", doc, idsOf(g.build()))
		return texts(t, doc, "main")
	}
	before := len(g.build().Lines(0, 0))
	require.Contains(t, ask(200, data.String()), "AGREES It rests on ")
	require.Contains(t, ask(200, codes), "AGREES")
	require.Contains(t, ask(200, strings.Replace(data.String(), `"8.2 Mohm"`, `"82 Mohm"`, 1)), "DOES NOT AGREE")
	require.Contains(t, ask(200, strings.Replace(codes, ":136:4F", ":136:4E", 1)), "was changed: in its place is 4f45e7cd")
	require.Contains(t, ask(422, ""), "nothing was given")
	require.Contains(t, ask(422, "hello"), "want one that begins with AMPWRIGHT-RECORD/1")
	require.Contains(t, ask(422, "{}"), `want "ampwright-record/1"`)
	require.Contains(t, ask(422, strings.ReplaceAll(codes, "4845524F-4E00", "4845524F-4E01")), "the code is of build 4845524f-4e01")
	require.Len(t, g.build().Lines(0, 0), before, "nothing was written down")
}
