//go:build browser

package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"ampwright/client/pages"
	"ampwright/client/static"
	"ampwright/cmd/dev/chromium"
	"ampwright/model/demo"
	"ampwright/model/lines"
	"ampwright/model/plan"
	"ampwright/server/web"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

var bench = "/phone/b/" + demo.Build.String() + "/"

// A laptop serves the phone's program, until it is stopped.
type laptop struct {
	t      testing.TB
	addr   string
	server *http.Server
}

func newLaptop(t testing.TB) *laptop {
	l := &laptop{t: t, addr: "127.0.0.1:0"}
	l.start(nil)
	t.Cleanup(l.stop)
	return l
}

func (l *laptop) start(phone fs.FS) {
	b, err := book.Open(keep.NewMemory(), book.Config{
		Replica: uuid.Max, Device: "laptop", Person: "builder", Plans: plan.Builtin, NewID: uuid.New, Now: time.Now,
	})
	require.NoError(l.t, err)
	site, err := pages.New(pages.Config{Book: b, Plans: plan.Editions(), Once: uuid.NewString, Asset: func(name string) string { return "/static/" + static.Name(name) }})
	require.NoError(l.t, err)
	listener, err := net.Listen("tcp", l.addr)
	require.NoError(l.t, err)
	l.addr = listener.Addr().String()
	l.server = web.Server(web.New(web.Config{Site: site, Book: b, Hosts: []string{l.addr}, Phone: phone}))
	go l.server.Serve(listener)
}

func (l *laptop) stop() { l.server.Close() }

// A phone is a browser with a profile that outlives it.
type phone struct {
	t       testing.TB
	ctx     context.Context // of the browser that runs
	cancel  context.CancelFunc
	profile string
	browser *chromium.Browser
	pages   []*chromium.Page
	excused string // what the console may say besides
	flags   []string
}

func newPhone(t testing.TB, flags ...string) *phone {
	dir, err := os.MkdirTemp("", "ampwright-phone-")
	require.NoError(t, err)
	p := &phone{t: t, profile: dir, flags: flags}
	p.start()
	t.Cleanup(func() {
		p.browser.Kill()
		p.cancel()
		os.RemoveAll(dir)
		p.requireNoFaults()
	})
	return p
}

func (p *phone) start() {
	if p.cancel != nil {
		p.cancel()
	}
	p.ctx, p.cancel = context.WithTimeout(context.Background(), 5*time.Minute)
	path, err := chromium.Path()
	require.NoError(p.t, err)
	p.browser, err = chromium.Start(path, p.profile, p.flags...)
	require.NoError(p.t, err)
}

// requireNoFaults requires that no tab logged an error: above all that nothing
// broke the content security policy. That the laptop is away is no fault.
func (p *phone) requireNoFaults() {
	for _, page := range p.pages {
		for _, f := range page.Faults() {
			if strings.Contains(f, "net::ERR_CONNECTION_REFUSED") || strings.Contains(f, "fetching the script") || p.excused != "" && strings.Contains(f, p.excused) {
				continue
			}
			p.t.Errorf("in the console: %s", f)
		}
	}
}

// A tab is a page of the phone's, and what a thumb does on it.
type tab struct {
	*chromium.Page
	p    *phone
	taps int // see press
}

func (p *phone) open(address string) *tab {
	page, err := p.browser.Open(p.ctx, address, nil)
	require.NoError(p.t, err)
	p.pages = append(p.pages, page)
	tab := &tab{Page: page, p: p}
	tab.wait("started()")
	return tab
}

// helpers are put into the page before each script. started: the first page is
// shown, and not the empty one that is still being read, with its heading alone.
const helpers = `
var started = () => document.readyState !== "loading" && !!document.querySelector("main h1") && !document.body.textContent.includes("Opening the logbook");
var main = () => document.querySelector("main")?.innerText ?? "";
var at = () => location.pathname + location.search + location.hash;
`

