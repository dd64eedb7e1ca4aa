//go:build browser

package browser

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A sheet is brought in and a log is read on the phone alone, from files as they are
// chosen there: of any letters, under their own names. What is exported has a name, and
// a log that was kept comes back byte for byte.
func TestFilesOfForms(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	l.stop()
	const codes = `...[...` + "`date;hours;what\n2026-09-01;2;L\u00f6tstelle\n`" + `].map((c) => c.charCodeAt(0))` // each letter a byte: ISO 8859-1
	const ride = "time,pack v,current,\u00b0C\n0,80,0,20\n1,78,20,21\n"
	tab.give("bring", "std.csv", codes)
	require.Contains(t, tab.text("main()"), "std.csv")
	require.Contains(t, tab.text("main()"), "2.00 h on no task")
	tab.eval(`(() => {
		document.querySelector("main").dataset.old = "yes";
		document.querySelector("button[value=write]").click();
	})()`, nil)
	tab.wait(`!document.querySelector("main").dataset.old`)
	require.Contains(t, tab.text("main()"), "1 entry of hours from std.csv")
	tab.tap(bench + "logbook")
	require.Contains(t, tab.text("main()"), "Lötstelle")

	tab.give("log", "ride.csv", "...[...`"+ride+"`].map((c) => c.charCodeAt(0))")
	require.Contains(t, tab.text("main()"), "20.0 A out")
	require.Contains(t, tab.text("main()"), "The file is kept, byte for byte")
	save := func(address string) (name, bytes string) {
		tab.eval(`(() => {
			globalThis.saved = "";
			const make = URL.createObjectURL, click = HTMLAnchorElement.prototype.click;
			URL.createObjectURL = (blob) => { globalThis.blob = blob; URL.createObjectURL = make; return make.call(URL, blob); };
			HTMLAnchorElement.prototype.click = function () { saved = this.download; HTMLAnchorElement.prototype.click = click; };
			document.querySelector('a[href`+address+`]').dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
		})()`, nil)
		tab.wait(`saved !== ""`)
		return tab.text("saved"), tab.text("blob.arrayBuffer().then((b) => String.fromCharCode(...new Uint8Array(b)))")
	}
	name, bytes := save(`*="/export/raw-"`)
	require.Equal(t, "ride.csv", name)
	require.Equal(t, ride, bytes, "each byte a letter: ISO 8859-1")

	tab.eval(`document.querySelector('a[href$="/bring"]').click()`, nil)
	tab.wait(`!!document.querySelector("#brought")`)
	name, bytes = save(`*="/export/raw-"`)
	require.Equal(t, "ride.csv", name)
	require.Equal(t, ride, bytes)
	tab.tap(bench + "export")
	name, bytes = save(`$="hours.csv"`)
	require.Equal(t, "heron-hours.csv", name)
	require.Contains(t, bytes, "2026-09-01")
	name, bytes = save(`$="forecast.json"`)
	require.Equal(t, "heron-forecast.json", name)
	require.True(t, json.Valid([]byte(bytes)), bytes)
	name, bytes = save(`$="all.xlsx"`)
	require.Equal(t, "heron-all.xlsx", name)
	require.True(t, strings.HasPrefix(bytes, "PK"))
	tab.give("bring", name, "...new Uint8Array(await blob.arrayBuffer())")
	require.Contains(t, tab.text("main()"), "heron-all.xlsx, orders")
	require.Contains(t, tab.text("main()"), "nothing is new")
}

// give sends a file by the form of a page of the build; bytes are its, in JavaScript.
func (tab *tab) give(page, name, bytes string) {
	tab.p.t.Helper()
	tab.tap(bench + page)
	tab.eval(`(async () => {
		document.querySelector("main").dataset.old = "yes";
		const files = new DataTransfer();
		files.items.add(new File([new Uint8Array([`+bytes+`])], "`+name+`"));
		const input = document.querySelector("input[type=file]");
		input.files = files.files;
		input.form.requestSubmit();
	})()`, nil)
	tab.wait(`!document.querySelector("main").dataset.old || !document.getElementById("notice").hidden`)
}
