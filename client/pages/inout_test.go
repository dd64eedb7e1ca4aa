package pages_test

import (
	"encoding/hex"
	"errors"
	"net/url"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/ahead/aheadjson"
	"ampwright/model/bring"
	"ampwright/model/lines"
	"ampwright/model/plan"
	"ampwright/model/tables"
	"ampwright/model/workbook"

	"github.com/stretchr/testify/require"
)

// with returns the pages of the garage with more to them.
func (g *garage) with(cfg pages.Config) *pages.Site {
	cfg.Book, cfg.Plans, cfg.Once = g.book, plan.Editions(), func() string { return "x" }
	site, err := pages.New(cfg)
	require.NoError(g.t, err)
	return site
}

// The file of a log is kept where there is a place for it and nobody says no, once;
// that it is kept can be struck out.
func TestLogKept(t *testing.T) {
	g := heron(t)
	g.t = t
	const log = "time,pack v,current\n0,80,0\n1,78,20\n"
	kept, full := 0, false
	site := g.with(pages.Config{Keep: func(data []byte) ([]string, error) {
		if full {
			return nil, errors.New("the disk is full")
		}
		kept++
		require.Equal(t, log, string(data))
		return []string{strings.Repeat("ab", 32)}, nil
	}})
	send := func(keep string) string {
		r := site.Serve(pages.Request{Method: "POST", Path: g.at + "/log", Form: url.Values{"keep": {keep}}, Files: []pages.File{{Field: "file", Name: "ride.csv", Data: []byte(log)}}})
		require.Equal(t, 200, r.Status)
		return string(r.Body)
	}
	require.Contains(t, send(""), "The file is not kept: you said so.")
	full = true
	require.Contains(t, send("yes"), "the file was not kept: the disk is full")
	full = false
	require.Empty(t, g.build().Brought)
	for range 2 {
		require.Contains(t, send("yes"), "The file is kept, byte for byte")
	}
	require.Equal(t, 1, kept)
	require.Len(t, g.build().Brought, 1)
	require.Equal(t, bring.Hash([]byte(log)), hex.EncodeToString(g.build().Brought[0].Hash))
	require.Contains(t, string(g.get(g.at+"/bring").Body), "battery log ride.csv, kept")
	require.Equal(t, 303, g.post(g.at+"/write/strike", url.Values{"entry": {g.build().Brought[0].ID.String()}, "reason": {"another bike"}}).Status)
	require.Empty(t, g.build().Brought)
	require.NotContains(t, string(g.get(g.at+"/log").Body), `name="keep"`, "where there is no place")
}

// A plan made of the build goes into the logbook by one button, once as long as
// nothing changes, and a build starts from it.
func TestNextPlan(t *testing.T) {
	g := heron(t)
	add := func(rate string) (*url.URL, string) {
		r := g.post(g.at+"/lessons", url.Values{"rate": {rate}})
		require.Equal(t, 303, r.Status, "%s", r.Body)
		u, err := url.Parse(r.Location)
		require.NoError(t, err)
		return u, string(g.get(u.Path + "?" + u.RawQuery).Body)
	}
	u, page := add("0.85")
	name := u.Query().Get("plan")
	require.Contains(t, page, "The plan "+name+" is in the logbook.")
	n := g.entries()
	again, _ := add("0.85")
	require.Equal(t, u.String(), again.String())
	require.Equal(t, n, g.entries())
	other, _ := add("0.8")
	require.Equal(t, strings.Replace(name, "@1", "@2", 1), other.Query().Get("plan"), "other hours are another version")
	require.NotContains(t, string(g.get(g.at+"/lessons?plan=kart-chain@9").Body), "kart-chain@9", "only what is in the logbook")

	id, _, _ := strings.Cut(name, "@")
	form := url.Values{"plan": {id}, "title": {"Wren"}, "currency": {"EUR"}}
	require.Contains(t, page, "/write/start?currency=EUR&amp;plan="+id)
	r := g.post("/write/start", form)
	require.Equal(t, 303, r.Status, "%s", r.Body)
	want, err := g.build().Lessons(model.Curve{Rate: 0.8})
	require.NoError(t, err)
	for _, b := range g.book.BuildIDs() {
		if second, err := g.book.Build(b); err == nil && second.Title == "Wren" {
			require.Equal(t, want[0].Next, second.Task(want[0].Task.ID).Estimate)
			return
		}
	}
	t.Fatal("the second build is not there")
}

// A workbook's sheets can be chosen among, and what was said of one does not hold
// for another.
func TestSheets(t *testing.T) {
	g := heron(t)
	g.t = t
	cells := func(texts ...string) (row []tables.Cell) {
		for _, t := range texts {
			row = append(row, tables.Cell{Text: t})
		}
		return row
	}
	data, err := workbook.Write([]tables.Table{
		{Name: "hours", Head: []string{"date", "hours"}, Rows: [][]tables.Cell{cells("2026-09-01", "2")}},
		{Name: "money", Head: []string{"date", "item", "price"}, Rows: [][]tables.Cell{cells("2026-09-01", "nuts", "2.50")}},
	})
	require.NoError(t, err)
	serve := func(form url.Values, files ...pages.File) pages.Response {
		return g.site.Serve(pages.Request{Method: "POST", Path: g.at + "/bring", Form: form, Files: files})
	}
	r := serve(url.Values{}, pages.File{Field: "file", Name: "a.xlsx", Data: data})
	require.Equal(t, 200, r.Status)
	form := fields(parse(t, r.Body), "sheet")
	was := form.Get("sheet")
	require.Equal(t, was, form.Get("was-sheet"))
	other := map[string]string{"hours": "money", "money": "hours"}[was]
	form.Set("sheet", other)
	r = serve(form)
	require.Equal(t, 200, r.Status, "%s", r.Body)
	require.Contains(t, string(r.Body), "a sheet of "+other)
}

// What is exported says as much on the page as on the command line: the logbook
// with its seals, the plan by the rate that was chosen, the forecast.
func TestExportWhole(t *testing.T) {
	g := heron(t)
	g.t = t
	var want strings.Builder
	g.book.Read(func(l *model.Logbook) { require.NoError(t, lines.WriteLogbook(&want, l)) })
	require.Equal(t, want.String(), string(g.get(g.at+"/export/logbook.jsonl").Body))
	for _, rate := range []string{"1", "0.8"} {
		data, err := plan.Next(g.build(), model.Curve{Rate: map[string]float64{"1": 1, "0.8": 0.8}[rate]})
		require.NoError(t, err)
		require.Equal(t, string(data), string(g.get(g.at+"/export/plan.json?learning="+rate).Body))
	}
	o, err := g.book.Outlook(g.build().ID)
	require.NoError(t, err)
	require.Equal(t, string(aheadjson.File(o)), string(g.get(g.at+"/export/forecast.json").Body))
	require.Contains(t, string(g.get(g.at+"/export").Body), "/export/forecast.json")
}
