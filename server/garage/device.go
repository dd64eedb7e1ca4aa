package garage

import (
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"ampwright/model"
	"ampwright/server/bolt"

	"github.com/google/uuid"
)

// deviceFile says who this copy of the logbook is. It never leaves the folder:
// the private key is in no database, export or backup.
const deviceFile = "device.json"

const deviceFormat = "ampwright-device/1"

// A Device is a replica's identity.
type Device struct {
	Replica uuid.UUID
	Key     ed25519.PrivateKey
	Name    string    // "garage laptop"
	Person  string    // who keeps it
	Was     uuid.UUID // the replica it continues under this name; zero for none
	Vouch   []byte    // what that one says of it, see [model.Vouch]; nil if its key was not here
	Mark    bolt.Mark // of the logbook's file it belongs to
}

// public returns the key that others know the replica by.
func (d Device) public() ed25519.PublicKey { return d.Key.Public().(ed25519.PublicKey) }

// deviceJSON is a Device on disk.
type deviceJSON struct {
	Format  string    `json:"format"`
	Replica uuid.UUID `json:"replica"`
	Seed    []byte    `json:"seed"` // of the Ed25519 key, 32 bytes
	Device  string    `json:"device"`
	Person  string    `json:"person"`
	Was     uuid.UUID `json:"was,omitzero"`
	Vouch   []byte    `json:"vouch,omitempty"`
	Mark    string    `json:"mark,omitempty"`
}

// ReadDevice returns the identity kept in dir. Without one the error is
// fs.ErrNotExist.
func ReadDevice(dir string) (Device, error) {
	path := filepath.Join(dir, deviceFile)
	data, err := os.ReadFile(path)
	if err != nil {
		return Device{}, err
	}
	var d deviceJSON
	if err := json.Unmarshal(data, &d); err != nil {
		return Device{}, deviceError(path, err.Error())
	}
	switch {
	case d.Format != deviceFormat:
		return Device{}, deviceError(path, fmt.Sprintf("format %q, want %q", d.Format, deviceFormat))
	case d.Replica == uuid.Nil:
		return Device{}, deviceError(path, "no replica")
	case len(d.Seed) != ed25519.SeedSize:
		return Device{}, deviceError(path, fmt.Sprintf("a seed of %d bytes, want %d", len(d.Seed), ed25519.SeedSize))
	}
	mark, err := hex.DecodeString(d.Mark)
	if err != nil || len(mark) != 0 && len(mark) != len(bolt.Mark{}) {
		return Device{}, deviceError(path, fmt.Sprintf("mark %q, want %d hexadecimal digits", d.Mark, 2*len(bolt.Mark{})))
	}
	device := Device{Replica: d.Replica, Key: ed25519.NewKeyFromSeed(d.Seed), Name: d.Device, Person: d.Person, Was: d.Was, Vouch: d.Vouch}
	copy(device.Mark[:], mark)
	return device, nil
}

func deviceError(path, what string) error {
	return fmt.Errorf("read %s: %s; move the file away and this copy goes on under a new replica name", path, what)
}

// renamed returns the device under a new replica name, with a new key.
func (d Device) renamed() (Device, error) {
	var err error
	d.Was = d.Replica
	if d.Replica, err = uuid.NewRandom(); err != nil {
		return d, err
	}
	public, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		return d, err
	}
	old := d.Key
	d.Key, d.Vouch = key, nil
	if old != nil {
		d.Vouch = model.Vouch(d.Was, old, d.Replica, public)
	}
	return d, nil
}

// write keeps the identity in dir, whole or not at all.
func (d Device) write(dir string) (err error) {
	data, err := json.MarshalIndent(deviceJSON{deviceFormat, d.Replica, d.Key.Seed(), d.Name, d.Person, d.Was, d.Vouch, d.Mark.String()}, "", "  ")
	if err != nil {
		return err
	}
	f, err := os.CreateTemp(dir, deviceFile+".*") // 0600
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(fmt.Errorf("write %s: %w", deviceFile, err), dropped(os.Remove(f.Name())))
		}
	}()
	_, err = f.Write(append(data, '\n'))
	err = errors.Join(err, f.Chmod(0o600), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	if err := os.Rename(f.Name(), filepath.Join(dir, deviceFile)); err != nil {
		return err
	}
	return syncDir(dir)
}

// dropped leaves out the error of removing what is gone already.
func dropped(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// ownNames returns what the operating system calls this device and its user,
// for a first use that names neither.
func ownNames() (device, person string) {
	device, person = "this device", "builder"
	if name, err := os.Hostname(); err == nil && name != "" {
		device = name
	}
	for _, key := range []string{"USER", "USERNAME"} {
		if name := strings.TrimSpace(os.Getenv(key)); name != "" {
			return device, name
		}
	}
	return device, person
}
