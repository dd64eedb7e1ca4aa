// Package qr draws texts as QR codes (ISO/IEC 18004), in the little that the
// phone needs of it: texts in the alphanumeric mode, recovery level M, versions 1
// to 12.
package qr

import (
	"fmt"
	"strings"
)

// characters are those of the alphanumeric mode, by their values (table 5).
const characters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"

// blocks are, by version from 1, how many blocks the codewords of level M stand
// in, and how many of each block are for recovery (table 9).
var blocks = [...]struct{ count, recovery int }{
	{1, 10}, {1, 16}, {1, 26}, {2, 18}, {2, 24}, {4, 16}, {4, 18}, {4, 22}, {5, 22}, {5, 26}, {5, 30}, {8, 22},
}

// quiet is the width of the light zone around a code, in modules.
const quiet = 4

// Modules are the dark modules of a text's code, row by row, with the quiet zone.
func Modules(text string) ([][]bool, error) {
	for _, c := range text {
		if !strings.ContainsRune(characters, c) {
			return nil, fmt.Errorf("make code: %q in %q, want capitals, digits, space and $ %% * + - . / :", c, text)
		}
	}
	version := 1
	for ; ; version++ {
		if version > len(blocks) {
			return nil, fmt.Errorf("make code: a text of %d characters, want at most %d", len(text), most(len(blocks)))
		}
		if len(text) <= most(version) {
			break
		}
	}
	words := codewords(text, version)
	var best *symbol
	least := 0
	for mask := range 8 {
		s := draw(words, version, mask)
		if p := s.penalty(); best == nil || p < least {
			best, least = s, p
		}
	}
	return best.withQuiet(), nil
}

// total is how many codewords a version has: what is left of its modules beside
// those of fixed patterns, format and version, in eights.
func total(version int) int {
	size := 17 + 4*version
	modules := size*size - 3*64 - 2*(size-16) - 31
	if n := len(alignment(version)); n > 0 {
		modules -= 25*(n*n-3) - 10*(n-2) // those on the timing patterns share five with it
	}
	if version >= 7 {
		modules -= 36
	}
	return modules / 8
}

// data is how many of the codewords are not for recovery.
func data(version int) int {
	b := blocks[version-1]
	return total(version) - b.count*b.recovery
}

// countBits is the width of the number of characters (table 3).
func countBits(version int) int {
	if version < 10 {
		return 9
	}
	return 11
}

// most is how many characters a version holds.
func most(version int) int {
	bits := 8*data(version) - 4 - countBits(version)
	return bits/11*2 + bits%11/6
}

// A bits is a sequence of them, most significant first.
type bits struct {
	bytes []byte
	n     int
}

func (b *bits) add(value, width int) {
	for i := width - 1; i >= 0; i-- {
		if b.n%8 == 0 {
			b.bytes = append(b.bytes, 0)
		}
		b.bytes[b.n/8] |= byte(value>>i&1) << (7 - b.n%8)
		b.n++
	}
}

// codewords are the data and what recovers it, in the order they are drawn
// (clauses 7.4 to 7.6).
func codewords(text string, version int) []byte {
	var b bits
	b.add(2, 4) // the alphanumeric mode
	b.add(len(text), countBits(version))
	value := func(i int) int { return strings.IndexByte(characters, text[i]) }
	for i := 0; i+1 < len(text); i += 2 {
		b.add(45*value(i)+value(i+1), 11)
	}
	if len(text)%2 == 1 {
		b.add(value(len(text)-1), 6)
	}
	n := data(version)
	b.add(0, min(4, 8*n-b.n))
	for pad := byte(0xec); len(b.bytes) < n; pad ^= 0xec ^ 0x11 {
		b.bytes = append(b.bytes, pad)
	}
	form := blocks[version-1]
	short := total(version)/form.count - form.recovery
	long := total(version) % form.count // so many blocks, the last, have one more
	var parts, recovery [][]byte
	rest := b.bytes
	for i := range form.count {
		size := short
		if i >= form.count-long {
			size++
		}
		parts, recovery = append(parts, rest[:size]), append(recovery, remainder(rest[:size], form.recovery))
		rest = rest[size:]
	}
	return append(interleaved(parts), interleaved(recovery)...)
}

// interleaved are the first bytes of all parts, then the second, and so on.
func interleaved(parts [][]byte) (out []byte) {
	for i := range len(parts[len(parts)-1]) {
		for _, p := range parts {
			if i < len(p) {
				out = append(out, p[i])
			}
		}
	}
	return out
}

// remainder are n bytes of a Reed-Solomon code over the field of 256 with
// x^8 + x^4 + x^3 + x^2 + 1 (clause 7.5.2, annex A).
func remainder(data []byte, n int) []byte {
	generator, root := make([]byte, n), byte(1)
	generator[n-1] = 1
	for range n {
		for i := range generator {
			generator[i] = times(generator[i], root)
			if i+1 < n {
				generator[i] ^= generator[i+1]
			}
		}
		root = times(root, 2)
	}
	out := make([]byte, n)
	for _, d := range data {
		factor := d ^ out[0]
		out = append(out[1:], 0)
		for i := range out {
			out[i] ^= times(generator[i], factor)
		}
	}
	return out
}

func times(a, b byte) (product byte) {
	for ; b > 0; b >>= 1 {
		if b&1 == 1 {
			product ^= a
		}
		high := a >> 7
		a = a<<1 ^ high*0x1d
	}
	return product
}
