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
	Address string    `json:"-"`  // of the server that made it
	At      []string  `json:"at"` // its addresses on the local network, for an invitation over that
}

// Invite asks the process that serves the garage in dir for an invitation. The
// error wraps [ErrNotServed] if there is none.
func Invite(dir string) (Invitation, error) { return invite(dir, "/api/invitation") }

func invite(dir, path string) (Invitation, error) {
	h, err := bolt.ReadHolder(dir)
	if err != nil || h.Address == "" {
		return Invitation{}, fmt.Errorf("%w: %s", ErrNotServed, dir)
	}
	if err := CheckLoopback(h.Address); err != nil {
		return Invitation{}, err
	}
	r := &Remote{address: h.Address, token: h.Token, client: newClient(answerWithin)}
	v := Invitation{Address: h.Address}
	if err := r.post(path, strings.NewReader(""), &v); err != nil {
		return Invitation{}, fmt.Errorf("ask %s for an invitation: %w", h.Address, err)
	}
	return v, nil
}

// InviteLaptop asks likewise for an invitation over the local network, on which
// the server then answers other laptops.
func InviteLaptop(dir string) (Invitation, error) { return invite(dir, "/api/network?on=true") }

// SendLaptopsAway has the server answer them no longer.
func SendLaptopsAway(dir string) error {
	_, err := invite(dir, "/api/network?on=false")
	return err
}
