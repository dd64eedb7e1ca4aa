package main

import (
	"encoding/json"
	"net/url"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/model/bring"
	"ampwright/model/demo"
	"ampwright/server/garage"

	"github.com/stretchr/testify/require"
)

// The laptop's pages keep a battery's log and hand it out byte for byte, and write
// the forecast as a file.
func TestPagesInAndOut(t *testing.T) {
	g, err := garage.Open(heron(t), garage.Config{Now: func() time.Time { return demo.End }, Person: "builder", Program: "test"})
	require.NoError(t, err)
	defer func() { require.NoError(t, g.Close()) }()
	site, err := newSite(g, "", "", new(dailyBackup))
	require.NoError(t, err)
	at := "/b/" + demo.Build.String()
	const log = "\xef\xbb\xbftime;pack v;current\r\n0;80,0;0\r\n1;78,5;20\r\n"
	r := site.Serve(pages.Request{Method: "POST", Path: at + "/log", Form: url.Values{"keep": {"yes"}}, Files: []pages.File{{Field: "file", Name: "ride.csv", Data: []byte(log)}}})
	require.Equal(t, 200, r.Status)
	require.Contains(t, string(r.Body), "the file as it was")
	r = site.Serve(pages.Request{Method: "GET", Path: at + "/export/raw-" + bring.Hash([]byte(log)) + ".bin"})
	require.Equal(t, 200, r.Status, "%s", r.Body)
	require.Equal(t, log, string(r.Body))
	require.Equal(t, "ride.csv", r.Name)
	r = site.Serve(pages.Request{Method: "GET", Path: at + "/export/forecast.json"})
	require.Equal(t, 200, r.Status)
	var a aheadJSON
	require.NoError(t, json.Unmarshal(r.Body, &a))
	require.Equal(t, "ampwright/forecast/1", a.Schema)
	require.NotNil(t, a.Hours)
}
