package static_test

import (
	"crypto/sha256"
	"encoding/hex"
	"regexp"
	"strings"
	"testing"

	"ampwright/client/static"

	"github.com/stretchr/testify/require"
)

func get(t *testing.T, name string) string {
	t.Helper()
	f, ok := static.Get(static.Name(name))
	require.True(t, ok, name)
	return string(f.Body)
}

func TestAddresses(t *testing.T) {
	css := get(t, "look.css")
	for _, name := range static.Names() {
		address := static.Name(name)
		require.Regexp(t, `^[a-zA-Z0-9-]+\.[0-9a-f]{12}\.(css|js|woff2|svg|png|txt)$`, address)
		f, ok := static.Get(address)
		require.True(t, ok)
		require.NotEmpty(t, f.Type, name)
		sum := sha256.Sum256(f.Body)
		require.Contains(t, address, hex.EncodeToString(sum[:6]))
		_, ok = static.Get(name)
		require.False(t, ok, "%s would be kept for ever under a name that does not change", name)
	}
	// The sheet names nothing from elsewhere, and every file it names is here.
	named := regexp.MustCompile(`url\(([^)]*)\)`).FindAllStringSubmatch(css, -1)
	require.Len(t, named, 4)
	for _, n := range named {
		_, ok := static.Get(n[1])
		require.True(t, ok, n[1])
	}
	require.NotContains(t, css, "//")
	require.NotContains(t, css, "@import")
	require.Equal(t, "none.css", static.Name("none.css"))
}

// The licence of the typefaces travels with them, as its section 2 asks.
func TestLicence(t *testing.T) {
	text := get(t, "OFL.txt")
	require.Contains(t, text, "SIL OPEN FONT LICENSE Version 1.1")
	require.Contains(t, text, "The B612 Project Authors")
}

// A style sheet that closes all it opens.
func TestBraces(t *testing.T) {
	css := get(t, "look.css")
	require.Equal(t, strings.Count(css, "{"), strings.Count(css, "}"))
}
