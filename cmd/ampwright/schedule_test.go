package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

// Any line is answered or refused; an answer starts every job.
func FuzzScheduled(f *testing.F) {
	f.Add([]byte(`{"instance":"i","capacity":[2],"jobs":[{"id":1,"duration":3,"demand":[1],"successors":["b"]},{"id":"b","duration":2,"demand":[2]}]}`))
	f.Add([]byte(`{"instance":"i","capacity":[],"jobs":[{"id":1,"duration":0,"demand":[],"predecessors":[1]}]}`))
	f.Add([]byte(`{"instance":"","capacity":null,"jobs":[]}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		got, err := scheduled(line)
		if err != nil {
			return
		}
		var in jobsJSON
		require.NoError(t, json.Unmarshal(line, &in))
		var out startsJSON
		require.NoError(t, json.Unmarshal(got, &out))
		require.Len(t, out.Starts, len(in.Jobs))
		require.GreaterOrEqual(t, out.Makespan, out.Bound)
	})
}
