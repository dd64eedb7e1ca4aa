package pages

import (
	"bytes"
	"html/template"
	"os"
	"path/filepath"
	"strings"

	"ampwright/client/markup"
)

// Watch shows every page of a site to look, as it is made.
func (s *Site) Watch(look func(file string, page any, made []byte)) {
	watched := map[string]func(*markup.Out, any){}
	for file, write := range s.pages {
		watched[file] = func(o *markup.Out, page any) {
			write(o, page)
			look(file, page, o.Bytes())
		}
	}
	s.pages = watched
}

// Make writes a page as render does.
func Make(file string, page any) ([]byte, error) {
	var out markup.Out
	err := fill(&out, writers[file], page.(framed))
	return out.Bytes(), err
}

// FrameOf is the frame of a page.
func FrameOf(page any) any { return page.(framed).Sheet() }

// Pages are the templates that are no part of others.
func Pages() (files []string) {
	for file := range writers {
		files = append(files, file)
	}
	return files
}

// An Oracle makes the pages with html/template, from the files that the
// program's writers are generated of.
type Oracle map[string]*template.Template

func NewOracle() (Oracle, error) {
	shared, err := template.New("").Funcs(template.FuncMap{"more": more}).ParseGlob("templates/_*.html")
	if err != nil {
		return nil, err
	}
	files, err := os.ReadDir("templates")
	if err != nil {
		return nil, err
	}
	o := Oracle{}
	for _, f := range files {
		if strings.HasPrefix(f.Name(), "_") {
			continue
		}
		t, err := shared.Clone()
		if err != nil {
			return nil, err
		}
		if o[f.Name()], err = t.ParseFiles(filepath.Join("templates", f.Name())); err != nil {
			return nil, err
		}
	}
	return o, nil
}

func (o Oracle) Make(file string, page any) ([]byte, error) {
	var out bytes.Buffer
	err := o[file].ExecuteTemplate(&out, "layout", page)
	return out.Bytes(), err
}
