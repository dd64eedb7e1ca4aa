package garage

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
)

// A SyncAsk is an exchange with another copy that the process which serves the
// garage is to make.
type SyncAsk struct {
	Address    string `json:"address"`
	Invitation string `json:"invitation,omitempty"` // its text
	Stay       bool   `json:"stay,omitempty"`
	JSON       bool   `json:"json,omitempty"` // answers are wanted in JSON
}

// A SyncEvent is one thing of such an exchange, as it happens.
type SyncEvent struct {
	Out  string `json:"out,omitempty"`  // for the standard output
	Talk string `json:"talk,omitempty"` // for the standard error
	Exit *int   `json:"exit,omitempty"` // the code it ended with; the last event
}

// Sync has the server make an exchange and calls f with what it says until it is
// over or ctx is done; then the server ends it. It returns the exit code.
func (r *Remote) Sync(ctx context.Context, ask SyncAsk, f func(SyncEvent)) (exit int, err error) {
	body, err := json.Marshal(ask)
	if err != nil {
		return 0, err
	}
	long := *r
	long.client = newClient(0) // until ctx is done
	resp, err := long.askUntil(ctx, http.MethodPost, "/api/sync", bytes.NewReader(body))
	if err != nil {
		return 0, err
	}
	defer resp.Body.Close()
	for events := json.NewDecoder(resp.Body); ; {
		var e SyncEvent
		switch err := events.Decode(&e); {
		case errors.Is(err, io.EOF):
			return 0, fmt.Errorf("%s ended before the exchange did", r.address)
		case err != nil:
			return 0, fmt.Errorf("read what %s says of the exchange: %w", r.address, err)
		case e.Exit != nil:
			return *e.Exit, nil
		}
		f(e)
	}
}
