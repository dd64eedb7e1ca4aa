package main

import (
	"testing"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/server/garage"

	"github.com/stretchr/testify/require"
)

// What two devices wrote apart is shown with who wrote which value where, and how
// one of them is made to hold.
func TestWrittenApart(t *testing.T) {
	dir := heron(t)
	g, err := garage.Open(dir, garage.Config{})
	require.NoError(t, err)
	for n, w := range []struct{ device, person, value string }{{"tablet", "Kim", "1/2/3"}, {"yard phone", "Robin", "2/3/5"}} {
		pen := model.Pen{Replica: [16]byte{0: 0xaa, 15: byte(n)}}
		raws, err := pen.Write([]model.Draft{
			{Body: &model.Replica{Device: w.device, Person: w.person}},
			{Build: demo.Build, Body: &model.Set{At: model.WhenOf(demo.End), What: "task", Key: "brk-01", Field: "estimate", Value: w.value}},
		}, model.StampAt(demo.End))
		require.NoError(t, err)
		_, err = g.Import(raws)
		require.NoError(t, err)
	}
	require.NoError(t, g.Close())

	code, out, talk := amp(t, "findings", "--garage", dir)
	require.Equal(t, exitDone, code, talk)
	require.Contains(t, out, "1/2/3 (Kim, tablet)")
	require.Contains(t, out, "2/3/5 (Robin, yard phone)")
	require.Contains(t, out, "settle it: ampwright settle task/brk-01/estimate VALUE")
	code, _, talk = amp(t, "settle", "task/brk-01/estimate", "2/3/5", "--garage", dir)
	require.Equal(t, exitDone, code, talk)
	_, out, _ = amp(t, "findings", "--garage", dir)
	require.NotContains(t, out, "settle it: ")
}
