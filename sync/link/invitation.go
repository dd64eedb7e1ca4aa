package link

import (
	"encoding/base32"
	"errors"
	"fmt"
	"strings"
)

const invitationText = 26 // characters, for 16 bytes

// ParseInvitation reads the text of an invitation, in letters of either case,
// with or without blanks and hyphens in it, and returns its secret. The code is
// that of RFC 4648, section 6, without padding.
func ParseInvitation(text string) ([]byte, error) {
	text = strings.ToUpper(strings.NewReplacer(" ", "", "-", "", "\t", "").Replace(strings.TrimSpace(text)))
	if len(text) != invitationText {
		return nil, fmt.Errorf("invitation of %d characters, want %d", len(text), invitationText) // never the text: it is a secret
	}
	secret, err := base32.StdEncoding.WithPadding(base32.NoPadding).DecodeString(text)
	if err != nil {
		return nil, errors.New("invitation with other characters than letters and the digits 2 to 7")
	}
	return secret, nil
}
