package paper_test

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
)

var (
	streams = regexp.MustCompile(`(?s)/Filter /FlateDecode.{0,40}?>>\nstream\n(.*?)\nendstream`)
	shows   = regexp.MustCompile(`(?s)BT [-0-9.]+ ([-0-9.]+) Td \((.*?[^\\]|)\) Tj ET`)
)

// sheetsOf reads the text of each page of a PDF back: the strings that its
// content streams show (ISO 32000-1, 9.4.3), in UTF-16 as the library writes
// them.
func sheetsOf(t testing.TB, pdf []byte) []string {
	t.Helper()
	var sheets []string
	for _, content := range contents(t, pdf) {
		var lines strings.Builder
		for _, s := range shows.FindAllStringSubmatch(content, -1) {
			lines.WriteString(utf16Text(unescape([]byte(s[2]))) + "\n")
		}
		sheets = append(sheets, lines.String())
	}
	return sheets
}

// contents are the content streams of the pages.
func contents(t testing.TB, pdf []byte) []string {
	t.Helper()
	var list []string
	for _, m := range streams.FindAllSubmatch(pdf, -1) {
		z, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue
		}
		content, err := io.ReadAll(z)
		if err == nil && bytes.Contains(content, []byte(" Tj ET")) {
			list = append(list, string(content))
		}
	}
	require.NotEmpty(t, list)
	return list
}

// unescape undoes the escapes of a literal string (ISO 32000-1, 7.3.4.2).
func unescape(s []byte) []byte {
	var out []byte
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) {
			i++
			if s[i] == 'r' {
				out = append(out, '\r')
				continue
			}
		}
		out = append(out, s[i])
	}
	return out
}

func utf16Text(b []byte) string {
	var units []uint16
	for i := 0; i+1 < len(b); i += 2 {
		units = append(units, uint16(b[i])<<8|uint16(b[i+1]))
	}
	return string(utf16.Decode(units))
}
