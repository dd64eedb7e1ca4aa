// Package device is who a phone's copy of the logbook is: the name of its
// replica, and its key.
package device

import (
	"cmp"
	"crypto/ed25519"
	"encoding/base64"
	"fmt"
	"io"

	"ampwright/model"
	"ampwright/model/jsontext"

	"github.com/google/uuid"
)

const format = "ampwright-device/1"

// A Device is a replica's identity.
type Device struct {
	Replica uuid.UUID
	Key     ed25519.PrivateKey
	Name    string // "phone"
	Person  string // who kept it when it first wrote
	Writer  string // who writes on it now, if that is another; "" for Person
}

// By returns who writes on the device now.
func (d Device) By() string { return cmp.Or(d.Writer, d.Person) }

// stored is a Device in JSON, with the fields of the laptop's device.json.
type stored struct {
	Format  string    `json:"format"`
	Replica uuid.UUID `json:"replica"`
	Seed    []byte    `json:"seed"` // of the Ed25519 key, 32 bytes
	Device  string    `json:"device"`
	Person  string    `json:"person"`
	Writer  string    `json:"writer,omitempty"`
}

// New makes an identity with chance from random.
func New(name, person string, random io.Reader) (Device, error) {
	id, err := uuid.NewRandomFromReader(random)
	if err != nil {
		return Device{}, err
	}
	seed := make([]byte, ed25519.SeedSize)
	if _, err := io.ReadFull(random, seed); err != nil {
		return Device{}, err
	}
	return Device{Replica: id, Key: ed25519.NewKeyFromSeed(seed), Name: name, Person: person}, nil
}

// Sign signs a message with the device's key.
func (d Device) Sign(message []byte) []byte { return ed25519.Sign(d.Key, message) }

// Encode returns what is to be stored of d. It holds the private key.
func (d Device) Encode() ([]byte, error) {
	return jsontext.Append(nil, stored{format, d.Replica, d.Key.Seed(), d.Name, d.Person, d.Writer}), nil
}

// Decode reads what Encode returned.
func Decode(data []byte) (Device, error) {
	s, err := read(data)
	switch {
	case err != nil:
	case s.Format != format:
		err = fmt.Errorf("format %q, want %q", s.Format, format)
	case s.Replica == uuid.Nil:
		err = fmt.Errorf("no replica")
	case len(s.Seed) != ed25519.SeedSize:
		err = fmt.Errorf("a seed of %d bytes, want %d", len(s.Seed), ed25519.SeedSize)
	}
	if err != nil {
		return Device{}, fmt.Errorf("read who this device is: %w", err)
	}
	return Device{s.Replica, ed25519.NewKeyFromSeed(s.Seed), s.Device, s.Person, s.Writer}, nil
}

func read(data []byte) (s stored, err error) {
	var replica, seed string
	texts := map[string]*string{"format": &s.Format, "replica": &replica, "seed": &seed, "device": &s.Device, "person": &s.Person, "writer": &s.Writer}
	err = jsontext.Fields(data, func(name string, v jsontext.Token) (err error) {
		if to := texts[name]; to != nil {
			*to, err = v.As(name)
		}
		return err
	})
	if err != nil || s.Format != format || replica == "" { // then the rest means nothing
		return s, err
	}
	if err := s.Replica.UnmarshalText([]byte(replica)); err != nil {
		return s, fmt.Errorf("replica: %w", err)
	}
	if s.Seed, err = base64.StdEncoding.DecodeString(seed); err != nil {
		return s, fmt.Errorf("seed: %w", err)
	}
	return s, nil
}

// Choose returns the identity under which a logbook with these heads is written
// on: the one stored (nil if there is none), or fresh where that must not write.
// notice says what a person should hear of it; mostly "".
func Choose(data []byte, heads map[uuid.UUID][]model.Head, fresh Device) (d Device, notice string, err error) {
	if data == nil {
		if len(heads) > 0 {
			notice = "who this device is was missing from its storage" + goesOn
		}
		return fresh, notice, nil
	}
	old, err := Decode(data)
	if err != nil {
		return Device{}, "", err
	}
	fresh.Name, fresh.Person = old.Name, old.By()
	switch ends := len(heads[old.Replica]); {
	case ends == 1:
		return old, "", nil
	case len(heads) == 0:
		return fresh, "the logbook that was on this device is gone: its storage was emptied, by the browser or by hand. What was not on another device or in a file is lost" + goesOn, nil
	case ends == 0:
		return fresh, "the logbook on this device holds nothing that this device wrote: it was replaced" + goesOn, nil
	}
	return fresh, "a copy of this device has written too" + goesOn, nil
}

const goesOn = "; it goes on as a new device, and what was written before stands as it was"
