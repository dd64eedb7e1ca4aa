// Package markup writes HTML. The pages' templates are made into Go that calls it
// (go run ./cmd/dev generate): a template says what to write, html/template says
// when the program is built in which context a value stands, and here is what is
// done to it there.
package markup

import (
	"strconv"
	"strings"
)

// An Out is a page while it is written. The zero Out is empty and ready. Each
// method writes markup as it is and then one value, made harmless for where it
// stands, with the same bytes as html/template.
type Out struct{ page []byte }

// Bytes returns what has been written. It is valid until more is.
func (o *Out) Bytes() []byte { return o.page }

// Raw writes markup alone.
func (o *Out) Raw(markup string) { o.page = append(o.page, markup...) }

// Text writes a value between tags or in an attribute's quotes.
func (o *Out) Text(markup, value string) {
	o.page = append(o.page, markup...)
	for {
		n := plain(value, text)
		o.page = append(o.page, value[:n]...)
		if n == len(value) {
			return
		}
		o.page = append(o.page, entity(value[n])...)
		value = value[n+1:]
	}
}

// Number writes a number, which is harmless anywhere.
func (o *Out) Number(markup string, value int64) {
	o.page = strconv.AppendInt(append(o.page, markup...), value, 10)
}

// Count writes a number that is never below zero.
func (o *Out) Count(markup string, value uint64) {
	o.page = strconv.AppendUint(append(o.page, markup...), value, 10)
}

// Link writes a value that an address in an attribute begins with. Of schemes it
// lets http, https and mailto pass.
func (o *Out) Link(markup, value string) {
	if scheme, _, ok := strings.Cut(value, ":"); ok && !strings.Contains(scheme, "/") &&
		!strings.EqualFold(scheme, "http") && !strings.EqualFold(scheme, "https") && !strings.EqualFold(scheme, "mailto") {
		value = "#ZgotmplZ" // the mark that html/template leaves
	}
	o.LinkRest(markup, value)
}

// LinkRest writes a value within an address's path, in which all that has a
// meaning there keeps it.
func (o *Out) LinkRest(markup, value string) { o.address(markup, value, true) }

// LinkPart writes a value within an address's query or fragment, in which
// nothing has a meaning.
func (o *Out) LinkPart(markup, value string) { o.address(markup, value, false) }

// address percent-encodes a value (RFC 3986, section 2.1) but for what is
// unreserved there, and where it is whole what is reserved or encoded already.
func (o *Out) address(markup, value string, whole bool) {
	as := uint8(unreserved)
	if whole {
		as |= reserved
	}
	o.page = append(o.page, markup...)
	for {
		n := plain(value, as)
		o.page = append(o.page, value[:n]...)
		if n == len(value) {
			return
		}
		o.page = append(o.page, inAddress(value[n:], whole)...)
		value = value[n+1:]
	}
}

// inAddress is what stands for the first byte of a value that is not plain.
func inAddress(value string, whole bool) string {
	c := value[0]
	switch {
	case whole && c == '%' && len(value) > 2 && isHex(value[1]) && isHex(value[2]):
		return "%"
	case whole && (c == '&' || c == '+'):
		return entity(c)
	}
	return string([]byte{'%', hex[c>>4], hex[c&15]})
}

// What a byte is plain for.
const (
	text = 1 << iota
	unreserved
	reserved
)

// plainFor is by byte.
var plainFor = func() (t [256]uint8) {
	for c := range t {
		if entity(byte(c)) == "" {
			t[c] |= text
		}
		switch {
		case 'a' <= c && c <= 'z', 'A' <= c && c <= 'Z', '0' <= c && c <= '9', strings.IndexByte("-._~", byte(c)) >= 0:
			t[c] |= unreserved
		case strings.IndexByte("!#$*,/:;=?@[]", byte(c)) >= 0:
			t[c] |= reserved
		}
	}
	return t
}()

// plain is how many bytes at the front of a value are plain for something.
func plain(value string, as uint8) int {
	for i := range len(value) {
		if plainFor[value[i]]&as == 0 {
			return i
		}
	}
	return len(value)
}

const hex = "0123456789abcdef"

func isHex(c byte) bool { return '0' <= c && c <= '9' || 'a' <= c && c <= 'f' || 'A' <= c && c <= 'F' }

// entity is what stands for a byte that has a meaning in HTML; "" for others.
func entity(c byte) string {
	switch c {
	case 0:
		return "\uFFFD"
	case '"':
		return "&#34;"
	case '&':
		return "&amp;"
	case '\'':
		return "&#39;"
	case '+':
		return "&#43;"
	case '<':
		return "&lt;"
	case '>':
		return "&gt;"
	}
	return ""
}
