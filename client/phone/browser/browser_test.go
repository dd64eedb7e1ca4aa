//go:build browser

package browser

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"ampwright/client/phone/bundle"
	"ampwright/client/static"
	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/lines"
	"ampwright/model/modeltest"
	"ampwright/model/plan"

	"github.com/stretchr/testify/require"
)

// The whole evening: a build is started, the laptop goes away, the work goes on.
func TestWithoutTheLaptop(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.open("http://" + l.addr + "/phone/")
	require.Contains(t, tab.text("main()"), "Nothing is stored on this device yet")
	tab.wait(`navigator.serviceWorker.controller?.state === "activated"`)
	l.stop()
	tab.reload()
	tab.send("start", "plan", "kart-chain", "title", "Wren", "currency", "EUR")
	tab.wait(`location.pathname.startsWith("/phone/b/")`)
	build := tab.text("location.pathname")
	tab.tap(build + "write/hours?task=in-01")
	tab.send("hours", "hours", "2h30", "changes", "none", "note", "in the rain")
	tab.reload()
	tab.tap(build + "logbook")
	require.Contains(t, tab.text("main()"), "in the rain")

	tab.bring(heron(t))
	tab.tap(bench + "write/read?check=motor-iso")
	tab.send("read", "value", "8,2M", "instrument", "insulation tester 250 V")
	require.Contains(t, tab.text(`document.querySelector(".done").innerText`), "8.2 Mohm")
	tab.reload()
	tab.tap(bench + "check/motor-iso")
	require.Contains(t, tab.text("main()"), "8.2 Mohm")
	require.NotContains(t, tab.text("document.body.innerText"), "Nothing is stored")
}

func heron(t testing.TB) [][]byte {
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(t, err)
	return raws
}

// The first page does not wait for the forecast, which comes into it by itself.
func TestForecastFillsIn(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	tab.reload()
	tab.wait(`main().includes("8 in 10")`)
	require.NotContains(t, tab.text("main()"), "being worked out")
	require.NotEqual(t, "1", tab.text(`String(performance.getEntriesByName("shown").length)`), "the page was there before it")
}

// What is wrong is said where it stands, with the focus on it; a back tap leads
// to where the page was left; what was just written is read out.
func TestFocusScrollHistory(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	require.Equal(t, "H1", tab.text("document.activeElement.tagName"))
	tab.tap(bench + "logbook")
	require.Equal(t, tab.text("document.title"), tab.text(`document.getElementById("said").textContent`))
	tab.eval("scrollTo(0, 700)", nil)
	tab.wait("scrollY === 700")
	tab.tap(bench + "tasks")
	tab.wait("scrollY === 0")
	tab.eval("history.back()", nil)
	tab.wait(`at() === "` + bench + `logbook" && scrollY === 700`)
	tab.eval("history.forward()", nil)
	tab.wait(`at() === "` + bench + `tasks" && scrollY === 0`)

	tab.tap(bench + "write/hours?task=mot-05")
	tab.send("hours", "hours", "many")
	require.Equal(t, bench+"write/hours", tab.text("at()"))
	require.Equal(t, "hours", tab.text("document.activeElement.name"))
	require.Equal(t, "many", tab.text("document.activeElement.value"))
	tab.reload() // what was typed comes back
	require.Equal(t, "many", tab.text(`document.querySelector("[name=hours]").value`))

	tab.tap(bench + "write/note?task=mot-05")
	tab.send("note", "text", "left lug <img src=x onerror=alert(1)> tacked")
	require.Contains(t, tab.text(`document.getElementById("said").textContent`), "left lug <img src=x onerror=alert(1)> tacked")
	require.Equal(t, "null", tab.text(`String(document.querySelector("img"))`))

	// a form that asks a question: its query is the address
	tab.tap(bench + "calc/bolt-torque")
	tab.eval(`document.querySelector("main form").requestSubmit()`, nil)
	tab.wait(`location.search.includes("work=1")`)

	// a part of the page
	tab.tap(bench)
	tab.eval(`document.querySelector("nav.bar a[href='#sheets'], a[href='#work']").click()`, nil)
	tab.wait(`location.hash !== "" && started()`)
}

// A form that is sent twice in a hurry is written once.
func TestTwoTaps(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	tab.tap(bench + "write/note")
	tab.eval(`(() => {
		const form = document.querySelector("form.ask");
		form.elements.text.value = "twice?";
		form.requestSubmit();
		form.requestSubmit();
	})()`, nil)
	tab.wait(`document.querySelector(".done")?.innerText.includes("twice?")`)
	tab.tap(bench + "logbook")
	require.Equal(t, 1, strings.Count(tab.text("main()"), "twice?"))
}

