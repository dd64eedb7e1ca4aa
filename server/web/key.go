package web

import (
	"crypto/sha256"
	"crypto/subtle"
	"net/http"
	"strings"

	"ampwright/client/static"
)

// locked lets in whose path begins with the key. A page needs no script for that,
// and unlike a cookie a path goes to no other port of this computer. It stands in
// the browser's history, and is good until the server ends.
func locked(key string, next http.Handler) http.Handler {
	if key == "" {
		return next
	}
	want := sha256.Sum256([]byte(key))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		given, _, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
		got := sha256.Sum256([]byte(given))
		if subtle.ConstantTimeCompare(got[:], want[:]) != 1 {
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			w.WriteHeader(http.StatusUnauthorized)
			w.Write(noKey)
			return
		}
		next.ServeHTTP(w, r)
	})
}

var noKey = []byte(`<!doctype html>
<html lang="en" data-theme="auto"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>no key</title>
<link rel="stylesheet" href="/static/` + static.Name("look.css") + `">
<body><div class="sheet"><main><h1>This address is not complete</h1>
<p>Open the one that <b>ampwright serve</b> has printed: the word at its end is a key, made anew at each start, which keeps out what else runs on
this computer.</p></main></div></body>
</html>
`)
