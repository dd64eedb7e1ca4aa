package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"ampwright/client/phone/bundle"
	"ampwright/client/static"
	"ampwright/cmd/dev/squeeze"

	"github.com/andybalholm/brotli"
)

var (
	phoneSource = filepath.Join("client", "phone")
	phoneBuilt  = filepath.Join(phoneSource, "bundle", "files")
)

// mostPhone is what the first load of the phone's program may weigh, in bytes.
const mostPhone = 1_600_000

// runBuild makes the phone's program, compressed, for the server to embed, and
// says what it weighs.
func runBuild(ctx context.Context, _ []string) error {
	files, err := phoneFiles(ctx)
	if err != nil {
		return err
	}
	if err := dropOthers(phoneBuilt, files); err != nil {
		return err
	}
	var wait sync.WaitGroup
	errs := make(chan error, len(files))
	for name, plain := range files {
		wait.Go(func() { errs <- writeCompressed(phoneBuilt, name, plain) })
	}
	wait.Wait()
	close(errs)
	for err := range errs {
		if err != nil {
			return err
		}
	}
	return printWeights(out(ctx))
}

// dropOthers removes what an older build made under names that are none any more:
// the server would embed it.
func dropOthers(dir string, files map[string][]byte) error {
	for _, form := range []string{".br", ".gz"} {
		list, err := filepath.Glob(filepath.Join(dir, "*"+form))
		if err != nil {
			return err
		}
		for _, path := range list {
			if _, ok := files[strings.TrimSuffix(filepath.Base(path), form)]; !ok {
				if err := os.Remove(path); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// needPhone builds the phone's program if it is not there.
func needPhone(ctx context.Context) error {
	if _, err := bundle.Load(os.DirFS(phoneBuilt)); err == nil {
		return nil
	}
	fmt.Fprintln(os.Stderr, "building the phone's program, which takes a minute or two the first time")
	return runBuild(ctx, nil)
}

// phoneFiles returns the files of the phone's program, uncompressed.
func phoneFiles(ctx context.Context) (map[string][]byte, error) {
	dir, err := os.MkdirTemp("", "ampwright-phone-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	wasm := filepath.Join(dir, "phone.wasm")
	if err := compilePhone(ctx, wasm); err != nil {
		return nil, err
	}
	exe, err := wasmExec(ctx)
	if err != nil {
		return nil, err
	}
	if err := lighten(wasm); err != nil {
		return nil, err
	}
	files, unpack := map[string][]byte{}, filepath.Join(phoneSource, "unpack.js")
	for name, parts := range map[string][]string{
		"phone.packed": {wasm},
		"boot.js":      {filepath.Join(phoneSource, "boot.js")},
		// one file each, since the policy lets a worker load no other script
		"sw.js":     {unpack, filepath.Join(phoneSource, "sw.js")},
		"worker.js": {filepath.Join(filepath.Dir(exe), "wasm_exec.js"), unpack, filepath.Join(phoneSource, "worker.js")},
	} {
		for _, path := range parts {
			data, err := os.ReadFile(path)
			if err != nil {
				return nil, err
			}
			files[name] = append(files[name], data...)
		}
	}
	return files, nil
}

// hot are the packages that the fold spends its time in. With ampwright/model
// among them it would be a tenth faster at most.
var hot = []string{"ampwright/model/cbor", "crypto/internal/fips140/sha256", "encoding/binary", "internal/byteorder"}

// compilePhone compiles the Go of the phone. Without inlining (-l) it is an
// eighth smaller when compressed, and the fold would take twice as long: so what
// is hot is inlined all the same.
func compilePhone(ctx context.Context, out string) error {
	args := []string{"build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l"}
	if overlay, err := overlaySorts(ctx, filepath.Dir(out)); err != nil {
		fmt.Fprintln(os.Stderr, "each type keeps a sort of its own in the phone's program:", err)
	} else {
		args = append(args, "-overlay", overlay)
	}
	for _, pkg := range hot {
		args = append(args, "-gcflags="+pkg+"=")
	}
	return sh(ctx, []string{"GOOS=js", "GOARCH=wasm"}, "go", append(args, "-o", out, "./client/phone")...)
}

// lighten makes a WebAssembly program lighter to send, and packs it. A Go whose
// tables are not known makes it heavier, no worse.
func lighten(path string) error {
	module, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	p, err := squeeze.Read(module)
	if err != nil {
		return err
	}
	if err := p.DropLines(); err != nil {
		fmt.Fprintln(os.Stderr, "the table of lines stays in the phone's program:", err)
	}
	if err := p.DropIndex(); err != nil {
		fmt.Fprintln(os.Stderr, "the index of functions stays in the phone's program:", err)
	}
	if err := p.DropPlaces(); err != nil {
		fmt.Fprintln(os.Stderr, "the places and names of functions stay in the phone's program:", err)
	}
	if err := p.ShortenCode(); err != nil {
		fmt.Fprintln(os.Stderr, "the code of the phone's program stays as it is:", err)
	}
	if module, err = p.Join(); err != nil {
		return err
	}
	if module, err = squeeze.Pack(module); err != nil {
		return err
	}
	return os.WriteFile(path, module, 0o644)
}

// writeCompressed writes a file with brotli and with gzip. If it is there from
// the same bytes it is left alone: brotli at its best takes a minute.
func writeCompressed(dir, name string, plain []byte) error {
	if old, err := readGzip(filepath.Join(dir, name+".gz")); err == nil && bytes.Equal(old, plain) {
		if _, err := os.Stat(filepath.Join(dir, name+".br")); err == nil {
			return nil
		}
	}
	var br, gz bytes.Buffer
	w := brotli.NewWriterOptions(&br, brotli.WriterOptions{Quality: brotli.BestCompression, LGWin: 24})
	z, err := gzip.NewWriterLevel(&gz, gzip.BestCompression)
	if err != nil {
		return err
	}
	for _, w := range []io.WriteCloser{w, z} {
		if _, err := w.Write(plain); err != nil {
			return err
		}
		if err := w.Close(); err != nil {
			return err
		}
	}
	if err := os.WriteFile(filepath.Join(dir, name+".br"), br.Bytes(), 0o644); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, name+".gz"), gz.Bytes(), 0o644)
}

func readGzip(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r, err := gzip.NewReader(f)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// printWeights prints what the first load of the phone's program weighs, file by
// file.
func printWeights(w io.Writer) error {
	b, err := bundle.Load(os.DirFS(phoneBuilt))
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "| first load | plain, bytes | gzip | brotli |\n|---|---|---|---|")
	var plain, gz, br int
	row := func(name string, p, g, b int) {
		fmt.Fprintf(w, "| %s | %d | %d | %d |\n", name, p, g, b)
		plain, gz, br = plain+p, gz+g, br+b
	}
	for _, name := range bundle.Names {
		f := b.Named(name)
		p, err := f.Plain()
		if err != nil {
			return err
		}
		row(name, len(p), len(f.Gzip), len(f.Brotli))
	}
	for _, name := range staticOfPhone() {
		f, _ := static.Get(static.Name(name))
		if gz, ok := static.Gzip(static.Name(name)); ok {
			row(name+", served in gzip at best", len(f.Body), len(gz), len(gz))
			continue
		}
		row(name+", not compressed further", len(f.Body), len(f.Body), len(f.Body))
	}
	fmt.Fprintf(w, "| all | %d | %d | %d |\n", plain, gz, br)
	if br > mostPhone {
		fmt.Fprintf(w, "\nThat is %d bytes more than the %d aimed at.\n", br-mostPhone, mostPhone)
	}
	return nil
}

// staticOfPhone are the files of client/static that the service worker keeps.
func staticOfPhone() (names []string) {
	for _, name := range static.Names() {
		if name != "OFL.txt" {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// compiled returns the program of this module for a system, as dist ships it.
func compiled(ctx context.Context, out, goos, goarch, goarm string) error {
	cmd := exec.CommandContext(ctx, "go", "build", "-trimpath", "-ldflags", "-s -w", "-o", out, "./cmd/ampwright")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+goos, "GOARCH="+goarch, "GOARM="+goarm)
	if said, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("build for %s/%s: %w\n%s", goos, goarch, err, said)
	}
	return nil
}

// runNames puts the functions' names into a traceback of the phone's program, which
// says numbers in their place: it compiles the program of this very source again.
func runNames(ctx context.Context, args []string) error {
	traceback, err := io.ReadAll(os.Stdin)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "ampwright-phone-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	wasm := filepath.Join(dir, "phone.wasm")
	if err := compilePhone(ctx, wasm); err != nil {
		return err
	}
	module, err := os.ReadFile(wasm)
	if err != nil {
		return err
	}
	p, err := squeeze.Read(module)
	if err != nil {
		return err
	}
	names, err := p.Names()
	if err != nil {
		return err
	}
	_, err = fmt.Print(squeeze.Rename(string(traceback), names))
	return err
}
