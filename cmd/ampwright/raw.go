package main

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"ampwright/model"
	"ampwright/server/blobs"
	"ampwright/sync/keep"
)

// keepLog keeps a file in the garage and returns the names of its pieces; none,
// and why in words, where it cannot be kept. Blobs may be written while another
// process has the garage open.
func (p *program) keepLog(path, hash string) ([]string, error) {
	if path == "-" {
		p.talk("note: the file is not kept, only its SHA-256: it came from the standard input; name a file to keep it")
		return nil, nil
	}
	dir, err := p.place()
	if err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	pieces, got, err := keep.PutRaw(blobs.In(dir), f)
	var large *keep.TooLargeError
	switch {
	case errors.As(err, &large):
		p.talk("note: the file is not kept, only its SHA-256: %v; keep it yourself", err)
		return nil, nil
	case err != nil:
		return nil, err
	case got != hash:
		return nil, fmt.Errorf("%s changed while it was read: its SHA-256 was %.8s and is %.8s; nothing was written", path, hash, got)
	}
	return pieces, nil
}

// keepRaw keeps a file that came to a page.
func keepRaw(to keep.Blobs, data []byte) ([]string, error) {
	pieces, _, err := keep.PutRaw(to, bytes.NewReader(data))
	return pieces, err
}

// exportRaw writes a file that was kept.
func (p *program) exportRaw(hash string, args []string) error {
	if len(args) > 1 {
		return wrong("ampwright export --raw HASH FILE", "%q: want one file to write", strings.Join(args, " "))
	}
	if p.asOf != "" {
		return wrong("leave --as-of out", "--as-of %q: a file that is kept does not change", p.asOf)
	}
	hash = strings.ToLower(strings.TrimSpace(hash))
	if len(hash) < 4 || strings.Trim(hash, "0123456789abcdef") != "" {
		return wrong("", "--raw %q: want the SHA-256 of the file, or its first 4 digits or more", hash)
	}
	dir, err := p.place()
	if err != nil {
		return err
	}
	return p.look(func(v view, _ []string) error {
		var found *model.BringLine
		for i := range v.build.Brought {
			s := &v.build.Brought[i]
			if full := hex.EncodeToString(s.Hash); strings.HasPrefix(full, hash) && (found == nil || len(found.Pieces) == 0) {
				found = s
			} else if strings.HasPrefix(full, hash) && full != hex.EncodeToString(found.Hash) {
				return wrong("", "--raw %q: more than one file begins so: %s and %s", hash, full, hex.EncodeToString(found.Hash))
			}
		}
		switch {
		case found == nil:
			return wrong("ampwright log shows what was brought in", "--raw %q: no file of that SHA-256 was brought into this build", hash)
		case len(found.Pieces) == 0:
			return fmt.Errorf("%s was brought in without being kept: only its SHA-256 is here, %x", found.File, found.Hash)
		}
		write := func(w io.Writer) error { return keep.GetRaw(blobs.In(dir), found.Pieces, found.Hash, w) }
		if len(args) == 0 || args[0] == "-" {
			err = write(p.out)
		} else if err = p.overwrite(args[0]); err == nil {
			if err = writeFile(args[0], write); err == nil {
				p.talk("written: %s as it was brought in to %s", found.File, args[0])
			}
		}
		if errors.Is(err, keep.ErrNoBlob) {
			return fmt.Errorf("%s is not on this device: it was brought in on %s, and ampwright sync fetches it from a copy that has it", found.File, found.Device)
		}
		return err
	})(nil, nil)
}
