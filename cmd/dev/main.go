// Command dev is what a Makefile would be, on every system that has Go:
//
//	go run ./cmd/dev run     make the demo garage and serve it on this machine
//	go run ./cmd/dev test    everything that must pass
//	go run ./cmd/dev build   the phone's program, which the server embeds
//	go run ./cmd/dev names   the functions' names into a traceback of the phone's program
//	go run ./cmd/dev generate   the pages' templates, made into Go
//	go run ./cmd/dev dist    the program for six systems, with SHA-256 sums
//	go run ./cmd/dev bench   the benchmark table; bench phone: the phone's
//	go run ./cmd/dev pages   the pictures of the README, from the demo
//	go run ./cmd/dev icons   the icons of the phone's home screen
//	go run ./cmd/dev score   how good the forecast of hours is on a folder of known cases
//	go run ./cmd/dev fit     fit the forecast's constants to such a folder
//	go run ./cmd/dev score-schedule   how near the scheduler comes to the best known
package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"syscall"
	"time"
)

// A command is one word after "dev".
type command struct {
	name, summary string
	run           func(ctx context.Context, args []string) error
}

func commands() []command {
	return []command{
		{"run", "make the demo garage and serve it on this machine; flags: --garage DIR, --addr ADDRESS", runDemo},
		{"test", "everything that must pass", runTests},
		{"build", "the phone's program, which the server embeds, and what it weighs", runBuild},
		{"names", "a traceback of the phone's program, from the standard input, with the names of its functions (of this very version)", runNames},
		{"generate", "the pages' templates, made into Go", runGenerate},
		{"dist", "the program for six systems into dist/, with SHA-256 sums", runDist},
		{"bench", "the benchmark table; bench phone: the phone's figures (needs Chromium)", runBench},
		{"pages", "the pictures of the README, from the demo (needs Chromium)", runPages},
		{"icons", "the icons of the phone's home screen, drawn anew", runIcons},
		{"score", "how good the forecast of hours is on a folder of known cases: score DIR", runScore},
		{"fit", "fit the forecast's constants to such a folder, and cross-validate them: fit DIR", runFit},
		{"exec", "run a WebAssembly program in Chromium, for go test -exec: exec PROGRAM.wasm ARGUMENTS", runWasm},
		{"score-schedule", "how far schedules are above the best known on a folder of instances: score-schedule DIR", runScoreSchedule},
	}
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "dev:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string) error {
	if root, err := projectRoot(); err != nil {
		return err
	} else if err := os.Chdir(root); err != nil {
		return err
	}
	if len(args) > 0 {
		for _, c := range commands() {
			if c.name == args[0] {
				return c.run(ctx, args[1:])
			}
		}
	}
	for _, c := range commands() {
		fmt.Fprintf(os.Stderr, "  go run ./cmd/dev %-6s %s\n", c.name, c.summary)
	}
	if len(args) == 0 {
		return fmt.Errorf("say what to do")
	}
	return fmt.Errorf("%q is none of these", args[0])
}

// projectRoot finds the folder of go.mod, upwards from here.
func projectRoot() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir, nil
		}
		if filepath.Dir(dir) == dir {
			return "", fmt.Errorf("no go.mod here or above: run it inside the project")
		}
		dir = filepath.Dir(dir)
	}
}

// sh runs a command, its output going where that of ctx goes.
func sh(ctx context.Context, env []string, name string, args ...string) error {
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.Stdout, cmd.Stderr = out(ctx), os.Stderr
	if out(ctx) != os.Stdout {
		cmd.Stderr = cmd.Stdout
	}
	cmd.Cancel = func() error { return cmd.Process.Signal(os.Interrupt) }
	cmd.WaitDelay = 10 * time.Second // for what it left behind that holds its output open
	if err := cmd.Run(); err != nil {
		return fmt.Errorf("%s %v: %w", name, args, err)
	}
	return nil
}

// build compiles the program into dir and returns its path.
func build(ctx context.Context, dir string) (string, error) {
	out := filepath.Join(dir, "ampwright")
	if runtime.GOOS == "windows" {
		out += ".exe"
	}
	return out, sh(ctx, []string{"CGO_ENABLED=0"}, "go", "build", "-trimpath", "-o", out, "./cmd/ampwright")
}
