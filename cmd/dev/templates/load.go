package templates

import (
	"fmt"
	"go/ast"
	"go/build"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// A source is what the templates need of their package: its types, and which
// type each page has.
type source struct {
	pkg   *types.Package
	pages map[string]types.Type // by the template's file
}

// load reads the package in dir without its generated file.
func load(dir string) (*source, error) {
	built, err := build.ImportDir(dir, 0)
	if err != nil {
		return nil, err
	}
	set := token.NewFileSet()
	var files []*ast.File
	for _, name := range built.GoFiles {
		if name == Out {
			continue
		}
		f, err := parser.ParseFile(set, filepath.Join(dir, name), nil, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	open, err := exports(dir, append(built.Imports, "unsafe")) // go list takes none for this folder
	if err != nil {
		return nil, err
	}
	var faults []error
	conf := types.Config{
		Importer: importer.ForCompiler(set, "gc", open),
		Error:    func(err error) { faults = append(faults, err) }, // such as that the generated file is missing
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}}
	pkg, _ := conf.Check(built.Name, set, files, info)
	s := &source{pkg: pkg, pages: map[string]types.Type{}}
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			if call, ok := n.(*ast.CallExpr); ok && err == nil {
				err = s.render(call, info, faults)
			}
			return true
		})
	}
	return s, err
}

// render notes which page a call of render is for.
func (s *source) render(call *ast.CallExpr, info *types.Info, faults []error) error {
	switch f := call.Fun.(type) {
	case *ast.Ident:
		if f.Name != "render" {
			return nil
		}
	case *ast.SelectorExpr:
		if f.Sel.Name != "render" {
			return nil
		}
	default:
		return nil
	}
	for i, arg := range call.Args[:max(len(call.Args)-1, 0)] {
		value := info.Types[arg].Value
		if value == nil || value.Kind() != constant.String || !strings.HasSuffix(constant.StringVal(value), ".html") {
			continue
		}
		file, page := constant.StringVal(value), info.Types[call.Args[i+1]].Type
		if page == nil || page == types.Typ[types.Invalid] {
			return fmt.Errorf("the type of the page of %s is not known: %v", file, faults)
		}
		if old, ok := s.pages[file]; ok && !types.Identical(old, page) {
			return fmt.Errorf("%s is made of %v and of %v, want one type", file, old, page)
		}
		s.pages[file] = page
	}
	return nil
}

// funcs are the package's functions, any of which a template may call.
func (s *source) funcs() (names []string) {
	for _, name := range s.pkg.Scope().Names() {
		if f, ok := s.pkg.Scope().Lookup(name).(*types.Func); ok && f.Signature().TypeParams() == nil {
			names = append(names, name)
		}
	}
	return names
}

// exports finds what the compiler exports of packages and all they import.
func exports(dir string, imports []string) (func(path string) (io.ReadCloser, error), error) {
	cmd := exec.Command("go", append([]string{"list", "-export", "-deps", "-f", "{{.ImportPath}}\t{{.Export}}"}, imports...)...)
	cmd.Dir, cmd.Stderr = dir, os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list %s: %w", strings.Join(imports, " "), err)
	}
	files := map[string]string{}
	for line := range strings.Lines(string(out)) {
		path, file, _ := strings.Cut(strings.TrimSpace(line), "\t")
		files[path] = file
	}
	return func(path string) (io.ReadCloser, error) {
		if files[path] == "" {
			return nil, fmt.Errorf("nothing is exported by %q", path)
		}
		return os.Open(files[path])
	}, nil
}
