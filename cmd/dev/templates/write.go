package templates

import (
	"bytes"
	"fmt"
	"go/types"
	"strconv"
	"strings"
	"text/template/parse"
	"unicode"
)

// mark stands around every local variable while code is made, so that it can be
// told whether one is used. It is in no Go code, nor in a quoted string.
const mark = 0x01

// A writer writes the functions of one package.
type writer struct {
	src   *source
	funcs bytes.Buffer
	known map[string]string // functions, by template and type
	names map[string]bool
}

// page writes the functions of a file's templates, and its line of the table.
func (w *writer) page(table *bytes.Buffer, f *file, page types.Type) (err error) {
	defer func() {
		if r := recover(); r != nil {
			stop, ok := r.(fault)
			if !ok {
				panic(r)
			}
			err = stop.error
		}
	}()
	if !isStruct(page) {
		return fmt.Errorf("%s is made of %v, want a struct", f.name, page)
	}
	name := w.function(f, f.entry, value{typ: types.NewPointer(page), there: true})
	fmt.Fprintf(table, "%q: func(o *markup.Out, page any) { d := page.(%s); %s(o, &d) },\n", f.name, w.typeName(page), name)
	return nil
}

// function returns the name of the function for a template and a dot, and writes
// it if it is not there yet.
func (w *writer) function(f *file, template string, dot value) string {
	key := template + "\n" + types.TypeString(dot.typ, nil) + fmt.Sprint(dot.there)
	name := "write"
	if f.own(template) {
		key += "\n" + f.name
		name += camel(strings.TrimSuffix(f.name, ".html"))
	}
	if known, ok := w.known[key]; ok {
		return known
	}
	base, context, _ := strings.Cut(template, derived)
	if base != f.name {
		name += camel(base)
	}
	name += camel(context)
	if w.names[name] {
		name += camel(w.typeName(dot.typ))
	}
	for w.names[name] || w.src.pkg.Scope().Lookup(name) != nil {
		name += "Again"
	}
	w.known[key], w.names[name] = name, true
	tree := f.trees[template]
	fn := &function{writer: w, file: f, tree: tree}
	d := value{code: "d", typ: dot.typ, there: dot.there}
	code := fn.list(tree.Root, d, names{"$": d})
	fmt.Fprintf(&w.funcs, "\nfunc %s(o *markup.Out, d %s) {\n%s}\n", name, w.typeName(dot.typ), code)
	return name
}

func (w *writer) typeName(t types.Type) string {
	return types.TypeString(t, types.RelativeTo(w.src.pkg))
}

