// Package jsontext reads and writes JSON (RFC 8259) in the little that the phone
// needs of it: encoding/json would be a twenty-fifth of what the phone has to
// load.
package jsontext

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// A Kind is what a token is: one of the constants, or '{', '}', '[' or ']'.
type Kind byte

const (
	End    Kind = 0 // of the text
	Text   Kind = '"'
	Number Kind = '0'
	True   Kind = 't'
	False  Kind = 'f'
	Null   Kind = 'n'
)

// A Token is a part of a JSON text. The fields of an object come as a Text and
// the tokens of a value, in turn.
type Token struct {
	Kind Kind
	Text string // of a Text, what it says; of a Number, its digits as they stand
}

// deepest is how many lists and objects may stand within each other.
const deepest = 1000

// A Reader reads one JSON value, token by token. The zero Reader is at the end.
type Reader struct {
	in    []byte
	at    int
	open  []Kind // '{' or '[', or ':' within a field
	depth int    // how many of them are '{' or '['
	some  bool   // a value has been read in what is open
}

func NewReader(in []byte) *Reader { return &Reader{in: in} }

// Check returns an error, a [*Fault], if in is not one JSON value.
func Check(in []byte) error {
	r := NewReader(in)
	for {
		t, err := r.Next()
		if err != nil || t.Kind == End {
			return err
		}
	}
}

// Next returns the next token, of kind End after the value.
func (r *Reader) Next() (Token, error) {
	c := r.see()
	inside := r.inside()
	switch {
	case inside == 0 && r.some:
		if c != 0 || r.at < len(r.in) {
			return Token{}, r.wrong("nothing more")
		}
		return Token{}, nil
	case inside == '{' && c == '}', inside == '[' && c == ']':
		r.at++
		r.open, r.depth = r.open[:len(r.open)-1], r.depth-1
		r.done()
		return Token{Kind: Kind(c)}, nil
	case (inside == '{' || inside == '[') && r.some:
		if c != ',' {
			return Token{}, r.wrong(map[Kind]string{'{': "a comma or }", '[': "a comma or ]"}[inside])
		}
		r.at++
		c = r.see()
	}
	if inside != '{' {
		return r.value(c)
	}
	if c != '"' {
		return Token{}, r.wrong("the name of a field, in quotes")
	}
	t, err := r.text()
	if err == nil && r.see() != ':' {
		err = r.wrong("a colon")
	}
	r.at++
	r.open = append(r.open, ':')
	return t, err
}

// Skip passes over the rest of a value that began with t. It does not fail on what
// Check has passed.
func (r *Reader) Skip(t Token) error {
	if t.Kind != '{' && t.Kind != '[' {
		return nil
	}
	for depth := 1; depth > 0; {
		t, err := r.Next()
		switch {
		case err != nil:
			return err
		case t.Kind == '{' || t.Kind == '[':
			depth++
		case t.Kind == '}' || t.Kind == ']':
			depth--
		}
	}
	return nil
}

func (r *Reader) inside() Kind {
	if len(r.open) == 0 {
		return 0
	}
	return r.open[len(r.open)-1]
}

// done says that a value has been read in what is open now.
func (r *Reader) done() {
	if r.inside() == ':' {
		r.open = r.open[:len(r.open)-1]
	}
	r.some = true
}

// see returns the next byte that is not white space; 0 at the end.
func (r *Reader) see() byte {
	for ; r.at < len(r.in); r.at++ {
		if c := r.in[r.at]; c != ' ' && c != '\t' && c != '\n' && c != '\r' {
			return c
		}
	}
	return 0
}

func (r *Reader) value(c byte) (Token, error) {
	switch {
	case c == '{' || c == '[':
		if r.depth == deepest {
			return Token{}, r.wrong(fmt.Sprintf("no more than %d lists and objects within each other", deepest))
		}
		r.at++
		r.open, r.depth, r.some = append(r.open, Kind(c)), r.depth+1, false
		return Token{Kind: Kind(c)}, nil
	case c == '"':
		t, err := r.text()
		r.done()
		return t, err
	case c == '-' || '0' <= c && c <= '9':
		t, err := r.number()
		r.done()
		return t, err
	}
	for _, word := range []string{"true", "false", "null"} {
		if strings.HasPrefix(string(r.in[r.at:min(r.at+len(word), len(r.in))]), word) {
			r.at += len(word)
			r.done()
			return Token{Kind: Kind(word[0])}, nil
		}
	}
	return Token{}, r.wrong("a value")
}

