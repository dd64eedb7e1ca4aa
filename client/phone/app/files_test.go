package app_test

import (
	"testing"

	"ampwright/client/pages"
	"ampwright/client/phone/app"

	"github.com/stretchr/testify/require"
)

// Files of a form come byte for byte and under their names: sheets are not always
// UTF-8. What is kept as a file has a name.
func TestFiles(t *testing.T) {
	a, _, _ := tabs(t)
	heron(t, a)
	send := func(page, name, data string) app.Answer {
		return a.Serve(app.Ask{Method: "POST", At: bench + page, Files: []pages.File{{Field: "file", Name: name, Data: []byte(data)}}})
	}
	r := send("bring", "std.csv", "date;hours;what\n2026-09-01;2;L\xf6tstelle\n") // Windows-1252
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, "<h2>std.csv</h2>")
	require.Contains(t, r.Body, "2.00 h on no task")
	r = send("bring", "all.xlsx", "PK\x03\x04rest")
	require.Equal(t, 422, r.Status)
	require.Contains(t, r.Body, "workbooks are read on the laptop: bring it in there, or save its sheet as .csv")
	require.Contains(t, get(a, bench+"bring").Body, "a workbook (.xlsx) is read on the laptop alone")
	require.Contains(t, get(a, bench+"export").Body, "A workbook (.xlsx) and the forecast as a file are written on the laptop alone.")
	r = send("log", "ride.csv", "time,pack v,current\n0,80,0\n1,78,20\n")
	require.Equal(t, 200, r.Status)
	require.Contains(t, r.Body, "The file is not kept on this device")
	require.Equal(t, "heron-hours.csv", get(a, bench+"export/hours.csv").Name)
}
