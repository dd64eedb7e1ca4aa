package socket

import (
	"bytes"
	"crypto/rand"
	"encoding/base32"
	"errors"
	"sync"
	"time"

	"ampwright/sync/link"
	"ampwright/sync/session"
)

// An invitation is good for so long, for so many wrong attempts, and for the
// first device that takes it up.
const (
	InvitationTime  = 5 * time.Minute
	InvitationTries = 5
)

const secretSize = 16 // bytes

var secretCode = base32.StdEncoding.WithPadding(base32.NoPadding) // RFC 4648

// ParseInvitation reads the text of an invitation, as [link.ParseInvitation] does.
func ParseInvitation(text string) ([]byte, error) { return link.ParseInvitation(text) }

// Invitations holds at most one, in memory alone. It is safe for concurrent use.
// The zero Invitations holds none.
type Invitations struct {
	mu     sync.Mutex
	secret []byte // nil for none
	until  time.Time
	failed int
	key    []byte // of the device that took it up
}

// Open makes an invitation in place of the last and returns its text.
func (v *Invitations) Open(now time.Time) (text string, until time.Time) {
	v.mu.Lock()
	defer v.mu.Unlock()
	secret := make([]byte, secretSize)
	rand.Read(secret) // never fails
	v.secret, v.until, v.failed, v.key = secret, now.Add(InvitationTime), 0, nil
	return secretCode.EncodeToString(secret), v.until
}

// Secret returns the secret of the invitation that is good now, nil for none.
func (v *Invitations) Secret(now time.Time) []byte {
	v.mu.Lock()
	defer v.mu.Unlock()
	if !now.Before(v.until) {
		v.secret = nil
	}
	return v.secret
}

// Take lets a device in that has proven its key and that it knows secret. The
// same device may come back while the invitation is good: its first link may
// break before it has said anything.
func (v *Invitations) Take(p session.Peer, secret []byte, now time.Time) error {
	v.mu.Lock()
	defer v.mu.Unlock()
	switch {
	case v.secret == nil || !bytes.Equal(v.secret, secret) || !now.Before(v.until):
		return errors.New("the invitation is no longer good")
	case v.key != nil && !bytes.Equal(v.key, p.Key):
		return errors.New("another device has taken up the invitation")
	}
	v.key = p.Key
	return nil
}

// Failed counts an attempt with a wrong secret, while secret was the right one.
// The last closes the invitation. A link ends some time after it failed: what it
// tried at an invitation of before says nothing of the one that is open now.
func (v *Invitations) Failed(secret []byte) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.secret == nil || !bytes.Equal(v.secret, secret) {
		return
	}
	if v.failed++; v.failed >= InvitationTries {
		v.secret = nil
	}
}
