//go:build browser

package pair

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"testing"
	"time"

	"ampwright/cmd/dev/chromium"

	"github.com/stretchr/testify/require"
)

// The page on the phone, in Chromium, by the picture's address and by hand. The
// browser is told the server's key in place of the authority: this tests the
// script and the policy it runs under, not the phone's trust.
func TestPairInBrowser(t *testing.T) {
	k := newGarage(t)
	k.at("do", "add", "by", "name")
	leaf, err := k.authority.certificate(time.Now(), nil)
	require.NoError(t, err)
	key := sha256.Sum256(leaf.Leaf.RawSubjectPublicKeyInfo)
	path, err := chromium.Path()
	require.NoError(t, err)
	dir, err := os.MkdirTemp("", "ampwright-pair-")
	require.NoError(t, err)
	defer os.RemoveAll(dir)
	b, err := chromium.Start(path, dir, "--host-resolver-rules=MAP "+k.authority.Name+" 127.0.0.1", "--ignore-certificate-errors-spki-list="+base64.StdEncoding.EncodeToString(key[:]))
	require.NoError(t, err)
	defer b.Kill()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()

	for i := range 2 {
		k.at("do", "add", "by", "name")
		v := k.window.View(time.Now())
		address := k.origin() + "/pair"
		if i == 0 {
			address += "#" + v.Picture
		}
		page, err := b.Open(ctx, "about:blank", nil)
		require.NoError(t, err)
		// The phone's program, where it is built, takes the invitation out of the address.
		require.NoError(t, page.Call(ctx, "Page.addScriptToEvaluateOnNewDocument", map[string]string{"source": `globalThis.came = location.hash`}, nil))
		require.NoError(t, page.Go(ctx, address))
		require.NoError(t, page.Wait(ctx, `!document.getElementById("ask").hidden`))
		if i == 0 {
			require.NoError(t, page.Eval(ctx, `document.getElementById("ask").requestSubmit()`, nil))
		} else {
			typed, err := json.Marshal(v.Typed[:5] + " " + v.Typed[5:])
			require.NoError(t, err)
			require.NoError(t, page.Eval(ctx, fmt.Sprintf(`{
				const form = document.getElementById("ask");
				form.elements.code.value = %s.toLowerCase(); form.elements.name.value = "bench phone"; form.requestSubmit();
			}`, typed), nil))
		}
		require.NoError(t, page.Wait(ctx, `/^\d{6}$/.test(document.getElementById("digits").textContent)`))
		var shown, at string
		require.NoError(t, page.Eval(ctx, `document.getElementById("digits").textContent`, &shown))
		require.NoError(t, page.Eval(ctx, `location.href`, &at))
		require.NotContains(t, at, v.Picture) // nor in the history
		laptop := k.at()
		require.Equal(t, shown, find(t, laptop, `<b>(\d{6})</b>`))
		require.Contains(t, laptop, []string{"<b>phone</b>", "<b>bench phone</b>"}[i])
		k.at("do", "same", "id", find(t, laptop, `name="id" value="(\w+)"`))
		require.NoError(t, page.Wait(ctx, `location.pathname === "/phone/this" && /^#invite=[A-Z2-7]{26}&name=\w+/.test(came)`))
		require.Len(t, k.Phones().List(), i+1)
		for _, f := range page.Faults() {
			require.Contains(t, f, "/phone/this", f) // the program may not be built here
		}

		home, err := b.Open(ctx, k.origin()+"/", nil)
		require.NoError(t, err)
		require.NoError(t, home.Wait(ctx, `!!document.querySelector("main")`)) // the garage's own, by the cookie
		var cookies string
		require.NoError(t, home.Eval(ctx, `document.cookie`, &cookies))
		require.Empty(t, cookies) // no script reads it
	}
}

// What the laptop shows works without scripts, under the policy.
func TestLaptopInBrowser(t *testing.T) {
	k := newGarage(t)
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Host = laptopHost
		k.laptop.ServeHTTP(w, r)
	}))
	defer s.Close()
	k.at("do", "add", "by", "name")
	path, err := chromium.Path()
	require.NoError(t, err)
	dir, err := os.MkdirTemp("", "ampwright-pair-")
	require.NoError(t, err)
	defer os.RemoveAll(dir)
	b, err := chromium.Start(path, dir)
	require.NoError(t, err)
	defer b.Kill()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	page, err := b.Open(ctx, s.URL+"/pair", nil)
	require.NoError(t, err)
	for _, width := range []int{320, 1280} {
		require.NoError(t, page.Call(ctx, "Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": false}, nil))
		require.NoError(t, page.Wait(ctx, `document.querySelectorAll("svg").length === 2`))
		var wide []string
		require.NoError(t, page.Eval(ctx, `[...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > innerWidth).map(e => e.tagName + " " + e.textContent.slice(0, 60))`, &wide))
		require.Empty(t, wide, width) // WCAG 2.2, 1.4.10
		var over []int
		require.NoError(t, page.Eval(ctx, `[document.documentElement.scrollWidth, innerWidth]`, &over))
		require.LessOrEqual(t, over[0], over[1])
	}
	require.Empty(t, page.Faults())
	if to := os.Getenv("AMPWRIGHT_PICTURE"); to != "" {
		var shot struct{ Data []byte }
		require.NoError(t, page.Call(ctx, "Page.captureScreenshot", map[string]any{"captureBeyondViewport": true}, &shot))
		require.NoError(t, os.WriteFile(to, shot.Data, 0o600))
	}
}
