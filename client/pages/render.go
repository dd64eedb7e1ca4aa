package pages

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"strings"
)

//go:embed templates/*.html
var templateFiles embed.FS

// templates are the parsed pages by file name. What pages share stands in the
// files that begin with "_".
type templates map[string]*template.Template

func parseTemplates() (templates, error) {
	shared, err := template.New("").Funcs(template.FuncMap{"more": more}).ParseFS(templateFiles, "templates/_*.html")
	if err != nil {
		return nil, err
	}
	files, err := templateFiles.ReadDir("templates")
	if err != nil {
		return nil, err
	}
	all := templates{}
	for _, f := range files {
		if strings.HasPrefix(f.Name(), "_") {
			continue
		}
		t, err := shared.Clone()
		if err != nil {
			return nil, err
		}
		if _, err := t.ParseFS(templateFiles, "templates/"+f.Name()); err != nil {
			return nil, err
		}
		all[f.Name()] = t
	}
	return all, nil
}

// framed is a page struct: all embed a frame.
type framed interface{ sheet() *frame }

// render makes a page in a buffer, so that half a page is never sent.
func (v *visit) render(status int, file string, page framed) (Response, error) {
	t := v.pages[file]
	if t == nil {
		return Response{}, fmt.Errorf("no template %s", file)
	}
	page.sheet().Lists = v.lists
	var out bytes.Buffer
	if err := t.ExecuteTemplate(&out, "layout", page); err != nil {
		return Response{}, fmt.Errorf("make %s: %w", file, err)
	}
	return Response{Status: status, Type: "text/html; charset=utf-8", Body: out.Bytes()}, nil
}

// more is how many of a list are left when n are shown.
func more(list []link, n int) int { return len(list) - n }
