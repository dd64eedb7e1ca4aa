package templates

import (
	"errors"
	"fmt"
	html "html/template"
	"io"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"strings"
	text "text/template"
	"text/template/parse"
	"unsafe"
)

// A file is a page's templates after escaping: its own, those of the files that
// begin with "_", and those that html/template derived for other contexts.
type file struct {
	name  string
	entry string // the template a page begins with
	trees map[string]*parse.Tree
	mine  map[string]bool // see own
}

// derived is what html/template puts between a template's name and the context
// it has derived it for.
const derived = "$htmltemplate_"

// builtin are the functions that every template has.
var builtin = []string{"and", "call", "eq", "ge", "gt", "html", "index", "js", "le", "len", "lt", "ne", "not", "or", "print", "printf", "println", "slice", "urlquery"}

// escape parses and escapes the templates that match pattern. funcs are the
// names of the functions they may call.
func escape(dir fs.FS, pattern string, funcs []string) (map[string]*file, error) {
	known := html.FuncMap{}
	for _, name := range funcs {
		if !slices.Contains(builtin, name) {
			known[name] = func(...any) any { return nil }
		}
	}
	paths, err := fs.Glob(dir, pattern)
	if err != nil {
		return nil, err
	}
	shared, pages := html.New("").Funcs(known), []string{}
	for _, p := range paths {
		if !strings.HasPrefix(path.Base(p), "_") {
			pages = append(pages, p)
		} else if shared, err = shared.ParseFS(dir, p); err != nil {
			return nil, err
		}
	}
	files := map[string]*file{}
	for _, p := range pages {
		t, err := shared.Clone()
		if err != nil {
			return nil, err
		}
		if t, err = t.ParseFS(dir, p); err != nil {
			return nil, err
		}
		f := &file{name: path.Base(p), entry: "layout", trees: map[string]*parse.Tree{}, mine: map[string]bool{}}
		if t.Lookup(f.entry) == nil {
			f.entry = f.name
		}
		// it escapes first; then it fails for want of a page, or does not
		if fault, ok := errors.AsType[*html.Error](t.ExecuteTemplate(io.Discard, f.entry, nil)); ok {
			return nil, fault
		}
		all, err := inner(t)
		if err != nil {
			return nil, err
		}
		for _, one := range all.Templates() {
			f.trees[one.Name()] = one.Tree
		}
		files[f.name] = f
	}
	return files, nil
}

// inner returns the templates that an html/template stands on: the derived ones
// are only there, and it does not give them out.
func inner(t *html.Template) (*text.Template, error) {
	field := reflect.ValueOf(t).Elem().FieldByName("text")
	if !field.IsValid() || field.Type() != reflect.TypeFor[*text.Template]() {
		return nil, fmt.Errorf("the html/template of this Go holds its templates elsewhere: this package must be fitted to it")
	}
	return *(**text.Template)(unsafe.Pointer(field.UnsafeAddr())), nil
}

// own reports whether a template, or one it calls, is defined in the page's own
// file: others are the same for all pages.
func (f *file) own(name string) bool {
	if own, ok := f.mine[name]; ok {
		return own
	}
	f.mine[name] = false // for templates that call themselves
	base, _, _ := strings.Cut(name, derived)
	own := f.trees[base] != nil && f.trees[base].ParseName == f.name
	if t := f.trees[name]; t != nil {
		for _, called := range calls(t.Root) {
			own = f.own(called) || own
		}
	}
	f.mine[name] = own
	return own
}

// calls lists the templates that a list of nodes calls.
func calls(list *parse.ListNode) (names []string) {
	if list == nil {
		return nil
	}
	for _, n := range list.Nodes {
		var b *parse.BranchNode
		switch n := n.(type) {
		case *parse.TemplateNode:
			names = append(names, n.Name)
			continue
		case *parse.IfNode:
			b = &n.BranchNode
		case *parse.WithNode:
			b = &n.BranchNode
		case *parse.RangeNode:
			b = &n.BranchNode
		default:
			continue
		}
		names = append(append(names, calls(b.List)...), calls(b.ElseList)...)
	}
	return names
}
