// Package bundle holds the phone's program as it was last built, compressed, for
// the server to hand out. It is made by
//
//	go run ./cmd/dev build
//
// which puts into the folder files, for each file of the program, NAME.br
// (brotli, RFC 7932) and NAME.gz (gzip, RFC 1952). Without them the package
// compiles all the same and says what is missing.
package bundle

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"
)

//go:embed files
var built embed.FS

// Names are the files of the program, as the build makes them.
var Names = []string{"boot.js", "phone.packed", "sw.js", "worker.js"}

// ErrNotBuilt says that the program was compiled without the phone's.
var ErrNotBuilt = errors.New("the phone's program is not built")

var types = map[string]string{".js": "text/javascript; charset=utf-8", ".packed": "application/octet-stream"}

// A File is one file of the phone's program.
type File struct {
	Type         string // media type
	Brotli, Gzip []byte
}

// Plain returns the file uncompressed.
func (f File) Plain() ([]byte, error) {
	r, err := gzip.NewReader(bytes.NewReader(f.Gzip))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// A Bundle is the phone's program.
type Bundle struct {
	files   map[string]File   // by name
	address map[string]string // by name
}

// Embedded returns what this program was compiled with, or [ErrNotBuilt].
func Embedded() (*Bundle, error) {
	dir, err := fs.Sub(built, "files")
	if err != nil {
		return nil, err
	}
	return Load(dir)
}

// Load reads a folder that the build made.
func Load(dir fs.FS) (*Bundle, error) {
	b := &Bundle{files: map[string]File{}, address: map[string]string{}}
	for _, name := range Names {
		br, err := fs.ReadFile(dir, name+".br")
		if errors.Is(err, fs.ErrNotExist) {
			return nil, ErrNotBuilt
		}
		if err != nil {
			return nil, err
		}
		gz, err := fs.ReadFile(dir, name+".gz")
		if err != nil {
			return nil, fmt.Errorf("the phone's program is built by halves: %w", err)
		}
		ext := path.Ext(name)
		sum := sha256.Sum256(br)
		b.files[name] = File{types[ext], br, gz}
		b.address[name] = strings.TrimSuffix(name, ext) + "." + hex.EncodeToString(sum[:6]) + ext
	}
	return b, nil
}

// Address returns the name of a file that changes with its bytes.
func (b *Bundle) Address(name string) string { return b.address[name] }

// Named returns a file by its plain name.
func (b *Bundle) Named(name string) File { return b.files[name] }

// Get returns the file at an address that Address returned.
func (b *Bundle) Get(address string) (File, bool) {
	for name, a := range b.address {
		if a == address {
			return b.files[name], true
		}
	}
	return File{}, false
}
