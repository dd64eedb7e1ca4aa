package pages_test

import (
	"net/url"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model/tables"
	"ampwright/model/workbook"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// fields gathers what a browser would send of the form with this ID.
func fields(doc *html.Node, id string) url.Values {
	form := url.Values{}
	for n := range doc.Descendants() {
		if n.Data != "form" || value(n, "id") != id {
			continue
		}
		for in := range n.Descendants() {
			if in.Data != "input" || value(in, "name") == "" {
				continue
			}
			if kind := value(in, "type"); (kind == "radio" || kind == "checkbox") && !hasAttr(in, "checked") {
				continue
			}
			form.Add(value(in, "name"), value(in, "value"))
		}
	}
	return form
}

func value(n *html.Node, name string) string {
	v, _ := attr(n, name)
	return v
}

func hasAttr(n *html.Node, name string) bool {
	_, ok := attr(n, name)
	return ok
}

func (g *garage) upload(name, data string) pages.Response {
	return g.site.Serve(pages.Request{Method: "POST", Path: g.at + "/bring", Form: url.Values{}, Files: []pages.File{{Field: "file", Name: name, Data: []byte(data)}}})
}

// A sheet is shown, asked about, put right, written once and struck out whole.
func TestBring(t *testing.T) {
	g := heron(t)
	before, logged := g.entries(), g.build().Hours.Logged
	resp := g.upload("hours.csv", "date,hours,what,area\n2026-09-01,2,<b>welded</b>,metalwork\n2026-09-02,a while,filed,brk-02\n")
	require.Equal(t, 200, resp.Status, "%s", resp.Body)
	doc := parse(t, resp.Body)
	require.Contains(t, string(resp.Body), "which task or stage is “metalwork”")
	require.Contains(t, string(resp.Body), "CANNOT BE READ")
	require.NotContains(t, string(resp.Body), "bring it in", "before all is answered")
	require.NotContains(t, string(resp.Body), "<b>welded")
	require.Equal(t, before, g.entries())

	form := fields(doc, "sheet")
	form.Set("do", "write")
	resp = g.post(g.at+"/bring", form)
	require.Equal(t, 422, resp.Status)
	require.Equal(t, before, g.entries())

	form.Set("do", "look")
	form.Set("area-0", "enc-04")
	form.Set("without", "3")
	form.Set("unchanged", "yes")
	resp = g.post(g.at+"/bring", form)
	require.Equal(t, 200, resp.Status, "%s", resp.Body)
	require.Contains(t, string(resp.Body), "bring it in")
	require.Equal(t, before, g.entries())

	form = fields(parse(t, resp.Body), "sheet")
	form.Set("do", "write")
	resp = g.post(g.at+"/bring", form)
	require.Equal(t, 303, resp.Status, "%s", resp.Body)
	after := g.entries()
	require.Equal(t, logged+120, g.build().Hours.Logged)
	require.Equal(t, 303, g.post(g.at+"/bring", form).Status, "a double tap")
	require.Equal(t, after, g.entries())
	page := string(g.get(g.at + "/bring").Body)
	require.Contains(t, page, "1 entry of hours from hours.csv")

	require.Len(t, g.build().Brought, 1)
	resp = g.post(g.at+"/write/strike", url.Values{"entry": {g.build().Brought[0].ID.String()}, "reason": {"the wrong build"}})
	require.Equal(t, 303, resp.Status)
	require.Equal(t, logged, g.build().Hours.Logged)
	require.Empty(t, g.build().Brought)
}

// Columns are put right by hand, and remembered.
func TestBringColumns(t *testing.T) {
	g := heron(t)
	sheet := "date,hours,rate,what\n2026-09-01,2,3,bench\n"
	form := fields(parse(t, g.upload("h.csv", sheet).Body), "sheet")
	form.Set("col-B", "none")
	form.Set("col-C", "hours")
	resp := g.post(g.at+"/bring", form)
	require.Equal(t, 200, resp.Status)
	require.Contains(t, string(resp.Body), "3.00 h on no task")
	form = fields(parse(t, resp.Body), "sheet")
	form.Set("do", "write")
	require.Equal(t, 303, g.post(g.at+"/bring", form).Status)
	require.Contains(t, string(g.upload("h2.csv", sheet).Body), "as last time")
}

// What is wrong with a file or with what was said is told on the page.
func TestBringWrong(t *testing.T) {
	g := heron(t)
	for _, tt := range []struct{ name, data, want string }{
		{"x.csv", "", "x.csv: the file is empty"},
		{"x.csv", "a\x00b", "bytes that are no text"},
		{"x.xlsx", "PK\x03\x04rest", "x.xlsx: want a workbook that can be read, .xlsx"},
		{"x.csv", strings.Repeat("x", pages.MaxFile+1), "a page takes at most 1024 kB"},
	} {
		resp := g.upload(tt.name, tt.data)
		require.Equal(t, 422, resp.Status)
		require.Contains(t, string(resp.Body), tt.want)
	}
	form := fields(parse(t, g.upload("h.csv", "date,hours,what\n2026-09-01,2,bench\n").Body), "sheet")
	for field, want := range map[string]string{"without": "want numbers of lines", "head": "want the number of its line", "col-B": "has date, start, end"} {
		bad := url.Values{}
		for k, v := range form {
			bad[k] = v
		}
		bad.Set(field, "moon")
		resp := g.post(g.at+"/bring", bad)
		require.Equal(t, 422, resp.Status, field)
		require.Contains(t, string(resp.Body), want)
	}
}

// A workbook is brought in as a sheet is, and every table is in one that is exported.
func TestWorkbooks(t *testing.T) {
	g := heron(t)
	data, err := workbook.Write([]tables.Table{{Name: "one", Head: []string{"date", "hours"}, Rows: [][]tables.Cell{{{Text: "2026-09-01"}, {Text: "2", Number: true}}}}})
	require.NoError(t, err)
	resp := g.upload("a.xlsx", string(data))
	require.Contains(t, string(resp.Body), "2.00 h on no task")
	require.Contains(t, string(g.upload("a.xlsx", string(data[:300])).Body), "a.xlsx: want a workbook that can be read, .xlsx")
	resp = g.get(g.at + "/export/all.xlsx")
	require.Equal(t, "heron-all.xlsx", resp.Name)
	f, err := workbook.Read(resp.Name, resp.Body)
	require.NoError(t, err)
	require.Len(t, f.Sheets, len(tables.Names))
	for i, sheet := range f.Sheets {
		want, _ := tables.Of(g.build(), tables.Names[i])
		require.Equal(t, want.Name, sheet.Name)
		require.Equal(t, want.Head, sheet.Rows[0])
		require.Len(t, sheet.Rows, len(want.Rows)+1)
	}
}

// Every file on the export page is there, under a name of its own.
func TestExport(t *testing.T) {
	g := heron(t)
	n := 0
	for a := range g.page(g.at + "/export").Descendants() {
		if !hasAttr(a, "download") {
			continue
		}
		resp := g.get(value(a, "href"))
		require.Equal(t, 200, resp.Status, value(a, "href"))
		require.True(t, strings.HasPrefix(resp.Name, "heron-"), resp.Name)
		require.NotEmpty(t, resp.Body)
		n++
	}
	require.Equal(t, len(tables.Names)+8, n, "a workbook of all, the calendar, the plan by four learning rates, the forecast, the logbook")
	for _, missing := range []string{"moon.csv", "moon.xlsx", "hours.xml"} {
		require.Equal(t, 404, g.get(g.at+"/export/"+missing).Status)
	}
}

// The page of lessons: 47 tasks are finished in the demo, with 109.5 h on them
// against a mean estimate of 118.13 h (the domain brief, part 8, ours).
func TestLessons(t *testing.T) {
	g := heron(t)
	page := string(g.get(g.at + "/lessons").Body)
	require.Contains(t, page, "47 finished tasks, planned at 118 h, took 110 h with rework: 0.93 of the plan.")
	require.Contains(t, page, "<svg")
	half := string(g.get(g.at + "/lessons?rate=0.8").Body)
	require.Contains(t, half, "learning rate of 80 %")
	require.NotEqual(t, page, half)
	require.Contains(t, string(fresh(t, "kart-chain").get(fresh(t, "kart-chain").at+"/lessons").Body), "no task with hours on it is finished yet")
	link := ""
	for a := range parse(t, []byte(half)).Descendants() {
		if a.Data == "a" && strings.Contains(value(a, "href"), "/write/start?") {
			link = value(a, "href")
		}
	}
	u, err := url.Parse(link)
	require.NoError(t, err)
	form := u.Query()
	form.Set("title", "wren")
	resp := g.post(u.Path, form)
	require.Equal(t, 303, resp.Status, "%s", resp.Body)
}

// What falls due is on the bench once it is near.
func TestServiceOnTheBench(t *testing.T) {
	g := heron(t)
	require.NotContains(t, string(g.get(g.at+"/").Body), `id="service"`)
	require.Equal(t, 303, g.post(g.at+"/write/due", url.Values{"check": {"iso-pack"}, "days": {"10"}, "note": {"a test"}}).Status)
	require.Contains(t, string(g.get(g.at+"/").Body), `id="service"`)
}

// A log is shown with a picture, its figures and what it can be; a reading is
// taken once somebody says so.
func TestLog(t *testing.T) {
	g := heron(t)
	log := "time,pack v,current,t1\n0,80,0,20\n1,78,20,21\n2,78,20,22\n3,81,-5,22\n4,80,0,22\n"
	send := func(data, km string) pages.Response {
		return g.site.Serve(pages.Request{Method: "POST", Path: g.at + "/log", Form: url.Values{"km": {km}}, Files: []pages.File{{Field: "file", Name: "<ride>.csv", Data: []byte(data)}}})
	}
	before := g.entries()
	resp := send(log, "0,5")
	require.Equal(t, 200, resp.Status, "%s", resp.Body)
	require.Contains(t, string(resp.Body), "<svg")
	require.NotContains(t, string(resp.Body), "<ride>")
	require.Contains(t, string(resp.Body), "energy per kilometre")
	require.Equal(t, before, g.entries())
	form := url.Values{}
	for n := range parse(t, resp.Body).Descendants() {
		if n.Data != "form" || form.Get("check") == "energy-per-km" {
			continue
		}
		form = url.Values{}
		for in := range n.Descendants() {
			if in.Data == "input" {
				form.Add(value(in, "name"), value(in, "value"))
			}
		}
	}
	require.Equal(t, "energy-per-km", form.Get("check"))
	resp = g.post(g.at+"/log", form)
	require.Equal(t, 422, resp.Status, "it is far from what is expected: read back")
	require.Contains(t, string(resp.Body), "the log does say so")
	require.Equal(t, before, g.entries())
	form.Set("sure", "yes")
	resp = g.post(g.at+"/log", form)
	require.Equal(t, 303, resp.Status)
	require.Contains(t, texts(t, g.page(resp.Location), ".done"), "energy-per-km", "the check's page says what was written")
	require.Contains(t, g.build().Check("energy-per-km").Current.Note, "from the log <ride>.csv, SHA-256 ")
	after := g.entries()
	require.Equal(t, 303, g.post(g.at+"/log", form).Status, "a double tap")
	form.Set("once", "another")
	require.Equal(t, 422, g.post(g.at+"/log", form).Status, "one reading, however often it is taken")
	require.Equal(t, after, g.entries())
	require.Contains(t, string(send(log, "0,5").Body), "it is in the logbook, from this log")
	require.Contains(t, string(send("", "").Body), "the file is empty")
	for _, bad := range [][2]string{{"", ""}, {"a,b\n1,2\n", ""}, {log, "far"}, {log, "-1"}} {
		require.Equal(t, 422, send(bad[0], bad[1]).Status)
	}
	require.Contains(t, string(g.get(g.at+"/log").Body), "up to 32 MB")
}
