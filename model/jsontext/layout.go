package jsontext

import "bytes"

// ForHTML writes <, > and & of compact JSON as escapes, as encoding/json does
// where it is not told otherwise. They can stand in texts alone.
func ForHTML(in []byte) []byte {
	for char, escape := range map[string]string{"<": `\u003c`, ">": `\u003e`, "&": `\u0026`} {
		in = bytes.ReplaceAll(in, []byte(char), []byte(escape))
	}
	return in
}

// Indent lays out compact JSON, each value on a line of its own behind as many steps
// as there are lists and objects that it stands in.
func Indent(in []byte, step string) []byte {
	var out []byte
	depth, quoted := 0, false
	line := func() {
		out = append(out, '\n')
		for range depth {
			out = append(out, step...)
		}
	}
	for i, c := range in {
		switch {
		case quoted:
			quoted = c != '"' || escapedAt(in, i)
			out = append(out, c)
		case c == '{' || c == '[':
			out = append(out, c)
			if depth++; in[i+1] != c+2 { // the closing one, in ASCII
				line()
			}
		case c == '}' || c == ']':
			if depth--; in[i-1] != c-2 {
				line()
			}
			out = append(out, c)
		case c == ',':
			out = append(out, c)
			line()
		case c == ':':
			out = append(out, ": "...)
		default:
			quoted = c == '"'
			out = append(out, c)
		}
	}
	return out
}

// escapedAt reports whether an odd number of backslashes stands before in[i].
func escapedAt(in []byte, i int) bool {
	n := 0
	for i-n > 0 && in[i-n-1] == '\\' {
		n++
	}
	return n%2 == 1
}
