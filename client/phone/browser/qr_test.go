//go:build browser

package browser

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// readQR reads the text of a QR code (ISO/IEC 18004:2015) from the picture's SVG, as
// a camera does but for the errors: no bit of it is wrong. Versions 1 to 8, level M.
func readQR(t *testing.T, svg string) string {
	t.Helper()
	m := regexp.MustCompile(`viewBox="0 0 (\d+) `).FindStringSubmatch(svg)
	require.NotNil(t, m, svg)
	n, err := strconv.Atoi(m[1])
	require.NoError(t, err)
	const quiet = 4 // modules of nothing on each side (5.3.8)
	n -= 2 * quiet
	black := make([][]bool, n)
	for y := range black {
		black[y] = make([]bool, n)
	}
	for _, at := range regexp.MustCompile(`M(\d+) (\d+)h1v1h-1z`).FindAllStringSubmatch(svg, -1) {
		x, _ := strconv.Atoi(at[1])
		y, _ := strconv.Atoi(at[2])
		black[y-quiet][x-quiet] = true
	}
	version := (n - 17) / 4
	require.Contains(t, blocksM, version, "a picture of %d modules", n)

	format := 0 // 15 bits beside the upper left square (7.9)
	for i, at := range [][2]int{{0, 8}, {1, 8}, {2, 8}, {3, 8}, {4, 8}, {5, 8}, {7, 8}, {8, 8}, {8, 7}, {8, 5}, {8, 4}, {8, 3}, {8, 2}, {8, 1}, {8, 0}} {
		if black[at[1]][at[0]] {
			format |= 1 << (14 - i)
		}
	}
	format ^= 0b101010000010010
	require.Equal(t, 0, format>>13, "the level is M")

	var bits []bool // in columns of two from the lower right, up and down (7.7.3)
	up := true
	for x := n - 1; x > 0; x -= 2 {
		if x == 6 { // the timing column
			x--
		}
		for i := range n {
			y := i
			if up {
				y = n - 1 - i
			}
			for _, x := range []int{x, x - 1} {
				if !function(version, n, x, y) {
					bits = append(bits, black[y][x] != masked(format>>10&7, x, y))
				}
			}
		}
		up = !up
	}
	words := make([]byte, len(bits)/8)
	for i := range words {
		for j := range 8 {
			words[i] <<= 1
			if bits[8*i+j] {
				words[i] |= 1
			}
		}
	}
	var data []byte // the blocks take turns, the short ones first (7.6)
	sizes := blocksM[version]
	parts := make([][]byte, len(sizes))
	for i, next := 0, 0; i < sizes[len(sizes)-1]; i++ {
		for b, size := range sizes {
			if i < size {
				parts[b] = append(parts[b], words[next])
				next++
			}
		}
	}
	for _, p := range parts {
		data = append(data, p...)
	}
	return segments(t, data)
}

// blocksM are the data words of each block at level M (table 9).
var blocksM = map[int][]int{1: {16}, 2: {28}, 3: {44}, 4: {32, 32}, 5: {43, 43}, 6: {27, 27, 27, 27}, 7: {31, 31, 31, 31}, 8: {38, 38, 39, 39}}

// function reports whether a module is none of the data: squares in the corners
// with their formats, timing, the small square (annex E), versions from 7 on.
func function(version, n, x, y int) bool {
	corner := x < 9 && y < 9 || x < 9 && y >= n-8 || x >= n-8 && y < 9
	small := false
	for _, cx := range smallSquares[version] {
		for _, cy := range smallSquares[version] {
			inCorner := cx == 6 && cy == 6 || cx == 6 && cy == n-7 || cx == n-7 && cy == 6
			small = small || !inCorner && x >= cx-2 && x <= cx+2 && y >= cy-2 && y <= cy+2
		}
	}
	numbered := version >= 7 && (x < 6 && y >= n-11 || y < 6 && x >= n-11)
	return corner || small || numbered || x == 6 || y == 6
}

var smallSquares = map[int][]int{2: {6, 18}, 3: {6, 22}, 4: {6, 26}, 5: {6, 30}, 6: {6, 34}, 7: {6, 22, 38}, 8: {6, 24, 42}}

// masked is table 10.
func masked(mask, x, y int) bool {
	return []bool{
		(y+x)%2 == 0, y%2 == 0, x%3 == 0, (y+x)%3 == 0, (y/2+x/3)%2 == 0, y*x%2+y*x%3 == 0, (y*x%2+y*x%3)%2 == 0, ((y+x)%2+y*x%3)%2 == 0,
	}[mask]
}

// segments reads numeric, alphanumeric and byte segments (7.4) of versions 1 to 9.
func segments(t *testing.T, data []byte) string {
	at := 0
	take := func(n int) (v int) {
		for range n {
			v = v<<1 | int(data[at/8]>>(7-at%8)&1)
			at++
		}
		return v
	}
	const letters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
	var text strings.Builder
	for 8*len(data)-at >= 4 {
		switch mode := take(4); mode {
		case 0:
			return text.String()
		case 1:
			for n := take(10); n > 0; n -= 3 {
				digits := min(n, 3)
				fmt.Fprintf(&text, "%0*d", digits, take([]int{0, 4, 7, 10}[digits]))
			}
		case 2:
			for n := take(9); n > 0; n -= 2 {
				if n == 1 {
					text.WriteByte(letters[take(6)])
					break
				}
				pair := take(11)
				text.WriteByte(letters[pair/45])
				text.WriteByte(letters[pair%45])
			}
		case 4:
			for n := take(8); n > 0; n-- {
				text.WriteByte(byte(take(8)))
			}
		default:
			require.Fail(t, "a segment of another kind", "mode %d after %q", mode, text.String())
		}
	}
	return text.String()
}
