//go:build browser

package browser

import (
	"crypto/ed25519"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/demo"
	"ampwright/model/lines"
	"ampwright/model/plan"
	"ampwright/sync/book"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func body(t testing.TB, resp *http.Response) string {
	defer resp.Body.Close()
	data, err := io.ReadAll(resp.Body)
	require.NoError(t, err)
	return string(data)
}

// logged is the number of lines of a logbook, in words, that hold a text.
func logged(l *model.Logbook, text string) (n int) {
	err := l.All(func(raw []byte) error {
		e, err := model.Decode(raw)
		if note, ok := e.Body.(*model.Note); ok && strings.Contains(note.Text, text) {
			n++
		}
		return err
	})
	if err != nil {
		panic(err)
	}
	return n
}

func (s *shop) logged(text string) (n int) {
	s.garage.Book.Read(func(l *model.Logbook) { n = logged(l, text) })
	return n
}

// A phone is let in with an invitation, and not without or with another.
func TestLetIn(t *testing.T) {
	s, p := newShop(t), newPhone(t)
	tab := p.open("http://" + s.addr + "/phone/this")
	require.Contains(t, tab.text("main()"), "the laptop does not know this device yet")
	type_ := func(text string) {
		tab.eval(fmt.Sprintf(`(() => {
			document.querySelector("main").dataset.old = "yes";
			const i = document.getElementById("invite");
			i.value = %q;
			i.form.requestSubmit();
		})()`, text), nil)
		tab.wait(`!document.querySelector("main").dataset.old`)
	}
	type_("GAYTE")
	require.Contains(t, tab.text("main()"), "invitation of 5 characters, want 26")
	type_("GAYTEMZUGU3DOOBZMFRGGZDFMY")
	tab.eval(`document.activeElement.blur()`, nil)
	tab.wait(`main().includes("does not take this invitation")`)
	require.Equal(t, 0, s.logged("anything"))
	invitation, _ := s.invited.Open(time.Now())
	type_(strings.ToLower(invitation[:13] + " " + invitation[13:]))
	tab.eval(`document.activeElement.blur()`, nil)
	tab.wait(`main().includes("linked with laptop since")`)
	tab.step(s)

	tab.reload() // it is known now
	tab.wait(`main().includes("linked with laptop since")`)
	require.Equal(t, "null", tab.text(`String(document.getElementById("invite"))`))
}

// The whole evening without the laptop; when it is back all is there, once, and
// the phone says so from what the laptop has acknowledged.
func TestOfflineThenThere(t *testing.T) {
	s, p := newShop(t), newPhone(t)
	tab := s.join(p)
	require.Equal(t, "none", tab.block())
	s.stop()
	tab.reload()
	tab.tap(bench + "write/hours?task=mot-05")
	tab.send("hours", "hours", "2h30", "changes", "none", "note", "in the rain")
	require.Contains(t, tab.text(`document.querySelector(".done").innerText`), "on this device only")
	tab.tap(bench + "write/read?check=motor-iso")
	tab.send("read", "value", "8,2M", "instrument", "insulation tester 250 V")
	for i := range 3 {
		tab.tap(bench + "write/note?back=" + bench + "logbook")
		tab.send("note", "text", fmt.Sprint("written alone ", i))
	}
	require.Regexp(t, "^[5-9], oldest [0-9] min$", tab.block())
	require.Contains(t, tab.text(`document.querySelector("ul.log li").innerText`), "on this device only")
	tab.reload() // what the laptop holds is known still
	require.Regexp(t, "^[5-9], oldest [0-9] min$", tab.block())

	s.start()
	tab.eval(`dispatchEvent(new Event("online"))`, nil)
	tab.wait(`[...document.querySelectorAll(".title-block dd")].some(d => d.innerText === "none")`)
	require.Contains(t, tab.text(`document.querySelector("ul.log li").innerText`), "on laptop", "and the page says so by itself")
	tab.step(s)
	for i := range 3 {
		require.Equal(t, 1, s.logged(fmt.Sprint("written alone ", i)))
	}
	require.Contains(t, s.page("/b/"+demo.Build.String()+"/logbook"), "written alone 2", "the laptop's page")
	require.Contains(t, s.page("/b/"+demo.Build.String()+"/check/motor-iso"), "8.2 Mohm")
}

// Two phones and the laptop write apart, and come to say the same.
func TestTwoPhones(t *testing.T) {
	s, p, q := newShop(t), newPhone(t), newPhone(t)
	a, b := s.join(p), s.join(q)
	s.stop()
	for i := range 3 {
		for name, tab := range map[string]*tab{"first": a, "second": b} {
			tab.tap(bench + "write/note")
			tab.send("note", "text", fmt.Sprintf("%s phone %d", name, i))
		}
	}
	s.start()
	s.note("on the laptop")
	for _, tab := range []*tab{a, b, a} {
		tab.eval(`dispatchEvent(new Event("online"))`, nil)
		tab.step(s)
	}
	for _, text := range []string{"first phone 0", "first phone 2", "second phone 1", "second phone 2", "on the laptop"} {
		require.Equal(t, 1, s.logged(text), text)
		for _, tab := range []*tab{a, b} {
			tab.tap(bench + "logbook")
			require.Contains(t, tab.text("main()"), text)
		}
	}
	_, x, _ := a.facts()
	_, y, _ := b.facts()
	_, z := s.read()
	require.Equal(t, []string{z, z}, []string{x, y})
}

// What the laptop writes shows on the open page without a tap, where it was
// scrolled to, and takes nothing from under a finger that types. A log that is kept goes
// to the laptop.
func TestLive(t *testing.T) {
	s, p := newShop(t), newPhone(t)
	tab := s.join(p)
	tab.tap(bench + "logbook")
	tab.eval("scrollTo(0, 500)", nil)
	tab.wait("scrollY === 500")
	tab.eval(`document.querySelectorAll("ul.log a.name")[5].focus({ preventScroll: true })`, nil)
	focus := tab.text("document.activeElement.href")
	began := time.Now()
	s.note("seen on the bench")
	tab.wait(`main().includes("seen on the bench")`)
	took := time.Since(began)
	t.Logf("from the laptop's entry to the phone's page: %v", took)
	require.Equal(t, "500", tab.text("String(scrollY)"))
	require.Equal(t, focus, tab.text("document.activeElement.href"))

	tab.tap(bench + "write/note")
	tab.eval(`(() => {
		const text = document.querySelector("form.ask [name=text]");
		text.focus();
		text.value = "half ty";
		text.dispatchEvent(new Event("input", { bubbles: true }));
	})()`, nil)
	s.note("came meanwhile")
	tab.wait(`!document.getElementById("fresh").hidden`)
	require.Equal(t, "half ty", tab.text(`document.querySelector("form.ask [name=text]").value`))
	require.Equal(t, "text", tab.text("document.activeElement.name"))
	tab.eval(`document.querySelector("#fresh button").click()`, nil)
	tab.wait(`document.getElementById("fresh").hidden`)
	require.Equal(t, "half ty", tab.text(`document.querySelector("form.ask [name=text]").value`))
	tab.send("note", "text", "half typed, then sent")
	tab.wait(`document.querySelector(".done").innerText.includes("on laptop")`)
	require.Equal(t, 1, s.logged("half typed, then sent"))

	tab.give("log", "ride.csv", "...new TextEncoder().encode(`time,pack v,current\n0,80,0\n1,78,20\n`)")
	s.note("came behind the log")
	tab.wait(`!document.getElementById("fresh").hidden`)
	require.Contains(t, tab.text("main()"), "The file is kept, byte for byte: the file as it was", "the answer to a form stays")
	require.Eventually(t, func() bool { list, err := s.garage.Blobs.List(); return err == nil && len(list) == 1 }, time.Minute, 10*time.Millisecond)
}

// News that comes while the page is asked for anew has it asked for once more: what
// the first answer was made of may be older.
func TestNewsTwice(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	require.NoError(t, tab.Call(p.ctx, "Page.addScriptToEvaluateOnNewDocument", map[string]any{
		"source": `globalThis.Worker = class extends Worker { constructor(...all) { super(...all); globalThis.worker = this; } }`,
	}, nil))
	tab.reload()
	tab.tap(bench + "logbook")
	tab.eval(`(() => {
		window.before = performance.getEntriesByName("shown").length;
		for (let i = 0; i < 3; i++) worker.onmessage({ data: { news: true, entries: true } });
	})()`, nil)
	tab.wait(`performance.getEntriesByName("shown").length === before + 2`) // the second and the third at once
	tab.tap(bench + "tasks")
	require.Equal(t, "3", tab.text(`String(performance.getEntriesByName("shown").length - before)`))
}

// One tab keeps the link for all; when it goes another one does.
func TestLinkOfTabs(t *testing.T) {
	s, p := newShop(t), newPhone(t)
	one := s.join(p)
	two := p.open("http://" + s.addr + bench + "logbook")
	two.tap(bench + "write/note")
	two.send("note", "text", "by the other tab")
	two.wait(`document.querySelector(".done").innerText.includes("on laptop")`)
	require.Equal(t, 1, s.logged("by the other tab"))
	s.note("for both")
	two.tap(bench + "logbook")
	two.wait(`main().includes("for both")`)
	require.NoError(t, one.Close(p.ctx))
	p.pages = p.pages[1:]
	s.note("after it went")
	two.wait(`main().includes("after it went")`)
	two.step(s)
}

var rounds = flag.Int("rounds", 20, "how often TestKilledInStep kills the browser")

// long makes some dozen notes several frames.
var long = strings.Repeat("lug ", 200)

// The browser is killed while entries go both ways. Afterwards the
// phone, alone, has all that its page said was written down and all that it had
// acknowledged to the laptop, and the laptop all of which the phone's page said that
// it is there; in the end both have all, once.
func TestKilledInStep(t *testing.T) {
	const many = 150
	s, p := newShop(t), newPhone(t)
	p.excused = "net::ERR_CONNECTION_RESET" // the laptop goes while it is dialled
	tab := s.join(p)
	var said []string   // what the page said is written down
	there := []string{} // and of it what it said is on the laptop
	amid := 0
	for i := range *rounds {
		s.stop()
		s.open()
		_, err := s.garage.Book.Write(notes("laptop", i, many, long))
		require.NoError(t, err)
		tab.readText(relayed(t, i, many))
		tab.wait(`main().includes("new entries read")`)
		text := fmt.Sprintf("phone %d.", i)
		tab.tap(bench + "write/note")
		tab.send("note", "text", text)
		require.Contains(t, tab.text(`document.querySelector(".done").innerText`), text)
		said = append(said, text)
		before, _ := s.read()
		s.serve()
		tab.eval(`dispatchEvent(new Event("online"))`, nil)
		for n := before; n == before; n, _ = s.read() { // until the first of them come
			time.Sleep(time.Millisecond)
		}
		time.Sleep(time.Duration(rand.IntN(25)) * time.Millisecond)
		if i%4 == 3 { // later than that: the page has said where it is
			tab.wait(`document.querySelector(".done")?.innerText.includes("on laptop")`)
			there = append(there, text)
		}
		p.browser.Kill()
		s.stop() // the links are over
		s.open()
		count, _ := s.read()
		var told []model.ID
		s.garage.Book.Read(func(l *model.Logbook) {
			h := l.Holders(s.heard.All())
			require.NoError(t, l.All(func(raw []byte) error {
				if id := model.IDOf(raw); len(h.Of(id)) > 0 {
					told = append(told, id)
				}
				return nil
			}))
		})
		for _, text := range there {
			require.Equal(t, 1, s.logged(text), text)
		}

		p.start()
		tab = p.open("http://" + s.addr + bench)
		here := model.NewLogbook()
		for _, raw := range tab.saved() {
			_, err := here.Add(raw)
			require.NoError(t, err)
		}
		lost := slices.DeleteFunc(told, here.Has)
		require.Empty(t, lost, "acknowledged to the laptop and not here, where %d entries are", here.Len())
		for _, text := range said {
			require.Equal(t, 1, logged(here, text), text)
		}
		if count != here.Len() {
			amid++
		}
		s.serve()
	}
	tab.eval(`dispatchEvent(new Event("online"))`, nil)
	tab.step(s)
	for _, text := range said {
		require.Equal(t, 1, s.logged(text), text)
	}
	for i := range *rounds {
		require.Equal(t, many, s.logged(fmt.Sprintf("laptop %d.", i)))
		require.Equal(t, many, s.logged(fmt.Sprintf("relay %d.", i)))
	}
	t.Logf("%d of %d kills came amid the exchange", amid, *rounds)
}

// A browser that was killed between the two writes that make one record of its
// database's log appends to the half record from the next start on, and finds at the
// one after that that it can't read the log: it deletes all that the page has in
// IndexedDB (google/leveldb, issue 1287: "reuse_logs can reuse a log with an
// incomplete record"). The half record is made here, as one kill in some hundreds
// makes it; what is lost comes back from the second copy, and the phone goes on as
// the device it was.
func TestHalfARecord(t *testing.T) {
	s, p := newShop(t), newPhone(t)
	tab := s.join(p)
	devices := func() (n int) {
		s.garage.Book.Read(func(l *model.Logbook) { n = len(l.Vector()) })
		return n
	}
	before := devices()
	s.stop()
	write := func(text string) {
		tab.tap(bench + "write/note")
		tab.send("note", "text", text)
		require.Contains(t, tab.text(`document.querySelector(".done").innerText`), text)
	}
	again := func() {
		p.browser.Kill()
		p.start()
		tab = p.open("http://" + s.addr + bench)
	}
	write("before the half record")
	tab.give("log", "ride.csv", "...new TextEncoder().encode(`time,pack v,current\n0,80,0\n1,78,20\n`)")
	tab.wait(`main().includes("The file is kept")`)
	p.browser.Kill()
	logs, err := filepath.Glob(p.profile + "/Default/IndexedDB/*.leveldb/*.log")
	require.NoError(t, err)
	require.Len(t, logs, 1)
	log, err := os.OpenFile(logs[0], os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = log.Write([]byte{1, 2, 3, 4, 200, 0, 1}) // the head of a record of 200 bytes
	require.NoError(t, err)
	require.NoError(t, log.Close())
	again()
	require.NotContains(t, tab.text("main()"), "second copy")
	write("behind it")
	again()
	require.Contains(t, tab.text("main()"), "What is here comes from the second copy")
	write("on what was put back")
	again()
	require.NotContains(t, tab.text("main()"), "second copy")
	tab.tap(bench + "logbook")
	said := []string{"before the half record", "behind it", "on what was put back"}
	for _, text := range said {
		require.Contains(t, tab.text("main()"), text)
	}
	require.Equal(t, 0, s.logged(said[0]))
	s.start()
	tab.eval(`dispatchEvent(new Event("online"))`, nil)
	tab.step(s)
	for _, text := range said {
		require.Equal(t, 1, s.logged(text))
	}
	require.Eventually(t, func() bool { list, err := s.garage.Blobs.List(); return err == nil && len(list) == 1 }, time.Minute, 10*time.Millisecond)
	require.Equal(t, before, devices(), "it goes on as the device it was")
}

func notes(who string, round, n int, more string) (drafts []model.Draft) {
	for j := range n {
		drafts = append(drafts, model.Draft{Body: &model.Note{Text: fmt.Sprintf("%s %d.%d. %s", who, round, j, more)}})
	}
	return drafts
}

// relayed is a file of entries that another device has written.
func relayed(t *testing.T, round, n int) string {
	key := ed25519.NewKeyFromSeed(append(make([]byte, ed25519.SeedSize-1), byte(round)))
	b, err := book.Open(keep.NewMemory(), book.Config{
		Replica: uuid.New(), Key: key.Public().(ed25519.PublicKey), Sign: func(m []byte) []byte { return ed25519.Sign(key, m) },
		Device: "relay", Person: "builder", Now: time.Now, NewID: uuid.New, Plans: plan.Builtin,
	})
	require.NoError(t, err)
	_, err = b.Write(notes("relay", round, n, long))
	require.NoError(t, err)
	var text strings.Builder
	b.Read(func(l *model.Logbook) { require.NoError(t, lines.WriteLogbook(&text, l)) })
	return text.String()
}
