package qr

import (
	"strings"
	"testing"

	"github.com/skip2/go-qrcode"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Every text is drawn as another program draws it (go-qrcode), but for the mask
// that is chosen among eight: that program counts runs of five otherwise. Digits
// stand alone in the texts: runs of them it writes in another mode.
func TestAsPublished(t *testing.T) {
	letters := characters[10:]
	same := func(t require.TestingT, text string) {
		q, err := qrcode.New(text, qrcode.Medium)
		require.NoError(t, err)
		want := q.Bitmap()
		version := (len(want) - 2*quiet - 17) / 4
		words := codewords(text, version)
		require.LessOrEqual(t, len(text), most(version))
		require.True(t, version == 1 || len(text) > most(version-1))
		for mask := range 8 {
			if equal(draw(words, version, mask).withQuiet(), want) {
				got, err := Modules(text)
				require.NoError(t, err)
				require.Len(t, got, len(want))
				return
			}
		}
		t.Errorf("%q is drawn otherwise", text)
	}
	for version := 1; version <= len(blocks); version++ { // the longest of each and those around it
		for n := most(version) - 2; n <= min(most(version)+1, most(len(blocks))); n++ {
			same(t, strings.Repeat(letters, n/len(letters)+1)[:n])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"A", "B", "Z", " ", "$", "%", "*", "+", "-", ".", "/", ":", "X1Y", "A7-"}), 1, 120).Draw(t, "pieces"), "")
		same(t, text)
	})
}

func equal(a, b [][]bool) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		for j := range a[i] {
			if a[i][j] != b[i][j] {
				return false
			}
		}
	}
	return true
}

// How many characters a version holds is printed in ISO/IEC 18004, table 7
// (level M, alphanumeric; from memory).
func TestMost(t *testing.T) {
	for i, want := range []int{20, 38, 61, 90, 122, 154, 178, 221, 262, 311, 366, 419} {
		require.Equal(t, want, most(i+1), "version %d", i+1)
	}
}

func TestNoCode(t *testing.T) {
	_, err := Modules("abc")
	require.EqualError(t, err, `make code: 'a' in "abc", want capitals, digits, space and $ % * + - . / :`)
	_, err = Modules(strings.Repeat("A", 420))
	require.EqualError(t, err, "make code: a text of 420 characters, want at most 419")
}

// By hand after ISO/IEC 18004, table 11: seven alike count 5, and a finder
// pattern beside four light modules 40.
func TestPenalty(t *testing.T) {
	of := func(row string) int { return penaltyOf(len(row), func(i int) bool { return row[i] == '#' }) }
	require.Equal(t, 0, of("#.#.#.####."))
	require.Equal(t, 5, of(".#######.#."))
	require.Equal(t, 40, of("#.###.#...."))
	require.Equal(t, 40, of("....#.###.#"))
	require.Equal(t, 0, of("...#.###.#."))
}

func BenchmarkModules(b *testing.B) {
	text := strings.Repeat(characters, 9)[:400]
	for b.Loop() {
		if _, err := Modules(text); err != nil {
			b.Fatal(err)
		}
	}
}
