//go:build browser

package browser

import (
	"fmt"
	"strings"

	"github.com/stretchr/testify/require"
)

// A walker works the demo's commissioning list through with a thumb.
type walker struct {
	*thumb
	away func() // the device stops dead; ten minutes later somebody opens the list again
}

// list finds the way to the list on the sheet of checks.
const list = `shown("main a").find(a => a.getAttribute("href").endsWith("/walk/commissioning"))`

// at requires that the item shown is that of a place, counted from 1.
func (w *walker) at(place int) {
	w.t.Helper()
	require.Contains(w.t, w.text(`document.querySelector(".walk > header").innerText`), fmt.Sprintf("step %d of %d;", place, len(items)), "%s", w.main())
}

// answer types what there is to say of an item, names who saw it where that is asked
// for, and records it.
func (w *walker) answer(it item) {
	w.t.Helper()
	if w.text(`String(shown('[name="witness"]').length)`) == "1" {
		w.write("witness", 0, "Ina")
	}
	w.record(it)
}

func (w *walker) record(it item) {
	w.t.Helper()
	switch {
	case it.seen != "":
		w.write("seen", 0, it.seen)
		w.press("it is so")
	case it.values == nil:
		w.choose("photo", picture(w.t))
		w.press("photo taken")
	default:
		w.fill(it.values)
		w.tap(`shown("footer button.btn")[0]`)
	}
}

// fill types the values of a measurement: pasted at once where they are many, and
// between two looks at a known source where the tester is to be proved.
func (w *walker) fill(values []string) {
	w.t.Helper()
	var boxes int
	w.eval(`shown('[name="value"]').length`, &boxes)
	switch {
	case w.text(`String(shown('[name="before"]').length)`) == "1":
		w.write("before", 0, proved[0])
		w.write("value", 0, values[0])
		w.write("after", 0, proved[1])
	case boxes > 8:
		w.unfold("paste them all at once")
		w.write("value", boxes, strings.Join(values, " "))
	default:
		require.Equal(w.t, len(values), boxes)
		for i, v := range values {
			w.write("value", i, v)
		}
	}
}

// release signs the chunk off that the list has come to.
func (w *walker) release(chunk string) {
	w.t.Helper()
	require.Contains(w.t, w.text("location.pathname"), "/release/"+chunk)
	w.write("witness", 0, "Ina")
	w.write("note", 0, "builder, in the shed, "+chunk)
	w.touch(`shown(".ticks input")[0]`)
	w.press("release " + chunk)
}

// send sends the form of a page.
func (w *walker) send() { w.t.Helper(); w.tap(`shown("form.ask > .btn")[0]`) }

// back leads from any sheet to the place of the list.
func (w *walker) back() {
	w.t.Helper()
	w.follow("checks")
	w.tap(list)
	w.press("go on")
}

// commission works the list through, from its page to its end.
func (w *walker) commission() {
	w.t.Helper()
	require.Contains(w.t, w.main(), "step 1 of 59")
	w.photo("list")
	w.press("begin")
	for i, it := range items {
		if it.values == nil && it.seen == "" && it.check != "cfg-backup" {
			continue // it followed from the one before
		}
		w.at(i + 1)
		if before := w.before(it.check); before != nil {
			before(it)
		} else {
			w.answer(it)
		}
		if chunk, ok := ends[it.check]; ok {
			w.release(chunk)
		}
	}
	require.Contains(w.t, w.main(), "every chunk is released")
	w.photo("end")
}

// ends are the chunks by their last items.
var ends = map[string]string{
	"bond-resistance": "dead-mechanical", "fuse-present": "dead-insulation", "interlocks-lv": "dead-cells-lv", "dcdc-volts": "first-live",
	"cfg-backup": "configure", "throttle-faults-safe": "stand-drive", "marks-after-heat": "stand-stop", "drive-inhibit-on-charge": "charger",
	"stop-rear": "road-slow", "spokes-even": "road-hard", "punch-closed": "road-range",
}

