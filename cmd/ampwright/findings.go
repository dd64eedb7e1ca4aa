package main

import (
	"strings"
	"time"

	"ampwright/model"

	"github.com/spf13/cobra"
)

type findingsJSON struct {
	head
	Findings []findingJSON `json:"findings"` // open ones first
	NCRs     []itemJSON    `json:"nonconformances"`
	Punches  []itemJSON    `json:"punches"`
}

// findingJSON is what the program noticed; people raise the items.
type findingJSON struct {
	Key            string     `json:"key"`
	Kind           string     `json:"kind"`
	Nonconformance bool       `json:"nonconformance"`
	Open           bool       `json:"open"`
	Text           string     `json:"text"`
	At             *time.Time `json:"at"`
	Task           string     `json:"task"`
	Check          string     `json:"check"`
	Order          string     `json:"order"`
	NCR            string     `json:"takenUpBy"` // label of the nonconformance
	Ended          string     `json:"ended"`     // why it is no longer open
	Held           []string   `json:"held"`      // entries that are held back
}

type itemJSON struct {
	Entry       string     `json:"entry"`
	Label       string     `json:"label"` // NC-2, or the class of a punch item
	Text        string     `json:"text"`
	Task        string     `json:"task"`
	Check       string     `json:"check"`
	Disposition string     `json:"disposition"`
	At          *time.Time `json:"at"`
	Who         string     `json:"who"`
	Open        bool       `json:"open"`
	Closed      string     `json:"closed"` // who closed it, with what
}

func (p *program) findings() *cobra.Command {
	return &cobra.Command{
		Use: "findings", Short: "what breaks a rule, what is out of limits, the punch list",
		Long: `Shows what the program noticed (work out of order, readings out of limits, checks
left out, clocks that overlap, fields written apart), the nonconformances people
raised and the punch list. A finding is closed by its key, an item by its label
or entry: ampwright close ITEM EVIDENCE.`,
		Example: "  ampwright findings\n  ampwright findings --json", Args: atMost(0),
		RunE: p.look(func(v view, _ []string) error {
			body := newFindings(v)
			return p.answer(body, func(pg *page) { body.words(v, pg) })
		}),
	}
}

func newFindings(v view) findingsJSON {
	body := findingsJSON{head: v.head("findings"), Findings: []findingJSON{}, NCRs: []itemJSON{}, Punches: []itemJSON{}}
	for _, f := range v.build.Findings {
		body.Findings = append(body.Findings, newFinding(f))
	}
	closed := func(c *model.CloseLine) (open bool, by string) {
		if c == nil {
			return true, ""
		}
		return false, c.Person + ", " + day(c.At) + ": " + c.Evidence
	}
	for _, n := range v.build.NCRs {
		i := itemJSON{
			Entry: n.ID.String(), Label: n.Label, Text: n.Text, Task: n.Task, Check: n.Check, Disposition: n.Disposition, At: when(n.At), Who: n.Person,
		}
		i.Open, i.Closed = closed(n.Closed)
		body.NCRs = append(body.NCRs, i)
	}
	for _, u := range v.build.Punches {
		i := itemJSON{Entry: u.ID.String(), Label: u.Class, Text: u.Text, Task: u.Task, At: when(u.At), Who: u.Person}
		i.Open, i.Closed = closed(u.Closed)
		body.Punches = append(body.Punches, i)
	}
	return body
}

func newFinding(f *model.Finding) findingJSON {
	j := findingJSON{
		Key: f.Key, Kind: string(f.Kind), Nonconformance: f.Nonconformance(), Open: f.Open, Text: f.Text, At: when(f.At), Ended: f.Ended, Held: ids(f.Held),
	}
	if f.Task != nil {
		j.Task = f.Task.ID
	}
	if f.Check != nil {
		j.Check = f.Check.ID
	}
	if f.Order != nil {
		j.Order = f.Order.Label
	}
	if f.NCR != nil {
		j.NCR = f.NCR.Label
	}
	return j
}

func (b findingsJSON) words(v view, pg *page) {
	pg.line("%s", v.title())
	open, ended := 0, 0
	for _, f := range b.Findings {
		if f.Open {
			open++
		} else {
			ended++
		}
	}
	section(pg, "open", open)
	for _, f := range b.Findings {
		if f.Open {
			pg.row(dayOf(f.At), f.Kind, f.Text, set("taken up by ", f.NCR))
			pg.under("key: ", f.Key)
			for _, name := range f.Held {
				pg.under("held: ", v.heldText(name))
			}
			if field, ok := strings.CutPrefix(f.Key, "clash:"); ok {
				pg.under("settle it: ", "ampwright settle "+field+" VALUE")
			}
		}
	}
	section(pg, "nonconformances", len(b.NCRs))
	for _, n := range b.NCRs {
		pg.row(dayOf(n.At), n.Label, state(n), n.Text)
		pg.under("disposition: ", n.Disposition)
		pg.under("closed by ", n.Closed)
	}
	section(pg, "punch list (A must be closed, B should)", len(b.Punches))
	for _, i := range b.Punches {
		pg.row(dayOf(i.At), i.Label, state(i), i.Entry[:8], i.Task, i.Text)
		pg.under("closed by ", i.Closed)
	}
	section(pg, "over", ended)
	for _, f := range b.Findings {
		if !f.Open {
			pg.row(dayOf(f.At), f.Kind, f.Text, f.Ended)
		}
	}
	if open+ended+len(b.NCRs)+len(b.Punches) == 0 {
		pg.head("none")
	}
}

// heldText says who wrote a held entry, when and what, and how it is let in.
func (v view) heldText(name string) string {
	id, _ := model.ParseID(name) // from the fold
	fact, _ := v.build.FactOf(id)
	return strings.Join([]string{fact.Stamp.Time().In(v.now.Location()).Format(minute), fact.Person, v.quote(name)}, " ") + "; ampwright let-in " + id.Short()
}

func state(i itemJSON) string {
	if i.Open {
		return "open"
	}
	return "closed"
}

func dayOf(t *time.Time) string {
	if t == nil {
		return strings.Repeat(" ", len(time.DateOnly))
	}
	return t.Format(time.DateOnly)
}
