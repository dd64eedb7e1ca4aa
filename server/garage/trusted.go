package garage

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"ampwright/server/socket"
)

// trustedFile holds the certificate authorities of garages that invited this copy
// over the local network:
//
//	format       "ampwright-trusted/1"
//	authorities  a list of pins (see [socket.Pin]), 64 hexadecimal digits each
const trustedFile = "trusted.json"

const trustedFormat = "ampwright-trusted/1"

type trustedJSON struct {
	Format      string   `json:"format"`
	Authorities []string `json:"authorities"`
}

// Trusted returns the pins kept in the folder.
func (g *Garage) Trusted() (pins []socket.Pin, err error) {
	path := filepath.Join(g.dir, trustedFile)
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	wrong := func(what string) error {
		return fmt.Errorf("read %s: %s; move the file away and ask for a new invitation", path, what)
	}
	var j trustedJSON
	if err := json.Unmarshal(data, &j); err != nil {
		return nil, wrong(err.Error())
	}
	if j.Format != trustedFormat {
		return nil, wrong(fmt.Sprintf("format %q, want %q", j.Format, trustedFormat))
	}
	for _, text := range j.Authorities {
		b, err := hex.DecodeString(text)
		if err != nil || len(b) != len(socket.Pin{}) {
			return nil, wrong(fmt.Sprintf("authority %q, want %d hexadecimal digits", text, 2*len(socket.Pin{})))
		}
		pins = append(pins, socket.Pin(b))
	}
	return pins, nil
}

// Trust keeps a pin in the folder.
func (g *Garage) Trust(pin socket.Pin) error {
	pins, err := g.Trusted()
	if err != nil || slices.Contains(pins, pin) {
		return err
	}
	j := trustedJSON{Format: trustedFormat}
	for _, p := range append(pins, pin) {
		j.Authorities = append(j.Authorities, hex.EncodeToString(p[:]))
	}
	data, err := json.MarshalIndent(j, "", "  ")
	if err != nil {
		return err
	}
	return replace(filepath.Join(g.dir, trustedFile), append(data, '\n'))
}
