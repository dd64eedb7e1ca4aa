package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"time"
)

// getOffice installs an office program where it is missing and this may be done
// without asking, as needChromium does: in the background, so that it costs no
// time. The channel says once whether there is one.
func getOffice(ctx context.Context) <-chan error {
	got := make(chan error, 1)
	go func() { got <- needOffice(ctx) }()
	return got
}

func needOffice(ctx context.Context) error {
	if _, err := exec.LookPath("soffice"); err == nil {
		return nil
	}
	apt, err := exec.LookPath("apt-get")
	if err != nil || os.Geteuid() != 0 {
		return fmt.Errorf("opening workbooks with another program needs soffice, which is not on this machine")
	}
	ctx, cancel := context.WithTimeout(ctx, 3*time.Minute) // 9 s where the network is near
	defer cancel()
	for _, args := range [][]string{{"update", "-q"}, {"install", "-q", "-y", "--no-install-recommends", "libreoffice-calc-nogui"}} {
		cmd := exec.CommandContext(ctx, apt, args...)
		cmd.Env = append(os.Environ(), "DEBIAN_FRONTEND=noninteractive")
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("no soffice on this machine, and it could not be installed: %w\n%s", err, out)
		}
	}
	_, err = exec.LookPath("soffice")
	return err
}

// office opens workbooks of ours with another program, and reads its own.
func office(ctx context.Context, got <-chan error) error {
	if err := <-got; err != nil {
		fmt.Println("not run:", err)
		return nil
	}
	if err := sh(ctx, nil, "go", "vet", "-tags", "office", "./server/workbook"); err != nil {
		return err
	}
	return sh(ctx, nil, "go", "test", "-tags", "office", "./server/workbook", "-run", "Office")
}
