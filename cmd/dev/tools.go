package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"

	"ampwright/cmd/dev/chromium"
)

// A tool is a program that some tests need and a bare machine lacks.
type tool struct {
	pkg, what string // its Debian package, and what needs it
	find      func() error
}

var tools = []tool{
	{"chromium", "pages in a browser", func() error { _, err := chromium.Path(); return err }},
	{"libnss3-tools", "a phone that trusts the garage's certificate", inPath("certutil")},
	{"libreoffice-calc-nogui", "workbooks in another program", inPath("soffice")},
}

func inPath(name string) func() error {
	return func() error { _, err := exec.LookPath(name); return err }
}

// getTools installs what is missing where this may be done without asking: as
// root, where there is apt-get. What cannot be had is said here, and again where it
// is not run.
func getTools(ctx context.Context) error {
	var missing []string
	for _, t := range tools {
		if t.find() != nil {
			fmt.Fprintf(out(ctx), "missing: %s, for %s\n", t.pkg, t.what)
			missing = append(missing, t.pkg)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	apt, err := exec.LookPath("apt-get")
	if err != nil || os.Geteuid() != 0 {
		fmt.Fprintln(out(ctx), "not installed: that needs root and apt-get")
		return nil
	}
	quiet := []string{"DEBIAN_FRONTEND=noninteractive"}
	if err := sh(ctx, quiet, apt, "update", "-q"); err != nil {
		fmt.Fprintln(out(ctx), err)
	}
	for _, pkg := range missing {
		if err := sh(ctx, quiet, apt, "install", "-q", "-y", "--no-install-recommends", pkg); err != nil {
			fmt.Fprintln(out(ctx), "not installed:", err)
		}
	}
	return ctx.Err()
}
