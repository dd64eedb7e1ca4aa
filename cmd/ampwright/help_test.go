package main

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"ampwright/model"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"
)

// ours calls f with every command but those that the flag package makes.
func ours(t *testing.T, f func(c *cobra.Command)) {
	p := &program{out: &bytes.Buffer{}, err: &bytes.Buffer{}, now: time.Now}
	for _, c := range p.root().Commands() {
		if c.Name() != "help" && c.Name() != "completion" {
			f(c)
		}
	}
}

// Every command says what it does and how, in our words.
func TestHelp(t *testing.T) {
	ours(t, func(c *cobra.Command) {
		require.NotEmpty(t, c.Short, c.Name())
		require.NotEmpty(t, c.Example, c.Name())
		require.NotEmpty(t, c.GroupID, c.Name())
		code, out, talk := amp(t, c.Name(), "--help")
		require.Equal(t, exitDone, code)
		require.Empty(t, talk)
		require.Contains(t, out, c.Example)
		require.NotRegexp(t, `(?i)\bsafe(ly)?\b|\b(is|are|now) dead\b`, out, "a promise in the help of %s", c.Name())
	})
}

// Everything that can be written down has a command, with a flag or a place
// for each of its fields.
func TestEveryWishHasACommand(t *testing.T) {
	commands := map[string]*cobra.Command{}
	ours(t, func(c *cobra.Command) { commands[c.Name()] = c })
	for _, k := range model.WishKinds() {
		c := commands[k.Name]
		require.NotNil(t, c, k.Name)
		require.Equal(t, "write", c.GroupID)
		for _, f := range k.Fields {
			require.NotNil(t, c.Flags().Lookup(f.Name), "%s --%s", k.Name, f.Name)
		}
	}
}

// before are the commands that the examples of some commands follow.
var before = map[string][]string{
	"off":     {"on", "pkb-05"},
	"pay":     {"order", "display", "79", "--unpaid"},
	"close":   {"raise", "sense leads crossed"},
	"release": {"read", "iso-pack", "3.1M"},
	"resume":  {"read", "dead-at-controller", "0.4", "--before", "12.6", "--after", "12.6", "--by", "Kim"},
	"let-in":  {"strike-off", "pocket phone", "lost", "--upto", "none"},
}

// The examples in the help run as they stand, on the demo.
func TestExamples(t *testing.T) {
	demo := heron(t)
	purchase := answer[moneyJSON](t, exitDone, "money", "--garage", demo).Lines[0].Entry
	work := answer[taskAnswer](t, exitDone, "task", "mot-05", "--garage", demo).Work[0].Entry
	phones := ""
	for _, e := range answer[logJSON](t, exitDone, "log", "-n", "0", "--garage", demo).Entries {
		if e.Device == "pocket phone" {
			phones = e.Entry
		}
	}
	photo := filepath.Join(t.TempDir(), "photo.jpg")
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, image.NewGray(image.Rect(0, 0, 40, 30)), nil))
	require.NoError(t, os.WriteFile(photo, file.Bytes(), 0o600))
	ours(t, func(c *cobra.Command) {
		switch c.Name() {
		case "demo", "serve", "invite", "sync", "export", "import", "bring", "bms", "man", "paper", "record", "photos": // have scripts or tests of their own
			return
		}
		for _, line := range strings.Split(c.Example, "\n") {
			args := typedWords(line)
			if strings.ContainsAny(line, "|>&") || strings.Contains(line, "./copy/") {
				continue // for a shell, or about another file
			}
			for i, w := range args {
				if w == "3fa9c2d1" && c.Name() == "hours" {
					args[i] = work
				} else if w == "3fa9c2d1" && (c.Name() == "strike-off" || c.Name() == "let-in") {
					args[i] = phones
				} else if w == "3fa9c2d1" {
					args[i] = purchase
				} else if strings.HasSuffix(w, ".jpg") {
					args[i] = photo
				}
			}
			dir := t.TempDir()
			require.NoError(t, os.CopyFS(dir, os.DirFS(demo)))
			if prelude := before[c.Name()]; prelude != nil {
				code, _, talk := amp(t, append([]string{"--garage", dir}, prelude...)...)
				require.Equal(t, exitDone, code, talk)
			}
			code, out, talk := amp(t, append([]string{"--garage", dir}, args[1:]...)...)
			if c.Name() == "settle" { // the demo's clash is settled
				require.Contains(t, talk, "was not written apart")
				continue
			}
			require.NotEmpty(t, out, "%s: %s", line, talk)
			if code != exitNotMet || c.GroupID != "look" {
				require.Equal(t, exitDone, code, "%s: %s", line, talk)
			}
		}
	})
}

var word = regexp.MustCompile(`"[^"]*"|\S+`)

// typedWords splits a line as a shell does; a comment stands after three spaces.
func typedWords(line string) []string {
	line, _, _ = strings.Cut(strings.TrimSpace(line), "   ")
	out := word.FindAllString(line, -1)
	for i := range out {
		out[i] = strings.Trim(out[i], `"`)
	}
	return out
}
