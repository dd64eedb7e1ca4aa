//go:build browser

package browser

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A sheet is brought in and a log is read on the phone alone, from files as they are
// chosen there: of any letters, under their own names. What is exported has a name.
func TestFilesOfForms(t *testing.T) {
	l, p := newLaptop(t), newPhone(t)
	tab := p.openDemo(l)
	l.stop()
	choose := func(page, name, bytes string) {
		tab.tap(bench + page)
		tab.eval(`(() => {
			document.querySelector("main").dataset.old = "yes";
			const files = new DataTransfer();
			files.items.add(new File([new Uint8Array([`+bytes+`])], "`+name+`"));
			const input = document.querySelector("input[type=file]");
			input.files = files.files;
			input.form.requestSubmit();
		})()`, nil)
		tab.wait(`!document.querySelector("main").dataset.old || !document.getElementById("notice").hidden`)
	}
	const codes = `...[...` + "`date;hours;what\n2026-09-01;2;L\u00f6tstelle\n`" + `].map((c) => c.charCodeAt(0))` // each letter a byte: ISO 8859-1
	choose("bring", "std.csv", codes)
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

	choose("log", "ride.csv", "...[...`time,pack v,current\n0,80,0\n1,78,20\n`].map((c) => c.charCodeAt(0))")
	require.Contains(t, tab.text("main()"), "20.0 A out")

	tab.tap(bench + "export")
	tab.eval(`(() => {
		globalThis.saved = "";
		HTMLAnchorElement.prototype.click = function () { saved = this.download; };
		document.querySelector('a[href$="hours.csv"]').dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true }));
	})()`, nil)
	tab.wait(`saved !== ""`)
	require.Equal(t, "heron-hours.csv", tab.text("saved"))
}
