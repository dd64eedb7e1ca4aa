package main

import (
	"context"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// race runs what is used by several goroutines under the race detector, which
// needs a C compiler. Packages that neither start goroutines nor guard anything
// against them, in their tests either, are left out: there it can find nothing, and
// takes ten times as long.
func race(ctx context.Context) error {
	if _, err := exec.LookPath("gcc"); err != nil {
		fmt.Fprintln(out(ctx), "not run: the race detector needs gcc, which is not on this machine")
		return nil
	}
	list, err := listed[struct {
		ImportPath, Dir                    string
		GoFiles, TestGoFiles, XTestGoFiles []string
	}](ctx, ".", nil, "./sync/...", "./server/...")
	if err != nil {
		return err
	}
	args := []string{"test", "-race", "-vet=off", patience}
	var alone []string
	for _, p := range list {
		shared := false
		for _, name := range slices.Concat(p.GoFiles, p.TestGoFiles, p.XTestGoFiles) {
			s, err := sharing(filepath.Join(p.Dir, name))
			if err != nil {
				return err
			}
			shared = shared || s
		}
		if shared {
			args = append(args, p.ImportPath)
		} else {
			alone = append(alone, p.ImportPath)
		}
	}
	fmt.Fprintln(out(ctx), "one goroutine is all they have:", strings.Join(alone, " "))
	return sh(ctx, []string{"CGO_ENABLED=1"}, "go", args...)
}

// sharing reports whether a file starts goroutines, or has what is made for several
// of them: channels, package sync, servers, commands that it does not wait for at once
// and tests that run at once.
func sharing(path string) (bool, error) {
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
	if err != nil {
		return false, err
	}
	shared := false
	for _, spec := range file.Imports {
		switch strings.Trim(spec.Path.Value, `"`) {
		case "sync", "sync/atomic", "net", "net/http", "net/http/httptest", "golang.org/x/sync/errgroup":
			shared = true
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt, *ast.ChanType, *ast.SendStmt, *ast.SelectStmt:
			shared = true
		case *ast.SelectorExpr:
			shared = shared || slices.Contains([]string{"Parallel", "RunParallel", "Start"}, n.Sel.Name)
		}
		return !shared
	})
	return shared, nil
}
