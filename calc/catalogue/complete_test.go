package catalogue

import (
	"fmt"
	"strings"
	"testing"
	"unicode"

	"ampwright/calc/desk"
	"ampwright/calc/unit"

	"github.com/stretchr/testify/require"
)

// Every calculation can be typed, says where it comes from, and promises
// nothing.
func TestComplete(t *testing.T) {
	names := map[string]bool{}
	groups := map[string]bool{}
	last := ""
	for _, c := range All() {
		t.Run(c.Name, func(t *testing.T) {
			require.Regexp(t, `^[a-z0-9]+(-[a-z0-9]+)*$`, c.Name)
			require.False(t, names[c.Name], "the name is there twice")
			names[c.Name] = true
			if c.Group != last {
				require.False(t, groups[c.Group], "the group %s is in two places", c.Group)
				groups[c.Group], last = true, c.Group
			}
			require.NotEmpty(t, c.Group)
			require.NotEmpty(t, c.Source)
			require.NotEmpty(t, c.Formula)
			require.NotEmpty(t, c.Inputs)
			require.NotEmpty(t, c.Outputs)
			requireSentence(t, c.Title)
			seen := map[string]bool{}
			for _, in := range c.Inputs {
				requireName(t, in.Name, seen)
				requireSentence(t, in.Title)
				requireInput(t, in)
			}
			seen = map[string]bool{}
			for _, o := range c.Outputs {
				requireName(t, o.Name, seen)
				requireSentence(t, o.Title)
				require.True(t, o.Unit == "" || unit.Known(o.Unit), "%s: %s", o.Name, o.Unit)
			}
			all := fmt.Sprintf("%q %q %q %q %+v %+v", c.Title, c.Formula, c.Source, c.Valid+strings.Join(c.Cautions, " "), c.Inputs, c.Outputs)
			require.NotContains(t, strings.ToLower(all), "safe")
		})
	}
}

func requireName(t *testing.T, name string, seen map[string]bool) {
	require.Regexp(t, `^[A-Za-z_][A-Za-z0-9_]*$`, name)
	require.False(t, seen[name], "%s is there twice", name)
	seen[name] = true
}

// A title begins like a sentence.
func requireSentence(t *testing.T, title string) {
	require.NotEmpty(t, title)
	require.True(t, unicode.IsUpper([]rune(title)[0]), title)
}

// An input has one form, and accepts its own default.
func requireInput(t *testing.T, in desk.Input) {
	forms := 0
	for _, form := range []bool{len(in.Choices) > 0, in.Text, in.Min < in.Max && unit.Known(in.Unit)} {
		if form {
			forms++
		}
	}
	require.Equal(t, 1, forms, "%s is one of number or list, choice and text", in.Name)
	if in.Default != "" {
		alone := desk.Calc{Name: "alone", Inputs: []desk.Input{in}, Do: func(*desk.Sheet) {}}
		_, err := alone.Run(nil, unit.Style{})
		require.NoError(t, err)
	}
}
