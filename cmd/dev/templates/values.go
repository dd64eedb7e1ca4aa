package templates

import (
	"fmt"
	"go/token"
	"go/types"
	"strconv"
	"strings"
	"text/template/parse"
)

// A value is what an expression of a template is in Go. The code of a struct
// can be put behind an ampersand.
type value struct {
	code  string
	typ   types.Type // nil for a constant
	there bool       // a pointer to a struct that the template takes for the struct itself: it is never nil
}

// names are the variables of a template in scope, by their names with "$".
type names map[string]value

// value returns what one operand stands for.
func (f *function) value(n parse.Node, dot value, vars names) value {
	switch n := n.(type) {
	case *parse.DotNode:
		return dot
	case *parse.FieldNode:
		return f.path(n, dot, n.Ident)
	case *parse.VariableNode:
		v, ok := vars[n.Ident[0]]
		if !ok {
			f.refuse(n, "there is no variable %s here", n.Ident[0])
		}
		return f.path(n, v, n.Ident[1:])
	case *parse.ChainNode:
		return f.path(n, f.value(n.Node, dot, vars), n.Field)
	case *parse.PipeNode:
		if len(n.Cmds) == 1 && len(n.Decl) == 0 {
			return f.command(n.Cmds[0], dot, vars)
		}
	case *parse.StringNode:
		return value{code: strconv.Quote(n.Text)}
	case *parse.NumberNode:
		if n.IsInt {
			return value{code: strconv.FormatInt(n.Int64, 10)}
		}
	case *parse.IdentifierNode:
		return f.call(n, nil, dot, vars)
	}
	f.refuse(n, "%s: this is not known", n)
	return value{}
}

// command returns the value of an operand, or of a function with arguments.
func (f *function) command(c *parse.CommandNode, dot value, vars names) value {
	if id, ok := c.Args[0].(*parse.IdentifierNode); ok {
		return f.call(id, c.Args[1:], dot, vars)
	}
	if len(c.Args) > 1 {
		f.refuse(c, "%s: a method with arguments is not known", c)
	}
	return f.value(c.Args[0], dot, vars)
}

// path goes from a value by the names of fields, and of methods without
// arguments.
func (f *function) path(n parse.Node, v value, fields []string) value {
	for _, name := range fields {
		if v.typ == nil {
			f.refuse(n, "%s: a constant has no fields", n)
		}
		object, _, _ := types.LookupFieldOrMethod(v.typ, true, f.src.pkg, name)
		switch object := object.(type) {
		case *types.Var:
			v = value{code: v.code + "." + name, typ: object.Type()}
		case *types.Func:
			results := object.Signature().Results()
			if object.Signature().Params().Len() > 0 || results.Len() != 1 {
				f.refuse(n, "%s: %s of %v takes arguments or gives an error", n, name, v.typ)
			}
			v = value{code: v.code + "." + name + "()", typ: results.At(0).Type()}
			if isStruct(v.typ) {
				f.refuse(n, "%s: %s gives a struct, want a pointer to it", n, name)
			}
		default:
			f.refuse(n, "%s: %v has no %s", n, v.typ, name)
		}
		if !token.IsExported(name) {
			f.refuse(n, "%s: %s is not exported", n, name)
		}
	}
	return v
}

