package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write testdata/schema.golden and the answers of the README anew")

// The shape of every answer in JSON is on file: a change of it shows here, and
// fields that go or change their meaning want a new number in "schema".
func TestSchema(t *testing.T) {
	dir := heron(t)
	var got strings.Builder
	for _, args := range [][]string{
		{"builds"}, {"buy", "nuts", "4.20"}, {"check", "tap-step"}, {"checks"}, {"devices"}, {"findings"}, {"forecast", "--since", "2026-11-13", "--weeks"}, {"lessons"}, {"log", "-n", "0"}, {"may", "enc-04"},
		{"money"}, {"next", "--fit", "4h"}, {"orders"}, {"parts"}, {"plans"}, {"record", filepath.Join(t.TempDir(), "heron.pdf")}, {"sheet"}, {"show"}, {"stale"}, {"task", "pkb-05"}, {"tasks"},
		{"verify"}, {"version"}, {"walk"},
	} {
		_, out, talk := amp(t, append(args, "--garage", dir, "--json")...)
		require.Empty(t, talk, args)
		var v any
		require.NoError(t, json.Unmarshal([]byte(out), &v), out)
		require.Equal(t, "ampwright/"+args[0]+"/1", v.(map[string]any)["schema"])
		fmt.Fprintln(&got, args[0])
		paths := map[string]string{}
		shape(paths, "", v)
		for _, path := range slices.Sorted(maps.Keys(paths)) {
			fmt.Fprintf(&got, "  %s %s\n", path, paths[path])
		}
	}
	const file = "testdata/schema.golden"
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(got.String()), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got.String())
}

// shape notes the type of every field in v by its path. A field that is null
// somewhere and a value elsewhere has the type of the value.
func shape(paths map[string]string, path string, v any) {
	switch v := v.(type) {
	case map[string]any:
		for key, field := range v {
			shape(paths, strings.TrimPrefix(path+"."+key, "."), field)
		}
		return
	case []any:
		if len(v) == 0 {
			note(paths, path+"[]", "nothing")
		}
		for _, item := range v {
			shape(paths, path+"[]", item)
		}
		return
	case nil:
		note(paths, path, "null")
	case string:
		note(paths, path, "text")
	case float64:
		note(paths, path, "number")
	case bool:
		note(paths, path, "bool")
	}
}

func note(paths map[string]string, path, kind string) {
	if old := paths[path]; old == "" || old == "null" || old == "nothing" {
		paths[path] = kind
	}
	// An object or list of which there was none is known by its fields.
	for other := range paths {
		if strings.HasPrefix(other, path+".") || strings.HasPrefix(other, path+"[") {
			delete(paths, path)
		}
		if k := paths[other]; (k == "null" || k == "nothing") && (strings.HasPrefix(path, other+".") || strings.HasPrefix(path, other+"[")) {
			delete(paths, other)
		}
	}
}
