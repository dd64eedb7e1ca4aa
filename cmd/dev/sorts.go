package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// oneSort stands in for what package slices has for every type that is sorted.
// The code behind it is that of package sort, which Go makes from the same
// source (gen_sort_variants.go): the same comparisons and swaps in the same order.
const oneSort = `
type lessSwap struct {
	Less func(i, j int) bool
	Swap func(i, j int)
}

func lessSwapOf[E any](data []E, cmp func(a, b E) int) lessSwap {
	return lessSwap{
		func(i, j int) bool { return cmp(data[i], data[j]) < 0 },
		func(i, j int) { data[i], data[j] = data[j], data[i] },
	}
}

func pdqsortCmpFunc[E any](data []E, a, b, limit int, cmp func(a, b E) int) {
	pdqsort_func(lessSwapOf(data, cmp), a, b, limit)
}

func stableCmpFunc[E any](data []E, n int, cmp func(a, b E) int) {
	stable_func(lessSwapOf(data, cmp), n)
}
`

// oneOrdered is the same for what is sorted by its own order.
const oneOrdered = `package slices

import "cmp"

func pdqsortOrdered[E cmp.Ordered](data []E, a, b, limit int) {
	pdqsort_func(lessSwap{
		func(i, j int) bool { return cmp.Less(data[i], data[j]) },
		func(i, j int) { data[i], data[j] = data[j], data[i] },
	}, a, b, limit)
}
`

// overlaySorts writes into dir what "go build -overlay" takes so that all sorts
// of the program are one, and returns its path.
func overlaySorts(ctx context.Context, dir string) (string, error) {
	root, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return "", fmt.Errorf("go env GOROOT: %w", err)
	}
	src := filepath.Join(strings.TrimSpace(string(root)), "src")
	code, err := sorts(src)
	if err != nil {
		return "", err
	}
	replace := map[string]string{}
	for name, code := range map[string][]byte{"zsortanyfunc.go": code, "zsortordered.go": []byte(oneOrdered)} {
		in := filepath.Join(src, "slices", name)
		if _, err := os.Stat(in); err != nil {
			return "", fmt.Errorf("this Go has its sorts elsewhere: %w", err)
		}
		replace[in] = filepath.Join(dir, name)
		if err := os.WriteFile(filepath.Join(dir, name), code, 0o644); err != nil {
			return "", err
		}
	}
	list, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return "", err
	}
	overlay := filepath.Join(dir, "overlay.json")
	return overlay, os.WriteFile(overlay, list, 0o644)
}

// sorts returns the sorts of package sort for package slices.
func sorts(src string) ([]byte, error) {
	code, err := os.ReadFile(filepath.Join(src, "sort", "zsortfunc.go"))
	if err != nil {
		return nil, err
	}
	if !bytes.Contains(code, []byte("package sort\n")) {
		return nil, fmt.Errorf("%s is not package sort: this Go has its sorts elsewhere", src)
	}
	return append(bytes.Replace(code, []byte("package sort\n"), []byte("package slices\n"), 1), oneSort...), nil
}