func (r *Reader) number() (Token, error) {
	start := r.at
	digits := func() bool {
		from := r.at
		for r.at < len(r.in) && '0' <= r.in[r.at] && r.in[r.at] <= '9' {
			r.at++
		}
		return r.at > from
	}
	next := func(these string) bool {
		if r.at < len(r.in) && strings.IndexByte(these, r.in[r.at]) >= 0 {
			r.at++
			return true
		}
		return false
	}
	next("-")
	if !next("0") && !digits() {
		return Token{}, r.wrong("a digit")
	}
	if next(".") && !digits() {
		return Token{}, r.wrong("a digit")
	}
	if next("eE") {
		if next("+-"); !digits() {
			return Token{}, r.wrong("a digit")
		}
	}
	return Token{Number, string(r.in[start:r.at])}, nil
}

// text reads what stands in quotes. What is no UTF-8 becomes U+FFFD.
func (r *Reader) text() (Token, error) {
	var out []byte
	for r.at++; ; {
		from := r.at
		for r.at < len(r.in) && plain(r.in[r.at]) {
			r.at++
		}
		if r.at == len(r.in) {
			return Token{}, r.wrong("a closing quote")
		}
		part := r.in[from:r.at]
		c := r.in[r.at]
		if c == '"' {
			r.at++
			return Token{Text, string(out) + string(part)}, nil
		}
		out = append(out, part...)
		switch {
		case c < ' ':
			return Token{}, r.wrong("an escape for it")
		case c == '\\':
			char, ok := r.escaped()
			if !ok {
				return Token{}, r.wrong("an escape that RFC 8259 has")
			}
			out = utf8.AppendRune(out, char)
		default:
			char, size := utf8.DecodeRune(r.in[r.at:])
			out = utf8.AppendRune(out, char)
			r.at += size
		}
	}
}

// plain reports whether a byte stands for itself in a text.
func plain(c byte) bool { return ' ' <= c && c < utf8.RuneSelf && c != '"' && c != '\\' }

// escaped reads a backslash and what follows.
func (r *Reader) escaped() (rune, bool) {
	if r.at+1 >= len(r.in) {
		return 0, false
	}
	c := r.in[r.at+1]
	if i := strings.IndexByte(`"\/bfnrt`, c); i >= 0 {
		r.at += 2
		return rune("\"\\/\b\f\n\r\t"[i]), true
	}
	char, ok := r.hex()
	if !ok {
		return 0, false
	}
	r.at += 6
	if utf16.IsSurrogate(char) {
		if low, ok := r.hex(); ok {
			if both := utf16.DecodeRune(char, low); both != utf8.RuneError {
				r.at += 6
				return both, true
			}
		}
		return utf8.RuneError, true
	}
	return char, true
}

// hex looks at \uXXXX.
func (r *Reader) hex() (rune, bool) {
	if r.at+6 > len(r.in) || r.in[r.at] != '\\' || r.in[r.at+1] != 'u' {
		return 0, false
	}
	n, err := strconv.ParseUint(string(r.in[r.at+2:r.at+6]), 16, 16)
	return rune(n), err == nil
}

// A Fault is what stands where something else is wanted.
type Fault struct {
	Line      int
	Got, Want string
}

func (f *Fault) Error() string { return f.Got + ", want " + f.Want }

func (r *Reader) wrong(want string) error {
	at := min(r.at, len(r.in))
	f := &Fault{1 + strings.Count(string(r.in[:at]), "\n"), "the end", want}
	if at < len(r.in) {
		char, _ := utf8.DecodeRune(r.in[at:])
		f.Got = strconv.QuoteRune(char)
	}
	return f
}

// Fields reads an object and calls field with each of its fields. Of a value that
// is an object or a list, the token it begins with is all that is seen.
func Fields(in []byte, field func(name string, value Token) error) error {
	if err := Check(in); err != nil {
		return err
	}
	r := NewReader(in)
	if t, _ := r.Next(); t.Kind != '{' {
		return errors.New("want an object")
	}
	for {
		name, _ := r.Next()
		if name.Kind == '}' {
			return nil
		}
		value, _ := r.Next()
		if err := field(name.Text, value); err != nil {
			return err
		}
		r.Skip(value)
	}
}

// As returns what a Text says, and nothing of a Null.
func (t Token) As(what string) (string, error) {
	if t.Kind != Text && t.Kind != Null {
		return "", fmt.Errorf("%s: want a text", what)
	}
	return t.Text, nil
}