// Two tabs write in turn, and each shows what the other wrote.
func TestTwoTabs(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	one := p.openDemo(l)
	two := p.open("http://" + l.addr + bench + "logbook")
	for i := range 4 {
		tab := []*tab{one, two}[i%2]
		tab.tap(bench + "write/note?back=" + bench + "logbook")
		tab.send("note", "text", fmt.Sprint("note ", i))
	}
	for _, tab := range []*tab{one, two} {
		tab.tap(bench + "logbook")
		for i := range 4 {
			require.Contains(t, tab.text("main()"), fmt.Sprint("note ", i))
		}
		tab.tap(bench + "findings")
		require.NotContains(t, tab.text("main()"), "two entries under one name")
	}
	one.tap(bench + "logbook")
	two.tap(bench + "write/note")
	two.send("note", "text", "seen without a tap")
	require.NoError(t, one.Call(p.ctx, "Page.bringToFront", nil, nil)) // a tab that is out of sight waits until it is looked at
	one.wait(`main().includes("seen without a tap")`)
}

// The browser is killed as soon as the page says that an entry is written down:
// it must be there when the browser starts again.
func TestKilled(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	l.stop()
	const rounds = 5
	for i := range rounds {
		tab.tap(bench + "write/note")
		tab.send("note", "text", fmt.Sprint("before the power went ", i))
		require.Contains(t, tab.text(`document.querySelector(".done").innerText`), fmt.Sprint("before the power went ", i))
		p.browser.Kill()
		p.start()
		tab = p.open("http://" + l.addr + bench + "logbook")
	}
	for i := range rounds {
		require.Contains(t, tab.text("main()"), fmt.Sprint("before the power went ", i))
	}
}

// wipe takes the logbook's database from under the open page.
const wipe = `new Promise((ok, no) => { const r = indexedDB.deleteDatabase("ampwright"); r.onsuccess = ok; r.onerror = no; }).then(() => true)`

// A phone whose storage was emptied says so, and puts back what it has twice.
func TestWiped(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	tab.eval(wipe, nil)
	tab.tap(bench + "tasks")
	require.Contains(t, tab.text("main()"), "emptied this page's storage while")
	tab.tap(bench + "write/note")
	tab.send("note", "text", "typed in vain")
	require.Contains(t, tab.text(`document.getElementById("notice").innerText`), "Nothing was written down")
	require.Equal(t, "typed in vain", tab.text(`document.querySelector("[name=text]").value`))
	tab.reload()
	tab.tap(bench)
	require.Contains(t, tab.text("main()"), "What is here comes from the second copy")
	require.Contains(t, tab.text("document.body.innerText"), "Heron")

	tab.eval(wipe, nil)
	tab.eval(`caches.delete("ampwright-second")`, nil)
	tab.reload()
	tab.tap("/phone/")
	require.Contains(t, tab.text("main()"), "the logbook that was on this device is gone")

	require.NoError(t, tab.Call(p.ctx, "Storage.clearDataForOrigin", map[string]any{"origin": "http://" + l.addr, "storageTypes": "all"}, nil))
	again := p.open("http://" + l.addr + "/phone/")
	require.Contains(t, again.text("main()"), "Nothing is stored on this device yet")
}

// A browser that gives no more room is quoted in words, and what does fit is
// still written. The room is set before the page is opened, since the browser
// looks only now and then; it is too little for the service worker too.
func TestNoRoom(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	p.excused = "QuotaExceededError" // the service worker's
	page, err := p.browser.Open(p.ctx, "http://"+l.addr+"/static/"+static.Name("icon.svg"), nil)
	require.NoError(t, err)
	require.NoError(t, page.Call(p.ctx, "Storage.overrideQuotaForOrigin", map[string]any{"origin": "http://" + l.addr, "quotaSize": 300_000}, nil))
	tab := p.open("http://" + l.addr + "/phone/this")
	tab.read(modeltest.Garage(20_000, 1))
	tab.wait(`!!document.querySelector("main .faults")`)
	require.Contains(t, tab.text("main()"), "no more room, nothing was written")
	tab.bring(heron(t))
	tab.reload()
	tab.tap(bench)
	require.Contains(t, tab.text("document.body.innerText"), "Heron")
}

// A new version waits until it is taken over, is not offered amid a card, and
// opens the old data.
func TestNewVersion(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	old := tab.text("document.querySelector('script[src*=boot]').src")
	l.stop()
	l.start(changed(t))
	tab.tap(bench + "task/mot-05")
	tab.eval("navigator.serviceWorker.getRegistration().then(r => r.update())", nil)
	tab.eval(`new Promise(async ok => { const r = await navigator.serviceWorker.getRegistration(); while (!r.waiting) await new Promise(w => setTimeout(w, 20)); ok(); })`, nil)
	require.Equal(t, "true", tab.text(`String(document.getElementById("offer").hidden)`), "not amid a card")
	tab.tap(bench + "walk/commissioning/next")
	require.Contains(t, tab.text("location.pathname"), "/walk/commissioning/")
	require.Equal(t, "true", tab.text(`String(document.getElementById("offer").hidden)`), "not amid a checklist")
	tab.reload()
	require.Equal(t, old, tab.text("document.querySelector('script[src*=boot]').src"), "nothing is taken over by itself")
	tab.tap(bench)
	require.Equal(t, "false", tab.text(`String(document.getElementById("offer").hidden)`))
	tab.eval(`document.querySelector("#offer button").click()`, nil)
	tab.wait(fmt.Sprintf(`document.querySelector('script[src*=boot]')?.src !== %q && started()`, old))
	l.stop()
	tab.reload()
	require.NotEqual(t, old, tab.text("document.querySelector('script[src*=boot]').src"))
	require.Contains(t, tab.text("document.body.innerText"), "Heron")
	var caches []string
	tab.eval("caches.keys()", &caches)
	require.Len(t, caches, 2, "the old files are gone")
	require.Contains(t, caches, "ampwright-second")
}

