package paper

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"unicode"
)

//go:embed fonts/b612-regular.ttf
var regular []byte

//go:embed fonts/b612-bold.ttf
var bold []byte

//go:embed fonts/b612-mono-regular.ttf
var mono []byte

//go:embed fonts/dejavu-letters.ttf
var letters []byte

// A face is a typeface by the name it has in the PDF.
type face string

const (
	plain  face = "plain"
	strong face = "strong"
	code   face = "code"  // hashes
	other  face = "other" // letters that B612 lacks
)

var files = []struct {
	face face
	ttf  []byte
}{{plain, regular}, {strong, bold}, {code, mono}, {other, letters}}

// signs are the characters of each typeface.
var signs = map[face]map[rune]bool{plain: characters(regular), strong: characters(bold), code: characters(mono), other: characters(letters)}

// A run is a stretch of text in one face.
type run struct {
	face face
	text string
}

// runs splits a text by the faces that have its signs. A sign that none has is
// written out as its number, "[U+4E2D]", so that nothing is lost.
func runs(text string, f face) []run {
	var list []run
	put := func(f face, s string) {
		if n := len(list); n > 0 && list[n-1].face == f {
			list[n-1].text += s
			return
		}
		list = append(list, run{f, s})
	}
	for _, r := range text {
		switch {
		case signs[f][r]:
			put(f, string(r))
		case signs[other][r]:
			put(other, string(r))
		case unicode.IsSpace(r):
			put(f, " ")
		case unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Mn, r):
		default:
			put(f, fmt.Sprintf("[U+%04X]", r))
		}
	}
	return list
}

// characters reads the character map of a TrueType file: of its "cmap" table the
// subtables of format 4 (OpenType 1.9, "cmap").
func characters(ttf []byte) map[rune]bool {
	be := binary.BigEndian
	has := map[rune]bool{}
	for i := range int(be.Uint16(ttf[4:])) {
		entry := ttf[12+16*i:]
		if string(entry[:4]) != "cmap" {
			continue
		}
		cmap := ttf[be.Uint32(entry[8:]):]
		for j := range int(be.Uint16(cmap[2:])) {
			sub := cmap[be.Uint32(cmap[4+8*j+4:]):]
			if be.Uint16(sub) != 4 {
				continue
			}
			segs := int(be.Uint16(sub[6:])) / 2
			ends, starts := sub[14:], sub[16+2*segs:]
			deltas, offsets := sub[16+4*segs:], sub[16+6*segs:]
			for s := range segs {
				end, start := int(be.Uint16(ends[2*s:])), int(be.Uint16(starts[2*s:]))
				delta, offset := int(be.Uint16(deltas[2*s:])), int(be.Uint16(offsets[2*s:]))
				for c := start; c <= end && c != 0xffff; c++ {
					glyph := c + delta
					if offset != 0 {
						if glyph = int(be.Uint16(offsets[2*s+offset+2*(c-start):])); glyph != 0 {
							glyph += delta
						}
					}
					if glyph&0xffff != 0 {
						has[rune(c)] = true
					}
				}
			}
		}
	}
	return has
}
