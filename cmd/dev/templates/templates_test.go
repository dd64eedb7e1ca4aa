package templates

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is committed is what the templates make: go run ./cmd/dev generate.
func TestGenerated(t *testing.T) {
	root := filepath.Join("..", "..", "..")
	for _, s := range Sets() {
		want, err := Generate(root, s)
		require.NoError(t, err)
		got, err := os.ReadFile(filepath.Join(root, s.Dir, Out))
		require.NoError(t, err)
		require.True(t, string(want) == string(got), "%s/%s is not what its templates make: go run ./cmd/dev generate", s.Dir, Out)
	}
}

const small = `package small

type part struct {
	Name  string
	Qty   int
	Price float64
	Code  code
	note  string
}

type page struct {
	Title string
	Parts []part
	First *part
	One   part
}

type code int

func (code) String() string { return "" }

func (*page) Count() int { return 0 }

func (*page) Twice(n int) int { return 2 * n }

func double(n int) int { return 2 * n }

func render(file string, p page) {}

func all() { render("small.html", page{}) }
`

func generated(t *testing.T, template string) (string, error) {
	dir := t.TempDir()
	for name, text := range map[string]string{"go.mod": "module small\n\ngo 1.26\n", "small.go": small, "small.html": template} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	code, err := Generate(dir, Set{".", "*.html"})
	return string(code), err
}

func TestCode(t *testing.T) {
	for _, tt := range []struct{ template, want string }{
		{`a{{.Title}}b`, `o.Text("a", d.Title) o.Raw("b")`},
		{`<a href="{{.Title}}">`, `o.Link("<a href=\"", d.Title) o.Raw("\">")`},
		{`<a href="/x?y={{.Title}}">`, `o.LinkPart("<a href=\"/x?y=", d.Title) o.Raw("\">")`},
		{`{{.Count}}{{double .One.Qty}}{{len .Parts}}`, `o.Number("", int64(d.Count())) o.Number("", int64(double(d.One.Qty))) o.Number("", int64(len(d.Parts)))`},
		{`{{with .Title}}{{.}}{{else}}none{{end}}`, `if d.Title != "" { o.Text("", d.Title) } else { o.Raw("none") }`},
		{`{{with .First}}{{.Name}}{{$.Title}}{{end}}`, `if w1 := d.First; w1 != nil { o.Text("", w1.Name) o.Text("", d.Title) }`},
		{`{{with .One}}{{.Name}}{{end}}`, `{ w1 := &d.One o.Text("", w1.Name) }`},
		{`{{range $i, $p := .Parts}}{{if $i}}, {{end}}{{$p.Name}}{{else}}none{{end}}`,
			`if len(d.Parts) == 0 { o.Raw("none") } else { for i1 := range d.Parts { e2 := &d.Parts[i1] if i1 != 0 { o.Raw(", ") } o.Text("", e2.Name) } }`},
		{`{{if and .Title (not (or .First (gt (len .Parts) 2)))}}x{{end}}`, `if (d.Title != "") && !((d.First != nil) || (len(d.Parts) > 2)) { o.Raw("x") }`},
		{`{{with index .Parts 0}}{{.Name}}{{end}}`, `{ w1 := &d.Parts[0] o.Text("", w1.Name) }`},
		{`{{range .Parts}}{{template "part" .}}{{end}}{{define "part"}}{{$p := .}}{{$p.Name}}{{end}}`,
			`for i1 := range d.Parts { e2 := &d.Parts[i1] writeSmallPart(o, e2) }`},
		{`<p{{template "told" .One}}>{{define "told"}}{{if eq .Name "x"}} id="{{.Name}}"{{end}}{{end}}`, `o.Raw("<p") writeSmallToldStateTag(o, &d.One) o.Raw(">")`},
	} {
		code, err := generated(t, tt.template)
		require.NoError(t, err, tt.template)
		require.Contains(t, strings.Join(strings.Fields(code), " "), tt.want, tt.template)
	}
}

// What is not known is refused, with its file and line.
func TestRefused(t *testing.T) {
	for _, tt := range []struct{ template, want string }{
		{"a\n{{.Nothing}}", "small.html:2:2: .Nothing: *small.page has no Nothing"}, // line and byte as text/template counts them
		{"{{.One.note}}", "note is not exported"},
		{"{{.One.Price}}", "float64 is not written"},
		{"{{.One.Code}}", "has a text of its own"},
		{"{{.Parts}}", "is not written"},
		{"{{printf \"%d\" .One.Qty}}", "printf: this function is not known"},
		{"{{.Twice 2}}", "a method with arguments is not known"},
		{"{{if .One}}x{{end}}", "the truth of small.part is not known"},
		{"{{if eq .Title .One.Qty}}x{{end}}", "string and int are not compared"},
		{"{{if eq .One.Price 1}}x{{end}}", "only texts and whole numbers are compared"},
		{"{{range .Title}}x{{end}}", "want a slice"},
		{"{{range 3}}x{{end}}", "want a slice"},
		{"{{range .Parts}}{{break}}{{end}}", "{{break}}: this is not known"},
		{"{{$x := 1}}{{$x = 2}}", "a constant needs no name"},
		{"{{$x := .Title}}{{$x = .Title}}", "want one new variable"},
		{"{{if $x := .Title}}{{$x}}{{end}}", "a variable is not declared here"},
		{"{{.Title | len}}", "values are not written into this context"},
		{"<script>x = {{.Title}}</script>", "values are not written into this context"},
		{"<p style=\"color: {{.Title}}\">", "values are not written into this context"},
		{"{{template \"none\" .}}", "no such template"},
		{"{{define \"x\"}}y{{end}}{{template \"x\"}}", "want a dot for it"},
		{"<a href={{.Title}}>", "values are not written into this context"},
		{"{{if .Title}}<b{{end}}>", "different context"},
	} {
		_, err := generated(t, tt.template)
		require.ErrorContains(t, err, tt.want, tt.template)
		require.ErrorContains(t, err, "small.html", tt.template)
	}
}