// before is what happens at some items in place of a plain answer.
func (w *walker) before(check string) func(item) {
	return map[string]func(item){
		"dead-at-controller": w.nonconforming, "marks-unbroken": w.gated, "pressures": w.conceded, "bond-resistance": w.left,
		"group-volts": w.retested, "first-live-ready": w.witnessed, "contactor-cycles": w.leftLive, "cfg-backup": w.pictured, "stand-secure": w.stale,
	}[check]
}

// nonconforming: a value far off is read back, out of limits it says what to do; a
// nonconformance is raised, it is measured again, the nonconformance is closed.
func (w *walker) nonconforming(it item) {
	w.t.Helper()
	w.photo("first-item")
	w.drill()
	w.awake()
	w.fill(values("61"))
	w.press("record reading")
	require.Contains(w.t, w.main(), "61 V is 150 times that: read the instrument again")
	w.look("read-back")
	w.press("it does say so")
	require.Contains(w.t, w.main(), "What to do: find the second source before anything else")
	w.look("out-of-limits")
	w.press("raise a nonconformance")
	w.touch(`said(".picks label", "rework")`)
	w.write("how", 0, "the second source was the charger's lead, unplugged")
	w.send()
	require.Contains(w.t, w.main(), "rework asks first what it will change")
	w.look("rework-asks")
	w.touch(`said(".ticks label", "none of these")`)
	w.send()
	require.Regexp(w.t, `NC-\d+ is open`, w.main())
	w.look("raised")
	w.answer(it)
	w.at(2)
	w.tap(`shown(".up")[0]`)
	w.follow("findings")
	w.tap(`shown("#ncrs li").find(li => li.innerText.includes("second source")).querySelector("small a:last-child")`)
	w.write("evidence", 0, "0.4 V, measured again with the lead out")
	w.send()
	w.back()
}

// gated: what the item stands on is missing; it leads there, and on from there.
func (w *walker) gated(it item) {
	w.t.Helper()
	require.Contains(w.t, w.main(), "stud-torque: not taken")
	w.look("gate")
	w.press("go to stud-torque")
	w.write("value", 0, strengths)
	w.send()
	w.back()
	w.at(3)
	w.answer(it)
}

// conceded: out of limits, two people sign that it stands.
func (w *walker) conceded(it item) {
	w.t.Helper()
	w.fill(values("110 210"))
	w.press("record reading")
	require.Contains(w.t, w.main(), "OUT")
	w.press("sign a concession")
	w.write("reason", 0, "soft on purpose for the stand; inflated before the road")
	w.write("second", 0, "Builder")
	w.send()
	require.Contains(w.t, w.main(), "a concession is signed by two people")
	w.look("concession")
	w.write("second", 0, "Ina")
	w.send()
	w.press("go on to the place")
}

// left: after ten minutes away it shows the place and asks for a look at the last
// item.
func (w *walker) left(it item) {
	w.t.Helper()
	w.away()
	require.Regexp(w.t, `left at step 6 of 59: nothing was written on this list for 1\d minutes`, w.main())
	w.photo("left")
	w.press("go on")
	w.at(7)
	require.Contains(w.t, w.main(), "Look at the last item again")
	require.Contains(w.t, w.main(), items[5].seen)
	w.look("break")
	w.press("I looked again: it stands")
	w.at(7)
	w.look("column")
	w.answer(it)
	require.Contains(w.t, w.text("location.pathname"), "/release/dead-mechanical")
	w.photo("release")
	w.press("release dead-mechanical")
	require.Contains(w.t, w.main(), "a release is two taps")
	w.look("release-refused")
}

// retested: one point is out, the retest stands beside it.
func (w *walker) retested(it item) {
	w.t.Helper()
	low := append([]string{}, it.values...)
	low[6] = "2.90"
	w.fill(low)
	w.tap(`shown("footer button.btn")[0]`)
	require.Contains(w.t, w.main(), "OUT")
	require.Contains(w.t, w.main(), "find the weak group before any load")
	w.photo("one-point-out")
	w.answer(it)
}

// witnessed: without a second person's name the item stays.
func (w *walker) witnessed(it item) {
	w.t.Helper()
	w.photo("live")
	w.drill()
	w.record(it)
	w.at(20)
	require.Contains(w.t, w.main(), "no witness named")
	w.look("no-witness")
	w.answer(it)
}

