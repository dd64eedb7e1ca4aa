package main

import (
	"context"
	"fmt"
	"os/exec"
)

// office opens workbooks of ours with another program, and reads its own.
func office(ctx context.Context) error {
	if _, err := exec.LookPath("soffice"); err != nil {
		fmt.Fprintln(out(ctx), "not run:", err)
		return nil
	}
	if err := sh(ctx, nil, "go", "vet", "-tags", "office", "./model/workbook"); err != nil {
		return err
	}
	return sh(ctx, nil, "go", "test", "-tags", "office", "./model/workbook", "-run", "Office")
}
