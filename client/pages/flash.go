package pages

import (
	"net/url"
	"slices"
	"strings"

	"ampwright/model"
	"ampwright/sync/book"
)

// A flash says what was just written down and what came of it. It is read from
// the logbook by the names in the query, so a link can't put words in its mouth.
type flash struct {
	Written []doneLine
	Raised  []string
	Stale   []link
}

// A doneLine is an entry just written, where it is, and the way to take it back.
type doneLine struct{ Text, Kept, Undo string }

const maxDone = 6 // names a query carries

// withDone adds what came of a wish to the path it leads back to.
func withDone(back string, out book.Outcome) string {
	u, err := url.Parse(back)
	if err != nil {
		return back
	}
	q := u.Query()
	var entries, raised, stale []string
	for _, id := range out.Entries {
		entries = append(entries, id.String())
	}
	for _, f := range out.Raised {
		raised = append(raised, f.Key)
	}
	for _, c := range out.Stale {
		stale = append(stale, c.ID)
	}
	for name, list := range map[string][]string{"done": entries, "raised": raised, "stale": stale} {
		q.Del(name)
		if len(list) > 0 {
			q.Set(name, strings.Join(list[:min(len(list), maxDone)], " "))
		}
	}
	u.RawQuery = q.Encode()
	if len(stale) > 0 {
		u.Fragment = "" // what is stale now is said at the top of the page, and read before the place further down
	}
	return u.String()
}

// flash reads what withDone wrote.
func (v *visit) flash() *flash {
	done := strings.Fields(v.req.Query.Get("done"))
	if len(done) == 0 {
		return nil
	}
	f := &flash{}
	peers := v.counting()
	v.cfg.Book.Read(func(l *model.Logbook) {
		v.kept = l.Holders(peers)
		for _, name := range done[:min(len(done), maxDone)] {
			id, err := model.ParseID(name)
			if err != nil {
				continue
			}
			if line, ok := v.b.Entry(id); ok {
				d := doneLine{Text: v.say(line.Entry).Full(), Kept: v.keptWhere(id)}
				if !line.Struck && line.Kind() != "strike" && line.Kind() != "build" {
					d.Undo = v.at() + "/write/strike?" + url.Values{"entry": {id.String()}, "back": {v.req.Path}}.Encode()
				}
				f.Written = append(f.Written, d)
			}
		}
		v.kept = nil
	})
	raised := strings.Fields(v.req.Query.Get("raised"))
	for _, one := range v.b.Findings {
		if one.Open && slices.Contains(raised, one.Key) {
			f.Raised = append(f.Raised, one.Text)
		}
	}
	for _, key := range strings.Fields(v.req.Query.Get("stale")) {
		if c := v.b.Check(key); c != nil && c.Verdict == model.Stale {
			f.Stale = append(f.Stale, link{Href: v.at() + "/check/" + c.ID, Text: c.Title})
		}
	}
	if len(f.Written) == 0 {
		return nil
	}
	return f
}
