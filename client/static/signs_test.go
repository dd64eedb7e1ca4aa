package static_test

import (
	"crypto/sha256"
	"encoding/hex"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"ampwright/calc/unit"
	"ampwright/client/pages"
	"ampwright/model/demo"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// faces are the sign ranges of each typeface of the sheet.
func faces(t *testing.T) map[string][][2]rune {
	all := map[string][][2]rune{}
	for _, face := range regexp.MustCompile(`@font-face \{ font-family: ("?)([^";]+)"?;[^}]*unicode-range: ([^;]+);`).FindAllStringSubmatch(get(t, "look.css"), -1) {
		var ranges [][2]rune
		for _, r := range strings.Split(face[3], ",") {
			from, to, two := strings.Cut(strings.TrimPrefix(strings.TrimSpace(r), "U+"), "-")
			if !two {
				to = from
			}
			a, err := strconv.ParseInt(from, 16, 32)
			require.NoError(t, err)
			b, err := strconv.ParseInt(to, 16, 32)
			require.NoError(t, err)
			ranges = append(ranges, [2]rune{rune(a), rune(b)})
		}
		all[face[2]] = ranges
	}
	require.Len(t, all, 3)
	return all
}

func has(ranges [][2]rune, r rune) bool {
	for _, one := range ranges {
		if r >= one[0] && r <= one[1] {
			return true
		}
	}
	return false
}

// The ranges of B612 in the sheet were read from the character maps of the very
// files with these hashes.
func TestTypefaces(t *testing.T) {
	for name, want := range map[string]string{
		"b612-latin-400-normal.woff2":      "a96e47feaec40f5b53b6c8e941e87ba7732d7935d47f2a554223585f36c6785d",
		"b612-latin-700-normal.woff2":      "95f39db174588831100e7e32a0329d4f91952a6c28f2fd91f207951e3a8c6788",
		"b612-mono-latin-400-normal.woff2": "36316fb226f98c51db117b8ba357316013a610a1d0f7607d2af73ea3f9194848",
		"b612-mono-latin-700-normal.woff2": "4994d0b2f403b6805d8b918c01b0d5122808373373795f8149ccc231ebd197f3",
	} {
		sum := sha256.Sum256([]byte(get(t, name)))
		require.Equal(t, want, hex.EncodeToString(sum[:]), name)
	}
}

// Every sign of the pages stands in B612, or falls back on purpose: none is left
// to chance.
func TestSigns(t *testing.T) {
	f := faces(t)
	require.Equal(t, f["B612"], f["B612 Mono"])
	for _, r := range "≥≤Ωμ→←⋅" { // read from the files: they have none of these
		require.False(t, has(f["B612"], r), "%c", r)
		require.True(t, has(f["Signs"], r), "%c", r)
	}
	for _, r := range "×±µ·°–½²³…“”€′″−" {
		require.True(t, has(f["B612"], r), "%c", r)
	}
	check := func(where, text string) {
		for _, r := range text {
			require.True(t, r == '\n' || has(f["B612"], r) != has(f["Signs"], r), "%s: %c (U+%X) is in no face, or in two", where, r, r)
		}
	}
	for _, u := range []string{"V", "A", "Ah", "ohm", "mohm", "Nm", "mm", "K", "kWh", "Wh/km", "km/h", "m/s2", "mm2", "%", "degC", "ratio", "kg", "N", "kPa"} {
		check(u, unit.Symbol(u))
	}

	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	log := keep.NewMemory()
	require.NoError(t, log.Append(raws))
	b, err := book.Open(log, book.Config{
		Replica: uuid.Max, Plans: plan.Builtin, Now: func() time.Time { return demo.End }, NewID: func() uuid.UUID { return uuid.Nil },
	})
	require.NoError(t, err)
	site, err := pages.New(pages.Config{Book: b, Plans: plan.Editions(), Once: func() string { return "x" }})
	require.NoError(t, err)
	at := "/b/" + demo.Build.String()
	for _, path := range []string{"/", "/tasks", "/checks", "/spec", "/parts", "/money", "/findings", "/logbook", "/settings", "/record", "/task/mot-05", "/check/motor-iso", "/write/add-check"} {
		resp := site.Serve(pages.Request{Method: "GET", Path: at + path})
		require.Equal(t, 200, resp.Status)
		check(path, string(resp.Body))
	}
}
