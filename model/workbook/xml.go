package workbook

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// What a piece is that a scanner finds.
const (
	begins byte = iota
	ends
	words
)

const (
	space     = " \t\n"
	controls  = "\x00\x01\x02\x03\x04\x05\x06\x07\x08\x0b\x0c\x0e\x0f\x10\x11\x12\x13\x14\x15\x16\x17\x18\x19\x1a\x1b\x1c\x1d\x1e\x1f"
	named     = `,amp;&,lt;<,gt;>,quot;",apos;'`
	noXML     = "it is no XML, or breaks off"
	noUTF8    = "it is no text in UTF-8, which is wanted: UTF-16 is not read"
	noDoctype = "it has a document type, want none"
)

// A scanner reads XML 1.0 in UTF-8 piece by piece. It refuses what it cannot
// read and document types; it lets pass some of what the standard forbids, as
// attributes that nobody asks for. Names are without their prefixes, and name
// spaces are not looked at: what a workbook is read for has the same name in its
// transitional and its strict form.
type scanner struct {
	r     *reader // which counts the elements and keeps what is wrong
	part  string  // its name
	data  string
	at    int
	kind  byte     // of the piece
	name  string   // of the element that begins or ends
	tag   string   // what else is between its < and >
	text  string   // words, with all references resolved
	open  []string // names of the elements that are open, with their prefixes
	empty bool     // the element that began last ends at once
}

// scan reads a part. If it cannot be read the end comes at once.
func (r *reader) scan(part string) *scanner { return r.scanText(part, string(r.read(part))) }

func (r *reader) scanText(part, text string) *scanner {
	s := &scanner{r: r, part: part}
	if !utf8.ValidString(text) || strings.ContainsAny(text, controls) {
		s.fail(noUTF8)
	}
	// All ends of lines are made one beforehand (XML 1.0, 2.11).
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	s.data = strings.TrimPrefix(text, "\ufeff")
	return s
}

func (s *scanner) fail(why string) { s.r.fail(s.part + ": " + why) }

// attr returns the value of an attribute of the element that begins, "" if there
// is none.
func (s *scanner) attr(name string) string {
	rest := s.tag
	for {
		is, quoted, ok := strings.Cut(rest, "=")
		quoted = strings.TrimLeft(quoted, space)
		if !ok || quoted == "" {
			return ""
		}
		value, after, _ := strings.Cut(quoted[1:], quoted[:1])
		if is = strings.TrimSpace(is); local(is) == name && !strings.HasPrefix(is, "xmlns") {
			return s.plain(value)
		}
		rest = after
	}
}

// next goes to the next piece, and says whether there is one: after what cannot be
// read there is none. Comments and instructions are passed over.
func (s *scanner) next() bool {
	if s.empty {
		s.empty, s.kind = false, ends
		return true
	}
	for s.r.err == nil {
		rest := s.data[s.at:]
		n := strings.IndexByte(rest, '<')
		s.kind = words
		switch {
		case rest == "":
			if len(s.open) > 0 {
				s.fail(noXML)
			}
			return false
		case n < 0:
			n = len(rest)
			fallthrough
		case n > 0:
			s.at += n
			s.text = s.plain(rest[:n])
			return true
		case strings.HasPrefix(rest, "<?"):
			s.until("?>")
		case strings.HasPrefix(rest, "<!--"):
			s.at += 4
			s.until("-->")
		case strings.HasPrefix(rest, "<![CDATA["):
			s.at += 9
			s.text = s.until("]]>")
			return true
		case strings.HasPrefix(rest, "<!"):
			s.fail(noDoctype)
		case strings.HasPrefix(rest, "</"):
			s.at += 2
			name, last := strings.TrimRight(s.until(">"), space), len(s.open)-1
			if last < 0 || s.open[last] != name {
				s.fail(noXML)
				return false
			}
			s.open, s.name, s.kind = s.open[:last], local(name), ends
			return true
		default:
			s.begin()
			return s.r.err == nil
		}
	}
	return false
}

// until passes over a mark and all before it, which it returns.
func (s *scanner) until(mark string) string {
	before, _, ok := strings.Cut(s.data[s.at:], mark)
	if !ok {
		s.fail(noXML)
		return ""
	}
	s.at += len(before) + len(mark)
	return before
}

// begin reads the beginning of an element, to the > that no quotes are around.
func (s *scanner) begin() {
	from, quote := s.at+1, byte(0)
	for s.at++; s.at < len(s.data); s.at++ {
		switch c := s.data[s.at]; {
		case c == quote:
			quote = 0
		case quote != 0:
		case c == '"', c == '\'':
			quote = c
		case c == '>':
			tag := s.data[from:s.at]
			s.at++
			s.tag = strings.TrimSuffix(tag, "/")
			s.empty = s.tag != tag
			n := strings.IndexAny(s.tag, space)
			if n < 0 {
				n = len(s.tag)
			}
			name := s.tag[:n]
			s.name, s.tag, s.kind = local(name), s.tag[n:], begins
			if s.name == "" {
				s.fail(noXML)
			}
			if !s.empty {
				s.open = append(s.open, name)
			}
			if len(s.open) > maxDepth {
				s.fail("its elements are more than " + strconv.Itoa(maxDepth) + " deep")
			}
			s.r.count(&s.r.elements, 1, maxElements, " elements, want less")
			return
		case c == '<':
			s.at = len(s.data)
		}
	}
	s.fail(noXML)
}

func local(name string) string { return name[strings.LastIndexByte(name, ':')+1:] }

// plain resolves references.
func (s *scanner) plain(raw string) string {
	if strings.IndexByte(raw, '&') < 0 {
		return raw
	}
	var out strings.Builder
	for {
		before, after, ok := strings.Cut(raw, "&")
		out.WriteString(before)
		if !ok {
			return out.String()
		}
		reference, rest, ok := strings.Cut(after, ";")
		c := meant(reference)
		if !ok || c == 0 {
			s.fail(noXML)
			return ""
		}
		out.WriteRune(c)
		raw = rest
	}
}

// meant returns the character that a reference stands for, 0 for none.
func meant(reference string) rune {
	if n := strings.Index(named, ","+reference+";"); n >= 0 {
		return rune(named[n+len(reference)+2])
	}
	digits, base := strings.TrimPrefix(reference, "#"), 10
	if strings.HasPrefix(digits, "x") {
		digits, base = digits[1:], 16
	}
	n, _ := strconv.ParseUint(digits, base, 31)
	if c := rune(n); len(reference) > len(digits) && reference[0] == '#' && utf8.ValidRune(c) && strings.IndexRune(controls, c) < 0 {
		return c
	}
	return 0
}
