package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"time"

	"ampwright/cmd/dev/chromium"
	"ampwright/model/demo"
)

// pictures are the pages that the README shows.
var pictures = []struct {
	file, path string
	width      int
	height     int
}{
	{"bench.png", "/b/" + demo.Build.String() + "/", 1280, 1000},
	{"forecast.png", "/b/" + demo.Build.String() + "/forecast", 1280, 1000},
	{"card.png", "/b/" + demo.Build.String() + "/task/mot-05", 430, 900},
}

// runPages serves the demo and photographs the README's pages with Chromium.
func runPages(ctx context.Context, args []string) error {
	out := filepath.Join("testdata", "pages")
	if len(args) > 0 {
		out = args[0]
	}
	browser, err := chromium.Path()
	if err != nil {
		return err
	}
	tmp, err := os.MkdirTemp("", "ampwright-pages-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	if err := needPhone(ctx); err != nil {
		return err
	}
	program, err := build(ctx, tmp)
	if err != nil {
		return err
	}
	garage := filepath.Join(tmp, "garage")
	if err := sh(ctx, nil, program, "demo", garage); err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(ctx)
	serve := exec.CommandContext(ctx, program, "--garage", garage, "serve", "--phone", "--addr", "127.0.0.1:0", "--clock", demo.End.Format(time.RFC3339))
	serve.Stderr = os.Stderr
	serve.Cancel = func() error { return serve.Process.Signal(os.Interrupt) }
	stdout, err := serve.StdoutPipe()
	if err != nil {
		cancel()
		return err
	}
	if err := serve.Start(); err != nil {
		cancel()
		return err
	}
	defer serve.Wait()
	defer cancel()
	address := ""
	for in := bufio.NewScanner(stdout); address == "" && in.Scan(); {
		address = regexp.MustCompile(`http://[0-9.:]+/[\w-]+`).FindString(in.Text())
	}
	if address == "" {
		return fmt.Errorf("the server did not say where it listens")
	}
	go io.Copy(io.Discard, stdout)
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	for _, p := range pictures {
		file, err := filepath.Abs(filepath.Join(out, p.file))
		if err != nil {
			return err
		}
		flags := append(slices.Clone(chromium.Flags), "--virtual-time-budget=3000", // the typeface is there by then
			"--user-data-dir="+filepath.Join(tmp, "profile"), fmt.Sprintf("--window-size=%d,%d", p.width, p.height),
			"--screenshot="+file, address+p.path)
		shot := exec.CommandContext(ctx, browser, flags...)
		if msg, err := shot.CombinedOutput(); err != nil {
			return fmt.Errorf("photograph %s: %w\n%s", p.path, err, msg)
		}
		fmt.Println("wrote", filepath.Join(out, p.file))
	}
	invitation, err := exec.CommandContext(ctx, program, "--garage", garage, "invite").Output()
	if err != nil {
		return err
	}
	return phonePictures(ctx, browser, filepath.Join(tmp, "phone"), address, string(invitation), out)
}