// changed is the built program with one letter more.
func changed(t *testing.T) fs.FS {
	b, err := bundle.Embedded()
	require.NoError(t, err)
	dir := fstest.MapFS{}
	for _, name := range bundle.Names {
		f := b.Named(name)
		if name == "boot.js" {
			plain, err := f.Plain()
			require.NoError(t, err)
			f = compressed(t, append(plain, "\n// new\n"...))
		}
		dir[name+".br"], dir[name+".gz"] = &fstest.MapFile{Data: f.Brotli}, &fstest.MapFile{Data: f.Gzip}
	}
	return dir
}

// Where the browser can't be asked twice, the answer is still said.
func TestAskToKeep(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	tab.tap("/phone/this")
	tab.eval(`document.querySelector("form[data-persist]").requestSubmit()`, nil)
	tab.wait(`main().includes("promise")`)
	require.Regexp(t, "makes no promise|promises to keep", tab.text(`document.querySelector(".done").innerText`))
}

// A logbook is saved as a file, and what was typed in summer and in winter has the
// offset of then: Go's own local zone in a browser would give both the same.
func TestSaveInZone(t *testing.T) {
	t.Setenv("TZ", "Europe/Berlin") // for Chromium
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	for _, at := range []string{"2025-07-01 12:00", "2025-01-15 12:00"} {
		tab.tap(bench + "write/hours?task=mot-05")
		tab.send("hours", "hours", "1", "at", at, "changes", "none")
		require.Contains(t, tab.text(`document.querySelector(".done").innerText`), "1.0 h on mot-05")
	}
	raws := tab.saved()
	var offsets []int16
	for _, raw := range raws {
		e, err := model.Decode(raw)
		require.NoError(t, err)
		if w, ok := e.Body.(*model.Work); ok && !strings.HasPrefix(e.Replica.String(), demo.Build.String()[:8]) { // not the demo's devices
			offsets = append(offsets, w.At.Offset)
			require.Equal(t, 12, w.At.Time().Hour())
		}
	}
	require.ElementsMatch(t, []int16{60, 120}, offsets, "minutes east of UTC")
}

// saved saves the logbook as a file and returns the entries in it.
func (tab *tab) saved() [][]byte {
	tab.p.t.Helper()
	tab.tap("/phone/this")
	require.Equal(tab.p.t, "true", tab.text(`String(!!document.querySelector("a[download]"))`), "a file to save: %s", tab.text("document.body.innerText"))
	tab.eval(`(() => {
		const make = URL.createObjectURL;
		delete window.saved;
		URL.createObjectURL = (blob) => { window.saved = blob; return make.call(URL, blob); };
		document.querySelector("a[download]").click();
	})()`, nil)
	tab.wait("window.saved")
	text, err := gzip.NewReader(bytes.NewReader(tab.blob(`await new Response(saved.stream().pipeThrough(new CompressionStream("gzip"))).blob()`)))
	require.NoError(tab.p.t, err)
	raws, _, err := lines.Read(text)
	require.NoError(tab.p.t, err)
	return raws
}

// blob reads a Blob of the page's.
func (tab *tab) blob(script string) []byte {
	tab.p.t.Helper()
	data, err := base64.StdEncoding.DecodeString(tab.text(`await ((blob) => new Promise((ok) => {
		const r = new FileReader();
		r.onload = () => ok(r.result.split(",")[1]);
		r.readAsDataURL(blob);
	}))(` + script + ")"))
	require.NoError(tab.p.t, err)
	return data
}

// The installed program: what the browser thinks of the manifest.
func TestInstallable(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	var m struct {
		Errors []struct{ Message string }
		Data   string
	}
	require.NoError(t, tab.Call(p.ctx, "Page.getAppManifest", nil, &m))
	require.Empty(t, m.Errors)
	require.Contains(t, m.Data, `"standalone"`)
	var e struct {
		InstallabilityErrors []struct{ ErrorID string }
	}
	require.NoError(t, tab.Call(p.ctx, "Page.getInstallabilityErrors", nil, &e))
	require.Empty(t, e.InstallabilityErrors)
}
