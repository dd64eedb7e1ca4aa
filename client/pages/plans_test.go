package pages_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// kartThree is the kart's plan as version 3, with a stricter limit.
func kartThree(t *testing.T) string {
	data, ok := plan.Source("kart-chain", 0)
	require.True(t, ok)
	text := regexp.MustCompile(`"version": *\d+`).ReplaceAllString(string(data), `"version": 3`)
	slack := regexp.MustCompile(`("id": *"chain-slack"[^}]*"min": *\{\s*"offset": *)8`)
	require.Regexp(t, slack, text)
	return slack.ReplaceAllString(text, "${1}10")
}

// A plan of one's own is looked at, added, and a build moved to it, on pages.
func TestPlans(t *testing.T) {
	g := fresh(t, "kart-chain")
	g.t = t
	require.Equal(t, 303, g.post(g.at+"/write/read", url.Values{"check": {"chain-slack"}, "value": {"9"}}).Status)
	require.Contains(t, texts(t, g.page("/plans"), "main"), "kart-chain@2")
	file := kartThree(t)

	bad := g.post("/plans", url.Values{"pasted": {"{"}})
	require.Equal(t, 422, bad.Status)
	require.Contains(t, texts(t, parse(t, bad.Body), "[role=alert]"), "plan: line 1")
	require.Equal(t, 422, g.post("/plans", url.Values{}).Status)

	// As a file from the laptop's browser, as text in a field from the phone's, and
	// pasted, where a browser makes CR LF of the ends of lines.
	ways := []pages.Request{
		{Files: []pages.File{{Field: "file", Name: "kart.json", Data: []byte(file)}}, Form: url.Values{}},
		{Form: url.Values{"file": {file}}},
		{Form: url.Values{"pasted": {strings.ReplaceAll(file, "\n", "\r\n")}}},
	}
	data := ""
	for _, r := range ways {
		r.Method, r.Path = "POST", "/plans"
		resp := g.site.Serve(r)
		require.Equal(t, 200, resp.Status)
		doc := parse(t, resp.Body)
		require.Contains(t, texts(t, doc, "#look"), "at least was 8, is 10")
		got, _ := attr(find(doc, "#look input[name=data]")[0], "value")
		require.True(t, data == "" || data == got, "the same bytes, however they come")
		data = got
	}
	resp := g.post("/plans", url.Values{"data": {data}, "note": {"more slack"}, "do": {"add"}})
	require.Equal(t, 303, resp.Status, "%s", resp.Body)
	require.Contains(t, texts(t, g.page("/plans"), "#plans"), "kart-chain@3")
	again := g.post("/plans", url.Values{"data": {data}, "do": {"add"}})
	require.Equal(t, 422, again.Status)
	require.Contains(t, texts(t, parse(t, again.Body), "[role=alert]"), "there is nothing to add")
	require.Contains(t, texts(t, g.page("/plans/kart-chain"), "main"), "at least was 8, is 10")
	require.Contains(t, texts(t, g.page("/plans/kart-chain"), "main"), "more slack")
	require.Equal(t, 404, g.get("/plans/nope").Status)
	require.Equal(t, 404, g.get("/write/plan-add").Status)
	require.Equal(t, 404, g.get(g.at+"/write/plan-move").Status)

	doc := g.page(g.at + "/plan?to=kart-chain@3")
	require.Contains(t, texts(t, doc, "#move"), "chain-slack: out of limits")
	require.Equal(t, 2, g.build().Plan.Version, "nothing is written by looking")
	require.Equal(t, 422, g.get(g.at+"/plan?to=small-motorcycle-hub").Status)
	require.Equal(t, 422, g.post(g.at+"/plan", url.Values{"plan": {"kart-chain@3"}}).Status, "the reason is missing")
	require.Equal(t, 303, g.post(g.at+"/plan", url.Values{"plan": {"kart-chain@3"}, "note": {"it slackened"}}).Status)
	require.Equal(t, 3, g.build().Plan.Version)
	require.Equal(t, model.Out, g.build().Check("chain-slack").Verdict)
	require.Contains(t, texts(t, g.page(g.at+"/plan"), "#moves"), "from kart-chain@2 to kart-chain@3")
	for _, path := range []string{"/plans", "/plans/kart-chain", g.at + "/plan"} {
		lint(t, path, g.page(path), idsOf(g.build()))
	}
}

// A build whose plan is not here shows words.
func TestPlanMissing(t *testing.T) {
	g := fresh(t, "kart-chain")
	g.t = t
	require.Equal(t, 303, g.post("/plans", url.Values{"pasted": {kartThree(t)}, "do": {"add"}}).Status)
	require.Equal(t, 303, g.post(g.at+"/plan", url.Values{"plan": {"kart-chain@3"}, "note": {"it slackened"}}).Status)
	var raws [][]byte
	g.book.Read(func(l *model.Logbook) {
		require.NoError(t, l.All(func(raw []byte) error {
			e, err := model.Decode(raw)
			if err == nil && e.Body.Kind() != "plan" {
				raws = append(raws, raw)
			}
			return err
		}))
	})
	// Such a chain has a hole and no store would take it; here the fold is asked.
	l := model.NewLogbook()
	l.ReadPlans(plan.Load)
	for _, raw := range raws {
		_, err := l.Add(raw)
		require.NoError(t, err)
	}
	site, err := pages.New(pages.Config{Book: unfolded{g.book, l}, Plans: plan.Editions(), Once: func() string { return "x" }})
	require.NoError(t, err)
	resp := site.Serve(pagesRequest("GET", g.at+"/"))
	require.Equal(t, 404, resp.Status)
	require.Contains(t, string(resp.Body), "stands on plan kart-chain version 3, which this program does not have")
	require.Contains(t, string(site.Serve(pages.Request{Method: "GET", Path: "/", Query: url.Values{"all": {"1"}}}).Body), "stands on plan kart-chain version 3")
}
