package main

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"time"

	"ampwright/server/garage"
	"ampwright/server/pair"
	"ampwright/server/socket"
)

// network has the desk answer other laptops on the local network and invites one,
// or, asked with on=false, has it answer them no longer.
func network(desk *pair.Desk, invitations *socket.Invitations) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		on := r.URL.Query().Get("on") == "true"
		at, err := desk.Laptops(on)
		if err != nil {
			w.Header().Set("Content-Type", "application/json")
			w.WriteHeader(http.StatusConflict)
			json.NewEncoder(w).Encode(map[string]any{"errors": []map[string]string{{"want": err.Error()}}})
			return
		}
		v := garage.Invitation{At: at}
		if on {
			v.Text, v.Until = invitations.Open(time.Now())
			v.Text = socket.Pinned(v.Text, desk.Pin())
		}
		w.Header().Set("Content-Type", "application/json")
		json.NewEncoder(w).Encode(v)
	}
}

// forLaptops answers links of programs, which send no Origin, where the desk
// answers laptops; all else is a phone's.
func forLaptops(desk *pair.Desk, laptops, phones http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == socket.Path && r.Method == http.MethodGet && len(r.Header["Origin"]) == 0 && desk.ForLaptops() {
			laptops.ServeHTTP(w, r)
			return
		}
		phones.ServeHTTP(w, r)
	})
}

// closers are closed one after the other.
type closers []io.Closer

func (c closers) Close() (err error) {
	for _, one := range c {
		err = errors.Join(err, one.Close())
	}
	return err
}
