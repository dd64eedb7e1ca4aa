package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// entryName is the name of an entry: another on every machine, so the README
// shows three dots.
var entryName = regexp.MustCompile(`(?m)^[0-9a-f]{32}\n`)

// The dialogue in the README is what the program answers at the end of the demo.
func TestReadme(t *testing.T) {
	readme, err := filepath.Abs("../../README.md")
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	const fence = "```console\n"
	head, rest, ok := strings.Cut(string(text), fence)
	require.True(t, ok, "no dialogue in the README")
	dialogue, tail, ok := strings.Cut(rest, "```\n")
	require.True(t, ok)

	t.Chdir(t.TempDir())
	t.Setenv(placeKey, "heron")
	var got strings.Builder
	commands := 0
	for _, line := range strings.Split(dialogue, "\n") {
		typed, ok := strings.CutPrefix(line, "$ ampwright ")
		if !ok {
			continue
		}
		commands++
		_, out, talk := amp(t, typedWords(typed)...)
		answer := entryName.ReplaceAllString(out, "...\n") + talk
		got.WriteString(line + "\n" + answer)
	}
	require.Greater(t, commands, 5)
	if *update {
		require.NoError(t, os.WriteFile(readme, []byte(head+fence+got.String()+"```\n"+tail), 0o644))
		return
	}
	require.Equal(t, dialogue, got.String(), "run go test ./cmd/ampwright -run Readme -update and read the difference")
}