func (tab *tab) wait(script string) {
	tab.p.t.Helper()
	ctx, cancel := context.WithTimeout(tab.p.ctx, 30*time.Second)
	defer cancel()
	require.NoError(tab.p.t, tab.Wait(ctx, "(() => {"+helpers+"return "+script+"})()"))
}

func (tab *tab) eval(script string, result any) {
	tab.p.t.Helper()
	require.NoError(tab.p.t, tab.Eval(tab.p.ctx, "(async () => {"+helpers+"return "+script+"})()", result))
}

func (tab *tab) text(script string) (s string) {
	tab.p.t.Helper()
	tab.eval(script, &s)
	return s
}

// tap taps the link that leads to an address: one of the page's, or one made for
// the purpose.
func (tab *tab) tap(address string) {
	tab.p.t.Helper()
	tab.eval(fmt.Sprintf(`(() => {
		document.querySelector("main").dataset.old = "yes";
		let a = [...document.querySelectorAll("a")].find(a => a.getAttribute("href") === %q);
		if (!a) { a = document.createElement("a"); a.href = %q; document.querySelector("main").append(a); }
		a.click();
	})()`, address, address), nil)
	tab.wait(`!document.querySelector("main").dataset.old`)
}

// send fills fields of the form that does a wish and sends it.
func (tab *tab) send(wish string, pairs ...string) {
	tab.p.t.Helper()
	values, err := json.Marshal(pairs)
	require.NoError(tab.p.t, err)
	tab.eval(fmt.Sprintf(`(() => {
		document.querySelector("main").dataset.old = "yes";
		const form = [...document.querySelectorAll("form.ask")].find(f => f.getAttribute("action").endsWith(%q));
		const pairs = %s;
		for (let i = 0; i < pairs.length; i += 2) {
			const c = form.elements[pairs[i]];
			if (c instanceof RadioNodeList || c.type === "checkbox" || c.type === "radio") form.querySelector('[name="' + pairs[i] + '"][value="' + pairs[i+1] + '"]').checked = true;
			else { c.value = pairs[i+1]; c.dispatchEvent(new Event("input", {bubbles: true})); }
		}
		form.requestSubmit();
	})()`, "/write/"+wish, values), nil)
	tab.wait(`!document.querySelector("main").dataset.old || !document.getElementById("notice").hidden`)
}

// reload loads the page anew.
func (tab *tab) reload() {
	tab.p.t.Helper()
	tab.eval(`window.old = true`, nil)
	require.NoError(tab.p.t, tab.Call(tab.p.ctx, "Page.reload", nil, nil))
	tab.wait("!window.old && started()")
}

// bring reads entries from a file, on the page about this device.
func (tab *tab) bring(raws [][]byte) {
	tab.p.t.Helper()
	tab.read(raws)
	tab.wait(`main().includes("new entries read")`)
}

func (tab *tab) read(raws [][]byte) {
	tab.p.t.Helper()
	var text strings.Builder
	require.NoError(tab.p.t, lines.Write(&text, func(f func([]byte) error) error {
		for _, raw := range raws {
			if err := f(raw); err != nil {
				return err
			}
		}
		return nil
	}))
	tab.readText(text.String())
}

// readText reads a file of entries.
func (tab *tab) readText(text string) {
	tab.p.t.Helper()
	file, err := json.Marshal(text)
	require.NoError(tab.p.t, err)
	tab.tap("/phone/this")
	tab.eval(fmt.Sprintf(`(() => {
		const files = new DataTransfer();
		files.items.add(new File([%s], "heron.jsonl"));
		const input = document.getElementById("lines");
		input.files = files.files;
		input.form.requestSubmit();
	})()`, file), nil)
}

func (p *phone) openDemo(l *laptop) *tab {
	p.t.Helper()
	tab := p.open("http://" + l.addr + "/phone/")
	raws, err := demo.Heron(plan.Builtin)
	require.NoError(p.t, err)
	tab.bring(raws)
	tab.wait(`navigator.serviceWorker.controller?.state === "activated"`)
	tab.tap(bench)
	return tab
}
