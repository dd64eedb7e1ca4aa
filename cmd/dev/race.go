package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
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
	list, err := exec.CommandContext(ctx, "go", "list", "-json=ImportPath,Dir,GoFiles,TestGoFiles,XTestGoFiles", "./sync/...", "./server/...").Output()
	if err != nil {
		return fmt.Errorf("list the packages: %w", err)
	}
	args := []string{"test", "-race"}
	var alone []string
	for in := json.NewDecoder(bytes.NewReader(list)); ; {
		var p struct {
			ImportPath, Dir                    string
			GoFiles, TestGoFiles, XTestGoFiles []string
		}
		if err := in.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return fmt.Errorf("list the packages: %w", err)
		}
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
// of them: channels, package sync, servers and tests that run at once.
func sharing(path string) (bool, error) {
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
	if err != nil {
		return false, err
	}
	shared := false
	for _, spec := range file.Imports {
		switch strings.Trim(spec.Path.Value, `"`) {
		case "sync", "sync/atomic", "net", "net/http", "net/http/httptest", "os/exec", "golang.org/x/sync/errgroup":
			shared = true
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GoStmt, *ast.ChanType, *ast.SendStmt, *ast.SelectStmt:
			shared = true
		case *ast.SelectorExpr:
			shared = shared || n.Sel.Name == "Parallel" || n.Sel.Name == "RunParallel"
		}
		return !shared
	})
	return shared, nil
}
