package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// By hand: 1 before 2, and 3 beside neither, on one resource of 2.
func TestScheduleScore(t *testing.T) {
	const text = `{"instance":"i","capacity":[2],"jobs":[{"id":1,"duration":3,"demand":[1],"successors":[2]},` +
		`{"id":2,"duration":2,"demand":[1],"successors":[]},{"id":3,"duration":4,"demand":[2],"successors":[]}]}`
	s := &jobSet{line: []byte(text), group: "j3", critical: 5, optimum: 9}
	require.NoError(t, json.Unmarshal(s.line, s))
	for _, tt := range []struct {
		starts, want string
	}{
		{`{"1":0,"2":3,"3":5}`, ""},
		{`{"1":4,"2":7,"3":0}`, ""},
		{`{"1":0,"2":2,"3":5}`, "job 2 starts before 1 ends"},
		{`{"1":0,"2":3,"3":4}`, "resource 1 is over its limit at 4"},
		{`{"1":0,"2":3}`, "job 3 has no start from 0 on"},
		{`{"1":-1,"2":3,"3":5}`, "job 1 has no start from 0 on"},
	} {
		var sent bytes.Buffer
		got, err := scoreJobSets([]*jobSet{s}, &sent, strings.NewReader(`{"instance":"i","starts":`+tt.starts+"}\n"))
		require.NoError(t, err)
		require.Equal(t, text+"\n", sent.String())
		if tt.want != "" {
			require.EqualError(t, got[0].wrong, tt.want)
			continue
		}
		require.NoError(t, got[0].wrong)
		require.Equal(t, 9, got[0].makespan)
		var out bytes.Buffer
		printSchedules(&out, got)
		require.Regexp(t, `(?m)^all +1 +1 +1 +0\.00 +80\.00 `, out.String())
	}
}