// camel joins words into a part of a name.
func camel(s string) string {
	var b strings.Builder
	up := true
	for _, r := range s {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			up = true
		case up:
			b.WriteRune(unicode.ToUpper(r))
			up = false
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// A function is a template while it is written.
type function struct {
	*writer
	file   *file
	tree   *parse.Tree
	code   bytes.Buffer
	markup string // not written yet
	locals int
}

// list returns the code of nodes.
func (f *function) list(list *parse.ListNode, dot value, vars names) string {
	inner := &function{writer: f.writer, file: f.file, tree: f.tree, locals: f.locals}
	scope := names{}
	for name, v := range vars {
		scope[name] = v
	}
	if list != nil {
		for _, n := range list.Nodes {
			inner.node(n, dot, scope)
		}
	}
	inner.flush()
	return inner.code.String()
}

func (f *function) flush() {
	if f.markup != "" {
		fmt.Fprintf(&f.code, "o.Raw(%s)\n", strconv.Quote(f.markup))
		f.markup = ""
	}
}

func (f *function) node(n parse.Node, dot value, vars names) {
	switch n := n.(type) {
	case *parse.TextNode:
		f.markup += string(n.Text)
	case *parse.CommentNode:
	case *parse.ActionNode:
		f.action(n, dot, vars)
	case *parse.TemplateNode:
		if n.Pipe == nil {
			f.refuse(n, "%s: want a dot for it", n)
		}
		arg := pointed(f.value(n.Pipe, dot, vars))
		if arg.typ == nil {
			f.refuse(n, "%s: a constant is no dot", n)
		}
		if f.file.trees[n.Name] == nil {
			f.refuse(n, "there is no template %q", n.Name)
		}
		name := f.function(f.file, n.Name, arg)
		f.flush()
		fmt.Fprintf(&f.code, "%s(o, %s)\n", name, arg.code)
	case *parse.IfNode:
		f.flush()
		fmt.Fprintf(&f.code, "if %s {\n%s}", f.truth(n.Pipe, f.plain(n.Pipe, dot, vars)), f.list(n.List, dot, vars))
		f.otherwise(n.ElseList, dot, vars)
	case *parse.WithNode:
		f.with(n, dot, vars)
	case *parse.RangeNode:
		f.each(n, dot, vars)
	default:
		f.refuse(n, "%s: this is not known", n)
	}
}

// plain is the value of a pipeline that declares nothing.
func (f *function) plain(p *parse.PipeNode, dot value, vars names) value {
	if len(p.Decl) > 0 {
		f.refuse(p, "%s: a variable is not declared here", p)
	}
	return f.value(p, dot, vars)
}

func (f *function) otherwise(list *parse.ListNode, dot value, vars names) {
	if list != nil {
		fmt.Fprintf(&f.code, " else {\n%s}", f.list(list, dot, vars))
	}
	f.code.WriteByte('\n')
}

// action writes a value, or gives it a name.
func (f *function) action(n *parse.ActionNode, dot value, vars names) {
	if len(n.Pipe.Decl) > 0 {
		if n.Pipe.IsAssign || len(n.Pipe.Decl) > 1 || len(n.Pipe.Cmds) > 1 || len(n.Pipe.Cmds[0].Args) > 1 {
			f.refuse(n, "%s: want one new variable for one field", n)
		}
		v := f.command(n.Pipe.Cmds[0], dot, vars)
		if v.typ == nil {
			f.refuse(n, "%s: a constant needs no name", n)
		}
		vars[n.Pipe.Decl[0].Ident[0]] = v // a page does not change while it is written: the path is as good as its value
		return
	}
	var escapers []string
	for _, c := range n.Pipe.Cmds[1:] {
		id, ok := c.Args[0].(*parse.IdentifierNode)
		if !ok || len(c.Args) > 1 {
			f.refuse(n, "%s: want one value", n)
		}
		escapers = append(escapers, strings.TrimPrefix(id.Ident, "_html_template_"))
	}
	method, ok := map[string]string{
		"htmlescaper": "Text", "attrescaper": "Text", "rcdataescaper": "Text",
		"urlfilter urlnormalizer attrescaper": "Link", "urlnormalizer attrescaper": "LinkRest", "urlescaper attrescaper": "LinkPart",
	}[strings.Join(escapers, " ")]
	if !ok {
		f.refuse(n, "%s: values are not written into this context", n)
	}
	v := f.command(n.Pipe.Cmds[0], dot, vars)
	switch b := basic(v.typ); {
	case v.typ == nil:
		f.refuse(n, "%s: a constant is written without braces", n)
	case printsItself(v.typ):
		f.refuse(n, "%s: %v has a text of its own, want a field of it", n, v.typ)
	case b != nil && b.Kind() == types.String && v.typ == types.Typ[types.String]:
		f.write(method, v.code)
	case b != nil && b.Kind() == types.String && f.ours(v.typ):
		f.write(method, "string("+v.code+")")
	case b != nil && b.Info()&types.IsUnsigned != 0:
		f.write("Count", "uint64("+v.code+")")
	case b != nil && b.Info()&types.IsInteger != 0:
		f.write("Number", "int64("+v.code+")")
	default:
		f.refuse(n, "%s: %v is not written, want a text or a whole number", n, v.typ)
	}
}

func (f *function) write(method, code string) {
	fmt.Fprintf(&f.code, "o.%s(%s, %s)\n", method, strconv.Quote(f.markup), code)
	f.markup = ""
}

// printsItself reports whether html/template would ask a value for its text.
func printsItself(t types.Type) bool {
	for _, name := range []string{"String", "Error", "Format"} {
		if m, _, _ := types.LookupFieldOrMethod(t, true, nil, name); m != nil {
			return true
		}
	}
	return false
}

// ours reports whether a named type of text is one of this module's: some of the
// standard library's are not escaped.
func (f *function) ours(t types.Type) bool {
	named, ok := types.Unalias(t).(*types.Named)
	return ok && (named.Obj().Pkg() == f.src.pkg || strings.HasPrefix(named.Obj().Pkg().Path(), "ampwright/"))
}

func (f *function) local(kind string) string {
	f.locals++
	return fmt.Sprintf("%c%s%d%c", mark, kind, f.locals, mark) // at its end too: e1 is not e12
}

// with writes the nodes with another dot where it is there.
func (f *function) with(n *parse.WithNode, dot value, vars names) {
	f.flush()
	if len(n.Pipe.Decl) > 0 {
		f.refuse(n, "%s: a variable is not declared here", n.Pipe)
	}
	v := f.value(n.Pipe, dot, vars)
	switch t := under(v.typ).(type) {
	case *types.Struct, *types.Pointer:
		name := f.local("w")
		inner, test := pointed(v), ""
		if _, ok := t.(*types.Pointer); ok && !v.there {
			test = " != nil"
		}
		body := f.list(n.List, value{code: name, typ: inner.typ, there: inner.there}, vars)
		switch {
		case test == "" && n.ElseList != nil:
			f.refuse(n, "%s is always there, and has no else", n.Pipe)
		case test == "" && strings.Contains(body, name):
			fmt.Fprintf(&f.code, "{\n%s := %s\n%s}\n", name, inner.code, body)
			return
		case test == "":
			fmt.Fprintf(&f.code, "{\n%s}\n", body)
			return
		case strings.Contains(body, name):
			fmt.Fprintf(&f.code, "if %s := %s; %s%s {\n%s}", name, v.code, name, test, body)
		default:
			fmt.Fprintf(&f.code, "if %s%s {\n%s}", v.code, test, body)
		}
	default:
		fmt.Fprintf(&f.code, "if %s {\n%s}", f.truth(n.Pipe, v), f.list(n.List, v, vars))
	}
	f.otherwise(n.ElseList, dot, vars)
}

// each writes the nodes for every item of a slice.
func (f *function) each(n *parse.RangeNode, dot value, vars names) {
	f.flush()
	if len(n.Pipe.Cmds) != 1 || n.Pipe.IsAssign {
		f.refuse(n, "%s: want one slice", n.Pipe)
	}
	all := f.command(n.Pipe.Cmds[0], dot, vars)
	slice, ok := under(all.typ).(*types.Slice)
	if !ok {
		f.refuse(n, "%s: %v, want a slice", n.Pipe, all.typ)
	}
	index, item := f.local("i"), f.local("e")
	one := value{code: item, typ: slice.Elem()}
	if isStruct(slice.Elem()) {
		one = value{code: item, typ: types.NewPointer(slice.Elem()), there: true}
	}
	scope := names{}
	for name, v := range vars {
		scope[name] = v
	}
	switch decl := n.Pipe.Decl; len(decl) {
	case 1:
		scope[decl[0].Ident[0]] = one
	case 2:
		scope[decl[0].Ident[0]] = value{code: index, typ: types.Typ[types.Int]}
		scope[decl[1].Ident[0]] = one
	}
	body := f.list(n.List, one, scope)
	usesIndex, usesItem := strings.Contains(body, index), strings.Contains(body, item)
	head := "for range " + all.code
	switch {
	case usesItem && one.there:
		head = fmt.Sprintf("for %s := range %s", index, all.code)
		body = fmt.Sprintf("%s := &%s[%s]\n%s", item, all.code, index, body)
	case usesItem && usesIndex:
		head = fmt.Sprintf("for %s, %s := range %s", index, item, all.code)
	case usesItem:
		head = fmt.Sprintf("for _, %s := range %s", item, all.code)
	case usesIndex:
		head = fmt.Sprintf("for %s := range %s", index, all.code)
	}
	if n.ElseList == nil {
		fmt.Fprintf(&f.code, "%s {\n%s}\n", head, body)
		return
	}
	fmt.Fprintf(&f.code, "if len(%s) == 0 {\n%s} else {\n%s {\n%s}\n}\n", all.code, f.list(n.ElseList, dot, vars), head, body)
}
