package static_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// themes returns the tokens of each theme, on top of those of the light one.
func themes(t *testing.T) map[string]map[string]string {
	css := get(t, "look.css")
	all := map[string]map[string]string{}
	for name, opening := range map[string]string{
		"light": ":root {", "dark": `:root[data-theme="dark"] {`, "auto in the dark": `:root[data-theme="auto"] {`, "print": ":root[data-theme] {",
	} {
		_, block, ok := strings.Cut(css, opening)
		require.True(t, ok, name)
		block, _, _ = strings.Cut(block, "}")
		tokens := map[string]string{}
		for _, m := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]+);`).FindAllStringSubmatch(block, -1) {
			tokens[m[1]] = m[2]
		}
		all[name] = tokens
	}
	for _, tokens := range all {
		for k, v := range all["light"] {
			if tokens[k] == "" {
				tokens[k] = v
			}
		}
	}
	return all
}

// luminance is the relative luminance of a colour: WCAG 2.2, "relative
// luminance".
func luminance(t *testing.T, colour string) float64 {
	t.Helper()
	hex := strings.TrimPrefix(colour, "#")
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	require.Len(t, hex, 6, colour)
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		require.NoError(t, err)
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// contrast is WCAG 2.2, "contrast ratio".
func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestContrastFormula(t *testing.T) {
	require.InDelta(t, 21, contrast(t, "#000", "#fff"), 1e-9) // WCAG 2.2, "contrast ratio", note 1: from 1 to 21
	require.InDelta(t, 1, contrast(t, "#abc", "#abc"), 1e-9)
	require.InDelta(t, 4.54, contrast(t, "#767676", "#fff"), 0.005) // the grey the WCAG technique G18 is usually shown with; from memory
}

// WCAG 2.2: 1.4.6 asks 7:1 of text, 1.4.3 at least 4.5:1, 1.4.11 3:1 of what is
// no text.
func TestContrast(t *testing.T) {
	for name, tokens := range themes(t) {
		for _, tt := range []struct {
			want  float64
			texts string
			on    string
		}{
			{7, "ink blue", "sheet card"},
			{7, "ink", "blue-wash"},
			{7, "sheet", "ink"}, // buttons
			{7, "danger-ink", "danger-bg"}, {7, "warn-ink", "warn-bg"}, {7, "caution-ink", "caution-bg"}, {7, "notice-ink", "notice-bg"},
			{4.5, "soft within out stale", "sheet card"},
			{4.5, "stale", "hatch"},
			{4.5, "sheet", "out"}, // the stamp OUT
			{3, "line blue", "sheet card"},
		} {
			for _, text := range strings.Fields(tt.texts) {
				for _, on := range strings.Fields(tt.on) {
					require.NotEmpty(t, tokens[text], text)
					require.NotEmpty(t, tokens[on], on)
					require.GreaterOrEqual(t, contrast(t, tokens[text], tokens[on]), tt.want, "%s: %s on %s", name, text, on)
				}
			}
		}
	}
	require.Equal(t, themes(t)["dark"], themes(t)["auto in the dark"])
}
