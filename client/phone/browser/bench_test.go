//go:build browser

package browser

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"ampwright/model/modeltest"

	"github.com/stretchr/testify/require"
)

// report reports the median of some times in milliseconds, in place of the time
// that the test's own part takes.
func report(b *testing.B, times []float64) {
	slices.Sort(times)
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(times[len(times)/2], "ms")
	b.ReportMetric(times[len(times)-1], "ms-most")
}

// shown is when the page was first shown, in ms since it was asked for. It is seldom
// looked, since each look takes some of the time there is.
func (tab *tab) shown() (ms float64) {
	for ms == 0 {
		time.Sleep(500 * time.Millisecond)
		tab.eval(`performance.getEntriesByName("shown")[0]?.startTime ?? 0`, &ms)
	}
	return ms
}

// swap is how long a tap takes until the page is swapped in, in ms.
func (tab *tab) swap(address string) (ms float64) {
	tab.eval(fmt.Sprintf(`(async () => {
		performance.clearMarks("shown");
		const a = document.createElement("a");
		a.href = %q;
		document.querySelector("main").append(a);
		const began = performance.now();
		a.click();
		while (!performance.getEntriesByName("shown").length) await new Promise(ok => setTimeout(ok));
		return performance.getEntriesByName("shown")[0].startTime - began;
	})()`, address), &ms)
	return ms
}

// BenchmarkFirstPage is from the address to the first page: with nothing in the
// browser, then with the program in its cache and without the laptop; in a browser
// that has had nothing to do for some seconds, as when somebody takes up the phone.
func BenchmarkFirstPage(b *testing.B) {
	const idle = 3 * time.Second
	b.Run("cold", func(b *testing.B) {
		l := newLaptop(b)
		var times []float64
		for b.Loop() {
			p := newPhone(b)
			time.Sleep(idle)
			page, err := p.browser.Open(p.ctx, "http://"+l.addr+"/phone/", nil)
			require.NoError(b, err)
			times = append(times, (&tab{Page: page, p: p}).shown())
			p.browser.Kill()
		}
		report(b, times)
	})
	for name, entries := range map[string]int{"warm-demo": 0, "warm-10k": 10_000} {
		b.Run(name, func(b *testing.B) {
			l, p := newLaptop(b), newPhone(b)
			tab := p.openDemo(l)
			if entries > 0 {
				tab.bring(modeltest.Garage(entries, 1))
				tab.tap("/phone/?all=1")
			}
			l.stop()
			var times []float64
			for b.Loop() {
				time.Sleep(idle)
				require.NoError(b, tab.Call(p.ctx, "Page.reload", nil, nil))
				times = append(times, tab.shown())
			}
			report(b, times)
		})
	}
}

// BenchmarkTap is from a tap to the page swapped in.
func BenchmarkTap(b *testing.B) {
	l, p := newLaptop(b), newPhone(b)
	tab := p.openDemo(l)
	for _, path := range []string{"", "tasks", "task/mot-05", "check/motor-iso", "spec", "logbook", "walk/commissioning/next"} {
		b.Run("bench/"+path, func(b *testing.B) {
			var times []float64
			for b.Loop() {
				times = append(times, tab.swap(bench+path))
			}
			report(b, times)
		})
	}
}

// BenchmarkWrite is from the tap that sends a form to the page that says it is
// written down, durability strict.
func BenchmarkWrite(b *testing.B) {
	l, p := newLaptop(b), newPhone(b)
	tab := p.openDemo(l)
	var times []float64
	for i := 0; b.Loop(); i++ {
		tab.tap(bench + "write/note")
		var ms float64
		tab.eval(fmt.Sprintf(`(async () => {
			performance.clearMarks("shown");
			const form = document.querySelector("form.ask");
			form.elements.text.value = "note %d";
			const began = performance.now();
			form.requestSubmit();
			while (!performance.getEntriesByName("shown").length) await new Promise(ok => setTimeout(ok));
			return performance.getEntriesByName("shown")[0].startTime - began;
		})()`, i), &ms)
		times = append(times, ms)
	}
	report(b, times)
}

// BenchmarkBring10k reads 10,000 entries from a file into the browser's storage.
func BenchmarkBring10k(b *testing.B) {
	l := newLaptop(b)
	raws := modeltest.Garage(10_000, 1)
	var times []float64
	for b.Loop() {
		p := newPhone(b)
		tab := p.open("http://" + l.addr + "/phone/")
		tab.eval(`addEventListener("submit", () => performance.mark("sent"))`, nil)
		tab.read(raws)
		tab.wait(`main().includes("new entries read")`)
		var ms float64
		tab.eval(`performance.getEntriesByName("shown").at(-1).startTime - performance.getEntriesByName("sent")[0].startTime`, &ms)
		times = append(times, ms)
		p.browser.Kill()
	}
	report(b, times)
}

// BenchmarkFirstFill is from the invitation, on a phone with the program in its
// cache and nothing else, until it holds 10,000 notes more than the demo and the
// laptop knows that it does.
func BenchmarkFirstFill(b *testing.B) {
	s := newShop(b)
	for i := range 10 {
		_, err := s.garage.Book.Write(notes("laptop", i, 1000, ""))
		require.NoError(b, err)
	}
	all, _ := s.read()
	var times []float64
	for b.Loop() {
		p := newPhone(b)
		tab := p.open("http://" + s.addr + "/phone/this")
		invitation, _ := s.invited.Open(time.Now())
		began := time.Now()
		tab.eval(fmt.Sprintf(`(() => {
			const i = document.getElementById("invite");
			i.value = %q;
			i.form.requestSubmit();
		})()`, invitation), nil)
		for s.holds() < all {
			time.Sleep(5 * time.Millisecond)
		}
		times = append(times, float64(time.Since(began).Milliseconds()))
		p.browser.Kill()
		all++ // the phone's opening entry, and the meeting
		all++
	}
	report(b, times)
}
