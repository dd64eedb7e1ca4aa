package plan_test

import (
	"bytes"
	"strings"
	"testing"

	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// Our own plans break no rule of good checklists. What they come near to is on
// file here, to be looked at when it grows.
func TestLintOwnPlans(t *testing.T) {
	for _, p := range plan.List() {
		data, ok := plan.Source(p.ID, p.Version)
		require.True(t, ok)
		remarks, err := plan.Lint(p.ID, data)
		require.NoError(t, err)
		count := map[string]int{}
		for _, r := range remarks {
			require.False(t, r.Must, r.String())
			count[r.Rule]++
		}
		require.Equal(t, map[string]map[string]int{
			"small-motorcycle-hub": {"K2": 3, "K4": 4}, "kart-chain": {"K2": 3, "K4": 1, "K12": 4},
		}[p.ID], count, p.ID)
	}
}

// Each rule finds what breaks it.
func TestLintFinds(t *testing.T) {
	data, _ := plan.Source("kart-chain", 1)
	for _, tt := range []struct{ old, new, rule, want string }{
		{`"Limits read back equal the table"`, `"Limits are set"`, "K1", `the title ends in "set"`},
		{`"mode": "read-do"`, `"mode": "do-confirm"`, "K3", "live work on a list that is do-confirm: want read-do"},
		{`"release": "name, time, devices seen"`, `"release": "name"`, "K5", `its release names only "name"`},
		{`"rotating chain"`, `"rotating thing"`, "K10", `hazard "rotating thing": nobody has said how bad it is`},
		{`"stop_if": "unasked drive, smell, smoke"`, `"stop_if": "DANGER: smoke"`, "K10", `"DANGER" stands in the text`},
		{`"stop_if": "unasked drive, smell, smoke"`, `"stop_if": "go on when the bus is dead"`, "K9", `"is dead" is a promise`},
	} {
		require.Contains(t, string(data), tt.old)
		remarks, err := plan.Lint("changed", bytes.Replace(data, []byte(tt.old), []byte(tt.new), 1))
		require.NoError(t, err)
		var found []string
		for _, r := range remarks {
			if r.Must {
				require.Equal(t, tt.rule, r.Rule)
				found = append(found, r.Text)
			}
		}
		require.NotEmpty(t, found, tt.new)
		require.Contains(t, strings.Join(found, "; "), tt.want)
	}
	_, err := plan.Lint("broken", []byte("{"))
	require.Error(t, err)
}
