package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"slices"
	"strings"
)

// runBench runs the benchmarks and prints their figures as a table in Markdown:
// those of the phone with its first argument "phone", else all others.
func runBench(ctx context.Context, args []string) error {
	type job struct {
		where string
		env   []string
		args  []string
	}
	jobs := []job{
		{"native", nil, []string{"./model", "./model/ahead", "./calc/forecast", "./calc/forecast/spend", "./calc/forecast/day", "./server/bolt", "./client/pages"}},
		{"wasm in Node.js", []string{"GOOS=js", "GOARCH=wasm"}, []string{"-bench", "Fold/10000$|FoldAndBuild/10000$|Open|Simulate|Look|HoursAndMoney", "./model", "./model/ahead", "./calc/forecast/day"}},
	}
	if len(args) > 0 && args[0] == "phone" {
		if err := runBuild(ctx, nil); err != nil {
			return err
		}
		args = args[1:]
		phone := job{"phone, in headless Chromium", nil, []string{"-tags", "browser", "-benchtime", "5x", "-timeout", "30m", "./client/phone/browser"}}
		tmp, err := os.MkdirTemp("", "ampwright-bench-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(tmp)
		if launcher, remove, err := halfCore(tmp); err != nil {
			fmt.Printf("\nNot at half a core: %v. What follows had what was free of all cores.\n\n", err)
		} else {
			defer remove()
			phone.where, phone.env = "phone, in headless Chromium at half a core", []string{"CHROMIUM=" + launcher}
			fmt.Println()
		}
		self, err := os.Executable()
		if err != nil {
			return err
		}
		wasm := []string{"GOOS=js", "GOARCH=wasm"}
		walk := func(slower string) []string {
			return []string{"-bench", "Walk", "-exec", self + " exec slower=" + slower, "./client/pages"}
		}
		jobs = []job{
			phone,
			{"wasm in a page of Chromium", wasm, walk("1")}, // a page, for workers are not slowed down
			{"the same, its processor slowed down to a quarter", wasm, walk("4")},
		}
	}
	fmt.Printf("%s, %d cores\n\n| where | benchmark | figures |\n|---|---|---|\n", runtime.Version(), runtime.NumCPU())
	for _, j := range jobs {
		cmdArgs := append([]string{"test", "-run", "^$", "-bench", "."}, args...)
		if slices.Contains(j.env, "GOOS=js") && !slices.Contains(j.args, "-exec") {
			if _, err := exec.LookPath("node"); err != nil {
				fmt.Fprintln(os.Stderr, "not run as WebAssembly: Node.js is not on this machine")
				continue
			}
			exe, err := wasmExec(ctx)
			if err != nil {
				return err
			}
			cmdArgs = append(cmdArgs, "-exec", exe)
		}
		cmd := exec.CommandContext(ctx, "go", append(cmdArgs, j.args...)...)
		cmd.Env = append(os.Environ(), j.env...)
		var errs bytes.Buffer
		cmd.Stderr = &errs
		out, err := cmd.Output()
		if err != nil {
			return fmt.Errorf("%w\n%s%s", err, out, errs.Bytes())
		}
		pkg := ""
		for in := bufio.NewScanner(bytes.NewReader(out)); in.Scan(); {
			if p, ok := strings.CutPrefix(in.Text(), "pkg: ampwright/"); ok {
				pkg = p
			}
			if name, figures, ok := figures(in.Text()); ok {
				fmt.Printf("| %s | %s %s | %s |\n", j.where, pkg, name, figures)
			}
		}
	}
	return nil
}

var benchLine = regexp.MustCompile(`^Benchmark(\S+?)(?:-\d+)?\s+\d+\s+(.*)$`)

// figures splits a benchmark's line into its name and its figures.
func figures(line string) (name, list string, ok bool) {
	m := benchLine.FindStringSubmatch(line)
	if m == nil {
		return "", "", false
	}
	parts := strings.Split(m[2], "\t")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return m[1], strings.Join(parts, ", "), true
}
