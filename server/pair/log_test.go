package pair

import (
	"log/slog"
	"net/http"
	"strings"
	"testing"
	"time"

	"ampwright/server/web"

	"github.com/stretchr/testify/require"
)

// What somebody must be able to look up later is logged; no secret is, no token, and
// no word that a stranger or a person chose. ASVS 5.0, chapter 16.
func TestLog(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	v := k.window.View(time.Now())
	h := k.handset()
	invitation := h.pair() // in a window of its own
	typed := k.window.View(time.Now())
	token := h.token()
	host := k.host()
	phone := k.Phones().List()[0].ID
	cookie := "Cookie: __Host-phone=" + token
	require.Equal(t, http.StatusMisdirectedRequest, h.ask("GET /canary-path HTTP/1.1", "Host: canary-host.example", cookie))
	require.Equal(t, http.StatusForbidden, h.ask("POST / HTTP/1.1", "Host: "+host, cookie, "Content-Length: 0")) // no Origin
	require.Equal(t, http.StatusForbidden, h.ask("POST / HTTP/1.1", "Host: "+host, cookie, "Content-Length: 0", "Origin: https://canary-origin.example", "Sec-Fetch-Site: cross-site"))
	require.Equal(t, http.StatusUnauthorized, h.ask("GET /?q=canary-query HTTP/1.1", "Host: "+host, "Cookie: __Host-phone=canary-token"))
	k.at("do", "add", "by", "name")
	status, _, _ := h.knock("CANARYGUESS")
	require.Equal(t, http.StatusForbidden, status)
	k.at("do", "drop", "id", phone)

	log := k.log.text()
	for _, line := range []string{
		`msg="window opened for a phone"`, `msg="a phone knows the code"`, `msg="phone paired" phone=` + phone, `msg=refused for=host from=127.0.0.1`,
		`msg=refused for=origin from=127.0.0.1`, `msg=refused for=site from=127.0.0.1`, `msg=refused for=token`, `msg=refused for=proof`,
		`msg="phone lost its token" phone=` + phone + ` why="taken off here"`,
	} {
		require.Contains(t, log, line)
	}
	require.NotEmpty(t, v.Picture)
	for _, secret := range []string{v.Picture, v.Typed, typed.Picture, typed.Typed, token, invitation, "canary", "CANARY", "pocket phone", "Robin"} {
		if secret != "" {
			require.NotContains(t, log, secret)
		}
	}
}

// A stranger can't fill a disk with what is logged of him.
func TestSparing(t *testing.T) {
	now := time.Date(2026, 11, 20, 19, 30, 0, 0, time.UTC)
	out := new(lockedBuffer)
	log := web.Sparing(slog.NewTextHandler(out, nil), func() time.Time { return now })
	for range 1000 {
		log.Warn("refused")
		log.Info("phone paired")
	}
	require.Equal(t, 30, strings.Count(out.text(), "msg=refused"))
	require.Equal(t, 1000, strings.Count(out.text(), "phone paired"))
	now = now.Add(time.Minute)
	log.Warn("refused")
	require.Contains(t, out.text(), `"left out before"=970`)
}
