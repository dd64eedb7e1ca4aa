package pair

import (
	"bytes"
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"html/template"
	"net/http"
	"strings"
	"unicode"

	"ampwright/server/web"

	_ "embed"
)

const (
	// cookie bears a phone's token. __Host- holds it to this host, over TLS, for
	// all paths (RFC 6265bis, 4.1.3.2).
	cookie     = "__Host-phone"
	cookieDays = 400  // the most that browsers keep one (RFC 6265bis, 5.5)
	maxSockets = 8    // of one phone
	maxSaid    = 4096 // bytes of what a phone says in pairing
	maxName    = 40   // letters
)

// Gate lets paired phones through to next, and ends their requests once they are
// off the list.
func (d *Desk) Gate(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		token := ""
		if c, err := r.Cookie(cookie); err == nil {
			token = c.Value
		}
		phone, here, ok := d.phones.Enter(token, d.cfg.Now())
		if !ok {
			if token != "" { // without one it is no attack: a phone that is not paired yet
				web.NoteRefusal(d.cfg.Log, r, "token")
			}
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			w.WriteHeader(http.StatusUnauthorized)
			w.Write(stranger)
			return
		}
		if r.Header.Get("Upgrade") != "" {
			if !d.phones.socket(phone.ID, 1) {
				http.Error(w, "this phone has too many sockets open, at most 8 are possible", http.StatusTooManyRequests)
				return
			}
			defer d.phones.socket(phone.ID, -1)
		}
		ctx, end := context.WithCancel(context.WithValue(r.Context(), phoneKey{}, phone))
		defer end()
		defer context.AfterFunc(here, end)()
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

// stranger is what a phone sees that has no token.
var stranger = []byte(`<!doctype html>
<html lang="en" data-theme="auto">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>not paired</title><link rel="stylesheet" href="` + look.CSS + `"><link rel="icon" href="` + look.Icon + `" type="image/svg+xml"></head>
<body><div class="sheet"><main>
<h1>This phone is not paired</h1>
<p>At the laptop, on the page settings, choose <b>add a phone</b>; then type the code it shows on the next page.</p>
<p><a class="btn" href="/pair">type the code</a></p>
</main></div></body>
</html>
`)

//go:embed phone.html
var phoneSource string

var phoneTemplate = template.Must(template.New("phone").Parse(phoneSource))

//go:embed pair.js
var phoneScript []byte

// Phone answers at /pair on the local network.
func (d *Desk) Phone() http.Handler {
	mux := http.NewServeMux()
	file := func(kind string, body []byte) http.HandlerFunc {
		return func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Type", kind)
			w.Write(body)
		}
	}
	var page bytes.Buffer
	if err := phoneTemplate.Execute(&page, look); err != nil {
		panic(err) // it is given nothing from outside
	}
	mux.HandleFunc("GET /pair", file("text/html; charset=utf-8", page.Bytes()))
	mux.HandleFunc("GET /pair/pair.js", file("text/javascript; charset=utf-8", phoneScript))
	mux.HandleFunc("POST /pair/knock", d.knock)
	mux.HandleFunc("POST /pair/wait", d.wait)
	return mux
}

// knock takes {name, nonce, proof} and answers {id, nonce}.
func (d *Desk) knock(w http.ResponseWriter, r *http.Request) {
	var in struct{ Name, Nonce, Proof string }
	if !hear(w, r, &in) {
		return
	}
	nonce, err := parseHex("a nonce", in.Nonce, nonceSize)
	if err != nil {
		refuse(w, http.StatusBadRequest, err)
		return
	}
	proof, err := parseHex("a proof", in.Proof, 32)
	if err != nil {
		refuse(w, http.StatusBadRequest, err)
		return
	}
	id, answer, err := d.window.Knock(plainName(in.Name), nonce, proof, d.cfg.Now())
	if err != nil {
		web.NoteRefusal(d.cfg.Log, r, "proof")
		refuse(w, http.StatusForbidden, err)
		return
	}
	d.cfg.Log.Info("a phone knows the code")
	say(w, http.StatusOK, map[string]any{"id": id, "nonce": hex.EncodeToString(answer)})
}

// wait takes {id} and answers 202 until a person has answered at the laptop, then
// {invitation, person} and the cookie.
func (d *Desk) wait(w http.ResponseWriter, r *http.Request) {
	var in struct{ ID string }
	if !hear(w, r, &in) {
		return
	}
	name, ok, err := d.window.Collect(in.ID, d.cfg.Now())
	if err != nil {
		refuse(w, http.StatusForbidden, err)
		return
	}
	if !ok {
		say(w, http.StatusAccepted, map[string]any{})
		return
	}
	token, err := d.phones.Add(name, d.cfg.Now())
	if err != nil {
		refuse(w, http.StatusInternalServerError, err)
		return
	}
	if phone, _, ok := d.phones.Enter(token, d.cfg.Now()); ok {
		d.cfg.Log.Info("phone paired", "phone", phone.ID)
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookie, Value: token, Path: "/", MaxAge: cookieDays * 24 * 3600, Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
	say(w, http.StatusOK, map[string]any{"invitation": d.cfg.Invite(), "person": d.cfg.Person})
	d.mu.Lock()
	defer d.mu.Unlock()
	d.settle() // nothing of it is this phone's concern
}

func hear(w http.ResponseWriter, r *http.Request, v any) bool {
	err := json.NewDecoder(http.MaxBytesReader(w, r.Body, maxSaid)).Decode(v)
	if err != nil {
		refuse(w, http.StatusBadRequest, errors.New("want a JSON object of texts"))
	}
	return err == nil
}

func refuse(w http.ResponseWriter, status int, err error) {
	say(w, status, map[string]any{"error": err.Error()})
}

func say(w http.ResponseWriter, status int, v map[string]any) {
	body, err := json.Marshal(v)
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	w.Write(body)
}

// plainName cuts what a phone calls itself to letters that can be shown.
func plainName(s string) string {
	s = strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if unicode.IsGraphic(r) {
			return r
		}
		return ' '
	}, s)), " ")
	if letters := []rune(s); len(letters) > maxName {
		s = string(letters[:maxName])
	}
	if s == "" {
		return "a phone"
	}
	return s
}
