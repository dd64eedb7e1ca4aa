package socket

import (
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/base32"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// A Pin names a garage's certificate authority: the SHA-256 of the certificate
// that signs its server's, in DER. Who has it from the garage itself needs no
// other authority's word for that server.
type Pin [sha256.Size]byte

// pinnedText is how many characters an invitation has that a pin follows.
const pinnedText = ((secretSize+sha256.Size)*8 + 4) / 5

// Pinned returns an invitation, as [Invitations.Open] made it, with a pin behind
// its secret: what a laptop on the local network needs to know.
func Pinned(invitation string, pin Pin) string {
	secret, err := secretCode.DecodeString(invitation)
	if err != nil {
		panic(err) // it is ours
	}
	return secretCode.EncodeToString(append(secret, pin[:]...))
}

// ParsePinned reads an invitation with or without a pin, as [ParseInvitation]
// does. pin is nil without one.
func ParsePinned(text string) (secret []byte, pin *Pin, err error) {
	plain := strings.ToUpper(strings.NewReplacer(" ", "", "-", "", "\t", "").Replace(strings.TrimSpace(text)))
	if len(plain) != pinnedText {
		if secret, err = ParseInvitation(plain); err != nil && len(plain) > 0 {
			err = fmt.Errorf("%w, or %d with a garage on the local network", err, pinnedText)
		}
		return secret, nil, err
	}
	both, err := base32.StdEncoding.WithPadding(base32.NoPadding).DecodeString(plain)
	if err != nil {
		return nil, nil, errors.New("invitation with other characters than letters and the digits 2 to 7")
	}
	return both[:secretSize], (*Pin)(both[secretSize:]), nil
}

// pinned returns the TLS config for a server whose authority is one of pins, or
// one that this computer trusts.
func pinned(host string, pins []Pin) *tls.Config {
	return &tls.Config{
		MinVersion: tls.VersionTLS13, ServerName: host,
		InsecureSkipVerify: true, // VerifyConnection verifies
		VerifyConnection: func(s tls.ConnectionState) error {
			leaf, rest := s.PeerCertificates[0], s.PeerCertificates[1:]
			for _, c := range rest {
				if slices.Contains(pins, Pin(sha256.Sum256(c.Raw))) { // it may stand for its one name alone, and by any address
					roots := x509.NewCertPool()
					roots.AddCert(c)
					_, err := leaf.Verify(x509.VerifyOptions{Roots: roots, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}})
					return err
				}
			}
			others := x509.NewCertPool()
			for _, c := range rest {
				others.AddCert(c)
			}
			_, err := leaf.Verify(x509.VerifyOptions{Intermediates: others, DNSName: host})
			return err
		},
	}
}
