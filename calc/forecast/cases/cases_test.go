package cases

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"

	"ampwright/calc/forecast"

	"github.com/stretchr/testify/require"
)

func TestDecode(t *testing.T) {
	id, tasks, err := Decode([]byte(`{"case":"c1","as_of":"2026-03-01","tasks":[
		{"id":"t1","stage":"s","estimate_hours":2.5,"actual_hours":3,"done":true},
		{"id":"t2","estimate_hours":{"low":1,"likely":2,"high":4}},
		{"estimate_hours":null,"actual_hours":1}]}`))
	require.NoError(t, err)
	require.Equal(t, "c1", id)
	require.Equal(t, []forecast.Work{
		{Name: "t1", Low: 2.5, Likely: 2.5, High: 2.5, Logged: 3, Done: true},
		{Name: "t2", Low: 1, Likely: 2, High: 4},
		{Name: "3", Logged: 1},
	}, tasks)
}

func FuzzAnswer(f *testing.F) {
	f.Add([]byte(`{"case":"c1","tasks":[{"id":"t1","estimate_hours":2,"actual_hours":1}]}`))
	f.Add([]byte(`{"case":"c1","tasks":[{"estimate_hours":{"low":1,"likely":2,"high":1e9}}]}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		got, err := Answer(line)
		if err != nil {
			return
		}
		var a answer
		require.NoError(t, json.Unmarshal(got, &a))
		l := a.Left
		require.True(t, 0 <= l.P10 && l.P10 <= l.P25 && l.P25 <= l.P50 && l.P50 <= l.P75 && l.P75 <= l.P90, "%s", got)
	})
}

// One case of 100,000 tasks, from its line to its answer's.
func BenchmarkAnswer(b *testing.B) {
	const n = 100_000
	var line bytes.Buffer
	line.WriteString(`{"case":"big","tasks":[`)
	for i := range n {
		fmt.Fprintf(&line, `{"id":"t%d","stage":"stage-%02d","estimate_hours":%g,"actual_hours":%g,"done":%t},`, i, i%40, float64(1+i%64)/8, float64(i%97)/8, i%2 == 0)
	}
	line.Truncate(line.Len() - 1)
	line.WriteString("]}")
	for b.Loop() {
		if _, err := Answer(line.Bytes()); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(n*b.N)/b.Elapsed().Seconds(), "tasks/s")
}
