//go:build browser

package browser

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ampwright/model/demo"

	"github.com/stretchr/testify/require"
)

var bench = "b/" + demo.Build.String() + "/"

// readied is a garage in which all that the list stands on has been taken.
func readied(t *testing.T) *program {
	t.Helper()
	p := newProgram(t)
	g := p.open()
	for _, it := range upstream {
		value := strings.Join(it.values, " ")
		switch {
		case it.seen != "":
			wish(t, g, "read", "check", it.check, "value", "yes", "seen", it.seen, "witness", "Ina")
		case value == "":
			wish(t, g, "read", "check", it.check, "value", "photo")
		default:
			wish(t, g, "read", "check", it.check, "value", value, "sure", "yes")
		}
	}
	require.NoError(t, g.Close())
	p.start()
	return p
}

// The commissioning of the demo, 59 items by taps alone: on the laptop's pages, while
// the server is killed twice; there once more by the keyboard alone; then on a phone
// that the laptop is away from, while the browser is killed twice. The records hold
// all that was typed, and say the same.
func TestWalk(t *testing.T) {
	t.Setenv("TZ", "Europe/Berlin") // for Chromium
	var laptop map[string]line
	t.Run("laptop", func(t *testing.T) { laptop = walkLaptop(t, false) })
	t.Run("keyboard", func(t *testing.T) { requireSame(t, laptop, walkLaptop(t, true)) })
	t.Run("phone", func(t *testing.T) { requireSame(t, laptop, walkPhone(t)) })
}

func requireSame(t *testing.T, laptop, other map[string]line) {
	t.Helper()
	if laptop != nil { // else it was not asked for
		require.Equal(t, laptop, other)
	}
}

func walkLaptop(t *testing.T, keys bool) map[string]line {
	p, w := readied(t), newWindow(t)
	f := newThumb(t, w, p.home+bench+"walk/commissioning")
	if f.keys = keys; !keys {
		f.axe = axed(t, w.ctx, f.page)
	}
	f.wait(`document.readyState === "complete"`)
	walk := &walker{thumb: f}
	walk.away = func() {
		t.Helper()
		p.kill()
		p.moment = p.moment.Add(10 * time.Minute)
		p.start()
		require.NoError(t, f.page.Go(f.ctx, p.home+bench+"walk/commissioning"))
		f.wait(`document.readyState === "complete"`)
	}
	walk.commission()
	require.Empty(t, faults(f))
	lines := p.record()
	p.requireAll(lines)
	return lines
}

func walkPhone(t *testing.T) map[string]line {
	p, w := readied(t), newWindow(t)
	clock := demo.End.Sub(time.Now()) // by how much the phone's is beside this machine's
	open := func(address string) *thumb {
		t.Helper()
		f := newThumb(t, w, "about:blank")
		require.NoError(t, f.page.InWorkers(w.ctx, fmt.Sprintf(`{
			const real = Date;
			globalThis.Date = class extends real {
				constructor(...at) { at.length ? super(...at) : super(real.now() + %d); }
				static now() { return real.now() + %d; }
			};
		}`, clock.Milliseconds(), clock.Milliseconds())))
		require.NoError(t, f.page.Go(w.ctx, "http://"+p.addr+"/phone/"+address))
		f.wait(`document.readyState !== "loading" && document.querySelector("main h1") && !document.body.innerText.includes("Opening the logbook")`)
		return f
	}
	f := open("#invite=" + p.invite())
	f.wait(`navigator.serviceWorker.controller?.state === "activated"`)
	f.wait(`main().includes("no entry is on this device only") && !main().includes("1 here;")`)
	p.kill()
	*f = *open(bench + "walk/commissioning")
	walk := &walker{thumb: f}
	var said []string
	walk.away = func() {
		t.Helper()
		said = append(said, faults(f)...)
		w.browser.Kill()
		clock += 10 * time.Minute
		w.start()
		photos := f.photos
		*f = *open(bench + "walk/commissioning")
		f.photos = photos
	}
	f.press("begin")
	f.write("before", 0, "12.6")
	f.call("Page.reload", nil)
	f.wait(`shown('[name="before"]')[0]?.value === "12.6"`) // what was typed is still there
	f.tap(`shown(".up")[0]`)
	walk.commission()
	for _, fault := range append(said, faults(f)...) {
		require.Contains(t, fault, "net::ERR_CONNECTION_REFUSED") // the laptop is away
	}
	p.moment = demo.End.Add(time.Hour)
	p.start()
	f.eval(`dispatchEvent(new Event("online"))`, nil)
	f.wait(`[...document.querySelectorAll(".title-block dd")].some(d => d.innerText === "none")`)
	lines := p.record()
	p.requireAll(lines)
	return lines
}

// faults are the errors in the console, but for what the browser says of a form that
// was refused on purpose.
func faults(f *thumb) (list []string) {
	for _, fault := range f.page.Faults() {
		if !strings.Contains(fault, "status of 422") {
			list = append(list, fault)
		}
	}
	return list
}
