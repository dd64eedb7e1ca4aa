package web

import (
	"net/http"
	"time"
)

// invitation opens an invitation and answers with its text, which is a secret.
func invitation(open func() (string, time.Time)) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		text, until := open()
		answer(w, http.StatusOK, struct {
			Invitation string    `json:"invitation"`
			Until      time.Time `json:"until"`
		}{text, until})
	}
}
