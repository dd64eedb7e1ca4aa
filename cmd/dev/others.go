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
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// others checks the types of all packages as they are for the systems that differ
// most from the one at hand: 32 bits, and no Unix. Nothing is compiled, which would
// take ten times as long (dist does).
func others(ctx context.Context) error {
	for _, system := range [][2]string{{"linux", "arm"}, {"windows", "amd64"}} {
		if err := typesFor(ctx, ".", system[0], system[1]); err != nil {
			return fmt.Errorf("%s/%s: %w", system[0], system[1], err)
		}
	}
	return nil
}

// typesFor checks the packages of the module in a folder and, of what they import,
// the declarations.
func typesFor(ctx context.Context, dir, goos, goarch string) error {
	list, err := listed[struct {
		ImportPath, Dir string
		GoFiles         []string
		ImportMap       map[string]string
		Module          *struct {
			Main      bool
			GoVersion string
		}
		Error *struct{ Err string }
	}](ctx, dir, []string{"GOOS=" + goos, "GOARCH=" + goarch, "CGO_ENABLED=0"}, "-deps", "./...")
	if err != nil {
		return err
	}
	done := map[string]*types.Package{"unsafe": types.Unsafe}
	for _, p := range list { // what is imported comes first
		if p.Error != nil {
			return fmt.Errorf("%s: %s", p.ImportPath, p.Error.Err)
		}
		if p.ImportPath == "unsafe" {
			continue
		}
		var files []*ast.File
		set := token.NewFileSet()
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(set, filepath.Join(p.Dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			files = append(files, f)
		}
		var faults []string
		ours := p.Module != nil && p.Module.Main
		conf := types.Config{
			IgnoreFuncBodies: !ours, Sizes: types.SizesFor("gc", goarch),
			Importer: importing(func(path string) (*types.Package, error) {
				if to, ok := p.ImportMap[path]; ok {
					path = to
				}
				if done[path] == nil {
					return nil, fmt.Errorf("%s is not there", path)
				}
				return done[path], nil
			}),
			Error: func(err error) { faults = append(faults, err.Error()) },
		}
		if p.Module != nil && p.Module.GoVersion != "" {
			conf.GoVersion = "go" + p.Module.GoVersion
		}
		pkg, _ := conf.Check(p.ImportPath, set, files, nil) // its error is the first of faults
		if len(faults) > 0 {
			return errors.New(strings.Join(faults[:min(10, len(faults))], "\n"))
		}
		done[p.ImportPath] = pkg
	}
	return nil
}

// importing is a function that imports.
type importing func(path string) (*types.Package, error)

func (f importing) Import(path string) (*types.Package, error) { return f(path) }

// listed returns what the go command tells of packages, in its order.
func listed[P any](ctx context.Context, dir string, env []string, args ...string) (list []P, err error) {
	cmd := exec.CommandContext(ctx, "go", append([]string{"list", "-json"}, args...)...)
	cmd.Dir, cmd.Env = dir, append(os.Environ(), env...)
	var said bytes.Buffer
	cmd.Stderr = &said
	told, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("list the packages: %w\n%s", err, said.Bytes())
	}
	for in := json.NewDecoder(bytes.NewReader(told)); ; {
		var p P
		if err := in.Decode(&p); errors.Is(err, io.EOF) {
			return list, nil
		} else if err != nil {
			return nil, fmt.Errorf("list the packages: %w", err)
		}
		list = append(list, p)
	}
}
