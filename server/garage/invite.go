package garage

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"ampwright/server/bolt"
)

// ErrNotServed says that no process serves a garage.
var ErrNotServed = errors.New("nobody serves this garage")

// An Invitation lets one other device in.
type Invitation struct {
	Text    string    `json:"invitation"` // a secret
	Until   time.Time `json:"until"`
	Address string    `json:"-"` // of the server that made it
}

// Invite asks the process that serves the garage in dir for an invitation. The
// error wraps [ErrNotServed] if there is none.
func Invite(dir string) (Invitation, error) {
	h, err := bolt.ReadHolder(dir)
	if err != nil || h.Address == "" {
		return Invitation{}, fmt.Errorf("%w: %s", ErrNotServed, dir)
	}
	if err := CheckLoopback(h.Address); err != nil {
		return Invitation{}, err
	}
	r := &Remote{address: h.Address, token: h.Token, client: newClient(answerWithin)}
	v := Invitation{Address: h.Address}
	if err := r.post("/api/invitation", strings.NewReader(""), &v); err != nil {
		return Invitation{}, fmt.Errorf("ask %s for an invitation: %w", h.Address, err)
	}
	return v, nil
}
