//go:build browser

package browser

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ampwright/cmd/dev/chromium"
	"ampwright/model"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// A screen is a page as somebody comes to see it: by its address, or by what comes
// when the form on it is filled and sent.
type screen struct {
	path string            // below the garage's address, with query and fragment
	form string            // how the address ends that the form is sent to; "" if none is sent
	fill map[string]string // into its fields by their names
	file string            // name and content of the one it is sent with, a line apart
}

func (s screen) String() string {
	if s.form == "" {
		return s.path
	}
	return fmt.Sprint(s.path, ", sent ", s.fill, " ", strings.SplitN(s.file, "\n", 2)[0])
}

// kind is what the pages of a screen have in common: its path with what it is about
// left out. Each form is one of its own.
func kind(path string) string {
	path, _, _ = strings.Cut(path, "?")
	rest, in := strings.CutPrefix(path, bench)
	parts := strings.Split(rest, "/")
	for i := range parts {
		switch p := parts[i]; {
		case i == 0 || parts[0] == "write" || parts[0] == "export" || parts[0] == "record":
		case parts[0] == "walk" && i == 2 && (p == "next" || p == "paper" || p == "release"):
		default:
			parts[i] = "*"
		}
	}
	return fmt.Sprint(in, strings.Join(parts, "/"))
}

// marks are the kinds of thing on a page: an element of a tag and a class inside
// another.
func (s sheet) marks() map[string]bool {
	all := map[string]bool{}
	for e := range s.doc.Descendants() {
		if e.Type == html.ElementNode {
			all[e.Parent.Data+"."+attr(e.Parent, "class")+">"+e.Data+"."+attr(e, "class")+"."+attr(e, "type")] = true
		}
	}
	return all
}

// screens returns a page of each kind, those in which every kind of thing stands at
// least once that stands in any, and what no link leads to: each form that does a
// wish, what is refused, worked out, brought in, done and not there.
func screens(t *testing.T, sheets []sheet) (list []screen) {
	kinds, seen := map[string]bool{}, map[string]bool{}
	take := func(s sheet) {
		list = append(list, screen{path: s.path})
		kinds[kind(s.path)] = true
		for m := range s.marks() {
			seen[m] = true
		}
	}
	for _, s := range sheets {
		if s.path != "" && !kinds[kind(s.path)] { // it leads to the only build
			take(s)
		}
	}
	left := map[int]map[string]bool{} // by place in sheets: what is not seen yet
	for i, s := range sheets {
		left[i] = s.marks()
	}
	for { // the one with most of them next
		best, most := 0, 0
		for i := range sheets {
			for m := range left[i] {
				if seen[m] {
					delete(left[i], m)
				}
			}
			if len(left[i]) > most {
				best, most = i, len(left[i])
			}
		}
		if most == 0 {
			break
		}
		take(sheets[best])
	}
	for _, k := range model.WishKinds() {
		if path := bench + "write/" + k.Name; !k.Garage && !kinds[kind(path)] {
			list = append(list, screen{path: path})
		}
	}
	for _, path := range []string{
		"none", bench + "task/none", bench + "walk/commissioning/dead-at-controller#stop", bench + "record?hours=1&money=1", bench + "calc/bolt-torque?work=1&cols=2",
		bench + "calc/speed-torque-trade?work=1&motor_kv=0&tyre_circ_m=1.98", bench + "whatif?work=1&vary=cells_series&cells_series.1=24&cells_series.3=16", bench + "whatif?work=1&vary=cells_series&cells_series.1=lots",
	} {
		list = append(list, screen{path: path})
	}
	for _, s := range []screen{
		{bench + "write/hours?task=mot-05", "write/hours", map[string]string{"hours": "many"}, ""},
		{bench + "write/read?check=motor-iso", "write/read", map[string]string{"value": "much"}, ""},
		{bench + "walk/commissioning/dead-at-controller", "dead-at-controller", map[string]string{"value": "much"}, ""},
		{bench + "walk/commissioning/release/dead-mechanical", "dead-mechanical", nil, ""},
		{bench + "record/verify", "record/verify", map[string]string{"record": "{}"}, ""},
		{bench + "log", "log", nil, "ride.csv\ntime,pack v,current\n0,80,0\n1,78,20\n2,81,-3\n"},
		{bench + "log", "log", nil, "ride.csv\nnone"},
		{"plans", "plans", map[string]string{"pasted": "{}"}, ""},
	} {
		list = append(list, s)
	}
	for _, name := range []string{"06-hours-ask-day", "13-hours-areas-asked", "19-money-currency", "23-parts", "29-nothing-known", "33-todo-columns"} {
		data, err := os.ReadFile(filepath.Join("../../../testdata/sheets", name+".csv"))
		require.NoError(t, err)
		list = append(list, screen{bench + "bring", "bring", nil, name + ".csv\n" + string(data)})
	}
	return append(list, screen{bench + "write/note?task=mot-05", "write/note", map[string]string{"text": "left lug tacked"}, ""}) // it changes the other pages
}

// show has the tab show a screen without loading anew: the page is written into the
// one that is there, with its head, styles and scripts, and axe-core stays warm.
func (w *window) show(t *testing.T, p *program, page *chromium.Page, s screen) {
	t.Helper()
	path, fragment, _ := strings.Cut(s.path, "#")
	name, content, _ := strings.Cut(s.file, "\n")
	said, err := json.Marshal(map[string]any{"at": p.home + path, "fragment": fragment, "form": s.form, "fill": s.fill, "name": name, "content": content})
	require.NoError(t, err)
	require.NoError(t, page.Eval(w.ctx, fmt.Sprintf(`(async (s) => {
		globalThis.policy ??= trustedTypes.createPolicy("ampwright", { createHTML: (html) => html });
		let html = await (await fetch(s.at)).text();
		if (s.form) {
			const page = new DOMParser().parseFromString(policy.createHTML(html), "text/html");
			const form = [...page.forms].find((f) => f.method === "post" && f.getAttribute("action").endsWith(s.form) && Object.keys(s.fill ?? {}).every((name) => f.elements[name]));
			const data = new FormData(form);
			for (const [name, value] of Object.entries(s.fill ?? {})) data.set(name, value);
			if (s.name) data.set("file", new File([s.content], s.name));
			html = await (await fetch(form.getAttribute("action"), { method: "POST", body: form.enctype === "multipart/form-data" ? data : new URLSearchParams(data) })).text();
		}
		document.open();
		document.write(policy.createHTML(html));
		document.close();
		history.replaceState(null, "", s.at);
		location.hash = s.fragment;
		if (document.readyState !== "complete") await new Promise((ok) => addEventListener("load", ok, { once: true }));
		await document.fonts.ready;
		if (!document.querySelector("main h1")) throw new Error("no page: " + document.body.innerText);
	})(%s)`, said), nil), "%s", s)
}