// call returns the value of a function: len, index, a comparison, or one of the
// package's own.
func (f *function) call(id *parse.IdentifierNode, args []parse.Node, dot value, vars names) value {
	var vs []value
	for _, a := range args {
		vs = append(vs, f.value(a, dot, vars))
	}
	want := func(n int) {
		if len(vs) != n {
			f.refuse(id, "%s takes %d arguments here, not %d", id, n, len(vs))
		}
	}
	truth := func(op string) value {
		if len(vs) == 0 {
			f.refuse(id, "%s of nothing", id)
		}
		var all []string
		for i, v := range vs {
			all = append(all, f.truth(args[i], v))
		}
		return value{code: "(" + strings.Join(all, op) + ")", typ: types.Typ[types.Bool]}
	}
	compare := func(op string) value {
		want(2)
		if b := basic(vs[0].typ); b == nil || b.Info()&(types.IsString|types.IsInteger) == 0 {
			f.refuse(id, "%s: only texts and whole numbers are compared, and a constant comes second", id)
		} else if vs[1].typ != nil && !types.Identical(vs[0].typ, vs[1].typ) {
			f.refuse(id, "%s: %v and %v are not compared", id, vs[0].typ, vs[1].typ)
		}
		return value{code: "(" + vs[0].code + op + vs[1].code + ")", typ: types.Typ[types.Bool]}
	}
	switch id.Ident {
	case "and", "or": // of these only the truth is known, not which of them it was
		return truth(map[string]string{"and": " && ", "or": " || "}[id.Ident])
	case "not":
		want(1)
		return value{code: "!" + f.truth(args[0], vs[0]), typ: types.Typ[types.Bool]}
	case "eq":
		return compare(" == ")
	case "ne":
		return compare(" != ")
	case "lt":
		return compare(" < ")
	case "le":
		return compare(" <= ")
	case "gt":
		return compare(" > ")
	case "ge":
		return compare(" >= ")
	case "len":
		want(1)
		if kind := under(vs[0].typ); !isSlice(kind) {
			f.refuse(id, "len of %v: want a slice", vs[0].typ)
		}
		return value{code: "len(" + vs[0].code + ")", typ: types.Typ[types.Int]}
	case "index":
		want(2)
		if b := basic(vs[1].typ); vs[1].typ != nil && (b == nil || b.Info()&types.IsInteger == 0) {
			f.refuse(id, "index by %v: want a whole number", vs[1].typ)
		}
		switch t := under(vs[0].typ).(type) {
		case *types.Slice:
			return value{code: vs[0].code + "[" + vs[1].code + "]", typ: t.Elem()}
		case *types.Array:
			return value{code: vs[0].code + "[" + vs[1].code + "]", typ: t.Elem()}
		}
		f.refuse(id, "index of %v: want a slice or an array", vs[0].typ)
	}
	own, ok := f.src.pkg.Scope().Lookup(id.Ident).(*types.Func)
	if !ok || own.Signature().Results().Len() != 1 || own.Signature().Variadic() {
		f.refuse(id, "%s: this function is not known", id)
	}
	want(own.Signature().Params().Len())
	var codes []string
	for i, v := range vs {
		if p := own.Signature().Params().At(i).Type(); v.typ != nil && !types.Identical(p, v.typ) {
			f.refuse(id, "%s takes %v, not %v", id, p, v.typ)
		}
		codes = append(codes, v.code)
	}
	return value{code: id.Ident + "(" + strings.Join(codes, ", ") + ")", typ: own.Signature().Results().At(0).Type()}
}

// truth returns a condition that holds where text/template takes a value for
// true.
func (f *function) truth(n parse.Node, v value) string {
	switch t := under(v.typ).(type) {
	case *types.Basic:
		switch {
		case t.Info()&types.IsBoolean != 0:
			return v.code
		case t.Info()&types.IsString != 0:
			return "(" + v.code + ` != "")`
		case t.Info()&types.IsNumeric != 0:
			return "(" + v.code + " != 0)"
		}
	case *types.Slice, *types.Map:
		return "(len(" + v.code + ") > 0)"
	case *types.Pointer, *types.Interface:
		if !v.there {
			return "(" + v.code + " != nil)"
		}
	}
	f.refuse(n, "%s: the truth of %v is not known", n, v.typ)
	return ""
}

// pointed is a value as it is handed on: of a struct the pointer.
func pointed(v value) value {
	if v.typ != nil && isStruct(v.typ) {
		return value{code: "&" + v.code, typ: types.NewPointer(v.typ), there: true}
	}
	return v
}

func under(t types.Type) types.Type {
	if t == nil {
		return nil
	}
	return t.Underlying()
}

func basic(t types.Type) *types.Basic {
	b, _ := under(t).(*types.Basic)
	return b
}

func isStruct(t types.Type) bool { _, ok := under(t).(*types.Struct); return ok }
func isSlice(t types.Type) bool  { _, ok := t.(*types.Slice); return ok }

// A fault is what a template says and this package does not know.
type fault struct{ error }

// refuse gives up on a template.
func (f *function) refuse(n parse.Node, format string, args ...any) {
	where, _ := f.tree.ErrorContext(n)
	panic(fault{fmt.Errorf("%s: %s", where, fmt.Sprintf(format, args...))})
}
