package main

import (
	"context"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// targets are the systems that dist builds for.
var targets = []struct{ goos, goarch, goarm string }{
	{"linux", "amd64", ""}, {"linux", "arm64", ""}, {"linux", "arm", "7"}, {"windows", "amd64", ""}, {"darwin", "amd64", ""}, {"darwin", "arm64", ""},
}

// runDist builds the program for all targets, without cgo, into dist/, with
// their SHA-256 sums beside them. The same source and the same Go make the same
// bytes.
func runDist(ctx context.Context, _ []string) error {
	if err := runBuild(ctx, nil); err != nil {
		return err
	}
	if err := os.MkdirAll("dist", 0o755); err != nil {
		return err
	}
	var sums strings.Builder
	for _, t := range targets {
		name := "ampwright-" + t.goos + "-" + t.goarch
		if t.goarm != "" {
			name += "v" + t.goarm
		}
		if t.goos == "windows" {
			name += ".exe"
		}
		path := filepath.Join("dist", name)
		if err := compiled(ctx, path, t.goos, t.goarch, t.goarm); err != nil {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(data), name)
		fmt.Printf("%s  %.1f MB\n", path, float64(len(data))/1e6)
	}
	fmt.Print(sums.String())
	return os.WriteFile(filepath.Join("dist", "SHA256SUMS"), []byte(sums.String()), 0o644)
}
