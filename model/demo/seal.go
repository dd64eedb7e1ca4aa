package demo

import (
	"crypto/ed25519"
	"crypto/sha256"

	"ampwright/model"
)

// keyOf returns a device's private key, which anybody can make: nobody trusts the
// demo's keys.
func keyOf(device string) ed25519.PrivateKey {
	seed := sha256.Sum256([]byte("ampwright demo " + device))
	return ed25519.NewKeyFromSeed(seed[:])
}

// Seals seals the entries that [Heron] made.
func Seals(raws [][]byte) ([]model.Seal, error) {
	var seals []model.Seal
	for _, name := range []string{"laptop", "phone"} {
		var chain [][]byte
		for _, raw := range raws {
			link, err := model.LinkOf(raw)
			if err != nil {
				return nil, err
			}
			if link.Replica == devices[name].id {
				chain = append(chain, raw)
			}
		}
		more, err := model.SealCommit(chain, func(m []byte) []byte { return ed25519.Sign(keyOf(name), m) })
		if err != nil {
			return nil, err
		}
		seals = append(seals, more...)
	}
	return seals, nil
}
