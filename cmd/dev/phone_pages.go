package main

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"ampwright/cmd/dev/chromium"
	"ampwright/model/demo"
)

// phonePictures photographs the way onto a phone: the laptop's page with the two
// codes, the phone's page on plain http, the one that pairs, the program itself. The
// codes are of a garage that is thrown away.
func phonePictures(ctx context.Context, browser, profile, address, invitation, out string) error {
	resp, err := http.Get(address + "/pair")
	if err != nil {
		return err
	}
	text, err := io.ReadAll(resp.Body)
	resp.Body.Close()
	if err != nil {
		return err
	}
	setup := regexp.MustCompile(`http://[^<"]+:\d+/`).Find(text)
	host := regexp.MustCompile(`https://(garage-\w+\.local)`).FindSubmatch(text)
	code := regexp.MustCompile(`[A-Z2-7]{26}`).FindString(invitation)
	if setup == nil || host == nil || code == "" {
		return fmt.Errorf("the laptop's page shows no codes, or %q is no invitation", invitation)
	}
	// The name is no public one, and the picture is not of the warning.
	b, err := chromium.Start(browser, profile, "--host-resolver-rules=MAP "+string(host[1])+" 127.0.0.1")
	if err != nil {
		return err
	}
	defer b.Kill()
	ctx, cancel := context.WithTimeout(ctx, 2*time.Minute)
	defer cancel()
	server := address[:strings.LastIndex(address, "/")]
	for _, p := range []struct {
		file, address string
		width, height int
		wait, then    string
	}{
		{"phone-laptop.png", address + "/pair", 760, 1220, `document.querySelectorAll("svg.code").length === 2`, ""},
		{"phone-trust.png", string(setup), 360, 640, `!!document.querySelector("a[download]")`, ""},
		{"phone-bench.png", server + "/phone/#invite=" + code + "&name=pocket+phone", 360, 640, `document.body.innerText.includes("linked with")`, "/phone/b/" + demo.Build.String() + "/"},
	} {
		page, err := b.Open(ctx, p.address, nil)
		if err != nil {
			return err
		}
		size := map[string]any{"width": p.width, "height": p.height, "deviceScaleFactor": 1, "mobile": p.width < 500}
		if err := page.Call(ctx, "Emulation.setDeviceMetricsOverride", size, nil); err != nil {
			return err
		}
		if err := page.Wait(ctx, p.wait); err != nil {
			return err
		}
		if p.then != "" {
			if err := page.Go(ctx, server+p.then); err != nil {
				return err
			}
			if err := page.Wait(ctx, `!!document.querySelector(".at-hand")`); err != nil {
				return err
			}
		}
		if err := page.Wait(ctx, `document.fonts.status === "loaded"`); err != nil {
			return err
		}
		if err := page.Eval(ctx, `document.activeElement?.blur()`, nil); err != nil {
			return err
		}
		var shot struct{ Data []byte }
		if err := page.Call(ctx, "Page.captureScreenshot", nil, &shot); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(out, p.file), shot.Data, 0o644); err != nil {
			return err
		}
		fmt.Println("wrote", filepath.Join(out, p.file))
	}
	return nil
}
