// Package axe fetches axe-core, which looks for what keeps people from reading or
// working a page, for the tests alone. It is under the Mozilla Public License 2.0,
// and no part of it is kept in this project: it comes from the npm registry in the
// version and with the sum given here, and stays in the user's cache.
package axe

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha512"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
)

// Version is the one whose sum is known.
const Version = "4.14.1"

// sum is the SHA-512 of the package, as the registry says it ("integrity").
const sum = "1477dafa598d8d065f273d6af302aa203c02e83131707b7fa648cd41bd3d6b734f8c22a0dab86ee6a6f64b8afbe804b214d36db85a2826965edfb3a0b9d546b5"

// Script returns axe-core's script, from the user's cache or else from the
// registry by npm.
func Script(ctx context.Context) (string, error) {
	dir, err := os.UserCacheDir()
	if err != nil {
		return "", err
	}
	dir = filepath.Join(dir, "ampwright")
	name := "axe-core-" + Version + ".tgz"
	data, err := os.ReadFile(filepath.Join(dir, name))
	if errors.Is(err, fs.ErrNotExist) {
		if err = fetch(ctx, dir, name); err == nil {
			data, err = os.ReadFile(filepath.Join(dir, name))
		}
	}
	if err != nil {
		return "", fmt.Errorf("axe-core %s: %w", Version, err)
	}
	return script(data, sum)
}

// fetch has npm put the package into dir.
func fetch(ctx context.Context, dir, name string) error {
	npm, err := exec.LookPath("npm")
	if err != nil {
		return errors.New("it comes by npm, which is not on this machine")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(dir, "axe-") // a package that came by halves never gets the name
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	pack := exec.CommandContext(ctx, npm, "pack", "--silent", "axe-core@"+Version)
	pack.Dir = tmp
	if said, err := pack.CombinedOutput(); err != nil {
		return fmt.Errorf("npm pack: %w\n%s", err, said)
	}
	return os.Rename(filepath.Join(tmp, name), filepath.Join(dir, name))
}

// script takes the script out of a package of the given sum.
func script(data []byte, sum string) (string, error) {
	if got := sha512.Sum512(data); hex.EncodeToString(got[:]) != sum {
		return "", fmt.Errorf("axe-core %s: the package has SHA-512 %x, want %s: remove it from the cache", Version, got, sum)
	}
	unzipped, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return "", err
	}
	for files := tar.NewReader(unzipped); ; {
		h, err := files.Next()
		if err != nil {
			return "", fmt.Errorf("axe-core %s: no package/axe.min.js in it: %w", Version, err)
		}
		if h.Name == "package/axe.min.js" {
			text, err := io.ReadAll(files)
			return string(text), err
		}
	}
}
