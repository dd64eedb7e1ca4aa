//go:build browser

package browser

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// From nothing to a phone that works alone: the certificate is fetched, compared
// and trusted, the phone paired by the picture, the program runs in its worker and
// links by wss; the laptop goes away and comes back. Before that: what a browser
// does that does not trust it, against what the page on plain http says of it.
func TestPairedPhone(t *testing.T) {
	certutilThere(t)
	s := newServing(t)
	_, address := s.pictures()
	home := strings.Replace(s.home, "http://", "", 1)
	require.NotContains(t, address, home, "the laptop's own key is not in a picture")

	// without the certificate
	wary := s.newHand()
	wary.excused = "net::ERR_CERT"
	_, err := wary.visit(address)
	require.ErrorContains(t, err, "ERR_CERT_AUTHORITY_INVALID")
	page, err := wary.visit(s.setup)
	require.NoError(t, err)
	page.wait(`!!document.querySelector("a[download]")`)
	require.Equal(t, "false undefined undefined", page.text(`[isSecureContext, typeof navigator.serviceWorker, typeof crypto.subtle].join(" ")`))
	said := page.text("main()")
	require.Contains(t, said, "The phone keeps a page for use without the laptop only if it trusts the certificate")
	require.Contains(t, said, "the pages work while the laptop is on and near, and not otherwise")
	root := s.fetchRoot(page)

	// with it
	p := s.newHand(root)
	first, err := p.visit(address)
	require.NoError(t, err)
	s.pair(first, "pocket phone", "")
	require.Equal(t, "true", first.text("String(isSecureContext)"))
	first.wait(`navigator.serviceWorker.controller?.state === "activated"`)
	first.wait(`main().includes("linked with")`)
	require.Contains(t, first.text("main()"), "pocket phone, kept by builder")
	require.NotContains(t, first.text("main()"), "only while the laptop")
	within(t, 20*time.Second, "the demo comes to the phone", func() bool {
		n, _, alone := first.facts()
		return n > 250 && alone == "no entry is on this device only"
	})
	first.tap(bench + "write/note")
	first.send("note", "text", "typed on the phone")
	within(t, 10*time.Second, "what the phone wrote", func() bool { return strings.Contains(s.logbook(), "typed on the phone") })
	s.run("note", "typed on the laptop", "--garage", s.dir)
	first.tap(bench + "logbook")
	first.wait(`main().includes("typed on the laptop")`)

	// alone
	s.stop()
	first.reload()
	require.Contains(t, first.text("main()"), "typed on the laptop")
	first.tap(bench + "write/hours?task=mot-05")
	first.send("hours", "hours", "1h30", "changes", "none", "note", "with the laptop away")
	require.Contains(t, first.text(`document.querySelector(".done").innerText`), "on this device only")
	again := p.open(s.origin + bench) // by its address, too
	require.Contains(t, again.text("document.body.innerText"), "Heron")
	require.NoError(t, again.Close(p.ctx))
	p.pages = p.pages[:len(p.pages)-1]

	// back
	s.start()
	first.eval(`dispatchEvent(new Event("online"))`, nil)
	within(t, 20*time.Second, "the hours arrive", func() bool { return strings.Contains(s.logbook(), "with the laptop away") })
	require.Equal(t, 1, strings.Count(s.logbook(), "with the laptop away"))
	require.Contains(t, s.run("devices", "--garage", s.dir), "pocket phone")

	// a second phone; all three write apart, and come to the same
	require.NoError(t, s.screen.Go(s.screen.p.ctx, s.home+"pair"))
	s.press("add")
	_, address = s.pictures()
	q := s.newHand(root)
	second, err := q.visit(address)
	require.NoError(t, err)
	s.pair(second, "kart phone", "Robin")
	second.wait(`main().includes("linked with") && navigator.serviceWorker.controller?.state === "activated"`)
	second.tap(bench)
	s.stop()
	for text, one := range map[string]*tab{"by the pocket phone": first, "by the kart phone": second} {
		one.tap(bench + "write/note")
		one.send("note", "text", text)
	}
	s.run("note", "by the laptop", "--garage", s.dir)
	s.start()
	states := func() (a, b string) {
		for _, one := range []*tab{first, second} {
			one.eval(`dispatchEvent(new Event("online"))`, nil)
		}
		_, a, _ = first.facts()
		_, b, alone := second.facts()
		return a, b + alone
	}
	within(t, 30*time.Second, "all three say the same", func() bool {
		a, b := states()
		return b == a+"no entry is on this device only"
	})
	_, state, _ := first.facts() // as the laptop says it, in its window and on its page
	require.Contains(t, s.run("devices", "--garage", s.dir), "state "+state+":")
	require.NoError(t, s.screen.Go(s.screen.p.ctx, s.home+"pair"))
	s.screen.wait(fmt.Sprintf("main().includes(%q)", "state "+state))
	for _, text := range []string{"by the pocket phone", "by the kart phone", "by the laptop"} {
		require.Equal(t, 1, strings.Count(s.logbook(), text), text)
		for _, one := range []*tab{first, second} {
			one.tap(bench + "logbook")
			require.Contains(t, one.text("main()"), text)
		}
	}
	q.browser.Kill()

	// called otherwise: the name goes to what is there already, the person does not
	first.tap("/phone/this")
	first.names("shed phone", "Robin")
	require.Contains(t, first.text(`document.querySelector(".done").innerText`), "called shed phone from now on. What is written here from now on is by Robin.")
	first.tap(bench + "write/note")
	first.send("note", "text", "by somebody else")
	first.tap(bench + "logbook")
	require.Regexp(t, `by somebody else[^/]*Robin, shed phone no\.`, first.text("main()"))
	require.Regexp(t, `typed on the phone[^/]*builder, shed phone no\.`, first.text("main()"))
	within(t, 20*time.Second, "the new name arrives", func() bool { return strings.Contains(s.run("devices", "--garage", s.dir), "shed phone") })
	first.reload() // who writes is kept
	first.tap("/phone/this")
	require.Contains(t, first.text("main()"), "shed phone, kept by Robin")
	require.NoError(t, s.screen.Go(s.screen.p.ctx, s.home+"pair"))
	s.screen.wait(`main().includes("shed phone") && !main().includes("pocket phone")`)
}

