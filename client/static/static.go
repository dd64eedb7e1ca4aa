// Package static holds the style sheet, the typefaces, the icons and the one small
// script of the pages. Every file has an address that changes with its bytes, so
// that a browser may keep it for ever.
//
// The typefaces are B612 and B612 Mono, drawn for cockpit displays, under the
// SIL Open Font License 1.1 (files/OFL.txt).
package static

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"path"
	"strings"
	"sync"
)

//go:embed files
var embedded embed.FS

// A File is one file as it is served.
type File struct {
	Type string // media type
	Body []byte
}

// byAddress holds the files by their hashed names, addressOf those names by the
// plain ones.
var byAddress, addressOf = address()

// Name returns the address of a file below the folder they are served from:
// "look.css" is "look.0a1b2c3d4e5f.css". It is the name itself for a file that
// is not there.
func Name(name string) string {
	if a, ok := addressOf[name]; ok {
		return a
	}
	return name
}

// Get returns the file at an address that Name returned.
func Get(address string) (File, bool) {
	f, ok := byAddress[address]
	return f, ok
}

// Gzip returns the body of a file in gzip, where that is smaller by a tenth at
// least: not of typefaces.
func Gzip(address string) ([]byte, bool) {
	body, ok := zipped()[address]
	return body, ok
}

var zipped = sync.OnceValue(func() map[string][]byte {
	all := map[string][]byte{}
	for address, f := range byAddress {
		var out bytes.Buffer
		w, _ := gzip.NewWriterLevel(&out, gzip.BestCompression)
		w.Write(f.Body) // to memory: never fails
		w.Close()
		if out.Len() < len(f.Body)*9/10 {
			all[address] = out.Bytes()
		}
	}
	return all
})

// Names returns the plain names of all files.
func Names() []string {
	var names []string
	for name := range addressOf {
		names = append(names, name)
	}
	return names
}

var types = map[string]string{
	".css": "text/css; charset=utf-8", ".woff2": "font/woff2", ".svg": "image/svg+xml", ".png": "image/png", ".txt": "text/plain; charset=utf-8", ".js": "text/javascript; charset=utf-8",
}

// address names every file by its hash. The style sheet comes last, since it
// names the typefaces.
func address() (map[string]File, map[string]string) {
	files, names := map[string]File{}, map[string]string{}
	put := func(name string, body []byte) {
		sum := sha256.Sum256(body)
		ext := path.Ext(name)
		a := strings.TrimSuffix(name, ext) + "." + hex.EncodeToString(sum[:6]) + ext
		files[a], names[name] = File{types[ext], body}, a
	}
	list, err := embedded.ReadDir("files")
	if err != nil {
		panic(err)
	}
	var css []byte
	for _, f := range list {
		body, err := embedded.ReadFile("files/" + f.Name())
		if err != nil {
			panic(err)
		}
		if f.Name() == "look.css" {
			css = body
		} else {
			put(f.Name(), body)
		}
	}
	for name, a := range names {
		css = bytes.ReplaceAll(css, []byte("url("+name+")"), []byte("url("+a+")"))
	}
	put("look.css", css)
	return files, names
}
