package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"ampwright/cmd/dev/axe"
	"ampwright/cmd/dev/chromium"
)

// runTests runs everything that must pass. What a check needs and the machine
// lacks is said, never passed over in silence.
func runTests(ctx context.Context, args []string) error {
	gotOffice := getOffice(ctx)
	steps := []struct {
		name string
		run  func() error
	}{
		{"gofmt", func() error { return formatted(ctx) }},
		{"go vet", func() error { return sh(ctx, nil, "go", "vet", "./...") }},
		{"go build", func() error { return sh(ctx, []string{"CGO_ENABLED=0"}, "go", "build", "./...") }},
		{"other systems", func() error { return others(ctx) }},
		{"go test", func() error { return sh(ctx, nil, "go", append([]string{"test", "./..."}, args...)...) }},
		{"workbooks in another program", func() error { return office(ctx, gotOffice) }},
		{"race detector", func() error { return race(ctx) }},
		{"wasm", func() error { return wasm(ctx) }},
		{"phone", func() error { return phone(ctx) }},
	}
	for _, s := range steps {
		fmt.Println("==", s.name)
		if err := s.run(); err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
	}
	fmt.Println("== all passed")
	return nil
}

// phone runs what needs a browser: the store over its IndexedDB, and the phone's
// program as a person uses it.
func phone(ctx context.Context) error {
	if err := needChromium(ctx); err != nil {
		fmt.Println("not run:", err)
		return nil
	}
	if err := runBuild(ctx, nil); err != nil {
		return err
	}
	self, err := os.Executable()
	if err != nil {
		return err
	}
	if err := sh(ctx, []string{"GOOS=js", "GOARCH=wasm"}, "go", "test", "-exec", self+" exec", "./client/phone/idb"); err != nil {
		return err
	}
	inBrowser := []string{"./client/phone/browser", "./server/pair", "./cmd/ampwright/browser"}
	if err := sh(ctx, nil, "go", append([]string{"vet", "-tags", "browser"}, inBrowser...)...); err != nil {
		return err
	}
	if _, err := axe.Script(ctx); err != nil {
		fmt.Println("not run: what axe-core finds on the pages:", err)
	}
	return sh(ctx, nil, "go", append([]string{"test", "-tags", "browser"}, inBrowser...)...)
}

// needChromium installs Chromium where it is missing and this may be done
// without asking: as root, where there is apt-get.
func needChromium(ctx context.Context) error {
	_, err := chromium.Path()
	if err == nil {
		return nil
	}
	apt, aptErr := exec.LookPath("apt-get")
	if aptErr != nil || os.Geteuid() != 0 {
		return err
	}
	fmt.Println("installing Chromium with apt-get")
	if err := sh(ctx, nil, apt, "update", "-q"); err != nil {
		return fmt.Errorf("no Chromium on this machine, and it could not be installed: %w", err)
	}
	if err := sh(ctx, []string{"DEBIAN_FRONTEND=noninteractive"}, apt, "install", "-q", "-y", "--no-install-recommends", "chromium"); err != nil {
		return fmt.Errorf("no Chromium on this machine, and it could not be installed: %w", err)
	}
	_, err = chromium.Path()
	return err
}

func formatted(ctx context.Context) error {
	out, err := exec.CommandContext(ctx, "gofmt", "-l", "calc", "client", "cmd", "model", "server", "sync").Output()
	if err != nil {
		return err
	}
	if len(bytes.TrimSpace(out)) > 0 {
		return fmt.Errorf("gofmt would change:\n%s", out)
	}
	return nil
}

// others compiles the program for systems that differ most from the one at
// hand: 32 bits, and no Unix.
func others(ctx context.Context) error {
	for _, system := range [][]string{{"GOOS=linux", "GOARCH=arm"}, {"GOOS=windows", "GOARCH=amd64"}} {
		if err := sh(ctx, append(system, "CGO_ENABLED=0"), "go", "build", "./..."); err != nil {
			return err
		}
	}
	return nil
}

// race runs what is used by several goroutines under the race detector, which
// needs a C compiler.
func race(ctx context.Context) error {
	if _, err := exec.LookPath("gcc"); err != nil {
		fmt.Println("not run: the race detector needs gcc, which is not on this machine")
		return nil
	}
	return sh(ctx, []string{"CGO_ENABLED=1"}, "go", "test", "-race", "./sync/...", "./server/...")
}

// wasm compiles what the phone will run, and runs the model's tests as
// WebAssembly where Node.js is to be had.
func wasm(ctx context.Context) error {
	env := []string{"GOOS=js", "GOARCH=wasm"}
	if err := sh(ctx, env, "go", "build", "./calc/...", "./model/...", "./sync/...", "./client/..."); err != nil {
		return err
	}
	if _, err := exec.LookPath("node"); err != nil {
		fmt.Println("compiled, not run: running it needs Node.js, which is not on this machine")
		return nil
	}
	exe, err := wasmExec(ctx)
	if err != nil {
		return err
	}
	return sh(ctx, env, "go", "test", "-exec", exe, "./calc/...", "./model", "./model/ahead", "./sync/...")
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
