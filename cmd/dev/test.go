package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"ampwright/cmd/dev/axe"
	"ampwright/cmd/dev/chromium"
)

// A step is one part of the run.
type step struct {
	name string
	run  func(ctx context.Context) error
}

// patience is for a package whose tests share the machine with all the others: the ten
// minutes that the go command gives by itself do not always do.
const patience = "-timeout=20m"

// runTests runs everything that must pass. What a check needs and the machine
// lacks is said, never passed over in silence. Most of the steps run in lanes
// at once: browsers wait for much, and leave a core free. Everything is compiled as it
// is shipped, without C, and once; only the race detector cannot do without. Garbage
// is let grow: collecting it early is a fifth of the processor's time.
func runTests(ctx context.Context, args []string) error {
	begun := time.Now()
	for name, value := range map[string]string{"CGO_ENABLED": "0", "GOGC": "400"} {
		if err := os.Setenv(name, value); err != nil {
			return err
		}
	}
	if err := runSteps(ctx, []step{
		{"gofmt", formatted},
		{"tools", func(ctx context.Context) error { return getTools(ctx) }},
	}); err != nil {
		return err
	}
	if err := inLanes(ctx, map[string][]step{
		"phone": {{"the phone's program", func(ctx context.Context) error { return runBuild(ctx, nil) }}},
		"native": {
			{"go vet", func(ctx context.Context) error { return sh(ctx, nil, "go", "vet", "./...") }},
			{"other systems", others},
		},
	}); err != nil {
		return err
	}
	if err := inLanes(ctx, map[string][]step{
		"native": {
			{"go build", func(ctx context.Context) error { return sh(ctx, nil, "go", "build", "./...") }},
			{"go test", func(ctx context.Context) error {
				return sh(ctx, nil, "go", append([]string{"test", "-vet=off", patience, "./..."}, args...)...)
			}},
			{"race detector", race},
		},
		"pages": {{"pages in a browser", browsers}},
		"wasm": {
			{"the store in a browser", store},
			{"wasm", wasm},
			{"workbooks in another program", office},
		},
	}); err != nil {
		return err
	}
	fmt.Printf("== all passed in %.0f s\n", time.Since(begun).Seconds())
	return nil
}

// runSteps runs steps one after another.
func runSteps(ctx context.Context, steps []step) error {
	for _, s := range steps {
		begun := time.Now()
		fmt.Fprintln(out(ctx), "==", s.name)
		if err := s.run(ctx); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
		fmt.Fprintf(out(ctx), "== %s: %.0f s\n", s.name, time.Since(begun).Seconds())
	}
	return nil
}

// inLanes runs lists of steps at once, each line under the name of its lane. What
// fails ends all of them.
func inLanes(ctx context.Context, lanes map[string][]step) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var printing sync.Mutex
	var all sync.WaitGroup
	for name, steps := range lanes {
		all.Go(func() {
			w := &lane{name: name, printing: &printing}
			if err := runSteps(context.WithValue(ctx, outKey{}, w), steps); err != nil {
				stop(err) // the first that is said stays the cause
			}
			w.flush()
		})
	}
	all.Wait()
	return context.Cause(ctx)
}

// store runs the store's contract over a browser's IndexedDB.
func store(ctx context.Context) error {
	if _, err := chromium.Path(); err != nil {
		fmt.Fprintln(out(ctx), "not run:", err)
		return nil
	}
	self, err := os.Executable()
	if err != nil {
		return err
	}
	return sh(ctx, []string{"GOOS=js", "GOARCH=wasm"}, "go", "test", patience, "-exec", self+" exec", "./client/phone/idb")
}

// browsers runs the phone's program and the laptop's pages as a person uses them.
func browsers(ctx context.Context) error {
	if _, err := chromium.Path(); err != nil {
		fmt.Fprintln(out(ctx), "not run:", err)
		return nil
	}
	inBrowser := []string{"./client/phone/browser", "./server/pair", "./cmd/ampwright/browser"}
	if err := sh(ctx, nil, "go", append([]string{"vet", "-tags", "browser"}, inBrowser...)...); err != nil {
		return err
	}
	if _, err := axe.Script(ctx); err != nil {
		fmt.Fprintln(out(ctx), "not run: what axe-core finds on the pages:", err)
	}
	args := []string{"test", "-vet=off", patience, "-tags", "browser"}
	if _, err := exec.LookPath("certutil"); err != nil {
		fmt.Fprintln(out(ctx), "not run: a phone that trusts the garage's certificate:", err)
		args = append(args, "-skip", "^(TestPairedPhone|TestPastTheWarning|TestNameConstraintsInBrowser)$")
	}
	return sh(ctx, nil, "go", append(args, inBrowser...)...)
}

func formatted(ctx context.Context) error {
	names, err := exec.CommandContext(ctx, "gofmt", "-l", "calc", "client", "cmd", "model", "server", "sync").Output()
	if err != nil {
		return err
	}
	if len(bytes.TrimSpace(names)) > 0 {
		return fmt.Errorf("gofmt would change:\n%s", names)
	}
	return nil
}

// wasm compiles what the phone will run, and runs the model's tests as
// WebAssembly where Node.js is to be had.
func wasm(ctx context.Context) error {
	env := []string{"GOOS=js", "GOARCH=wasm"}
	if err := sh(ctx, env, "go", "build", "./calc/...", "./model/...", "./sync/...", "./client/..."); err != nil {
		return err
	}
	if _, err := exec.LookPath("node"); err != nil {
		fmt.Fprintln(out(ctx), "compiled, not run: running it needs Node.js, which is not on this machine")
		return nil
	}
	exe, err := wasmExec(ctx)
	if err != nil {
		return err
	}
	return sh(ctx, env, "go", "test", "-vet=off", patience, "-exec", exe, "./calc/...", "./model", "./model/ahead", "./sync/...")
}

// wasmExec returns the launcher of WebAssembly tests that comes with Go.
func wasmExec(ctx context.Context) (string, error) {
	out, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return "", err
	}
	exe := filepath.Join(strings.TrimSpace(string(out)), "lib", "wasm", "go_js_wasm_exec")
	if _, err := os.Stat(exe); err != nil {
		return "", fmt.Errorf("this Go has no launcher for WebAssembly: %w", err)
	}
	return exe, nil
}
