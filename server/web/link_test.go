package web_test

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"ampwright/model/demo"
	"ampwright/server/web"

	"github.com/stretchr/testify/require"
)

// A link gets no further than a page under a name this server does not go by, and
// an invitation is for who holds the token.
func TestLinkAndInvitation(t *testing.T) {
	s := heron(t)
	linked, invited := 0, 0
	h := web.New(web.Config{
		Book: s.book, Hosts: []string{host}, Token: token,
		Link:   http.HandlerFunc(func(http.ResponseWriter, *http.Request) { linked++ }),
		Invite: func() (string, time.Time) { invited++; return "GAYTEMZUGU3DOOBZMFRGGZDFMY", demo.End },
	})
	for _, tt := range []struct {
		method, path, host, token, origin string
		want                              int
	}{
		{"GET", "/link", host, "", "", http.StatusOK},
		{"GET", "/link", "example.net", "", "", http.StatusMisdirectedRequest},
		{"GET", "/link", "127.0.0.1:8470", "", "", http.StatusMisdirectedRequest},
		{"POST", "/link", host, "", "", http.StatusUnsupportedMediaType}, // to the pages
		{"POST", "/api/invitation", host, token, "", http.StatusOK},
		{"POST", "/api/invitation", host, "", "", http.StatusUnauthorized},
		{"POST", "/api/invitation", host, "another", "", http.StatusUnauthorized},
		{"POST", "/api/invitation", host, token, "http://example.net", http.StatusForbidden},
		{"GET", "/api/invitation", host, token, "", http.StatusNotFound},
	} {
		r := httptest.NewRequest(tt.method, tt.path, strings.NewReader(""))
		r.Host = tt.host
		if tt.token != "" {
			r.Header.Set("Authorization", "Bearer "+tt.token)
		}
		if tt.origin != "" {
			r.Header.Set("Origin", tt.origin)
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		require.Equal(t, tt.want, w.Code, tt)
		if tt.path == "/api/invitation" && tt.want == http.StatusOK {
			body, err := io.ReadAll(w.Body)
			require.NoError(t, err)
			var got map[string]string
			require.NoError(t, json.Unmarshal(body, &got))
			require.Equal(t, map[string]string{"invitation": "GAYTEMZUGU3DOOBZMFRGGZDFMY", "until": demo.End.Format(time.RFC3339)}, got)
			require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
		}
	}
	require.Equal(t, []int{1, 1}, []int{linked, invited})
}
