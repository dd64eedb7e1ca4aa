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
	cmd := exec.CommandContext(ctx, "go", "list", "-deps", "-json=ImportPath,Dir,GoFiles,ImportMap,Module,Error", "./...")
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED=0")
	var said bytes.Buffer
	cmd.Stderr = &said
	list, err := cmd.Output()
	if err != nil {
		return fmt.Errorf("list the packages: %w\n%s", err, said.Bytes())
	}
	done := map[string]*types.Package{"unsafe": types.Unsafe}
	for in := json.NewDecoder(bytes.NewReader(list)); ; { // what is imported comes first
		var p struct {
			ImportPath, Dir string
			GoFiles         []string
			ImportMap       map[string]string
			Module          *struct {
				Main      bool
				GoVersion string
			}
			Error *struct{ Err string }
		}
		if err := in.Decode(&p); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return fmt.Errorf("list the packages: %w", err)
		}
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
}

// importing is a function that imports.
type importing func(path string) (*types.Package, error)

func (f importing) Import(path string) (*types.Package, error) { return f(path) }
