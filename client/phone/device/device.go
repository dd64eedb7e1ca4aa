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

// stored is a Device in JSON, with the fields of the laptop's device.json and one
// more.
type stored struct {
	Format  string    `json:"format"`
	Replica uuid.UUID `json:"replica"`
	Seed    []byte    `json:"seed"` // of the Ed25519 key, 32 bytes
	Device  string    `json:"device"`
	Person  string    `json:"person"`
	Writer  string    `json:"writer,omitempty"`
	Public  []byte    `json:"public,omitempty"` // the key's public half: to work it out of the seed takes a phone a tenth of a second
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
	return jsontext.Append(nil, stored{format, d.Replica, d.Key.Seed(), d.Name, d.Person, d.Writer, d.Key.Public().(ed25519.PublicKey)}), nil
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
	case len(s.Public) != 0 && len(s.Public) != ed25519.PublicKeySize:
		err = fmt.Errorf("a public key of %d bytes, want %d", len(s.Public), ed25519.PublicKeySize)
	}
	if err != nil {
		return Device{}, fmt.Errorf("read who this device is: %w", err)
	}
	key := ed25519.PrivateKey(append(s.Seed, s.Public...)) // RFC 8032's two halves, as crypto/ed25519 has them
	if len(s.Public) == 0 {                                // stored by an older version
		key = ed25519.NewKeyFromSeed(s.Seed)
	}
	return Device{s.Replica, key, s.Device, s.Person, s.Writer}, nil
}

func read(data []byte) (s stored, err error) {
	var replica, seed, public string
	texts := map[string]*string{"format": &s.Format, "replica": &replica, "seed": &seed, "device": &s.Device, "person": &s.Person, "writer": &s.Writer, "public": &public}
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
	if s.Public, err = base64.StdEncoding.DecodeString(public); err != nil {
		return s, fmt.Errorf("public: %w", err)
	}
	return s, nil
}

// Choose returns the identity under which a logbook with these heads is written
// on: the one stored (nil if there is none), or what fresh makes where that must not
// write. notice says what a person should hear of it; mostly "".
func Choose(data []byte, heads map[uuid.UUID][]model.Head, fresh func() (Device, error)) (d Device, notice string, err error) {
	if data == nil {
		if len(heads) > 0 {
			notice = "who this device is was missing from its storage" + goesOn
		}
		d, err = fresh()
		return d, notice, err
	}
	old, err := Decode(data)
	if err != nil {
		return Device{}, "", err
	}
	switch ends := len(heads[old.Replica]); {
	case ends == 1:
		return old, "", nil
	case len(heads) == 0:
		notice = "the logbook that was on this device is gone: its storage was emptied, by the browser or by hand. What was not on another device or in a file is lost"
	case ends == 0:
		notice = "the logbook on this device holds nothing that this device wrote: it was replaced"
	default:
		notice = "a copy of this device has written too"
	}
	d, err = fresh()
	d.Name, d.Person = old.Name, old.By()
	return d, notice + goesOn, err
}

const goesOn = "; it goes on as a new device, and what was written before stands as it was"
