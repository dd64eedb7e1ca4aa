package web_test

import (
	"net/http"
	"strings"
	"testing"

	"ampwright/client/pages"
	"ampwright/model/plan"
	"ampwright/server/web"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// Another program or user of this computer, and a page that one of them serves on
// another port, know the address but not the key. ASVS 5.0, 3.5.4: what two
// applications of one host share they can take from each other, so no cookie is
// set, which would go to all ports (RFC 6265, 8.5).
func TestKey(t *testing.T) {
	s := heron(t)
	const key = "WLgyRl9TjQqo_C-3bnmzzg"
	site, err := pages.New(pages.Config{Book: s.book, Plans: plan.Editions(), Once: uuid.NewString, Base: "/" + key})
	require.NoError(t, err)
	paired := 0
	s.Handler = web.New(web.Config{
		Site: site, Book: s.book, Hosts: []string{host}, Token: token, Key: key,
		Pair: http.HandlerFunc(func(http.ResponseWriter, *http.Request) { paired++ }),
	})
	typed := map[string]string{"Content-Type": formType, "Sec-Fetch-Site": "same-origin"}
	before := s.entries()
	for _, base := range []string{"", "/" + key[:21], "/" + key + "x", "/" + strings.ToLower(key), "/x/" + key, "/%2f" + key} {
		for _, path := range []string{"/", bench, bench + "settings", "/pair"} {
			r := s.do(call{"GET", base + path, "", "", nil})
			require.Equal(t, 401, r.StatusCode, base+path)
			require.NotContains(t, body(t, r), "Heron")
			require.Empty(t, r.Header.Get("Set-Cookie"))
		}
		require.Equal(t, 401, s.do(call{"POST", base + bench + "write/note", "", form("text", "x"), typed}).StatusCode, base)
	}
	require.Equal(t, before, s.entries())
	require.Zero(t, paired)

	r := s.do(call{"GET", "/" + key + bench, "", "", nil})
	require.Equal(t, 200, r.StatusCode)
	require.Empty(t, r.Header.Get("Set-Cookie"))
	require.Equal(t, "no-referrer", r.Header.Get("Referrer-Policy")) // a link out does not tell the key
	text := body(t, r)
	require.Contains(t, text, "Heron")
	for _, attribute := range strings.Split(text, " ") {
		for _, at := range []string{"href=\"/", "action=\"/"} {
			if rest, ok := strings.CutPrefix(attribute, at); ok && !strings.HasPrefix(rest, "static/") {
				require.True(t, strings.HasPrefix(rest, key+"/"), attribute)
			}
		}
	}
	require.Equal(t, 303, s.do(call{"POST", "/" + key + bench + "write/note", "", form("text", "x"), typed}).StatusCode)
	require.Equal(t, before+1, s.entries())
	require.Equal(t, 200, s.do(call{"GET", "/" + key + "/pair", "", "", nil}).StatusCode)
	require.Equal(t, 1, paired)
	require.Equal(t, 421, s.do(call{"GET", "/" + key + bench, "evil.example", "", nil}).StatusCode)
}
