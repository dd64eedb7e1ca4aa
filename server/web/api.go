package web

import (
	"bytes"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"ampwright/model"
	"ampwright/model/lines"
	"ampwright/sync/book"

	"github.com/google/uuid"
)

// An api answers the command line while the server holds the logbook.
type api struct {
	book  *book.Book
	token string
}

// guard lets in who holds the token. The comparison takes as long for any guess.
func (a api) guard(next http.HandlerFunc) http.Handler {
	want := sha256.Sum256([]byte(a.token))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		given, _ := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
		got := sha256.Sum256([]byte(given))
		if subtle.ConstantTimeCompare(got[:], want[:]) != 1 {
			w.Header().Set("WWW-Authenticate", "Bearer")
			answer(w, http.StatusUnauthorized, faults{{Want: "the token of this server is wanted"}})
			return
		}
		next(w, r)
	})
}

// A fault is one thing wrong with a request.
type fault struct {
	Field string `json:"field,omitempty"`
	Value string `json:"value,omitempty"`
	Want  string `json:"want"`
}

type faults []fault

// answer writes v as JSON; faults stand under "errors".
func answer(w http.ResponseWriter, status int, v any) {
	if f, ok := v.(faults); ok {
		v = struct {
			Errors faults `json:"errors"`
		}{f}
	}
	body, err := json.Marshal(v)
	if err != nil { // all that is answered is made of texts and numbers
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	w.Write(append(body, '\n'))
}

// lines sends the whole logbook, with its seals, as JSON Lines.
func (a api) lines(w http.ResponseWriter, r *http.Request) {
	var out bytes.Buffer
	var err error
	a.book.Read(func(l *model.Logbook) { err = lines.WriteLogbook(&out, l) })
	if err != nil {
		answer(w, http.StatusInternalServerError, faults{{Want: err.Error()}})
		return
	}
	w.Header().Set("Content-Type", "application/x-ndjson")
	w.Header().Set("Content-Length", strconv.Itoa(out.Len()))
	w.Write(out.Bytes())
}

// add brings in entries and their seals as JSON Lines, all or none.
func (a api) add(w http.ResponseWriter, r *http.Request) {
	raws, seals, err := lines.Read(r.Body)
	if err != nil {
		status := statusOf(err)
		if status == http.StatusBadRequest {
			status = http.StatusUnprocessableEntity
		}
		answer(w, status, faults{{Want: err.Error()}})
		return
	}
	added, err := a.book.Add(raws, seals...)
	if err != nil {
		answer(w, http.StatusUnprocessableEntity, faults{{Want: err.Error()}})
		return
	}
	answer(w, http.StatusOK, struct {
		Added int `json:"added"`
	}{added})
}

// A wishRequest is a wish as the command line sends it. Build is empty for what
// concerns the garage.
type wishRequest struct {
	Build  string              `json:"build"`
	Wish   string              `json:"wish"`
	Values map[string][]string `json:"values"`
	Person string              `json:"person"`
	Rows   []model.Row         `json:"rows,omitempty"` // of a sheet that is brought in
}

// A wishAnswer is what came of it.
type wishAnswer struct {
	Build   string   `json:"build,omitempty"`
	Entries []string `json:"entries"`
	Raised  []raised `json:"raised"`
	Stale   []stale  `json:"stale"`
}

type raised struct {
	Key  string `json:"key"`
	Kind string `json:"kind"`
	Text string `json:"text"`
}

type stale struct {
	Check string `json:"check"`
	Title string `json:"title"`
	Why   string `json:"why"`
}

// wish writes a wish down.
func (a api) wish(w http.ResponseWriter, r *http.Request) {
	var in wishRequest
	dec := json.NewDecoder(r.Body)
	dec.DisallowUnknownFields()
	if err := dec.Decode(&in); err != nil {
		answer(w, statusOf(err), faults{{Want: "want a JSON object with build, wish, values and person: " + err.Error()}})
		return
	}
	build := uuid.Nil
	if in.Build != "" {
		var err error
		if build, err = uuid.Parse(in.Build); err != nil {
			answer(w, http.StatusUnprocessableEntity, faults{{"build", in.Build, "want the UUID of a build of this logbook"}})
			return
		}
	}
	out, err := a.book.Do(build, model.Wish{Name: in.Wish, Values: in.Values, Rows: in.Rows}, in.Person)
	if err != nil {
		status, list := refusal(in, err)
		answer(w, status, list)
		return
	}
	answer(w, http.StatusOK, outcome(out))
}

// refusal turns an error of a wish into a status and its faults.
func refusal(in wishRequest, err error) (int, faults) {
	var wrong *model.WishError
	switch {
	case errors.As(err, &wrong):
		var list faults
		for _, f := range wrong.Fields {
			list = append(list, fault{f.Field, f.Value, f.Want})
		}
		return http.StatusUnprocessableEntity, list
	case errors.Is(err, model.ErrNoBuild):
		return http.StatusUnprocessableEntity, faults{{"build", in.Build, "want a build of this logbook"}}
	}
	return http.StatusInternalServerError, faults{{Want: fmt.Sprintf("%s was not written down: %v", in.Wish, err)}}
}

func outcome(out book.Outcome) wishAnswer {
	a := wishAnswer{Entries: []string{}, Raised: []raised{}, Stale: []stale{}}
	if out.Build != uuid.Nil {
		a.Build = out.Build.String()
	}
	for _, id := range out.Entries {
		a.Entries = append(a.Entries, id.String())
	}
	for _, f := range out.Raised {
		a.Raised = append(a.Raised, raised{f.Key, string(f.Kind), f.Text})
	}
	for _, c := range out.Stale {
		a.Stale = append(a.Stale, stale{c.ID, c.Title, c.Why()})
	}
	return a
}
