package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"ampwright/model/demo"
)

// runDemo builds the program, makes the demo garage unless it is there, and
// serves it by a clock that starts where the demo ends.
func runDemo(ctx context.Context, args []string) error {
	flags := flag.NewFlagSet("run", flag.ContinueOnError)
	dir := flags.String("garage", "", "folder of the demo garage; a temporary one if left out")
	addr := flags.String("addr", "127.0.0.1:7341", "loopback address to serve on")
	if err := flags.Parse(args); err != nil {
		return err
	}
	bin, err := os.MkdirTemp("", "ampwright-bin-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(bin)
	if err := needPhone(ctx); err != nil {
		return err
	}
	program, err := build(ctx, bin)
	if err != nil {
		return err
	}
	if *dir == "" {
		tmp, err := os.MkdirTemp("", "ampwright-demo-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(tmp)
		*dir = filepath.Join(tmp, "garage")
	}
	if _, err := os.Stat(filepath.Join(*dir, "logbook.db")); errors.Is(err, os.ErrNotExist) {
		if said, err := exec.CommandContext(ctx, program, "demo", *dir).CombinedOutput(); err != nil {
			return fmt.Errorf("make the demo: %w\n%s", err, said)
		}
		fmt.Fprintln(os.Stderr, "the demo garage is in", *dir)
	}
	err = sh(ctx, nil, program, "--garage", *dir, "serve", "--addr", *addr, "--clock", demo.End.Format(time.RFC3339))
	var exit *exec.ExitError
	if ctx.Err() != nil && (err == nil || errors.As(err, &exit)) {
		fmt.Fprintln(os.Stderr, "stopped")
		return nil
	}
	return err
}
