package bring

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"ampwright/model/tables"
)

// Limits of a file. Sheets that people keep by hand are far smaller.
const (
	MaxBytes = 8 << 20
	MaxRows  = 50_000
	MaxCols  = 200
)

// A File is a file that is to be brought in.
type File struct {
	Name   string // without its folder
	Hash   string // SHA-256 of its bytes, hexadecimal
	Sheets []Sheet
}

// A Sheet is one table of a file. Dates, times and numbers that a workbook holds
// as such are written as 2026-08-29, 14:00 and 2.5.
type Sheet struct {
	Name string // "" in a file that has one only
	Rows [][]string
}

// Hash returns the SHA-256 of a file's bytes, hexadecimal.
func Hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// CSV reads text whose cells are set apart by commas, semicolons or tabs: the
// one that cuts most lines alike. A byte-order mark is dropped, UTF-16 with one
// is read, and text that is not UTF-8 is taken for Windows-1252.
func CSV(name string, data []byte) (File, error) {
	f := File{Name: name, Hash: Hash(data)}
	if len(data) > MaxBytes {
		return f, fmt.Errorf("%s: %d bytes, want at most %d", name, len(data), MaxBytes)
	}
	text := plainText(data)
	if strings.TrimSpace(text) == "" {
		return f, fmt.Errorf("%s: there is nothing in it, want lines of cells set apart by comma, semicolon or tab", name)
	}
	if strings.ContainsRune(text, 0) {
		return f, fmt.Errorf("%s: it holds bytes that are no text, want a .csv file", name)
	}
	in := csv.NewReader(strings.NewReader(text))
	in.Comma = separator(text)
	in.FieldsPerRecord = -1
	in.LazyQuotes = true
	in.TrimLeadingSpace = in.Comma != '\t'
	var s Sheet
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return f, fmt.Errorf("%s: %w", name, err)
		}
		for i := range row {
			row[i] = tables.Plain(row[i])
		}
		line, _ := in.FieldPos(0)
		for len(s.Rows) < line-1 && len(s.Rows) < MaxRows { // empty lines keep their numbers
			s.Rows = append(s.Rows, nil)
		}
		if len(s.Rows) >= MaxRows || len(row) > MaxCols {
			return f, fmt.Errorf("%s: line %d: want at most %d lines of %d cells", name, line, MaxRows, MaxCols)
		}
		s.Rows = append(s.Rows, row)
	}
	f.Sheets = []Sheet{s}
	return f, nil
}

// plainText returns a file's text as UTF-8 without a byte-order mark.
func plainText(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte{0xef, 0xbb, 0xbf}):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}), bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		var units []uint16
		for i := 2; i+1 < len(data); i += 2 {
			a, b := uint16(data[i]), uint16(data[i+1])
			if data[0] == 0xff {
				a, b = b, a
			}
			units = append(units, a<<8|b)
		}
		return string(utf16.Decode(units))
	}
	if utf8.Valid(data) {
		return string(data)
	}
	var out strings.Builder
	for _, b := range data {
		if r := rune(b); b >= 0x80 && b <= 0x9f {
			out.WriteRune(windows1252[b-0x80])
		} else {
			out.WriteRune(r)
		}
	}
	return out.String()
}

// windows1252 is what Windows-1252 has for the bytes 80 to 9F, where ISO 8859-1
// has controls: the WHATWG Encoding Standard, index windows-1252 (from memory).
var windows1252 = [32]rune{
	'€', 0x81, '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', 0x8d, 'Ž', 0x8f,
	0x90, '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', 0x9d, 'ž', 'Ÿ',
}

// separators are what sets cells apart, the likeliest first.
const separators = ";\t,|"

// separator returns the mark that cuts the first lines into the same number of
// cells most often, outside quotes.
func separator(text string) rune {
	if isList(text) {
		return 0x1f // no line has it
	}
	counts := map[rune]map[int]int{} // mark -> marks in a line -> lines
	for _, mark := range separators {
		counts[mark] = map[int]int{}
	}
	inLine, quoted, start := map[rune]int{}, false, true
	lines := 0
	for i, r := range text {
		switch {
		case r == '"' && start:
			quoted = true
		case r == '"' && quoted:
			next := i + 1
			quoted = next < len(text) && !strings.ContainsRune(separators+"\r\n", rune(text[next]))
		case r == '\n' && !quoted:
			for mark, n := range inLine {
				counts[mark][n]++
			}
			inLine = map[rune]int{}
			lines++
		case !quoted && strings.ContainsRune(separators, r):
			inLine[r]++
		}
		start = r == '\n' || strings.ContainsRune(separators, r)
		if lines >= 40 {
			break
		}
	}
	for mark, n := range inLine {
		counts[mark][n]++
	}
	best, most := ',', 0
	for _, mark := range separators {
		for n, lines := range counts[mark] {
			if score := lines*100 + min(n, 50); score > most {
				best, most = mark, score
			}
		}
	}
	return best
}

// isList reports whether most lines begin with a box to tick: a list as people
// type it, in which a comma is a comma.
func isList(text string) bool {
	lines, boxes := 0, 0
	for _, line := range strings.Split(text, "\n") {
		if line = strings.TrimSpace(line); line != "" {
			lines++
			if isTicked(line) && !strings.ContainsAny(line, ";\t") {
				boxes++
			}
		}
	}
	return lines > 0 && float64(boxes) >= agree/2*float64(lines)
}

// Letter returns the name of a column as spreadsheets have it: A, B, ..., AA.
func Letter(col int) string {
	name := ""
	for col++; col > 0; col = (col - 1) / 26 {
		name = string(rune('A'+(col-1)%26)) + name
	}
	return name
}

// cell returns a cell's text without the space around it, "" past the end.
func cell(row []string, col int) string {
	if col < 0 || col >= len(row) {
		return ""
	}
	return strings.TrimSpace(strings.ReplaceAll(row[col], "\u00a0", " "))
}

func blank(row []string) bool {
	for i := range row {
		if cell(row, i) != "" {
			return false
		}
	}
	return true
}
