package main

import (
	"fmt"
	"strings"

	"ampwright/model"

	"github.com/spf13/cobra"
)

type walkAnswer struct {
	head
	List   string      `json:"list"`
	Title  string      `json:"title"`
	Mode   string      `json:"mode"`
	Steps  int         `json:"steps"`
	Chunks []chunkJSON `json:"chunks"`
	Chunk  string      `json:"chunk"`   // the first that is not released; "" at the end
	Step   int         `json:"step"`    // the item to take now, counted from 1; 0 where the chunk wants its release
	Item   *checkJSON  `json:"item"`    // that item
	Needs  []string    `json:"needs"`   // checks to be cleared first
	Break  string      `json:"broken"`  // why the list must be taken up again
	From   string      `json:"from"`    // the item to look at again
	Again  bool        `json:"again"`   // all items from it on are taken again
	Closes string      `json:"release"` // why the chunk cannot be released yet; "" if it can
}

type chunkJSON struct {
	Key      string   `json:"key"`
	Title    string   `json:"title"`
	Live     bool     `json:"live"` // the machine is energised
	Released bool     `json:"released"`
	Stale    []string `json:"stale"` // why a release no longer stands
	Stands   int      `json:"stands"`
	Items    int      `json:"items"`
}

func (p *program) walk() *cobra.Command {
	return &cobra.Command{
		Use: "walk [LIST]", Short: "a checklist: its place, the item to take now and what it needs",
		Long: `Shows where a checklist stands: the chunk that is open, the item to take now with
its limit, what to wear, when to stop and what must be cleared first. The answer is
written down with "ampwright read", a break mended with "ampwright resume LIST", a
chunk closed with "ampwright release CHUNK".`,
		Example: "  ampwright walk\n  ampwright walk commissioning --json", Args: atMost(1),
		RunE: p.look(func(v view, args []string) error {
			list := ""
			var names []string
			for _, l := range v.build.Lists {
				names = append(names, l.ID)
			}
			if len(names) > 0 {
				list = names[0]
			}
			if len(args) == 1 {
				list = args[0]
			}
			_, person := v.keeper()
			if p.by != "" {
				person = p.by
			}
			w, ok := v.build.Walk(list, v.now, person)
			if !ok {
				return unknownKey("checklist", list, "the plan's checklists are: "+strings.Join(names, ", "), names)
			}
			body := newWalk(v, w)
			return p.answer(body, func(pg *page) { body.words(v, pg, w) })
		}),
	}
}

// keeper returns the replica that wrote last on this build, and who keeps it: on
// a copy's own computer, the one who asks.
func (v view) keeper() (device, person string) {
	last := model.Stamp(0)
	for _, d := range v.build.Devices {
		if d.Last >= last {
			last, device, person = d.Last, d.Name, d.Person
		}
	}
	return device, person
}

func newWalk(v view, w *model.Walk) walkAnswer {
	a := walkAnswer{
		head: v.head("walk"), List: w.List.ID, Title: w.List.Title, Mode: w.List.Mode, Steps: len(w.Steps), Chunks: []chunkJSON{}, Needs: []string{},
		Break: w.Break, Again: w.Again,
	}
	for _, ch := range w.Chunks {
		j := chunkJSON{Key: ch.ID, Title: ch.Title, Live: ch.Live, Released: ch.Released != nil, Stale: []string{}, Items: len(ch.Steps)}
		if ch.Last != nil && ch.Released == nil {
			j.Stale = list(ch.Last.Changed)
		}
		for _, s := range ch.Steps {
			if s.Stands {
				j.Stands++
			}
		}
		a.Chunks = append(a.Chunks, j)
	}
	if w.From != nil {
		a.From = w.From.ID
	}
	if w.Chunk != nil {
		a.Chunk, a.Closes = w.Chunk.ID, w.Complete(w.Chunk)
	}
	if s := w.Step; s != nil {
		item := newCheck(v, s.Check)
		a.Step, a.Item = s.N, &item
		for _, c := range s.Needs() {
			a.Needs = append(a.Needs, c.ID)
		}
	}
	return a
}

func (a walkAnswer) words(v view, pg *page, w *model.Walk) {
	pg.line("%s, %s: %s", a.Title, a.Mode, v.title())
	for _, c := range a.Chunks {
		state := "shut"
		switch {
		case c.Released:
			state = "released"
		case c.Key == a.Chunk:
			state = "open"
		}
		pg.row(c.Key, state, fmt.Sprintf("%d of %d", c.Stands, c.Items), c.Title)
		pg.under("its release no longer stands: ", strings.Join(c.Stale, "; "))
	}
	switch {
	case a.Chunk == "":
		pg.head("every chunk is released")
	case a.Break != "":
		pg.head("the place was left: %s", a.Break)
		pg.row("look at "+a.From+" again", "ampwright resume "+a.List)
	case w.Step == nil:
		pg.head("%s is worked through", a.Chunk)
		pg.row("close it", "ampwright release "+a.Chunk)
	default:
		a.item(v, pg, w.Step)
	}
}

func (a walkAnswer) item(v view, pg *page, s *model.WalkStep) {
	pg.head("step %d of %d: %s", s.N, a.Steps, s.Title)
	for _, h := range s.Task.Hazards {
		of, _ := model.SeverityOf(h, s.Chunk.Live)
		pg.row(of.Word(), h)
	}
	for _, r := range []struct{ label, text string }{
		{"wanted", s.LimitText(v.style)}, {"from", v.basis(s.Basis, s.Source)}, {"wear", s.PPE}, {"with", s.Instrument}, {"stop if", s.StopIf}, {"if it fails", s.OnFail},
	} {
		if r.text != "" {
			pg.row(r.label, r.text)
		}
	}
	if s.Current != nil && s.Why() != "" {
		pg.row("on record", s.ValueText(s.Current, v.style)+", "+s.Why())
	}
	if len(a.Needs) > 0 {
		pg.row("first", strings.Join(a.Needs, ", "))
		return
	}
	answer := "ampwright read " + s.ID
	switch {
	case s.Proof:
		answer += " VALUE --before VALUE --after VALUE"
	case s.Kind == model.Measurement:
		answer += " VALUE"
	case s.Kind == model.YesNo:
		answer += ` yes --seen "what is seen"`
	default:
		answer += " photo"
	}
	pg.row("then", answer)
}