// A tab that goes out of sight hands the link to one that is looked at; with none in
// sight the link ends, and is there again at a look.
func TestOutOfSight(t *testing.T) {
	s, p := newShop(t), newPhone(t)
	one := s.join(p)
	two := p.open("http://" + s.addr + "/phone/this") // now one is out of sight
	require.Equal(t, "hidden", one.text("document.visibilityState"))
	two.wait(`main().includes("linked with laptop since")`)
	const holder = `(await navigator.locks.query()).held.find(l => l.name === "ampwright-link")?.clientId ?? "nobody"`
	was := two.text(holder)
	require.NotEqual(t, "nobody", was)
	within(t, 20*time.Second, "the other tab takes the link", func() bool { now := two.text(holder); return now != was && now != "nobody" })
	s.note("to the one in sight")
	two.tap(bench + "logbook")
	two.wait(`main().includes("to the one in sight")`)

	blank, err := p.browser.Open(p.ctx, "about:blank", nil) // and now both
	require.NoError(t, err)
	require.NoError(t, blank.Call(p.ctx, "Page.bringToFront", nil, nil))
	within(t, 20*time.Second, "nobody holds the link", func() bool { return two.text(holder) == "nobody" })
	s.note("while nobody looked")
	require.NoError(t, two.Call(p.ctx, "Page.bringToFront", nil, nil))
	two.wait(`main().includes("while nobody looked")`)
}

// Whoever goes past the warning gets what the page on plain http says: pages while
// the laptop is there, and none without it; the program says so itself.
func TestPastTheWarning(t *testing.T) {
	certutilThere(t)
	s := newServing(t)
	_, address := s.pictures()
	p := s.newHand()
	p.excused = "net::ERR_CERT"
	tab, err := p.visit(address)
	require.ErrorContains(t, err, "ERR_CERT_AUTHORITY_INVALID")
	tab.wait(`!!document.getElementById("proceed-link")`) // the browser's own page
	tab.eval(`document.getElementById("proceed-link").click()`, nil)
	tab.wait(`location.pathname === "/pair"`)
	s.pair(tab, "wary phone", "Robin")
	tab.wait(`main().includes("This page opens only while the laptop is on and near")`)
	require.Contains(t, tab.text("main()"), "this device does not trust the laptop's certificate")
	require.Equal(t, "undefined", tab.text(`String((await navigator.serviceWorker.getRegistration())?.active?.state)`))
	tab.wait(`main().includes("linked with")`)
	require.Contains(t, tab.text("main()"), "wary phone, kept by Robin")
	s.stop()
	require.NoError(t, tab.Call(p.ctx, "Page.reload", nil, nil))
	tab.wait(`document.body?.innerText.includes("ERR_CONNECTION_REFUSED")`) // the browser's page, not ours
}

// names types names on the page about this device.
func (tab *tab) names(device, person string) {
	tab.p.t.Helper()
	tab.eval(fmt.Sprintf(`(() => {
		document.querySelector("main").dataset.old = "yes";
		const f = document.getElementById("called").form;
		f.elements.called.value = %q;
		f.elements.person.value = %q;
		f.requestSubmit();
	})()`, device, person), nil)
	tab.wait(`!document.querySelector("main").dataset.old`)
}