// leftLive: with the machine live the list goes back to the last hold point, and all
// from there on is taken again.
func (w *walker) leftLive(it item) {
	w.t.Helper()
	w.away()
	require.Regexp(w.t, `left at step 22 of 59: nothing was written on this list for 1\d minutes`, w.main())
	w.press("go on")
	require.Contains(w.t, w.main(), "it goes on from its last hold point")
	w.look("live-break")
	w.press("go on from step 21")
	for i := 20; i < 22; i++ {
		w.at(i + 1)
		w.answer(items[i])
	}
	w.at(23)
	w.answer(it)
}

// pictured: first the photo is said to be kept elsewhere; then it is found, and
// chosen.
func (w *walker) pictured(it item) {
	w.t.Helper()
	w.press("photo taken")
	require.Contains(w.t, w.main(), "cfg-backup; photo taken, kept elsewhere;")
	w.tap(`shown("ol.steps-list a").find(a => a.getAttribute("href").endsWith("/cfg-backup"))`)
	w.at(30)
	w.answer(it)
	require.Contains(w.t, w.main(), "cfg-backup; photo in the logbook;")
}

// stale: an input of the spec sheet takes another value. The limit behind it moves, a
// reading turns stale, the gate before the stand shuts and names it.
func (w *walker) stale(it item) {
	w.t.Helper()
	w.tap(`shown(".up")[0]`)
	w.follow("spec sheet")
	w.touch(`document.querySelector("#batt_peak_A summary")`)
	w.write("value", 0, "130 A")
	w.tap(`shown("#batt_peak_A button")[0]`)
	require.Contains(w.t, w.main(), "stale now")
	require.Contains(w.t, w.text(`document.querySelector("main .done").innerText`), "Battery current limit set")
	w.photo("stale-now")
	w.follow("checks")
	w.tap(list)
	require.Regexp(w.t, `the release no longer stands: [^;]*cfg-batt-limit`, w.main())
	w.photo("release-stale")
	w.tap(`shown("ol.steps-list a").find(a => a.getAttribute("href").endsWith("/stand-secure"))`)
	w.at(31)
	require.Contains(w.t, w.main(), "E. Controller configuration comes first: it is not released")
	require.Contains(w.t, w.main(), "cfg-batt-limit: stale: spec sheet: Peak battery current (10 s) changed")
	w.look("shut")
	w.tap(`shown("footer .btn")[0]`)
	if !strings.Contains(w.text("location.pathname"), "cfg-batt-limit") {
		w.press("go on")
	}
	w.at(26)
	w.photo("stale-item")
	w.answer(items[25])
	w.release("configure")
	w.at(31)
	w.answer(it)
}

// awake: the screen is asked for again when the page comes into sight, and where the
// browser refuses, the page says what to do.
func (w *walker) awake() {
	w.t.Helper()
	sight := func(hidden bool) {
		w.eval(fmt.Sprintf(`(() => {
			wake.hidden = %t;
			if (wake.hidden && wake.lock && !wake.lock.released) wake.lock.release(); // as a browser does
			document.dispatchEvent(new Event("visibilitychange"));
		})()`, hidden), nil)
	}
	sight(true)
	w.wait(`wake.held === 0`)
	sight(false)
	w.wait(`wake.held === 1 && shown(".goes-dark").length === 0`)
	sight(true)
	w.eval(`wake.refuse = true`, nil)
	sight(false)
	w.wait(`shown(".goes-dark").length === 1`)
	w.photo("goes-dark")
	w.eval(`wake.refuse = false`, nil)
	sight(true)
	sight(false)
	w.wait(`wake.held === 1 && shown(".goes-dark").length === 0`)
}

// drill opens the stop drill and leaves it again.
func (w *walker) drill() {
	w.t.Helper()
	w.touch(`shown(".makesafe")[0]`)
	w.wait(`shown("#stop ol").length === 1`)
	require.Contains(w.t, w.text(`document.querySelector("#stop").innerText`), "Pull the disconnect by its lanyard")
	w.photo("drill")
	w.touch(`said("a", "back to the step")`)
	w.wait(`shown("#stop").length === 0`)
}
