package workbook

import (
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A piece is what is compared: words that follow each other are one.
type piece struct {
	Kind       byte
	Name, Text string
	Attrs      []string
}

func added(all []piece, p piece) []piece {
	if p.Kind == words {
		if p.Text == "" {
			return all
		}
		if last := len(all) - 1; last >= 0 && all[last].Kind == words {
			all[last].Text += p.Text
			return all
		}
	}
	return append(all, p)
}

func scanned(text string) ([]piece, error) {
	r := reader{archive: &archive{}}
	s := r.scanText("part", text)
	var all []piece
	for s.next() {
		p := piece{Kind: s.kind}
		switch s.kind {
		case words:
			p.Text = s.text
		case begins:
			p.Name, p.Attrs = s.name, []string{s.attr("r"), s.attr("s"), s.attr("é")}
		case ends:
			p.Name = s.name
		}
		all = added(all, p)
	}
	return all, r.err
}

var errType = errors.New("a document type")

// decoded is the same by encoding/xml.
func decoded(text string) ([]piece, error) {
	in := xml.NewDecoder(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
	var all []piece
	for {
		t, err := in.Token()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return nil, err
		}
		p := piece{}
		switch t := t.(type) {
		case xml.StartElement:
			p = piece{Kind: begins, Name: t.Name.Local}
			for _, name := range []string{"r", "s", "é"} {
				value := ""
				for _, a := range slices.Backward(t.Attr) { // the first holds
					if a.Name.Local == name && a.Name.Space != "xmlns" {
						value = a.Value
					}
				}
				p.Attrs = append(p.Attrs, value)
			}
		case xml.EndElement:
			p = piece{Kind: ends, Name: t.Name.Local}
		case xml.CharData:
			p = piece{Kind: words, Text: string(t)}
		case xml.Directive:
			return nil, errType
		default:
			continue
		}
		all = added(all, p)
	}
}

// someXML makes elements within elements.
func someXML(depth int) *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		pick := func(label string, of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }
		var out strings.Builder
		for range rapid.IntRange(0, 4).Draw(t, "pieces") {
			switch kind := rapid.IntRange(0, 4).Draw(t, "kind"); {
			case kind == 0:
				out.WriteString(pick("words", " ", "a > b", "\r\n", "\r", "\n\t", "&amp;", "&lt;&gt;&quot;&apos;", "&#65;", "&#x1F50B;", "&#13;", "Größe 🔋", "=\"'/", "]]", "-->"))
			case kind == 1:
				out.WriteString(pick("aside", "<!-- a <b> & -->", "<?do it?>", "<![CDATA[a < & ]] > \r\n]]>", "<![CDATA[]]>", "<!---->"))
			case depth > 0:
				name := pick("name", "a", "row", "x:c", "Ä", "_1.-")
				attrs := ""
				for range rapid.IntRange(0, 3).Draw(t, "attributes") {
					attrs += pick("space", " ", "\n  ", "\t") + pick("attribute", "r", "x:s", "t", "xmlns", "xmlns:x", "xmlns:r", "xml:space", "é") + pick("is", "=", " = ", "=\n") +
						pick("value", `"1"`, `'1'`, `""`, `"a'b"`, `'a"b'`, `"&lt;&#10;&amp;"`, "'a\r\nb'", `"/>"`)
				}
				attrs += pick("end", "", " ", "\n")
				if inner := someXML(depth-1).Draw(t, "inner"); inner != "" {
					out.WriteString("<" + name + attrs + ">" + inner + "</" + name + pick("end", "", " ") + ">")
				} else {
					out.WriteString("<" + name + attrs + "/>")
				}
			}
		}
		return out.String()
	})
}

// What is well formed is read as encoding/xml reads it.
func TestScanner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom([]string{"", "\ufeff", `<?xml version="1.0" encoding="UTF-8"?>` + "\r\n"}).Draw(t, "head") + someXML(3).Draw(t, "text")
		want, err := decoded(text)
		require.NoError(t, err, "%q", text)
		got, err := scanned(text)
		require.NoError(t, err, "%q", text)
		require.Equal(t, want, got, "%q", text)
	})
}

// What cannot be read is an error, as it is to encoding/xml, and no piece is read
// from it after that.
func TestNoXML(t *testing.T) {
	for _, text := range []string{
		"<", "<a", "<a ", "<a>", "</a>", "<a></b>", "<a></a", "<a/", "<a b='c/>", "< a/>", "<a <b/>", "<a r='&'/>", "<a r='&no;'/>", "<>", "</>", "<a b ",
		"&", "a & b", "&;", "&nbsp;", "&#;", "&#x;", "&#0;", "&#8;", "&#x110000;", "&#-5;", "&x41;", "&amp", "<!--", "<!-- -", "<![CDATA[", "<?a", "<a><b/>", "<x:a></y:a>",
		"\x00", "a\x1fb", "\xff\xfe<\x00", "<a>\xc3</a>", "<?xml version=\"1.0\"",
	} {
		_, err := decoded(text)
		require.Error(t, err, "%q", text)
		_, err = scanned(text)
		require.Error(t, err, "%q", text)
	}
	for _, text := range []string{"<!DOCTYPE a>", "<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>", "<!ELEMENT a>", "<!"} {
		_, err := scanned(text)
		require.ErrorContains(t, err, "document type", "%q", text)
	}
}

// Whatever is not refused by encoding/xml is read alike, but for a document type,
// an encoding by another name, half a surrogate, prefixes of nothing, characters
// that are none within comments, and what is too deep.
func FuzzScanner(f *testing.F) {
	for _, s := range []string{"<a b='1'>x&amp;<![CDATA[y]]><!-- z --><c/></a>", "<?xml version=\"1.0\"?>\r\n<x:a xmlns:x=\"u\"/>", "<a></a><b>", "&#x41;"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := scanned(text)
		want, wantErr := decoded(text)
		if wantErr != nil || strings.Contains(text, "encoding") || strings.Contains(text, ":") || strings.Contains(text, "&#") ||
			!utf8.ValidString(text) || strings.ContainsAny(text, controls) || strings.Count(text, "<") > maxDepth {
			return
		}
		require.NoError(t, err)
		require.Equal(t, want, got)
	})
}
